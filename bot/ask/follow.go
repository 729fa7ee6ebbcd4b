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
// thick", or "44 thick" alone, changes a value of it, "in inches" its unit, "and
// the plate?", or "plate", asks another question of the same values. They name
// what they change (a number alone: bare.go), and the whole question is asked anew
// as text, in which their own words stand, so that nothing is read in two ways and
// what a first message is refused for they are too.

// asides are what people say before they say otherwise: it goes on from nothing.
var asides = regexp.MustCompile(`^(?i)\s*(?:(?:oh|ah|eh|hang on|hold on|wrong|correction|my mistake)\b[\s,:.…!-]*)+`)

// leadIn is how a text goes on from what was said before.
var leadIn = regexp.MustCompile(`^(?i)\s*(?:(?:oh|ah|hm+|hang on|hold on|ok|okay|so|and|or|but|now|then|nope|sorry|oops|actually|wait|(?:the )?same|again|what if|what about|how about|what with|` +
	`i mean|i meant|make (?:it|that)|try|with|for|if|at|using|no(?:,|\s+(?:it'?s|that'?s|the|i)\b|\s+\d\S*))[\s,:.…-]*(?:\b|$))+`)

// instead ends a text that takes the place of what was said before, or goes on
// from it: plate for it.
var instead = regexp.MustCompile(`(?i)[\s,]+(?:instead|rather|too|as well|for (?:it|that|this|the same)(?: one)?|(?:on|for) the (?:next|other) (?:one|door|leaf))[\s.!?]*$`)

// valueLead is a way to go on behind which values stand, and no question.
var valueLead = regexp.MustCompile(`(?i)\b(?:with|if|try|using|make (?:it|that))\b`)

// changeTo is an order to change a value: change the setback to 70.
var changeTo = regexp.MustCompile(`^(?i)\s*(?:change|switch|alter|set|put|make) ((?:the )?[a-z ]+?) to (\S.*)$`)

// halfStep wants results to the half millimetre.
var halfStep = regexp.MustCompile(`(?i)\bto (?:the )?(?:nearest )?half(?: a)? (?:mm|mil|millimet(?:re|er))\b`)

// lessBy tells what a value has lost, and not what it is.
var lessBy = regexp.MustCompile(`(?i)\b(?:gone|lost|missing|worn)\b`)

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
func ledOff(text string) (rest string, goesOn bool) {
	cut := asides.ReplaceAllString(instead.ReplaceAllString(text, ""), "")
	marked, end := len(cut) < len(asides.ReplaceAllString(text, "")), 0
	if at := leadIn.FindStringIndex(cut); at != nil {
		end = at[1]
	}
	if d := strings.IndexAny(cut[:end], "0123456789"); d >= 0 {
		end = d // no 44 thick
	}
	return cut[end:], marked || end > 0
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
	c.Again, c.Bare, c.Need, c.Offers, c.Labels = true, "", nil, nil, nil
	return &c
}

// follow answers a text that comes after an answered question: as it stands,
// where it is whole by itself, or as what goes on from that question.
func (q *Questions) follow(text string, o *Open, door *Door) *Answer {
	old := q.asked(o)
	verb := old.only
	if before, d := (&parser{of: q, inch: door != nil && door.Inches}).parse(old.text, verb); d == nil {
		verb = before.Verb
	}
	if offer := q.picked(text, o, verb); offer != "" && o.Bare == "" {
		return q.Ask(offer, door)
	} else if offer != "" {
		text = offer
	}
	fresh := q.Ask(text, door)
	marked := Follows(text) || o.Again
	if a := q.twice(fresh, text, verb, marked, o); a != nil {
		return a
	}
	if !marked && (fresh.OK() || !door.away() && (fresh.Verb != "" || fresh.Open != nil)) {
		return fresh
	}
	a := q.followed(text, o, fresh, marked, door)
	switch {
	case a == nil, fresh.OK() && (door.away() || !a.OK()), !Follows(text) && a.reads == nil && a.Open != nil && a.Open.Bare == "" && (fresh.Verb != "" || fresh.Open != nil):
		return fresh
	case fresh.OK() && a.changes && a.reads != nil && !fresh.sameAsked(a):
		return whichReading(text, o, a, text)
	case !marked && a.OK() && a.changes && a.reads != nil && q.elsewhere(fresh, verb):
		return whichReading(text, o, a, fresh.Open.Offers...)
	}
	a.Followed = true
	return a
}

// whichReading asks whether a text changes the question before, or is one of
// others.
func whichReading(text string, o *Open, a *Answer, others ...string) *Answer {
	open := o.again()
	open.Offers = append([]string{a.reads.exact()}, others...)
	texts := make([]say.Text, len(open.Offers))
	for i, offer := range open.Offers {
		texts[i] = say.F("(%s) %s", i+1, offer)
	}
	return &Answer{Asked: text, Open: open, Error: say.F("that can be read as %s; send the one you mean, or its number", say.Join(", or as ", texts...))}
}

// elsewhere reports whether a text of several values is whole as another question
// than the one before, and as that one is not: thick 46 gap 9, after a plate.
func (q *Questions) elsewhere(fresh *Answer, before *Verb) bool {
	if fresh.Open == nil || fresh.numbers < 2 {
		return false
	}
	return len(fresh.Open.Offers) > 0 && !slices.ContainsFunc(fresh.Open.Offers, func(offer string) bool {
		of, d := (&parser{of: q}).parse(offer, nil)
		return d == nil && of.Verb == before
	})
}

// twice asks about a text that would be a question of its own, but whose verb is
// a value's name to the question before: after clear 1200 50 65, "and with gap 9
// and 11" gives two values for one gap. Nil if there is no such doubt.
func (q *Questions) twice(fresh *Answer, text string, before *Verb, marked bool, o *Open) *Answer {
	if before == nil || !fresh.OK() || fresh.asks || fresh.by == nil || fresh.reads == nil || len(fresh.More) > 0 || len(fresh.reads.unnamed) < 2 {
		return nil
	}
	in, bare := fresh.by.inputFor(before), fresh.reads.unnamed
	parted := bare[len(bare)-1]-bare[0] >= len(bare)
	if in == nil || !parted && !(marked && valueLead.MatchString(leadIn.FindString(text))) {
		return nil
	}
	open, exact := o.again(), fresh.reads.exact()
	open.Offers = []string{exact}
	return &Answer{Asked: text, Verb: before.Name, Open: open, Error: say.F("are those two values for the %s? say one of them; for a question of its own send (1) %s, or its number", in.Said(), exact)}
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
func (q *Questions) followed(text string, o *Open, fresh *Answer, marked bool, door *Door) *Answer {
	plain, old := plainly(text), q.asked(o)
	p := &parser{of: q, inch: door != nil && door.Inches}
	before, d := p.parse(old.text, old.only)
	if named, _ := q.match(lex.Lex(plain, nil)); (whys[plain] || plain == "cautions") && (d != nil || named == nil || named.choiceFor(before.Verb) == nil) {
		a := q.ask(old, door)
		a.Whole, a.Warns, a.Talk = true, plain == "cautions", true
		return a
	}
	if d != nil {
		return q.lotsWith(old, text, o, door)
	}
	if m := unitOnly.FindStringSubmatch(plain); m != nil {
		unit := toldInMM
		if strings.HasPrefix(m[1], "in") {
			unit = toldInInches
		}
		return q.anew(before.Verb, measured(before.Values), request{text: text, unit: unit, came: o.Came}, o, door)
	}
	rest := q.told(text)
	f := &parser{of: q}
	by, d := f.parse(rest, before.Verb)
	if d == nil {
		by.sized = len(by.unnamed) > 0 && f.sized(&by.reading)
	}
	if grave := f.grave(before.Verb); len(grave) > 0 && (d != nil || len(by.unnamed)+len(by.notes) > 0) {
		return q.gravely(before, grave, f, text, o, door)
	}
	if d != nil || len(by.byUnit) == 0 {
		if a := q.bare(f, before, text, marked, o, door); a != nil && (marked || door.away()) {
			return a
		}
	}
	stated := marked || door.away() && !fresh.asks && before.stays(by, d)
	if d == nil && len(by.Values) > 0 && len(by.leftOut) == 0 && stated {
		a := q.changed(before, by, rest, text, o, door)
		a.Talk, a.Whole = a.Talk || !marked, whys[plain] // clear's rules are a choice
		return a
	}
	if a := q.turned(before, rest, text, marked, o, door); a != nil && (marked && (a.OK() || f.numbers == 0) || a.OK() && door.away()) {
		a.Talk = a.Talk || !marked
		return a
	}
	about := marked || door.away() && fresh.Verb == "" && fresh.Open == nil && f.names(before.Verb) && (d != nil || len(by.leftOut) == 0)
	switch {
	case !about, f.numbers == 0, d != nil && d.say.IsZero():
		return nil
	case d == nil && len(by.Values) > 0:
		return q.changed(before, by, rest, text, o, door)
	case d == nil:
		return nil
	}
	return &Answer{Asked: text, Verb: before.Verb.Name, Error: d.say, Open: o.again()}
}

// names reports whether a text names something that a verb takes.
func (p *parser) names(verb *Verb) bool {
	return slices.ContainsFunc(p.items, func(it item) bool { return it.phrase != nil && !it.phrase.filler && it.phrase.inputFor(verb) != nil })
}

// stays reports whether all that a text says are values for the question that it
// is read as one of: each with its name, or a unit that only one of those given
// before has, and none unusual.
func (q *question) stays(by *question, d *doubtful) bool {
	if d != nil || by.at >= 0 || len(by.unnamed)+len(by.notes) > 0 || by.unusual() {
		return false
	}
	named := len(by.Values) - len(by.byUnit)
	return named == len(by.Values) || !slices.ContainsFunc(by.Values, func(v value) bool { return named == 0 && q.get(v.input) == nil })
}

// told returns what a text says of values, without the words by which it goes on
// from the one before and those that only say that it is another one: 3 of "the
// template is only 3".
func (q *Questions) told(text string) string {
	rest, _ := ledOff(text)
	rest = halfStep.ReplaceAllString(changeTo.ReplaceAllString(rest, "$1 $2"), "step 0.5")
	tokens := q.tokens(rest, nil)
	for i := len(tokens) - 2; i >= 0; i-- {
		if (tokens[i].Word == "only" || tokens[i].Word == "just") && tokens[i+1].Kind == lex.NumberToken {
			rest = rest[:tokens[i].Start] + rest[tokens[i+1].Start:]
		}
	}
	return rest
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
	a := q.changed(before, &question{reading: reading{Values: grave}}, "", text, o, door)
	if a.OK() && f.numbers > 0 {
		return &Answer{Asked: text, Verb: before.Verb.Name, Open: o.again(), Error: say.F("what are the numbers in that? say each beside its name, as in %s", before.Verb.Exact)}
	}
	return a
}

// changed answers the question before with other values, in the words that were
// said of them: what a first message is refused for, or asked about, this is too.
func (q *Questions) changed(before, by *question, words, text string, o *Open, door *Door) *Answer {
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
	if lessBy.MatchString(words) {
		return no(say.F("%q: how much is it now? say that, as in %s", lessBy.FindString(words), before.Verb.Exact))
	}
	values := slices.Clone(before.Values)
	if o.Unit == toldInInches || slices.ContainsFunc(by.Values, func(v value) bool { return v.Num != nil && v.Num.InInches() }) {
		values = measured(values)
	}
	kept := slices.Clone(values)
	for _, v := range by.Values {
		if why := before.stands(&v); !why.IsZero() {
			return no(why)
		}
		values, kept = put(values, v), slices.DeleteFunc(put(kept, v), func(o value) bool { return o.input == v.input })
	}
	values, came, notes, d := q.afresh(values, by, o, door)
	if d != nil {
		return d
	}
	as := request{text: text, unit: o.Unit, came: came}
	if words != "" && len(notes) == 0 && !by.sized {
		as.kept, as.words = &reading{Verb: before.Verb, Values: kept}, words
	}
	a := q.anew(before.Verb, values, as, o, door)
	a.Read, a.changes = slices.Concat(notes, a.Read), true
	return a
}

// stands tells why a value can't take the place of what was said before.
func (q *question) stands(v *value) say.Text {
	old := q.get(v.input)
	switch {
	case (v.Num == nil && v.Set == nil || v.input.Each || v.input.Kind == ListKind) && old != nil:
		return say.F("what of the %s stays? ask the whole anew, as %s", v.input.Said(), q.Verb.Exact)
	case v.Num != nil && v.Num.Signed && !v.input.Signed && v.input.Kind != WarmthKind:
		return say.F("%s: is that the %s now, or by how much it is another? say what it is now, without a sign", v.Num.Raw, v.input.Said())
	}
	if i := slices.IndexFunc(q.Values, func(old value) bool { return slices.Contains(v.input.Parts, old.input) }); i >= 0 {
		return say.F("you gave the %s apart: does the %s now hold for both? ask the whole anew, as %s", q.Values[i].input.Said(), v.input.Said(), q.Verb.Exact)
	}
	return say.Text{}
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
		a := q.changed(before, &part, "", of.Text, of, door)
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
// came of that; nil if the text asks none. Where it has another value for one of
// them, all that came of it comes anew, and only a text that is marked may.
func (q *Questions) turned(before *question, rest, text string, marked bool, o *Open, door *Door) *Answer {
	rest, same := q.thatName(rest)
	p := &parser{of: q, inch: door != nil && door.Inches}
	by, d := p.parse(rest, nil)
	if d != nil || by.at < 0 && !p.whether() || by.Verb == before.Verb || len(by.notes)+len(by.ignored)+len(by.unnamed)+len(by.byUnit) > 0 || by.unusual() {
		return nil
	}
	part := question{reading: reading{Verb: before.Verb}}
	for _, v := range by.Values {
		if old := before.get(v.input); old != nil && !v.input.Shifts && (old.Num == nil || v.Num == nil || old.Num.Length != v.Num.Length || old.Num.Plain != v.Num.Plain) {
			part.Values = append(part.Values, v)
		}
	}
	if len(part.Values) > 0 {
		a := q.changed(before, &part, "", text, o, door)
		if !marked || !a.OK() {
			return nil
		}
		o = a.Last()
		before, _ = p.parse(o.Text, q.Verb(o.Verb))
	}
	values := slices.Clone(by.Values)
	for _, v := range before.Values {
		if by.Verb.takes(v.input) && !v.input.Shifts && !v.input.Each && v.input.Kind != ListKind && by.get(v.input) == nil {
			values = append(values, v)
		}
	}
	values, came, notes := q.came(values, by.Verb, o, door)
	for _, in := range same {
		if !slices.ContainsFunc(values, func(v value) bool { return v.input == in }) {
			return nil
		}
	}
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
// about where it would not be read as just these. The words in which some of them
// were said stand in it as they are, so that all that a first message is asked
// about for its words is asked about here.
func (q *Questions) anew(verb *Verb, values []value, by request, o *Open, door *Door) *Answer {
	whole := ordered(verb, values)
	as := request{text: whole.exact(), unit: by.unit, came: by.came, said: by.text}
	read := func(text string, only *Verb) (*question, *doubtful) {
		return (&parser{of: q, inch: door != nil && door.Inches}).parse(text, only)
	}
	if by.words != "" {
		kept := ordered(verb, by.kept.Values)
		said := kept.exact() + ", " + by.words
		switch got, d := read(said, verb); {
		case d == nil && got.equal(&whole):
			as.text, as.only = said, verb
		case d != nil:
			return &Answer{Asked: by.text, Verb: verb.Name, Error: d.say, Open: o.again()}
		}
	}
	if got, d := read(as.text, as.only); d == nil && !got.equal(&whole) {
		return &Answer{Asked: by.text, Verb: verb.Name, Error: say.F("I can't put that together: ask the whole anew, as %s", verb.Exact), Open: o.again()}
	}
	return q.ask(as, door)
}

// ordered returns values as a reading of which the text can be read: a choice
// behind the numbers, as in gap heel square there is no gap at the heel.
func ordered(verb *Verb, values []value) reading {
	chosen := func(v value) bool { return v.Set != nil }
	numbers, choices := slices.DeleteFunc(slices.Clone(values), chosen), slices.DeleteFunc(slices.Clone(values), func(v value) bool { return !chosen(v) })
	return reading{Verb: verb, Values: append(numbers, choices...)}
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
