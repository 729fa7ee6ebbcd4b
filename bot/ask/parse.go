package ask

import (
	"slices"
	"strings"
	"unicode/utf8"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// Limits of a message. More than this is not a question.
const (
	maxText    = 4000 // characters
	maxNumbers = 24
	maxVerbs   = 6
)

// question is a text understood: one reading of it.
type question struct {
	reading
	Inches bool       // lengths are answered in inches
	notes  []say.Text // what was corrected or left out
}

// doubtful is a text that was not understood.
type doubtful struct {
	say      say.Text // what was not, and what to do about it
	verb     *Verb    // whose question it is, if that much is clear
	offers   []string // the readings it has
	from, to int      // the part of the text that an answer can replace; 0, 0 for none
}

func doubt(key string, args ...any) *doubtful { return &doubtful{say: say.F(key, args...)} }

// parser holds what one text was cut into.
type parser struct {
	of      *Questions
	text    string
	tokens  []lex.Token
	items   []item
	verbs   []int // items that are verbs
	notes   []say.Text
	numbers int
	boxed   bool // three numbers are joined
	inch    bool // it is asked of a door that is told in inches
	reader  reader
}

// parse understands a text as a question, of the one verb if that is given,
// or says what it doesn't understand.
func (p *parser) parse(text string, only *Verb) (*question, *doubtful) {
	if len(text) > maxText && utf8.RuneCountInString(text) > maxText {
		return nil, doubt("that is more than %s characters, I have not read it; ask one question at a time", maxText)
	}
	p.text = text
	p.tokens = lex.Quantities(text, lex.Lex(text, make([]lex.Token, 0, 12)))
	p.spell(only)
	p.collect()
	if d := p.strangers(); d != nil {
		return nil, d
	}
	q, d := p.choose(only)
	if d != nil {
		return nil, d
	}
	if d := p.doubts(q); d != nil {
		d.verb = q.Verb
		return nil, d
	}
	q.notes = p.notes
	for _, i := range q.ignored {
		q.notes = append(q.notes, say.F("%s left out", p.items[i].phrase.text))
	}
	return q, nil
}

// shareUnits gives sizes of leaf and opening that are joined by x the unit
// behind the last. Of other numbers one without a unit beside inches is asked
// about.
func (p *parser) shareUnits(found []reading) {
	for i := 0; i < len(p.items); {
		end := i + 1
		for end < len(p.items) && p.items[end].joined {
			end++
		}
		if end > i+1 {
			p.shareUnit(p.items[i:end], found)
		}
		i = end
	}
}

func (p *parser) shareUnit(items []item, found []reading) {
	joined := make([]*lex.Number, len(items))
	for i := range items {
		joined[i] = items[i].num
	}
	if !slices.ContainsFunc(found, func(r reading) bool { return !r.sizes(joined) }) {
		lex.ShareUnit(joined)
	}
}

// spell corrects words that are not known. Short words are only corrected to
// a verb, and only if the text has none.
func (p *parser) spell(only *Verb) {
	hasVerb := only != nil
	for i := range p.tokens {
		t := &p.tokens[i]
		if t.Kind == lex.WordToken && !p.of.known[t.Word] {
			p.correct(t, false)
		}
		hasVerb = hasVerb || t.Kind == lex.WordToken && p.of.asks[t.Word]
	}
	for i := range p.tokens {
		t := &p.tokens[i]
		if hasVerb {
			return
		}
		if t.Kind == lex.WordToken && !p.of.known[t.Word] {
			p.correct(t, true)
			hasVerb = p.of.asks[t.Word]
		}
	}
}

func (p *parser) correct(t *lex.Token, verbs bool) {
	if w := p.of.correct(t.Word, verbs); w != "" {
		p.notes = append(p.notes, say.F("%s as %s", t.Word, w))
		t.Word = w
	}
}

// collect turns the tokens into items.
func (p *parser) collect() {
	asked := false
	for i := 0; i < len(p.tokens); {
		t := &p.tokens[i]
		it := item{from: t.Start, to: t.End}
		size := 1
		switch t.Kind {
		case lex.NumberToken:
			it.kind, it.num = numberItem, &t.Num
			p.numbers++
			it.ofDoor = p.ofDoor(i)
			it.joined = i > 0 && p.tokens[i-1].Mark == 'x' && len(p.items) > 0 && p.items[len(p.items)-1].kind == numberItem
			p.boxed = p.boxed || it.joined && p.items[len(p.items)-1].joined
		case lex.MarkToken:
			if !p.mark(i, &it) {
				i++
				continue
			}
		case lex.WordToken:
			it.phrase, size = p.of.match(p.tokens[i:])
			if it.phrase == nil || p.ranges(i, size) {
				size = 1
				it.kind, it.unknown, it.phrase = unknownItem, t.Word, nil
				break
			}
			it.to = p.tokens[i+size-1].End
			if it.phrase.filler {
				asked = asked || it.phrase.asking
				i += size
				continue
			}
			if it.phrase.parts {
				it.kind = breakItem
			}
			if it.phrase.verb != nil {
				it.asked = asked
				p.verbs = append(p.verbs, len(p.items))
			}
		}
		asked = false
		p.items = append(p.items, it)
		i += size
	}
}

// ofDoor reports whether the number at token i is a door's: a 44 door, a door
// 44, but not the 65 of a 44 door 65.
func (p *parser) ofDoor(i int) bool {
	if i+1 < len(p.tokens) && slices.Contains([]string{"door", "doors", "leaf"}, p.tokens[i+1].Word) {
		return true
	}
	return i > 0 && p.tokens[i-1].Word == "door" && (i == 1 || p.tokens[i-2].Kind != lex.NumberToken)
}

// ranges reports whether the word at token i stands between two numbers and
// parts what may be a range or a choice: 44 to 50, 44 or 50.
func (p *parser) ranges(i, size int) bool {
	between := i > 0 && i+1 < len(p.tokens) && p.tokens[i-1].Kind == lex.NumberToken && p.tokens[i+1].Kind == lex.NumberToken
	return between && size == 1 && (p.tokens[i].Word == "to" || p.tokens[i].Word == "from")
}

// mark makes an item of the mark at token i; false if it makes none.
func (p *parser) mark(i int, it *item) bool {
	last := len(p.items) - 1
	switch p.tokens[i].Mark {
	case '=', ':':
		// "gap: 54 60" asks, "gap, setback: 60" names.
		if last >= 0 && p.items[last].kind == phraseItem && !(last == 0 && p.items[0].phrase.verb != nil && p.tokens[i].Mark == ':') {
			p.items[last].forced = true
			return false
		}
		it.kind = breakItem
	case 'x':
		return false
	case '?':
		between := i > 0 && i+1 < len(p.tokens) && p.tokens[i-1].Kind == lex.NumberToken && p.tokens[i+1].Kind == lex.NumberToken
		it.kind = breakItem
		sign, _ := lex.SignAt(p.text, p.tokens[i].Start) // a sign apart from its number
		before := i+1 < len(p.tokens) && p.tokens[i+1].Kind == lex.NumberToken
		c := p.text[p.tokens[i].Start]
		if between || before && (sign < 0 || c == ',' || c == '.') || c >= utf8.RuneSelf {
			it.kind, it.unknown = unknownItem, p.text[p.tokens[i].Start:p.tokens[i].End]
		}
	default:
		it.kind = breakItem
	}
	return true
}

// strangers asks about what stands beside a number and is not known, and
// notes what stands elsewhere.
func (p *parser) strangers() *doubtful {
	if p.numbers > maxNumbers {
		return doubt("that is %s numbers, more than any question takes; ask one question at a time", p.numbers)
	}
	if len(p.verbs) > maxVerbs {
		return doubt("that looks like several questions; ask one at a time")
	}
	r := &p.reader
	r.items = p.items
	for i := range p.items {
		it := &p.items[i]
		if it.kind == phraseItem && it.phrase.denies {
			return doubt("%q: say what is so, I can't work with what is not", it.phrase.text)
		}
		if it.kind != unknownItem {
			continue
		}
		var d *doubtful
		switch {
		case strings.ContainsAny(it.unknown, "0123456789"):
			d = doubt("I don't know %q; is it a number?", it.unknown)
		case r.beside(i):
			d = doubt("I don't know %q beside %s; say it in another word, or leave it out", it.unknown, p.near(i))
		default:
			p.notes = append(p.notes, say.F("%s left out", it.unknown))
			continue
		}
		d.from, d.to = it.from, it.to
		return d
	}
	return nil
}

// near returns the number beside item i.
func (p *parser) near(i int) string {
	if i+1 < len(p.items) && p.items[i+1].kind == numberItem {
		return p.items[i+1].num.Raw
	}
	return p.items[i-1].num.Raw
}

// choose tries every reading and returns the only one.
func (p *parser) choose(only *Verb) (*question, *doubtful) {
	p.reader.owner = make([]*Input, len(p.items))
	tries := p.candidates(only)
	found, wrong := p.try(nil, tries, only, allBefore, allAfter)
	whole := slices.ContainsFunc(found, func(r reading) bool { return r.whole() })
	found, _ = p.try(found, tries, only, eachBefore)
	for s := eachOwn; !whole && s < eachOwn+1<<maxMixed; s++ {
		found, _ = p.try(found, tries, only, s)
	}
	if len(found) > 1 {
		found = keepWhole(found)
	}
	p.shareUnits(found)
	switch {
	case len(found) == 1:
		if d := p.ownValue(&found[0]); d != nil {
			return nil, d
		}
		return &question{reading: found[0]}, nil
	case len(found) > 1:
		return nil, p.several(found)
	case len(tries) == 0:
		return nil, p.noVerb()
	}
	d := &doubtful{verb: only}
	if only == nil {
		d.verb = p.items[tries[0]].phrase.verb
	}
	d.say = say.F("%s; help %s tells what it takes", wrong.say, d.verb.Name)
	return nil, d
}

// ownValue asks about a number beside the verb, in the midst of a text, that
// may be a value of what the verb asks for: thick 65 gap 9 may give a gap, and
// ask for the setback.
func (p *parser) ownValue(r *reading) *doubtful {
	numbered := func(it item) bool { return it.kind == numberItem }
	if r.at < 1 || p.items[r.at].asked || len(p.items[r.at].phrase.inputs) == 0 || !slices.ContainsFunc(p.items[:r.at], numbered) {
		return nil
	}
	after, before := slices.Contains(r.unnamed, r.at+1), slices.Contains(r.unnamed, r.at-1)
	if !after && !before {
		return nil
	}
	list, possible := []reading{*r}, false
	for _, verb := range p.of.verbs {
		others, _ := p.try(nil, []int{-1}, verb, allBefore, allAfter)
		for j := range others {
			if o := &others[j]; o.Verb != r.Verb && len(o.unnamed) == 0 {
				possible = true
				if o.complete() {
					list = append(list, *o)
				}
			}
		}
	}
	switch {
	case len(list) > 1:
		return p.several(list)
	case !possible && !after:
		return nil
	}
	if after {
		return p.itself(r, r.at+1)
	}
	return p.itself(r, r.at-1)
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

// candidates returns the items that may be the verb: the one asked for, the
// first if that can be nothing else, or all that are not given a value.
func (p *parser) candidates(only *Verb) []int {
	if only != nil {
		return []int{-1}
	}
	for n, i := range p.verbs {
		if p.items[i].asked || n == 0 && (i == 0 && len(p.items[i].phrase.inputs) == 0 || p.items[i].phrase.onlyVerb()) {
			return p.verbs[n : n+1]
		}
	}
	kept := p.verbs[:0]
	for _, i := range p.verbs {
		if !p.given(i) && !p.repeats(kept, i) {
			kept = append(kept, i)
		}
	}
	return kept
}

// given reports whether item i is a name that is given a value, as gap=9.
func (p *parser) given(i int) bool {
	return p.items[i].forced && i+1 < len(p.items) && p.items[i+1].kind == numberItem
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
		d.offers = append(d.offers, list[i].exact())
		texts[i] = say.F("(%s) %s", i+1, d.offers[i])
	}
	d.say = say.F("that can be read as %s; send the one you mean, or its number", say.Join(", or as ", texts...))
	return d
}

// noVerb says that there is no question in the text.
func (p *parser) noVerb() *doubtful {
	if p.numbers == 0 {
		return doubt("I don't see a question in that; help lists what I can answer")
	}
	for i := range p.items {
		if p.given(i) && p.items[i].phrase.verb != nil {
			return doubt("%s=%s gives a value and asks nothing; begin with one of %s", p.items[i].phrase.text, p.items[i+1].num.Raw, p.of.Names())
		}
	}
	return doubt("I see numbers but no question; begin with one of %s", p.of.Names())
}

// doubts asks about the first number that can't be taken as it stands.
func (p *parser) doubts(q *question) *doubtful {
	q.Inches = p.inch
	for i := range p.items {
		q.Inches = q.Inches || p.items[i].num != nil && p.items[i].num.InInches()
	}
	for _, ask := range [...]func(*question, int, *lex.Number) say.Text{p.inDoubt, p.doubt} {
		for i := range p.items {
			n := p.items[i].num
			if n == nil {
				continue
			}
			if say := ask(q, i, n); !say.IsZero() {
				return &doubtful{say: say, from: n.Start, to: n.End}
			}
		}
	}
	return nil
}

// inDoubt returns what to ask about the number at item i if it was typed
// with "in" and may be millimetres in from the edge: after "pivoted", or
// beside a number that is not in inches.
func (p *parser) inDoubt(q *question, i int, n *lex.Number) say.Text {
	if n.Doubt != lex.WordIn || !p.besideMetric(q, i) {
		return say.Text{}
	}
	figure := strings.TrimSpace(n.Raw[:len(n.Raw)-len("in")])
	return say.F("%s: %s inches, or %s mm in from the edge? reply with %s inches or %s mm", n.Raw, figure, figure, figure, figure)
}

// doubt returns what else to ask about the number at item i.
func (p *parser) doubt(q *question, _ int, n *lex.Number) say.Text {
	switch n.Doubt {
	case lex.Separator:
		figure, unit := n.Raw, ""
		if end := strings.IndexFunc(n.Raw, func(r rune) bool { return !strings.ContainsRune("0123456789.,", r) }); end >= 0 {
			figure, unit = n.Raw[:end], n.Raw[end:]
		}
		whole, decimals, _ := strings.Cut(strings.Replace(figure, ",", ".", 1), ".")
		small := strings.TrimRight(decimals, "0")
		if len(small) == 3 {
			small += "0" // four decimals can be nothing else
		}
		return say.F("%s: is that %s%s or %s%s%s? reply with the one you mean", n.Raw, strings.TrimSuffix(whole+"."+small, "."), unit, whole, decimals, unit)
	case lex.Fraction:
		return say.F("%s of what? reply with the unit, as in %s in", n.Raw, n.Raw)
	case lex.OddFraction:
		return say.F("%s is no fraction of an inch on a tape; use halves to sixty-fourths, or decimals", n.Raw)
	case lex.Unreadable:
		return say.F("I can't read the number %s", n.Raw)
	case lex.Quoted:
		return say.F("%s: is the mark behind it inches or feet, or a quotation mark? reply with the number and its unit", n.Raw)
	}
	if n.Toleranced && !slices.Contains(q.Verb.Tolerant, q.inputOf(n)) {
		return say.F("%s: tolerances are worked for %s", n.Raw, p.of.tolerant())
	}
	if q.Inches && n.Unit == lex.Bare && q.isLength(n) {
		return say.F("%s stands beside inches: is it inches or mm? reply with the number and its unit", n.Raw)
	}
	return say.Text{}
}

// tolerant tells which questions take tolerances, and on what.
func (q *Questions) tolerant() say.Text {
	var all []say.Text
	for _, v := range q.verbs {
		if n := len(v.Tolerant); n > 0 {
			all = append(all, say.F("the %s only, on %s and %s", say.Name(v.Name), said(v.Tolerant[:n-1]), v.Tolerant[n-1].Said()))
		}
	}
	return say.List(all...)
}

// besideMetric reports whether the number at item i stands after "pivoted" or
// with a number that is not in inches.
func (p *parser) besideMetric(q *question, i int) bool {
	if i > 0 && p.items[i-1].kind == phraseItem && p.items[i-1].phrase.inward {
		return true
	}
	for j := range p.items {
		if n := p.items[j].num; n != nil && j != i && !n.InInches() && LengthKind.takes(n.Unit) && q.isLength(n) {
			return true
		}
	}
	return false
}

// nothing is the input of a number that is for none.
var nothing = &Input{}

// inputOf returns the input that a number is for.
func (r *reading) inputOf(n *lex.Number) *Input {
	for i := range r.Values {
		if r.Values[i].Num == n {
			return r.Values[i].input
		}
	}
	return nothing
}

// sizes reports whether numbers are all sizes of a leaf or an opening.
func (r *reading) sizes(numbers []*lex.Number) bool {
	return !slices.ContainsFunc(numbers, func(n *lex.Number) bool { return r.inputOf(n).Size == NoSize })
}

// isLength reports whether a number is for a length.
func (q *question) isLength(n *lex.Number) bool {
	for i := range q.Values {
		if q.Values[i].Num == n {
			return q.Values[i].input.Kind == LengthKind
		}
	}
	return true
}

// Named returns the value given for an input, nil if there is none.
func (q *question) Named(in *Input) *value { return q.get(in) }

// correct returns the one word of the vocabulary that a misspelt word is
// nearest to, "" if there is none or more than one. Words of five letters or
// more may have one slip, from eight letters two; a verb may have one from
// three letters, if verbs is set. A slip is a letter too many, missing,
// wrong, or two letters changed about.
//
// Only names and verbs are corrected to, and only from words with the same
// first letter: a filler changes nothing, and a choice taken from a slip
// would change the answer without a number to show for it. Common words of
// English are no slips, and a digit never is one: it may be part of a number.
func (v *vocabulary) correct(word string, verbs bool) string {
	dictionary, slips := v.names, lex.SlipsIn(word)
	if slips == 0 && len(word) >= 3 && verbs {
		slips, dictionary = 1, v.asks
	}
	if slips == 0 || lex.PlainWords[word] {
		return ""
	}
	return lex.NearestOf(word, dictionary, slips, func(w string) bool { return w[0] == word[0] || verbs })
}
