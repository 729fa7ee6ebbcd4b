package ask

import (
	"cmp"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// A question may be of several lots of what is alike in each: glue 3 doors 2 holes
// …, 2 doors 4 holes …. It is read lot by lot, each with what stands before the
// first; or, where the number closes its lot, as in 2 holes … for 3 doors, 4 holes
// … for 2 doors, from one to the next.

// lots reads a text that is no question by itself as several lots; nil if it has
// none, and a doubt if it has and one of them is not understood.
func (p *parser) lots(text string, only *Verb) ([]*question, *doubtful) {
	verb := cmp.Or(only, p.of.VerbIn(text))
	if verb == nil || verb.Lots == nil {
		return nil, nil
	}
	text = lex.Tidied(text)
	var from, to []int
	tokens := p.of.tokens(text, only)
	for i := 0; i+1 < len(tokens); i++ {
		ph, size := p.of.match(tokens[i+1:])
		if tokens[i].Kind == lex.NumberToken && ph != nil && ph.inputFor(verb) == verb.Lots {
			from, to = append(from, tokens[i].Start), append(to, tokens[i+size].End)
		}
	}
	if len(from) < 2 {
		return nil, nil
	}
	opened, closed := make([]lot, len(from)), make([]lot, len(from))
	for i, at := range from {
		opened[i] = lot{text[:from[0]], text[at:append(from, len(text))[i+1]]}
		if closed[i] = (lot{"", text[:to[i]]}); i > 0 {
			closed[i] = lot{verb.typed() + " ", text[to[i-1]:to[i]]}
		}
		if i == len(to)-1 {
			closed[i].said += text[to[i]:]
		}
	}
	all, no := p.each(opened, only)
	if no != nil {
		// Where numbers stand before the first, each closes its lot.
		if others, wrong := p.each(closed, only); wrong == nil || p.of.hasNumber(text[:from[0]]) {
			all, no = others, wrong
		}
	}
	if no == nil {
		no = verb.share(all)
	}
	if no != nil {
		return nil, &doubtful{say: no.say, verb: verb} // what is offered would be one lot
	}
	return all, nil
}

// ofLots answers a question of several lots.
func (p *parser) ofLots(r request, lots []*question) *Answer {
	verb := lots[0].Verb
	a := &Answer{Asked: r.text, asked: r, Verb: verb.Name, inches: lots[0].Inches}
	a.leads, a.asks = p.leads(-1)
	k := &Inquiry{Q: lots[0], A: a}
	for _, l := range lots {
		for _, note := range l.notes {
			if !slices.ContainsFunc(a.Read, func(t say.Text) bool { return t.String() == note.String() }) {
				a.Read = append(a.Read, note)
			}
		}
		k.Lots = append(k.Lots, &Inquiry{Q: l, A: a})
		if k.Lots[len(k.Lots)-1].nought() {
			return a
		}
	}
	verb.Answer(k)
	for i := len(a.Inputs) - 1; i >= 0; i-- { // what is assumed of each lot alike is told once
		of := a.Inputs[i]
		if of.From == Assumed && slices.ContainsFunc(a.Inputs[:i], func(g Given) bool {
			return g.Name == of.Name && g.From == Assumed && g.Shown.String() == of.Shown.String()
		}) {
			a.Inputs = slices.Delete(a.Inputs, i, i+1)
		}
	}
	a.Assumed = slices.CompactFunc(a.Assumed, func(s, t say.Text) bool { return s.String() == t.String() })
	return a
}

// lot is what was said of one lot, and what is asked of it.
type lot struct{ asks, said string }

// each reads what was said of each lot.
func (p *parser) each(lots []lot, verb *Verb) (all []*question, no *doubtful) {
	for _, l := range lots {
		text := strings.TrimRight(l.said, " \t\n,;+&")
		for _, word := range joins {
			text = strings.TrimSuffix(text, " "+word)
		}
		text = strings.TrimLeft(text, " \t\n,;+&")
		for _, word := range joins {
			text = strings.TrimPrefix(text, word+" ")
		}
		lot, d := (&parser{of: p.of, inch: p.inch}).parse(l.asks+text, verb)
		if d != nil {
			return nil, doubt("in %q: %s", strings.TrimSpace(text), d.say)
		}
		if lot.get(lot.Verb.Lots) == nil || len(lot.leftOut) > 0 {
			return nil, doubt("how many are there of each? say it with their number, as in %s", lot.Verb.Exact)
		}
		if len(all) > 0 && lot.Inches != all[0].Inches {
			return nil, doubt("some lengths are in inches and others have no unit: say it at each, in inches or mm")
		}
		all = append(all, lot)
	}
	return all, nil
}

// share gives every lot the values that hold for all of them, as what a cartridge
// holds, wherever they stand.
func (v *Verb) share(lots []*question) *doubtful {
	for _, in := range v.Shared {
		var of value
		for _, l := range lots {
			w := l.get(in)
			if w == nil {
				continue
			}
			if of.Num != nil && w.Num.Plain != of.Num.Plain {
				return doubt("there are two values for %s: %s and %s", in.Said(), of.text(), w.text())
			}
			of = *w
		}
		for _, l := range lots {
			if of.Num != nil {
				l.Values = put(l.Values, of)
			}
		}
	}
	return nil
}

// lotsWith answers a question of several lots with another value of what holds for all
// of them: and with 300 ml cartridges. Nil if the question before was of none.
func (q *Questions) lotsWith(old request, text string, o *Open, door *Door) *Answer {
	lots, _ := (&parser{of: q, inch: door != nil && door.Inches}).lots(old.text, old.only)
	if len(lots) == 0 {
		return nil
	}
	verb := lots[0].Verb
	by, d := (&parser{of: q}).parse(q.told(text), verb)
	if d != nil || len(by.Values) == 0 || len(by.leftOut)+len(by.unnamed) > 0 {
		return nil
	}
	all := reading{Verb: verb, Values: by.Values}
	for _, v := range by.Values {
		if !slices.Contains(verb.Shared, v.input) {
			return &Answer{Asked: text, Verb: verb.Name, Open: o.again(), Error: say.F("of which lot is the %s? ask the whole anew, as %s", v.input.Said(), verb.Exact)}
		}
	}
	old.text += ", " + strings.TrimPrefix(all.exact(), verb.typed()+" ")
	a := q.ask(old, door)
	a.Asked, a.changes = text, true
	return a
}
