package ask

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// Resolve answers a text, as a reply to what was asked back if it is one, or as
// what goes on from what was answered.
func (q *Questions) Resolve(text string, o *Open, door *Door) *Answer {
	switch {
	case o == nil:
		return q.guarded(text, q.Ask(text, door))
	case o.Guarded != "":
		return q.guardedAfter(text, o, door)
	case o.Answered:
		return q.follow(text, o, door)
	}
	a := q.reply(text, o, door)
	if a.reads == nil && q.waitsOn(a, text, o) {
		a.Open = o
	}
	return a
}

// guarded keeps what a text that asks nothing says of what changes what is safe, for
// the question that comes next: fire door 54 thick.
func (q *Questions) guarded(text string, a *Answer) *Answer {
	if a.OK() || a.Open != nil || a.Verb != "" {
		return a
	}
	p := &parser{of: q}
	p.parse(text, nil)
	for _, it := range p.items {
		switch {
		case it.kind != phraseItem:
		case it.phrase.denies:
			return a
		case a.Open == nil && slices.ContainsFunc(it.phrase.choices, func(c *Choice) bool { return c.of.Grave && c.of.Kind == FlagKind }):
			a.Open = &Open{Text: text, Guarded: it.phrase.text}
		}
	}
	return a
}

// guardedAfter answers a text that comes after one that says what changes what is
// safe and asked nothing: the question is of such a door, unless it says otherwise.
func (q *Questions) guardedAfter(text string, o *Open, door *Door) *Answer {
	p := &parser{of: q}
	p.parse(text, nil)
	if slices.ContainsFunc(p.items, func(it item) bool { return it.kind == phraseItem && it.phrase.denies }) {
		return q.Ask(text, door)
	}
	a := q.Ask(text+", "+o.Guarded, door)
	if a.Open == nil && !a.OK() {
		a.Open = o
	}
	return a
}

// waitsOn reports whether a question waits on behind a reply that was not
// understood: about 60. It does not where that said what changes what is safe, or
// gave a number of which only the unit is asked.
func (q *Questions) waitsOn(a *Answer, text string, o *Open) bool {
	verb := q.Verb(o.Verb)
	if a.OK() || verb == nil || len(o.Need) == 0 || a.Verb != "" && a.Verb != o.Verb || a.Open != nil && (a.Open.To == a.Open.From || numbersOf(a.Open.Text[a.Open.From:a.Open.To]) == 1) {
		return false
	}
	f := &parser{of: q}
	f.parse(text, verb)
	return f.numbers > 0 && len(f.grave(verb)) == 0 && !q.strange(text)
}

// reply answers a text that may be a reply to a question that waits.
func (q *Questions) reply(text string, o *Open, door *Door) *Answer {
	fresh := q.Ask(text, door)
	if fresh.OK() {
		return fresh
	}
	n, ok := Ordinal(text)
	if len(o.Offers) == 1 && agrees[strings.Trim(strings.ToLower(text), " .!")] {
		n, ok = 1, true
	}
	if ok && len(o.Offers) > 0 {
		if n < 1 || n > len(o.Offers) {
			return &Answer{Asked: text, Error: whichOne(len(o.Offers)), Open: o}
		}
		return q.Ask(o.Offers[n-1], door)
	}
	if a := q.chosen(text, o, fresh, door); a != nil {
		return a
	}
	text = aside.ReplaceAllString(text, "$1 $2")
	if len(o.Need) > 0 && q.named[o.Need[0]].Kind == LengthKind {
		text = hedge.ReplaceAllString(text, "")
	}
	if a := q.replied(text, o, door); a != nil {
		return a
	}
	whole, ok := q.with(o, text)
	if !ok || len(o.Offers) > 0 || q.strange(text) {
		return fresh
	}
	if v := q.VerbIn(text); v != nil {
		// "setback 60" gives what was asked for, unless it leaves something open.
		if !slices.Contains(o.Need, v.Name) && !q.chooses(text, o.Need) {
			return fresh
		}
		if a := q.ask(request{text: whole, only: q.Verb(o.Verb), unit: o.Unit, came: o.Came}, door); a.OK() || a.Open != nil && len(a.Need) < len(o.Need) {
			return a
		}
		a := &Answer{Asked: text, Verb: o.Verb, Open: o}
		a.Error = say.F("is that the %s I asked for, or a new question? reply with the number alone, or ask %s", say.Name(v.Name), v.Exact)
		return a
	}
	a := q.ask(request{text: whole, only: q.Verb(o.Verb), unit: o.Unit, came: o.Came}, door)
	if !a.OK() && fresh.Open != nil && len(fresh.Open.Offers) > 0 && len(a.Need) == 0 {
		return fresh // it states facts of its own
	}
	if a.OK() || fresh.Verb == "" || a.Open != nil && fresh.Open == nil {
		return a
	}
	return fresh
}

// aside is a name that is asked back before its value: the setback? 60.
var aside = regexp.MustCompile(`^([^\d?]*[a-zA-Z]) *\?\s*(\S*\d.*)$`)

// hedge is what people put behind a length that they give: it is shown, and that
// it may be another changes nothing. A mass that is guessed counts more.
var hedge = regexp.MustCompile(`(?i)[\s,]+i (?:think|guess|believe|reckon)[\s.!]*$`)

// chosen answers which of the offered questions is meant, where a reply has a
// value of one of them alone: setback is 60, to (1) gap thickness=60 setback=54,
// or (2) gap setback=60 thickness=54. Nil if it is none, or of several.
func (q *Questions) chosen(text string, o *Open, fresh *Answer, door *Door) *Answer {
	if len(o.Offers) == 0 || fresh.asks {
		return nil
	}
	var meant []string
	for _, offer := range o.Offers {
		of, d := (&parser{of: q}).parse(offer, nil)
		if d != nil {
			continue
		}
		f := &parser{of: q}
		by, d := f.parse(text, of.Verb)
		if d != nil || f.numbers == 0 || len(by.unnamed)+len(by.byUnit)+len(by.notes) > 0 {
			continue
		}
		both := reading{Verb: of.Verb, Values: slices.Clone(of.Values)}
		for _, v := range by.Values {
			both.Values = put(both.Values, v)
		}
		if both.equal(&of.reading) {
			meant = append(meant, offer)
		}
	}
	if len(meant) != 1 {
		return nil
	}
	return q.Ask(meant[0], door)
}

// replied answers a reply that begins with the number that was asked for and says
// more than that: 60, one way. Nil if it is none.
func (q *Questions) replied(text string, o *Open, door *Door) *Answer {
	verb := q.Verb(o.Verb)
	if verb == nil || o.To > o.From || len(o.Offers) > 0 || len(o.Need) == 0 || q.named[o.Need[0]].isList() {
		return nil
	}
	tokens, named, more := q.tokens(text, verb), []int(nil), false
	for i := 0; i < len(tokens) && !more; {
		p, size := q.match(tokens[i:])
		switch {
		case tokens[i].Kind == lex.NumberToken && len(named) < len(o.Need):
			named = append(named, tokens[i].Start)
		case tokens[i].Kind == lex.NumberToken:
			more = true
		case tokens[i].Kind == lex.WordToken && !(p != nil && (p.filler && !p.careful || p.parts) && p.inputFor(verb) == nil):
			more = true
		}
		i += max(size, 1)
	}
	if len(named) == 0 || !more {
		return nil
	}
	whole := o.Text + ","
	for i, from := range named {
		to := len(text)
		if i+1 < len(named) {
			to = named[i+1]
		}
		whole += " " + o.Need[i] + " = " + text[from:to]
	}
	a := q.ask(request{text: whole, only: verb, unit: o.Unit, came: o.Came}, door)
	switch open := a.Open; {
	case a.reads != nil && len(a.reads.leftOut) == 0,
		a.reads == nil && open != nil && strings.EqualFold(open.Text[open.From:open.To], "or"): // 60 or 70
		return a
	}
	return nil
}
