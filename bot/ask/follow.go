package ask

import (
	"maps"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// Follow-ups go on from the question that was answered last: "and with 44
// thick" changes a value of it, "in inches" its unit, "and the plate?" asks
// another question of the same values. They name what they change: a number is
// never taken for something that stands beside it in no word, and the whole
// question is asked anew as text, so that nothing is read in two ways.

// leadIn is how a text goes on from what was said before.
var leadIn = regexp.MustCompile(`^(?i)\s*(?:(?:oh|ah|hm+|hang on|hold on|ok|okay|so|and|or|but|now|then|nope|sorry|oops|actually|wait|(?:the )?same|again|what if|what about|how about|what with|` +
	`i mean|i meant|make (?:it|that)|try|with|for|if|at|using|no(?:,|\s+(?:it'?s|that'?s|the|i)\b|\s+\d))[\s,:.…-]*(?:\b|$))+`)

// instead ends a text that takes the place of what was said before, or goes on
// from it: plate for it.
var instead = regexp.MustCompile(`(?i)[\s,]+(?:instead|rather|too|as well|for (?:it|that|this|the same)(?: one)?)[\s.!?]*$`)

// unitOnly asks for the same in other units.
var unitOnly = regexp.MustCompile(`^(?:(?:and|now|then|same|the same|that|it|what is that|what's that|show (?:it|that)) )*in (inches|inch|mm|millimetres|millimeters)(?: please)?$`)

// whys ask for all that stands behind an answer.
var whys = map[string]bool{"why": true, "rules": true, "why so": true, "why is that": true, "how so": true, "how come": true, "details": true,
	"working": true, "the working": true, "show the working": true, "show me the working": true}

// Units that an answer can be wanted in.
const (
	toldInInches = "in"
	toldInMM     = "mm"
)

// Follows reports whether a text looks as if it went on from the question
// before.
func Follows(text string) bool {
	plain := plainly(text)
	_, marked := ledOff(text)
	return marked || whys[plain] || plain == "cautions" || unitOnly.MatchString(plain)
}

// AsksBehind reports whether a text asks for what stands behind an answer, as why
// and cautions do.
func AsksBehind(text string) bool {
	plain := plainly(text)
	return whys[plain] || plain == "cautions"
}

// plainly returns a text in lower case without what ends it.
func plainly(text string) string {
	return strings.Trim(strings.ToLower(strings.Join(strings.Fields(text), " ")), " .!?")
}

// ledOff returns a text without the words by which it goes on from the one
// before; false if there are none.
func ledOff(text string) (rest string, marked bool) {
	cut := instead.ReplaceAllString(text, "")
	end := 0
	if at := leadIn.FindStringIndex(cut); at != nil {
		end = at[1]
	}
	if d := strings.IndexAny(cut[:end], "0123456789"); d >= 0 {
		end = d // no 44 thick
	}
	return cut[end:], end > 0 || len(cut) < len(text)
}

// Last returns the question of an answer as it is kept for follow-ups.
func (a *Answer) Last() *Open {
	o := &Open{Text: a.asked.text, Answered: true, Unit: a.asked.unit, Came: a.asked.came}
	if a.asked.only != nil {
		o.Verb = a.asked.only.Name
	}
	return o
}

// again is the answered question, when what followed it was asked about.
func (o *Open) again() *Open {
	c := *o
	c.Again = true
	return &c
}

// follow answers a text that comes after an answered question: as it stands,
// where it is whole by itself, or as what goes on from that question.
func (q *Questions) follow(text string, o *Open, door *Door) *Answer {
	fresh := q.Ask(text, door)
	marked := Follows(text) || o.Again
	if marked || !fresh.OK() || fresh.bare == 2 {
		a := (*Answer)(nil)
		if marked {
			a = q.followed(text, o, true, door)
		} else {
			a = q.unmarked(text, fresh, o, door)
		}
		switch {
		case fresh.OK() && q.twoValues(text, fresh, o):
			d := doubt("%s: which of the two numbers holds now? say one", say.Name(fresh.Verb))
			no := d.answer(text, nil)
			no.Open = o.again()
			return no
		case a == nil, fresh.OK() && (door.away() || !a.OK()):
		case fresh.OK() && a.changes && !fresh.sameAsked(a):
			d := &doubtful{offers: []string{a.asked.text, text}}
			d.say = say.F("that can be read as %s; send the one you mean, or its number",
				say.Join(", or as ", say.F("(%s) %s", 1, a.asked.text), say.F("(%s) %s", 2, text)))
			return d.answer(text, nil)
		default:
			a.Followed = true
			return a
		}
	}
	return fresh
}

// twoValues reports whether a text that is whole by itself rather gives two values
// for a name of the question before: setback 65 and 70, behind gap 54 60.
func (q *Questions) twoValues(text string, fresh *Answer, o *Open) bool {
	p := &parser{of: q}
	old := q.asked(o)
	before, d := p.parse(old.text, old.only)
	in := q.named[fresh.Verb]
	return d == nil && in != nil && before.Verb.Name != fresh.Verb && before.Verb.takes(in) && !fresh.asks && fresh.bare == 2 && q.numbersIn(text) == 2 &&
		twoNumbers.MatchString(text)
}

// twoNumbers matches two numbers for one name.
var twoNumbers = regexp.MustCompile(`(?i)\d *(?:mm|in|")? +(?:and|or) +\d`)

// unmarked answers a text that is no whole question, and says in no word that it
// goes on from the answered one: it does where it only names values of that, or
// asks another question that lacks what that has. nil if it does not.
func (q *Questions) unmarked(text string, fresh *Answer, o *Open, door *Door) *Answer {
	old := q.asked(o)
	before, d := (&parser{of: q, inch: door != nil && door.Inches}).parse(old.text, old.only)
	named, stated := fresh.Verb == "" && fresh.Open == nil, q.Verb(fresh.Verb)
	switch {
	case named, d != nil || !door.away():
		if !named {
			return nil
		}
		return q.followed(text, o, false, door)
	case fresh.Verb == "" && len(fresh.Open.Offers) > 0:
		if q.numbersIn(text) > 1 && !slices.ContainsFunc(fresh.Open.Offers, func(offer string) bool { return q.VerbIn(offer) == before.Verb }) {
			return nil
		}
	case stated != nil && q.named[stated.Name] != nil && stated != before.Verb && before.Verb.takes(q.named[stated.Name]) && q.numbersIn(text) == 1: // gaps of 7
	case stated != nil && stated != before.Verb && len(fresh.Need) > 0:
		if fresh.bare > 0 {
			return nil // gap 46
		}
		if a := q.turned(before, text, text, o, door); a != nil && a.OK() {
			return a
		}
		return nil
	default:
		return nil
	}
	a := q.followed(text, o, false, door)
	if a == nil || !a.OK() || a.unusual {
		return nil
	}
	return a
}

// numbersIn returns how many numbers stand in a text.
func (q *Questions) numbersIn(text string) (n int) {
	for _, t := range q.tokens(lex.Tidied(text), nil) {
		if t.Kind == lex.NumberToken {
			n++
		}
	}
	return n
}

// sameAsked reports whether two answers rest on the same question.
func (a *Answer) sameAsked(b *Answer) bool {
	given := func(a *Answer) (all []Given) {
		for _, g := range a.Inputs {
			if g.From == Asked {
				g.Shown = say.Text{}
				all = append(all, g)
			}
		}
		return all
	}
	return a.Verb == b.Verb && slices.EqualFunc(given(a), given(b), func(g, h Given) bool {
		return g.Name == h.Name && g.Length == h.Length && g.Angle == h.Angle && g.Word == h.Word && g.Number == h.Number
	})
}

// followed answers what goes on from the answered question; nil if the text
// does not. A text that is not marked as going on from it has to be values with
// their names and nothing else, or to say what changes what is safe; in a door's
// thread such values may be the door's.
func (q *Questions) followed(text string, o *Open, marked bool, door *Door) *Answer {
	plain, old := plainly(text), q.asked(o)
	p := &parser{of: q, inch: door != nil && door.Inches}
	before, d := p.parse(old.text, old.only)
	if named, _ := q.match(lex.Lex(plain, nil)); (whys[plain] || plain == "cautions") && (d != nil || named == nil || named.choiceFor(before.Verb) == nil) {
		a := q.ask(old, door)
		a.Whole, a.Warns, a.Talk = true, plain == "cautions", true
		return a
	}
	if d != nil {
		return nil
	}
	if m := unitOnly.FindStringSubmatch(plain); m != nil {
		unit := toldInMM
		if strings.HasPrefix(m[1], "in") {
			unit = toldInInches
		}
		return q.anew(before.Verb, measured(before.Values), request{text: text, unit: unit, came: o.Came}, o, door)
	}
	rest, _ := ledOff(text)
	f := &parser{of: q}
	by, d := f.parse(rest, before.Verb)
	if grave := f.grave(before.Verb); len(grave) > 0 && (d != nil || len(by.unnamed)+len(by.notes) > 0) {
		return q.gravely(before, grave, f, text, o, door)
	}
	if d == nil {
		by.sized = len(by.unnamed) > 0 && f.sized(&by.reading)
	}
	whole := door.away() && d == nil && len(by.unnamed)+len(by.notes) == 0 && (len(by.byUnit) == 0 || f.numbers == 1)
	switch {
	case d == nil && len(by.Values) > 0 && (marked || whole):
		a := q.changed(before, by, text, o, door)
		a.Talk, a.Whole = a.Talk || !marked, whys[plain] // clear's rules are a choice
		return a
	case !marked && !door.away(), f.numbers > 0 && d == nil, f.numbers > 0 && d.say.IsZero():
		return nil
	}
	turned := q.turned(before, rest, text, o, door)
	if f.numbers > 0 && (turned == nil || !turned.OK() && len(turned.Need) == 0) {
		if !marked {
			return nil
		}
		return &Answer{Asked: text, Verb: before.Verb.Name, Error: d.say, Open: o.again()}
	}
	return turned
}

// grave returns what a text says that changes what is safe for a verb.
func (p *parser) grave(verb *Verb) (all []value) {
	for _, it := range p.items {
		switch {
		case it.kind != phraseItem:
		case it.phrase.denies:
			return nil // it's not heated
		case it.phrase.choiceFor(verb) != nil && it.phrase.choiceFor(verb).of.Grave:
			c := it.phrase.choiceFor(verb)
			all = put(all, value{input: c.of, Set: c})
		}
	}
	return all
}

// gravely answers the question before with what changes what is safe, in a text
// of which the rest is not understood: tendons in the slab, it's an EI 30.
func (q *Questions) gravely(before *question, grave []value, f *parser, text string, o *Open, door *Door) *Answer {
	a := q.changed(before, &question{reading: reading{Values: grave}}, text, o, door)
	if a.OK() && f.numbers > 0 {
		return &Answer{Asked: text, Verb: before.Verb.Name, Open: o.again(), Error: say.F("what are the numbers in that? say each beside its name, as in %s", before.Verb.Exact)}
	}
	return a
}

// changed answers the question before with other values.
func (q *Questions) changed(before, by *question, text string, o *Open, door *Door) *Answer {
	no := func(why say.Text) *Answer {
		return &Answer{Asked: text, Verb: before.Verb.Name, Error: why, Open: o.again()}
	}
	if len(by.unnamed) > 1 && !by.sized { // all of it may be meant anew: nothing goes on from the old
		return &Answer{Asked: text, Verb: before.Verb.Name, Error: say.F("what are the numbers in that? ask the whole anew, as %s", before.Verb.Exact)}
	}
	if len(by.unnamed) > 0 && !by.sized {
		n := by.Values[slices.IndexFunc(by.Values, func(v value) bool { return v.Num != nil })].Num.Raw
		return no(say.F("%s: what is it? say its name beside it, as in %s thick", n, n))
	}
	if len(by.leftOut) > 0 {
		return no(say.F("%s takes no %s", before.Verb.Name, by.leftOut[0]))
	}
	values := slices.Clone(before.Values)
	if o.Unit == toldInInches || slices.ContainsFunc(by.Values, func(v value) bool { return v.Num != nil && v.Num.InInches() }) {
		values = measured(values)
	}
	for _, v := range by.Values {
		if v.Num != nil && v.Num.Signed && !v.input.Signed && v.input.Kind != WarmthKind {
			return no(say.F("%s %s: is that a change, or the value? say the value that holds now", v.input.Said(), v.Num.Raw))
		}
		if (v.Num == nil && v.Set == nil || v.input.Each || v.input.Kind == ListKind) && before.get(v.input) != nil {
			return no(say.F("what of the %s stays? ask the whole anew, as %s", v.input.Said(), before.Verb.Exact))
		}
		if i := slices.IndexFunc(before.Values, func(old value) bool { return slices.Contains(v.input.Parts, old.input) }); i >= 0 {
			return no(say.F("you gave the %s apart: does the %s now hold for both? ask the whole anew, as %s", before.Values[i].input.Said(), v.input.Said(), before.Verb.Exact))
		}
		values = put(values, v)
	}
	values, came, notes, d := q.afresh(values, by, o, door)
	if d != nil {
		return d
	}
	a := q.anew(before.Verb, values, request{text: text, unit: o.Unit, came: came, said: text}, o, door)
	a.Read, a.changes, a.unusual = slices.Concat(by.notes, notes, a.Read), true, by.unusual()
	return a
}

// afresh works out anew, for what is changed by a text, the values that came of
// questions before: a plate asked of the gap of a leaf 48 thick has another when
// that is 44. Where one can't be, its answer says why.
func (q *Questions) afresh(values []value, by *question, o *Open, door *Door) (_ []value, came map[string]*Open, notes []say.Text, no *Answer) {
	for _, name := range slices.Sorted(maps.Keys(o.Came)) {
		of, in := o.Came[name], q.named[name]
		if in == nil || by.get(in) != nil {
			continue // it is given now
		}
		came = with(came, name, of)
		if of == nil {
			notes = append(notes, say.F("%s still as in the answer before", in.Said()))
			continue
		}
		before, d := (&parser{of: q, inch: door != nil && door.Inches}).parse(of.Text, q.Verb(of.Verb))
		if d != nil {
			continue
		}
		part := *by
		part.leftOut, part.unnamed, part.notes = nil, nil, nil
		part.Values = slices.DeleteFunc(slices.Clone(by.Values), func(v value) bool { return v.input.Shifts || !before.Verb.takes(v.input) })
		if len(part.Values) == 0 {
			continue
		}
		a := q.changed(before, &part, of.Text, of, door)
		i := slices.IndexFunc(a.gives, func(v value) bool { return v.input == in })
		if a.OK() && i < 0 {
			a = &Answer{Asked: o.Text, Verb: by.Verb.Name, Error: say.F("there is no one %s any more: ask the whole anew, as %s", in.Said(), by.Verb.Exact), Open: o.again()}
		}
		if !a.OK() {
			return nil, nil, nil, a
		}
		values, came[name] = put(values, a.gives[i]), a.Last()
		notes = append(notes, say.F("%s now %s", in.Said(), a.gives[i].Num.Raw))
	}
	return values, came, notes, nil
}

// with returns came with another.
func with(came map[string]*Open, name string, of *Open) map[string]*Open {
	all := map[string]*Open{}
	maps.Copy(all, came)
	all[name] = of
	return all
}

// asked is the question that was asked.
func (q *Questions) asked(o *Open) request {
	return request{text: o.Text, only: q.Verb(o.Verb), unit: o.Unit, came: o.Came}
}

// put puts a value in place of the one before, and takes out what belonged to
// that: the size of a chamfer that is now square, the side of an offset that
// now has a sign.
func put(values []value, v value) []value {
	chosen := ""
	for _, o := range values {
		if o.input == v.input && o.Set != nil {
			chosen = o.Set.Value
		}
	}
	values = slices.DeleteFunc(values, func(o value) bool {
		if v.Num != nil {
			return o.Set != nil && o.Set.counts() == v.input && v.Num.Signed
		}
		return slices.ContainsFunc(v.input.Choices, func(c Choice) bool { return c.counts() == o.input && c.Value == chosen })
	})
	if i := slices.IndexFunc(values, func(o value) bool { return o.input == v.input }); i >= 0 {
		values[i] = v
		return values
	}
	return append(values, v)
}

// measured says of every length without a unit that it is in mm, as it was
// read.
func measured(values []value) []value {
	mm := func(in *Input, n *lex.Number) *lex.Number {
		if n == nil || n.Unit != lex.Bare || n.Length == 0 || in.Kind != LengthKind && in.Kind != ListKind {
			return n
		}
		c := *n
		c.Raw += " mm"
		return &c
	}
	all := slices.Clone(values)
	for i := range all {
		v := &all[i]
		v.Num, v.more = mm(v.input, v.Num), slices.Clone(v.more)
		for k := range v.more {
			v.more[k] = mm(v.input, v.more[k])
		}
	}
	return all
}

// turned answers another question of the values of the one before, and of what
// came of that; nil if the text asks none.
func (q *Questions) turned(before *question, rest, text string, o *Open, door *Door) *Answer {
	p := &parser{of: q}
	by, d := p.parse(rest, nil)
	if d != nil || by.at < 0 || by.Verb == before.Verb || len(by.notes)+len(by.ignored) > 0 {
		return nil
	}
	values := slices.Clone(by.Values)
	for _, v := range before.Values {
		if by.Verb.takes(v.input) && !v.input.Shifts && !v.input.Each && v.input.Kind != ListKind && by.get(v.input) == nil {
			values = append(values, v)
		}
	}
	values, came, notes := q.came(values, by.Verb, o, door)
	a := q.anew(by.Verb, values, request{text: text, unit: o.Unit, came: came}, o, door)
	a.Read = append(notes, a.Read...)
	a.Talk = !strings.Contains(text, "?")
	return a
}

// came adds to the values what came of the question before, as the gap to a plate.
// A door's own goes before it, unless the answer was of another leaf: where gap 54
// 60 gave 8 mm, its plate has these 8 and not the door's 9.
func (q *Questions) came(values []value, verb *Verb, o *Open, door *Door) (_ []value, came map[string]*Open, notes []say.Text) {
	for name, of := range o.Came {
		if slices.ContainsFunc(values, func(v value) bool { return v.input.Name == name }) {
			came = with(came, name, of)
		}
	}
	a := q.ask(q.asked(o), door)
	other := slices.ContainsFunc(a.Inputs, func(g Given) bool { return !g.Own.IsZero() })
	for _, v := range a.gives {
		own := door != nil && door.Values[v.input.Name].From != "" && !(other && v.input.Name == "gap")
		if own || !verb.takes(v.input) || slices.ContainsFunc(values, func(o value) bool { return o.input == v.input }) {
			continue
		}
		values, came = append(values, v), with(came, v.input.Name, a.Last())
		notes = append(notes, say.F("%s %s from the answer before", v.input.Said(), v.Num.Raw))
	}
	return values, came, notes
}

// anew asks a question of values, as text, for what somebody said. It is asked
// about where it would not be read as just these.
func (q *Questions) anew(verb *Verb, values []value, by request, o *Open, door *Door) *Answer {
	chosen := func(v value) bool { return v.Set != nil }
	numbers, choices := slices.DeleteFunc(slices.Clone(values), chosen), slices.DeleteFunc(slices.Clone(values), func(v value) bool { return !chosen(v) })
	whole := reading{Verb: verb, Values: append(numbers, choices...)} // gap heel square: no gap at the heel
	as := request{text: whole.exact(), unit: by.unit, came: by.came, said: by.said}
	p := &parser{of: q, inch: door != nil && door.Inches}
	if got, d := p.parse(as.text, nil); d == nil && !got.equal(&whole) {
		return &Answer{Asked: by.text, Verb: verb.Name, Error: say.F("I can't put that together: ask the whole anew, as %s", verb.Exact), Open: o.again()}
	}
	return q.ask(as, door)
}

// equal reports whether two readings give the same, whatever they were read
// from.
func (r *reading) equal(o *reading) bool {
	number := func(a, b *lex.Number) bool {
		return (a == nil) == (b == nil) && (a == nil || a.Length == b.Length && a.Tolerance == b.Tolerance && (a.Length != 0 || a.Plain == b.Plain))
	}
	if r.Verb != o.Verb || len(r.Values) != len(o.Values) {
		return false
	}
	for i := range r.Values {
		a := &r.Values[i]
		b := o.get(a.input)
		if b == nil || !number(a.Num, b.Num) || !slices.EqualFunc(a.more, b.more, number) || !slices.EqualFunc(a.count, b.count, number) ||
			(a.Set == nil) != (b.Set == nil) || a.Set != nil && a.Set.Value != b.Set.Value {
			return false
		}
	}
	return true
}
