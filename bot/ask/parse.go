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
	maxText    = 4000    // characters
	maxLog     = 100_000 // bytes, with the lines of a log
	maxNumbers = 24      // without those that only count others, as in 4x900

	mostCounted = 100 // with them
	maxVerbs    = 6
)

// question is a text understood: one reading of it.
type question struct {
	reading
	Inches bool       // lengths are answered in inches
	notes  []say.Text // what was corrected or left out

	text    string   // that it was read from
	leftOut []string // names that say nothing in it
	unsaid  []string // places that are fillers here: the head, the floor
	sized   bool     // its numbers without a name are joined by x
}

// doubtful is a text that was not understood.
type doubtful struct {
	say      say.Text   // what was not, and what to do about it
	verb     *Verb      // whose question it is, if that much is clear
	offers   []string   // the readings it has
	labels   []say.Text // the same as people say them
	from, to int        // the part of the text that an answer can replace; 0, 0 for none
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
	dropped []int // items that are left out, and not known to be harmless

	places    []string // fillers that are a place
	swallowed []int    // tokens of fillers that bear sense
	opens     []string // its words that ask, where the facts tell what
	numbers   int
	counts    int  // numbers that are joined to the one before
	boxed     bool // three numbers are joined
	only      *Verb
	inText    []*Verb // that it may ask
	logged    bool    // a log was taken out of it
	logF      bool    // with temperatures in °F
	inch      bool    // it is asked of a door that is told in inches
	reader    reader
}

// parse understands a text as a question, of the one verb if that is given,
// or says what it doesn't understand.
func (p *parser) parse(text string, only *Verb) (*question, *doubtful) {
	size := text
	if p.logged && len(text) <= maxLog {
		size = strings.Join(strings.Fields(text), " ") // its lines were taken out
	}
	if len(size) > maxText && utf8.RuneCountInString(size) > maxText {
		return nil, doubt("that is more than %s characters, I have not read it; ask one question at a time", maxText)
	}
	text = p.unlabelled(lex.Tidied(text))
	p.text, p.only = text, only
	p.tokens = p.of.tokens(text, only)
	p.inFrom()
	p.spell(only)
	p.items, p.verbs = make([]item, 0, len(p.tokens)), make([]int, 0, 4)
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
	q.notes, q.text, q.unsaid = p.notes, p.text, p.places
	for _, i := range q.ignored {
		q.leftOut = append(q.leftOut, p.items[i].phrase.text)
		q.notes = append(q.notes, say.F("%s left out", p.items[i].phrase.text))
	}
	return q, nil
}

// tokens cuts a text that asks the verb, or one of its own if that is nil.
func (q *Questions) tokens(text string, only *Verb) []lex.Token {
	return lex.Join(text, lex.Lex(text, make([]lex.Token, 0, 12)), q.Knows, func(tokens []lex.Token) bool {
		return only != nil && only.lists() || q.listed(tokens)
	})
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
	w, danger := p.of.correct(t.Word, verbs), p.of.danger(t.Word)
	if i := p.tokenBehind(t.Start); w == "" && (p.besideNumber(i, 1) || i+2 < len(p.tokens) && p.of.Filler(p.tokens[i+1:i+2]) > 0 && p.besideNumber(i, 2)) {
		w = p.of.misspelt(t.Word)
	}
	if danger != "" && lex.Distance(t.Word, danger) <= lex.Distance(t.Word, w) {
		return // it is asked about
	}
	if w != "" {
		p.notes = append(p.notes, say.F("%s as %s", t.Word, w))
		t.Word = w
	}
}

// collect turns the tokens into items.
func (p *parser) collect() {
	var before sense
	for i := 0; i < len(p.tokens); {
		t := &p.tokens[i]
		it := item{from: t.Start, to: t.End, sense: before}
		size := 1
		switch t.Kind {
		case lex.NumberToken:
			p.number(i, &it)
		case lex.MarkToken:
			if !p.mark(i, &it) {
				i++
				continue
			}
		case lex.WordToken:
			if p.counter(i) {
				i++
				continue
			}
			if t.Word == "do" && i > 0 && p.tokens[i-1].Kind == lex.NumberToken && (i+1 == len(p.tokens) || p.tokens[i+1].Kind == lex.MarkToken) && p.of.does != nil {
				it.phrase = p.of.does // does 8 do?
				p.verbs = append(p.verbs, len(p.items))
				it.asked = true
				break
			}
			if t.Word == "x" && p.betweenSizes(i) {
				it.kind = breakItem
				break
			}
			if it.phrase, size = p.of.match(p.tokens[i:]); it.phrase == nil {
				it.phrase, size = p.contracted(i)
			}
			if it.phrase == nil && millimetres[t.Word] && !p.inches() {
				i++
				continue // the unit of all that has none
			}
			if it.phrase == nil || it.phrase.careful && (p.plain(it.phrase) || it.phrase.hedges() && !p.hedged(it.phrase, i+size)) && p.besideNumber(i, size) {
				size = 1
				it.kind, it.unknown, it.phrase = unknownItem, t.Word, nil
				break
			}
			it.to = p.tokens[i+size-1].End
			it.ofThing = slices.ContainsFunc(p.tokens[i+size-1:min(i+size+1, len(p.tokens))], func(t lex.Token) bool { return slices.Contains(things, t.Word) })
			if ends := p.ends(it.phrase, i, size); ends != nil {
				it.phrase = ends
			}
			if it.phrase.filler && p.plain(it.phrase) {
				before = before.and(it.phrase)
				if last := len(p.items) - 1; it.phrase.wish && last > 0 && p.items[last].kind == numberItem && p.items[last-1].kind == phraseItem {
					p.items[last-1].wish = true // clear width 900 required
				}
				if it.phrase.open {
					p.opens = append(p.opens, it.phrase.text)
				}
				p.swallow(i, size)
				i += size
				continue
			}
			if it.phrase.denies {
				if next := p.denied(i, size, it); next > i {
					i = next
					continue
				}
			}
			if it.phrase.parts {
				it.kind = breakItem
			}
			if it.phrase.verb != nil {
				it.marked = p.endsAsking(i, size) && !before.asking && !it.phrase.asking
				it.asked = it.marked || before.asking || it.phrase.asking || p.first() < 0 && p.isFor(i+size)
				p.verbs = append(p.verbs, len(p.items))
			}
		}
		before = sense{wish: before.wish, asking: before.asking && it.kind == unknownItem, what: before.what && it.kind == unknownItem}
		p.items = append(p.items, it)
		i += size
	}
}

// number makes an item of the number at token i.
func (p *parser) number(i int, it *item) {
	it.kind, it.num = numberItem, &p.tokens[i].Num
	p.numbers++
	it.ofDoor = p.ofDoor(i)
	it.sized = i+1 < len(p.tokens) && (p.tokens[i+1].Word == "door" || p.tokens[i+1].Word == "leaf") || p.ofLeaf(i) || p.betweenSizes(i-1)
	it.joined = i > 0 && p.tokens[i-1].Mark == 'x' && len(p.items) > 0 && p.items[len(p.items)-1].kind == numberItem
	it.counted = it.joined || p.countOf(i)
	if it.joined {
		p.counts++
	}
	p.boxed = p.boxed || it.joined && p.items[len(p.items)-1].joined
}

// denied takes what stands behind the denial of size tokens at token i for what is
// corrected, none or left out; it returns where to go on, i if it is nothing.
func (p *parser) denied(i, size int, it item) int {
	if p.corrects(i, size) {
		p.notes = append(p.notes, say.F("%s left out", p.text[it.from:p.tokens[i+size].End]))
		return i + size + 1
	}
	if name, none := p.none(i + size); name != nil {
		p.items = append(p.items, item{from: it.from, to: none.num.End, phrase: name, forced: true}, none)
		return p.tokenBehind(none.num.End)
	}
	if flag, n := p.of.match(p.tokens[i+size:]); flag.isFlag() || flag.isList() && !p.besideNumber(i+size, n) {
		p.notes = append(p.notes, say.F("%s as said", p.text[it.from:p.tokens[i+size+n-1].End]))
		return i + size + n
	}
	return i
}

// inches reports whether a length of the text is in inches.
func (p *parser) inches() bool {
	return p.inch || slices.ContainsFunc(p.tokens, func(t lex.Token) bool { return t.Kind == lex.NumberToken && t.Num.InInches() })
}

// plain reports whether a phrase says nothing here: it is no verb, and no name
// but of a verb that does not stand before it, or for a word such as through not
// in the text.
func (p *parser) plain(ph *phrase) bool {
	return ph.verb == nil && len(ph.choices) == 0 && !slices.ContainsFunc(ph.inputs, func(n named) bool {
		return n.verb == nil || n.verb == p.only || slices.ContainsFunc(p.verbs, func(i int) bool { return p.items[i].phrase.verb == n.verb }) ||
			(ph.place != numberBefore || strings.Contains(ph.text, " ")) && slices.Contains(p.said(), n.verb) // 13 doors, glue
	})
}

// said returns the verbs that stand in the text, and where none but the word for a
// thing does, those that its words may ask for of facts alone.
func (p *parser) said() []*Verb {
	if p.inText != nil {
		return p.inText
	}
	p.inText = append(make([]*Verb, 0, 8), nil)
	asks, opens := false, ""
	for i := 0; i < len(p.tokens); {
		ph, size := p.of.match(p.tokens[i:])
		if i += max(size, 1); ph == nil {
			continue
		}
		if ph.verb != nil {
			p.inText = append(p.inText, ph.verb)
			asks = asks || !ph.thing
		}
		if ph.open {
			opens = ph.text
		}
	}
	for _, v := range p.of.verbs {
		if opens != "" && !asks && slices.Contains(v.AskedBy, opens) {
			p.inText = append(p.inText, v)
		}
	}
	return p.inText
}

// countOf reports whether the number before token i, a number, tells how many
// there are of it: 4 of 900, 4 tubes of 900, to a question that counts.
func (p *parser) countOf(i int) bool {
	last := i - 1
	if last > 0 && p.tokens[last].Kind == lex.WordToken {
		last--
	}
	if last < 0 || p.tokens[last].Kind != lex.NumberToken {
		return false
	}
	between := strings.TrimSpace(p.text[p.tokens[last].End:p.tokens[i].Start])
	if between == "" && strings.HasSuffix(p.tokens[i].Num.Raw, "s") && p.tokens[i].Num.Unit == lex.Seconds && p.tokens[last].Num.Counts() {
		return true // four 720s
	}
	return strings.EqualFold(between, "of") || slices.ContainsFunc(p.said()[1:], func(v *Verb) bool {
		return slices.ContainsFunc(v.Takes, func(in *Input) bool { return in.Counted })
	}) && slices.Contains(counters, strings.ToLower(strings.Join(strings.Fields(between), " ")))
}

// counter reports whether the word at token i only says that the number before
// counts what stands behind.
func (p *parser) counter(i int) bool {
	return i+1 < len(p.tokens) && p.tokens[i+1].Kind == lex.NumberToken && p.countOf(i+1)
}

// tokenBehind returns the first token that begins at or behind a place.
func (p *parser) tokenBehind(at int) int {
	for i := range p.tokens {
		if p.tokens[i].Start >= at {
			return i
		}
	}
	return len(p.tokens)
}

// sense is what the fillers right before an item say of it.
type sense struct {
	asking bool // what comes next is asked for
	what   bool // and by what or which
	is     bool // what comes next is a value: the gap is 8
	wish   bool // somewhere before, something is wished for
	parts  bool // a question begins there: my door is 44, how far from the edge
	clause bool // something else begins there: where do I need the pivot if I have a 6 mm gap
}

func (s sense) and(filler *phrase) sense {
	return sense{s.asking || filler.asking, s.what || filler.what, s.is || filler.is, s.wish || filler.wish, s.parts || filler.open || filler.what || telling[filler.text], (s.clause || clauses[filler.text]) && !filler.is}
}

// things are the words for what is hung, of which a material is said: an oak door.
var things = []string{"door", "doors", "leaf", "leaves", "panel"}

// telling are the words, beside those that ask, by which somebody begins to say what is
// wanted: 54 thick, set back 88, tell me the gap.
var telling = lex.WordSet("how tell give show find calculate advise confirm know")

// clauses are the words by which something else begins than what the name before says.
var clauses = lex.WordSet("if when because have i've we've they've for with")

// besideNumber reports whether a number stands right beside a phrase of so
// many tokens from token i on.
func (p *parser) besideNumber(i, size int) bool {
	return i > 0 && p.tokens[i-1].Kind == lex.NumberToken || i+size < len(p.tokens) && p.tokens[i+size].Kind == lex.NumberToken
}

// questionMark reports whether token i is a question mark.
func (p *parser) questionMark(i int) bool {
	return i < len(p.tokens) && p.tokens[i].Kind == lex.MarkToken && p.text[p.tokens[i].Start] == '?'
}

// endsAsking reports whether what stands behind the size tokens from i on only asks for
// them: a question mark, or please at the end of a sentence.
func (p *parser) endsAsking(i, size int) bool {
	end := i + size
	if end < len(p.tokens) && slices.Contains([]string{"please", "pls", "plz"}, p.tokens[end].Word) && !p.besideNumber(i, size) {
		return end+1 == len(p.tokens) || p.tokens[end+1].Kind == lex.MarkToken && p.tokens[end+1].Mark != '=' && p.tokens[end+1].Mark != ':'
	}
	return p.questionMark(end)
}

// ofDoor reports whether the number at token i is a door's: a 44 door, a door
// 44, but not the 65 of a 44 door 65.
func (p *parser) ofDoor(i int) bool {
	if i+1 < len(p.tokens) && slices.Contains([]string{"door", "doors", "leaf"}, p.tokens[i+1].Word) {
		return true
	}
	return i > 0 && p.tokens[i-1].Word == "door" && (i == 1 || p.tokens[i-2].Kind != lex.NumberToken)
}

// mark makes an item of the mark at token i; false if it makes none.
func (p *parser) mark(i int, it *item) bool {
	last := len(p.items) - 1
	before := i+1 < len(p.tokens) && p.tokens[i+1].Kind == lex.NumberToken
	between := before && i > 0 && p.tokens[i-1].Kind == lex.NumberToken
	it.kind = breakItem
	switch t := p.tokens[i]; t.Mark {
	case '=', ':':
		// "gap: 54 60" asks, "gap, setback: 60" names.
		if last >= 0 && before && p.items[last].kind == phraseItem && !(p.items[last].phrase.verb != nil && p.first() == last && t.Mark == ':' && (p.of.named[p.items[last].phrase.verb.Name] == nil || !p.facts(i))) {
			p.items[last].forced = true
			return false
		}
		it.colon = t.Mark == ':' && last >= 0
	case 'x':
		footnote := p.text[t.Start] == '*' && t.Start > 0 && p.text[t.Start-1] != ' ' && t.End < len(p.text) && p.text[t.End] == ' '
		if between && !footnote {
			return false
		}
		it.kind, it.unknown = unknownItem, p.text[t.Start:t.End]
	case '+':
		named := last >= 0 && p.items[last].kind == phraseItem && (p.items[last].phrase.each() || p.items[last].phrase.along) // 6 glass + 38 oak
		if !named && !between {                                                                                               // between numbers only a list has one left: 4x720 + 6x455
			it.kind, it.unknown = unknownItem, "+"
		}
	case '?':
		sign, _ := lex.SignAt(p.text, t.Start) // a sign apart from its number
		c := p.text[t.Start]
		if c == ';' && between || strings.HasPrefix(p.text[t.Start:], "— ") && !between || !between && p.dashes(i) {
			break
		}
		if between || before && (sign < 0 || c == ',' || c == '.') || c >= utf8.RuneSelf || lex.Touches(p.text, t) || strings.IndexByte("%#~$^<>", c) >= 0 && p.besideNumber(i, 1) {
			it.kind, it.unknown = unknownItem, p.text[t.Start:t.End]
		}
	case '\n':
		it.ends = true
	default:
		it.ends = strings.IndexByte(";?!", p.text[t.Start]) >= 0 && !(between && p.text[t.Start] == ';') // 44; 65; 1050
	}
	return true
}

// first returns the first name or number.
func (p *parser) first() int {
	return slices.IndexFunc(p.items, func(it item) bool { return it.kind == phraseItem || it.kind == numberItem })
}

// leads reports whether the text begins with the verb at an item, and whether it
// begins with a word that asks.
func (p *parser) leads(verb int) (leads, asks bool) {
	first := p.first()
	if first < 0 {
		return false, false
	}
	it := p.items[first]
	asks = it.asking || it.phrase != nil && it.phrase.asking
	return asks || first == verb, asks
}

// facts reports whether the number behind the mark at token i is the only one
// before the next break, so that a name with it is a value: gap: 12, setback:
// 95. In gap: 54 60 it asks.
func (p *parser) facts(i int) bool {
	j := i + 2
	return j < len(p.tokens) && (p.tokens[j].Mark == ',' || p.tokens[j].Mark == '\n' || p.tokens[j].Word == "and")
}

// strangers asks about what stands beside a number or a noun and is not known,
// and notes what stands elsewhere.
func (p *parser) strangers() *doubtful {
	if p.numbers-p.counts > maxNumbers || p.numbers > mostCounted {
		return doubt("that is %s numbers, more than any question takes; ask one question at a time", p.numbers)
	}
	if len(p.verbs) > maxVerbs {
		return severalQuestions()
	}
	r := &p.reader
	r.items = p.items
	for i := range p.items {
		it := &p.items[i]
		if it.kind == phraseItem && it.phrase.denies {
			if w := p.graveBehind(i); w != "" && unsure.MatchString(p.text[it.to:]) {
				return doubt("%q changes what is safe: find out whether it is so, and ask again", w)
			}
			return doubt("%q: say what is so, I can't work with what is not", it.phrase.text)
		}
		if it.kind == phraseItem && it.phrase.isFlag() && p.asksFlag(it) {
			d := doubt("%q: is that so, or is it asked? say it without asking, or leave it out", it.phrase.text)
			d.from, d.to = it.from, it.to
			return d
		}
		if it.kind == breakItem && p.adds(i) {
			return doubt("%s plus %s: how much is that in all? say it in one number", p.items[i-1].phrase.text, p.items[i+1].num.Raw)
		}
		if it.kind != unknownItem {
			continue
		}
		d := p.stranger(i)
		if d == nil {
			p.notes = append(p.notes, say.F("%s left out", it.unknown))
			if !p.rough(i) && !harmless[it.unknown] && !nouns[it.unknown] || unlessDrilled[it.unknown] || onEdge[it.unknown] {
				p.dropped = append(p.dropped, i)
			}
			continue
		}
		if d.from, d.to = it.from, it.to; it.unknown == "or" && i > 0 && i+1 < len(p.items) && p.items[i-1].kind == numberItem && p.items[i+1].kind == numberItem {
			d.from, d.to = p.items[i-1].num.Start, p.items[i+1].num.End // 60 or 70: one number takes their place
		}
		return d
	}
	return nil
}

// near names the number nearest to item i.
func (p *parser) near(i int) say.Text {
	for d := 1; d < len(p.items); d++ {
		for _, j := range [...]int{i + d, i - d} {
			if j >= 0 && j < len(p.items) && p.items[j].kind == numberItem {
				return say.Plain(p.items[j].num.Raw)
			}
		}
	}
	return say.F("the rest")
}

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
		if slices.Contains(q.Values[i].count, n) {
			return false
		}
	}
	return true
}

// Named returns the value given for an input, nil if there is none.
func (q *question) Named(in *Input) *value { return q.get(in) }
