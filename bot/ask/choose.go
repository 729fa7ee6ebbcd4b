package ask

import (
	"slices"
	"strings"
	"unicode"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// choose returns the one reading of the text. A reading has each number beside
// its own name, or in the run of bare numbers right behind the verb.
func (p *parser) choose(only *Verb) (*question, *doubtful) {
	p.reader.items, p.reader.source, p.reader.owner = p.items, p.text, make([]*Input, len(p.items))
	if only == nil {
		if r := p.inverse(true); r != nil {
			return &question{reading: *r}, nil
		}
	}
	tries := p.candidates(only)
	each := []sides{allBefore, allAfter, eachBefore}
	if !slices.ContainsFunc(p.items, func(it item) bool { return it.kind == phraseItem && it.phrase.place == numberBefore }) {
		each = each[:2] // no name that mostly stands after
	}
	found, wrong := p.try(nil, tries, only, each...)
	if len(found) == 0 {
		for s := eachOwn; s < eachOwn+1<<maxMixed; s++ {
			var why complaint
			if found, why = p.try(found, tries, only, s); s == eachOwn && wrong.weight == noNumber && why.weight != fits {
				wrong = why // a name that lacks its number on either side
			}
		}
		found = slices.DeleteFunc(found, func(r reading) bool { return len(r.unnamed) > 0 && !p.sized(&r) })
	}
	if len(found) > 1 {
		found = p.best(keepWhole(found))
	}
	p.shareUnits(found)
	switch {
	case only == nil && p.severalAsked(tries):
		return nil, severalQuestions()
	case len(found) == 1 && only == nil && p.statesFacts(&found[0]):
		d := p.wanted()
		if len(d.offers) == 0 && p.taken(&found[0]) { // gap 60 setback 54: no such gap
			d = p.several(p.loosely(&found[0]))
		}
		return nil, d
	case len(found) == 1 && p.pair(&found[0]) != nil:
		n := p.pair(&found[0])
		return nil, &doubtful{say: say.F("%s: is that one number, or two? say it in figures", n.Raw), verb: found[0].Verb, from: n.Start, to: n.End}
	case len(found) == 1 && only == nil && p.wished(&found[0]) != nil:
		return nil, p.several(append(found, p.wished(&found[0])...))
	case len(found) == 1 && only == nil && p.taken(&found[0]):
		return nil, p.several(p.loosely(&found[0]))
	case len(found) == 1 && only == nil && found[0].unusual() && p.turnedRound(&found[0]):
		return nil, p.itself(&found[0], found[0].at+1)
	case len(found) == 1 && only == nil && found[0].unusual():
		if others := p.otherwise(false); len(others) > 0 {
			return nil, p.several(append(found, others...))
		}
		fallthrough
	case len(found) == 1:
		return &question{reading: found[0]}, nil
	case len(found) > 1:
		return nil, p.several(found)
	}
	if only == nil {
		if r := p.inverse(false); r != nil {
			return &question{reading: *r}, nil
		}
		if r := p.byFacts(); r != nil {
			return &question{reading: *r}, nil
		}
		if d := p.wanted(); len(d.offers) > 0 || len(tries) == 0 {
			return nil, d
		}
	}
	if only == nil && p.asksTwice() {
		return nil, severalQuestions()
	}
	d := &doubtful{verb: only}
	if only == nil {
		d.verb = p.items[tries[0]].phrase.verb
	}
	if d.say = say.F("%s; help %s tells what it takes", wrong.say, d.verb.Name); wrong.num != nil {
		d.from, d.to = wrong.num.Start, wrong.num.End
	}
	return nil, d
}

func severalQuestions() *doubtful {
	return doubt("that looks like several questions; ask one at a time, each with its own numbers")
}

// asksTwice reports whether two verbs of the text are no names, or stand without
// a number or in front of a run of them.
func (p *parser) asksTwice() bool {
	var asked []*Verb
	for _, i := range p.verbs {
		if ph := p.items[i].phrase; !ph.thing && (!p.named(i) || !p.hasNumber(i) || p.runs(i)) && !slices.Contains(asked, ph.verb) {
			asked = append(asked, ph.verb)
		}
	}
	return len(asked) > 1
}

// sized reports whether all numbers of a reading that have no name are joined by
// x right behind its verb.
func (p *parser) sized(r *reading) bool {
	for k, n := range r.unnamed {
		if n != r.at+1+k || k > 0 && !p.items[n].joined {
			return false
		}
	}
	return len(r.unnamed) > 1
}

// severalAsked reports whether more than one of the items that may be the verb
// can be nothing else, or stands without a number.
func (p *parser) severalAsked(tries []int) bool {
	n := 0
	for _, i := range tries {
		ph := p.items[i].phrase
		if !ph.thing && (!p.named(i) || !p.hasNumber(i) && i > 0) {
			n++
		}
	}
	return n > 1
}

// best returns the readings that are meant before the others: those in which
// every number has its own name, all on one side; else the one with two or more
// bare numbers right behind the verb.
func (p *parser) best(list []reading) []reading {
	named := slices.DeleteFunc(slices.Clone(list), func(r reading) bool { return len(r.unnamed) > 0 })
	if len(named) == 1 {
		return named
	}
	runs := slices.DeleteFunc(slices.Clone(list), func(r reading) bool { return len(r.unnamed) < 2 })
	if len(named) == 0 && len(runs) == 1 {
		return runs
	}
	return list
}

// statesFacts reports whether a reading only gives values: its verb is a name
// as well, and has one number right behind it, as in setback 60, 54 thick.
func (p *parser) statesFacts(r *reading) bool {
	if r.at < 0 || p.of.named[r.Verb.Name] == nil || p.items[r.at].asked {
		return false
	}
	if at := p.items[r.at]; !at.phrase.names() && len(r.unnamed) == 1 && r.unnamed[0] > r.at && strings.ContainsFunc(p.text[at.to:p.items[r.unnamed[0]].from], unicode.IsLetter) {
		return false // smallest setback I can get away with on a 60 leaf, gap 9
	}
	if len(r.unnamed) == 1 && p.items[r.unnamed[0]].clause {
		return false // gap size with a 50 door
	}
	return len(r.unnamed) == 1 && r.unnamed[0] == r.at+1 && p.numbers > 1
}

// pair returns the only bare number of a reading if it was spoken as tens and
// ones, and could be two: sixty eight.
func (p *parser) pair(r *reading) *lex.Number {
	if len(r.unnamed) != 1 || len(r.Verb.Order) < 2 || !p.items[r.unnamed[0]].num.Pair {
		return nil
	}
	return p.items[r.unnamed[0]].num
}

// taken reports whether the one bare number of a reading can as well be the
// next name's: gap 60 setback 54.
func (p *parser) taken(r *reading) bool {
	if len(r.unnamed) != 1 {
		return false
	}
	next := r.unnamed[0] + 1
	if next >= len(p.items) || p.items[next].kind != phraseItem || p.items[next].forced {
		return false
	}
	if first := p.items[next-1].num; next > 1 && r.at == next-2 && r.inputOf(first) == p.items[r.at].phrase.inputFor(r.Verb) {
		return false // key reaches 230 setback 280
	}
	in := p.items[next].phrase.inputFor(r.Verb)
	return in != nil && p.items[next].phrase.place != numberAfter && in.Kind.takes(p.items[r.unnamed[0]].num.Unit)
}

// loosely returns a reading and those in which its numbers stand otherwise, for
// somebody to choose from.
func (p *parser) loosely(r *reading) []reading {
	list := []reading{*r}
	p.reader.loose = true
	list, _ = p.try(list, []int{r.at}, r.Verb, allBefore, allAfter)
	p.reader.loose = false
	return list
}

// unusual reports whether a value is more than is usual for it.
func (r *reading) unusual() bool {
	for i := range r.Values {
		v := &r.Values[i]
		if v.Num != nil && v.input.Usual != 0 && v.Num.Length > v.input.Usual {
			return true
		}
	}
	return false
}

// turnedRound reports whether the number right behind the verb of a reading was
// taken for the name behind it, and may be what is asked for: plate centre 78
// setback 70 gap tells the centre, and the setback.
func (p *parser) turnedRound(r *reading) bool {
	return r.at >= 0 && p.valued(r.at) && r.inputOf(p.items[r.at+1].num) != nothing && !slices.Contains(r.unnamed, r.at+1) && p.items[r.at].phrase.leads == nil
}

// wanted asks what is wanted, and offers the questions that the values serve.
func (p *parser) wanted() *doubtful {
	list := p.otherwise(false)
	if len(list) == 0 || p.numbers == 0 {
		return p.noVerb()
	}
	d := p.several(list)
	if d.say, d.verb = say.F("what is wanted? %s", d.say), nil; len(list) == 1 {
		d.say = say.F("what is wanted? is it (1) %s? say yes, or ask anew", d.offers[0])
	}
	return d
}

// lone asks about the only number of a question in a door's thread, where the
// door gives what it would be taken for: gap 9 may tell the gap.
func (p *parser) lone(q *question, door map[string]Value) *doubtful {
	if p.numbers != 1 || len(q.unnamed) != 1 || q.at < 0 || p.items[q.at].asked || p.of.named[q.Verb.Name] == nil {
		return nil
	}
	n := q.unnamed[0]
	if _, ok := door[q.inputOf(p.items[n].num).Name]; !ok {
		return nil
	}
	return p.itself(&q.reading, n)
}

// itself asks whether the number at item n is what the verb of a reading asks
// for, and offers the reading.
func (p *parser) itself(r *reading, n int) *doubtful {
	verb, exact := p.items[r.at].phrase.text, r.exact()
	d := doubt("%s stands beside %s: is it the %s itself? if not, send (1) %s, or its number", p.items[n].num.Raw, verb, verb, exact)
	d.offers = []string{exact}
	return d
}

// candidates returns the items that may be the verb: those that are asked for,
// else all that are given no value. What everybody talks of is the verb only
// where nothing else is.
func (p *parser) candidates(only *Verb) []int {
	var all, asked []int
	for _, i := range p.verbs {
		switch phrase := p.items[i].phrase; {
		case only != nil && phrase.verb != only, p.given(i) && phrase.leads == nil, p.valued(i) && !p.items[i].asked && (p.items[i].wish || p.items[i+1].wish) && (phrase.thing || !p.ownName(i+2)):
		case p.items[i].asked:
			asked = append(asked, i)
		default:
			all = append(all, i)
		}
	}
	if only != nil {
		return append(append(asked, all...), -1)[:1]
	}
	// The mark at the end asks by a name that has its number only where nothing else asks: leaf for 8 top and 9 gap?
	last := len(asked) - 1
	if last >= 0 && p.items[asked[last]].marked && asked[last] > 0 && p.items[asked[last]-1].kind == numberItem &&
		(last > 0 || slices.ContainsFunc(all, func(i int) bool { return i < asked[0] && !p.named(i) })) {
		all, asked = append(all, asked[last]), asked[:last]
	}
	if len(asked) == 1 && p.items[asked[0]].marked && p.items[asked[0]].phrase.thing && slices.ContainsFunc(all, func(i int) bool {
		return i < asked[0] && !p.items[i].phrase.thing && !slices.ContainsFunc(p.items[i:asked[0]], func(it item) bool { return it.kind == numberItem })
	}) {
		all, asked = append(all, asked[0]), nil // weight of a steel leaf?
	}
	if others := slices.DeleteFunc(slices.Clone(asked), func(i int) bool { return p.items[i].phrase.thing }); len(others) > 0 {
		asked = others // what size leaf: what gap
	}
	ofThing := !slices.ContainsFunc(asked, func(i int) bool { return !p.items[i].phrase.thing })
	if ofThing && p.whether() && slices.ContainsFunc(all, func(i int) bool { return !p.items[i].phrase.thing && !p.items[i].phrase.names() }) {
		asked = nil // will a leaf of 1100 x 2400 x 54 stand up under a ceiling of 2400
	}
	if len(asked) > 0 {
		return p.distinct(asked)
	}
	if p.asksInput() {
		return nil
	}
	// A name that has a number is a value where something else can be the verb.
	if others := slices.DeleteFunc(slices.Clone(all), func(i int) bool { return i > 0 && p.named(i) && p.hasNumber(i) }); len(others) > 0 {
		if runs := slices.DeleteFunc(slices.Clone(all), func(i int) bool { return !p.runs(i) }); len(runs) > 0 && !slices.ContainsFunc(others, func(i int) bool { return !p.items[i].phrase.thing }) {
			others = append(others, runs...) // FD30 leaf, gap 44 65
		}
		all = others
	}
	if others := slices.DeleteFunc(slices.Clone(all), func(i int) bool { return p.items[i].phrase.thing }); len(others) > 0 && len(others) < len(all) {
		all = slices.DeleteFunc(all, func(i int) bool { return p.items[i].phrase.thing && (i > 0 || p.items[i].from > 0) })
	}
	return p.distinct(all)
}

// distinct leaves out the items of verbs that stand before.
func (p *parser) distinct(items []int) []int {
	kept := items[:0]
	for _, i := range items {
		if !p.repeats(kept, i) {
			kept = append(kept, i)
		}
	}
	return kept
}

// asksInput reports whether a quantity is asked for that no question answers,
// as what opening.
func (p *parser) asksInput() bool {
	for i, it := range p.items {
		if it.kind != phraseItem || !it.asking || it.phrase.verb != nil || len(it.phrase.inputs) == 0 || it.phrase.place != eitherSide || it.phrase.each() {
			continue // what does an oak door weigh
		}
		if what := it.what && !p.given(i) && (i == 0 || p.items[i-1].kind != numberItem); what || !p.hasNumber(i) {
			return true
		}
	}
	return false
}

// named reports whether the verb at item i is also a name to another verb of the
// text, or to most: plate is one to glue, and none to gap.
func (p *parser) named(i int) bool {
	ph := p.items[i].phrase
	return slices.ContainsFunc(ph.inputs, func(n named) bool {
		return !n.claims && (n.verb == nil || slices.ContainsFunc(p.verbs, func(j int) bool { return p.items[j].phrase.verb == n.verb }))
	})
}

// hasNumber reports whether a number stands right before or behind item i.
func (p *parser) hasNumber(i int) bool {
	return p.valued(i) || i > 0 && p.items[i-1].kind == numberItem && !p.items[i].parts
}

// runs reports whether two bare numbers stand right behind item i.
func (p *parser) runs(i int) bool {
	return p.valued(i) && i+2 < len(p.items) && p.items[i+2].kind == numberItem && !p.items[i+2].joined
}

// valued reports whether a number stands right behind item i.
func (p *parser) valued(i int) bool {
	return i+1 < len(p.items) && p.items[i+1].kind == numberItem
}

// ownName reports whether item i is a name that stands behind its number: in need the
// gap quick 44 thick, no gap of 44 is wished for.
func (p *parser) ownName(i int) bool {
	return i < len(p.items) && p.items[i].kind == phraseItem && p.items[i].phrase.place == numberBefore && len(p.items[i].phrase.inputs) > 0
}

// given reports whether item i is a name that is given a value, as gap=9 or the
// gap is 9.
func (p *parser) given(i int) bool {
	return p.valued(i) && (p.items[i].forced || p.items[i+1].is && !p.items[i].what && !strings.HasPrefix(p.items[i].phrase.text, "how "))
}

// repeats reports whether the verb at item i is the verb of an item before.
func (p *parser) repeats(before []int, i int) bool {
	return slices.ContainsFunc(before, func(j int) bool { return p.items[j].phrase.verb == p.items[i].phrase.verb })
}

// try adds to found the readings with a verb at one of the items and names on
// the given sides that are not in it, and returns what tells most of why
// others are none.
func (p *parser) try(found []reading, tries []int, only *Verb, each ...sides) (_ []reading, wrong complaint) {
	for _, at := range tries {
		verb := only
		if verb == nil {
			verb = p.items[at].phrase.verb
		}
		for _, s := range each {
			// A leaf is width x height x thickness; any numbers are in order.
			for _, p.reader.line = range [...]bool{false, true} {
				got := p.reader.read(verb, at, s)
				switch {
				case got.wrong.weight == fits && !contains(found, got):
					found = append(found, got.clone())
				case got.wrong.weight > wrong.weight:
					wrong = got.wrong
				}
				if verb.Box == nil || !p.boxed {
					break
				}
			}
		}
	}
	return found, wrong
}

func contains(list []reading, r *reading) bool {
	for i := range list {
		if list[i].same(r) {
			return true
		}
	}
	return false
}

// keepWhole drops the readings that leave a choice without its number, unless
// that leaves none. Nothing is dropped for its value: a slip of the pen in the
// reading that was meant would leave another, and that would be answered.
func keepWhole(list []reading) []reading {
	var kept []reading
	for i := range list {
		if list[i].whole() {
			kept = append(kept, list[i])
		}
	}
	if len(kept) == 0 {
		return list
	}
	return kept
}

// several asks which of the readings is meant.
func (p *parser) several(list []reading) *doubtful {
	d := &doubtful{}
	texts := make([]say.Text, len(list))
	for i := range list {
		d.offers, d.labels = append(d.offers, list[i].exact()), append(d.labels, list[i].few())
		texts[i] = say.F("(%s) %s", i+1, d.offers[i])
	}
	d.say = say.F("that can be read as %s; send the one you mean, or its number", say.Join(", or as ", texts...))
	if !slices.ContainsFunc(list, func(r reading) bool { return r.Verb != list[0].Verb }) {
		d.verb = list[0].Verb
	}
	return d
}

// noVerb says that there is no question in the text.
func (p *parser) noVerb() *doubtful {
	if p.numbers == 0 {
		return doubt("I don't see a question in that; help all lists what I can answer")
	}
	for i := range p.items {
		if p.items[i].phrase != nil && p.items[i].phrase.verb != nil && p.given(i) {
			return doubt("%s %s is a value and asks nothing: say what is wanted; help all lists what I can answer", p.items[i].phrase.text, p.items[i+1].num.Raw)
		}
	}
	return doubt("I see numbers but no question: say what is wanted; help all lists what I can answer")
}
