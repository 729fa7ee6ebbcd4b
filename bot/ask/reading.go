package ask

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// item is what is left of the tokens once phrases are found: names, numbers
// and what parts them. Fillers are gone.
type item struct {
	kind    itemKind
	joined  bool // a number joined to the one before by x
	counted bool // the number before tells how many there are of it: joined, or of stands between
	forced  bool // a name followed by = or :
	asked   bool // a verb after a word such as what
	marked  bool // a verb that only the question mark behind it asks
	ends    bool // a break that ends a sentence or a line
	colon   bool // a colon between a name and a number
	ofThing bool // door or leaf stands right behind a word: an oak door
	ofDoor  bool // a number beside door, or followed by leaf: one of its sizes
	sized   bool // door or leaf stands behind it
	phrase  *phrase
	num     *lex.Number
	from    int // where it stands in the text
	to      int
	unknown string // a word or mark the bot doesn't know
	sense          // of the fillers before it
}

type itemKind uint8

const (
	phraseItem itemKind = iota
	numberItem
	breakItem
	unknownItem
)

// reading is one way to understand a text: a verb, and a value for some of
// its inputs.
type reading struct {
	Verb    *Verb
	Values  []value
	ignored []int     // items that say nothing in this reading
	wrong   complaint // why it is no reading
	at      int       // the item that is the verb
	unnamed []int     // numbers that no name is for
	byUnit  []int     // those of them that their unit tells
}

// complaint says why a reading is none, and how much that tells.
type complaint struct {
	say    say.Text
	weight weight
	num    *lex.Number // that another is wanted for; nil for none
}

// weight is how much a complaint tells. That a name has no number tells least:
// in another reading it may have one.
type weight uint8

const (
	fits weight = iota // it is a reading
	noNumber
	wrong
	ofDoor
)

// value is what a question gives for an input.
type value struct {
	input *Input
	Num   *lex.Number
	more  []*lex.Number // of a list
	count []*lex.Number // of a counted list: how many of each, nil for one
	Set   *Choice       // of a choice
}

func (r *reading) get(in *Input) *value {
	for i := range r.Values {
		if r.Values[i].input == in {
			return &r.Values[i]
		}
	}
	return nil
}

// same reports whether two readings give the same values.
func (r *reading) same(o *reading) bool {
	if r.Verb != o.Verb || len(r.Values) != len(o.Values) {
		return false
	}
	for i := range r.Values {
		a := &r.Values[i]
		b := o.get(a.input)
		if b == nil || a.Num != b.Num || a.Set != b.Set || len(a.more) != len(b.more) {
			return false
		}
	}
	return true
}

// reader tries the readings of a list of items.
type reader struct {
	items   []item
	source  string   // the text that they are of
	owner   []*Input // of each number, while a reading is tried
	sides   sides    // where names look for their numbers
	line    bool     // three joined numbers are taken as any others
	loose   bool     // bare numbers may stand anywhere: for readings that are offered
	lacking []int    // names that have no number
	mixed   int      // names met that have a number on either side
	ahead   int      // names that stand before their numbers
	turned  int      // those of them that mostly stand after
	framed  [][2]int // numbers of frames, with what is between them
	reading
}

// sides says on which side of its number a name stands, if it may be either.
type sides int

// Names stand all before or all after their numbers; in a text that begins
// with the verb, eachBefore is the reading in which also one that mostly stands
// after, as thick, stands before, if another name does. Only a text that can't
// be read so is read name by name: beside one number, a name takes that;
// beside two, bit i of the sides from eachOwn on decides for the i-th.
const (
	allBefore sides = iota
	allAfter
	eachBefore
	eachOwn
)

// maxMixed is the most names beside two numbers that are read one by one.
const maxMixed = 4

// clone returns a reading that the next one tried doesn't overwrite.
func (r *reading) clone() reading {
	c := *r
	c.Values, c.ignored, c.unnamed, c.byUnit = slices.Clone(r.Values), slices.Clone(r.ignored), slices.Clone(r.unnamed), slices.Clone(r.byUnit)
	return c
}

// read tries the reading of the items with the verb at item v and names on
// the given sides of their numbers. It stands until the next is tried.
func (r *reader) read(verb *Verb, v int, s sides) *reading {
	r.reading = reading{Verb: verb, at: v, Values: r.Values[:0], ignored: r.ignored[:0], unnamed: r.unnamed[:0], byUnit: r.byUnit[:0]}
	r.sides, r.mixed, r.ahead, r.turned, r.lacking, r.framed = s, 0, 0, 0, r.lacking[:0], r.framed[:0]
	clear(r.owner)
	r.frames()
	lent, lacking := -1, (*Input)(nil)
	for i := range r.items {
		it := &r.items[i]
		if i == v && it.phrase.front != nil {
			n := i - 1
			if n > 0 && r.items[n].kind == phraseItem && r.items[n].phrase.choiceFor(verb) != nil {
				n-- // 55 cement screed
			}
			r.inFront(n, it.phrase.front)
		}
		if i == v && it.phrase.leads != nil && (it.phrase.front == nil || it.phrase.front == it.phrase.leads || it.phrase.inputFor(verb) == nil || r.get(it.phrase.front) != nil) {
			r.lead(i+1, it.phrase.leads)
		}
		if i == v || it.kind != phraseItem || it.phrase.along && r.describes(i) || slices.ContainsFunc(r.framed, func(f [2]int) bool { return f[0] < i && i < f[1] }) {
			continue
		}
		in, choice := r.meant(i)
		if choice != nil {
			r.choose(choice)
			for _, c := range it.phrase.choices { // a glass door is of glass, and so are its faces
				if c != choice && c.of != choice.of && verb.takes(c.of) && !c.Named && c.Before == nil && c.counts() == nil && c.Refused == "" {
					r.choose(c)
				}
			}
		}
		switch {
		case in != nil && in.Each && (len(verb.Lends) > 0 || in.whole(verb)) && lacking == nil && (!r.beside(i) || !r.isNumber(i-1) && r.joined(i+2)):
			lacking = in
		case in != nil:
			r.name(i, in)
		case choice == nil && slices.Contains(verb.Lends, it.phrase.text) && r.isNumber(i-1):
			if r.owner[i-1] == nil && lent < 0 {
				lent = i - 1
			}
		case choice == nil && !it.phrase.thing && (it.phrase.verb != verb || it.forced) && !(it.phrase.saysNothing() && (!it.phrase.careful || !r.beside(i))):
			r.ignored = append(r.ignored, i)
		}
		if r.failed() {
			return &r.reading
		}
	}
	for _, i := range r.lacking { // we moved the pivot: the setback is 82
		if in, _ := r.meant(i); r.get(in) == nil {
			r.lacks(r.items[i].phrase.text)
			return &r.reading
		}
	}
	if r.turned > 0 && (r.turned == r.ahead || r.at > 0) {
		r.lacks(verb.Name)
		return &r.reading
	}
	switch {
	case lacking != nil && lent >= 0:
		r.add(lent, lacking)
	case lacking != nil && r.get(lacking) != nil: // a steel leaf, steel 3
	case lacking != nil && lacking.whole(verb) && !r.lists():
		r.choose(lacking.Whole)
	case lacking != nil:
		r.lacks(lacking.Said())
		return &r.reading
	}
	r.positional()
	for _, i := range r.ignored {
		if !r.failed() && r.beside(i) && !(r.items[i].ofThing && r.items[i].phrase.each()) && !(r.items[i].phrase.along && r.describes(i)) {
			r.fail("%s takes no %s", verb.Name, r.items[i].phrase.text)
		}
	}
	return &r.reading
}

func (r *reader) fail(key string, args ...any) {
	r.wrong = complaint{say: say.F(key, args...), weight: wrong}
}

// lacks fails for a name without a number.
func (r *reader) lacks(name any) {
	r.wrong = complaint{say: say.F("there is no number beside %s", name), weight: noNumber}
}

func (r *reader) failed() bool { return r.wrong.weight != fits }

// beside reports whether a number stands next to item i.
func (r *reader) beside(i int) bool {
	return i > 0 && r.items[i-1].kind == numberItem || i+1 < len(r.items) && r.items[i+1].kind == numberItem
}

// name binds the name at item i to its number.
func (r *reader) name(i int, in *Input) {
	if in.Kind == ChoiceKind || in.Kind == FlagKind {
		return
	}
	it := &r.items[i]
	if it.phrase.filler && it.phrase.place == numberAfter && !it.phrase.careful && !it.phrase.wish && !strings.Contains(it.phrase.text, " ") && i > 0 && (r.items[i-1].kind == breakItem || r.items[i-1].kind == unknownItem) {
		return // 54 thick at 60, but not meet me at 9
	}
	n := r.numberOf(i, in)
	if n > i && it.phrase.careful && it.phrase.place == numberAfter && n+1 < len(r.items) && r.items[n+1].kind == phraseItem && !r.isNumber(n+2) {
		if own := r.items[n+1].phrase.inputFor(r.Verb); own != nil && own != in {
			return // through 3 mm of tile
		}
	}
	if other := r.Verb.Away[in]; other != nil && it.phrase.filler && r.away(i, in) {
		in = other
	}
	if !it.forced && r.turns(n, in) {
		in = in.Turned
	}
	if in.InDegrees != "" && (r.degreesAt(i+1) || r.degreesAt(i-1)) {
		r.fail(in.InDegrees)
		return
	}
	if in.InDegrees != "" && n >= 0 && r.degreesAt(n+1) { // chamfer 5 x 45°
		if r.items[n+1].num.Plain != 45 {
			r.fail(in.InDegrees)
			return
		}
		r.owner[n+1] = in
	}
	switch {
	case r.failed():
	case n >= 0 && n < i && in.None && r.items[n].num.Unit == lex.Bare && (r.items[n].num.Plain == 1 && len(in.Along) > 0 || r.items[n].num.Plain <= 6 && strings.HasSuffix(it.phrase.text, "s")):
		r.fail("%s %s: is that how many there are, or how thick? give %s, as %s", r.text(n), it.phrase.text, in.Said(), in.Example)
	case n < 0 && it.phrase.loose, it.phrase.claims(r.Verb) && (n < 0 || n > i && r.claimed(n) || r.doorSize(n, false) != nil):
		// "how deep do I drill", "the leaf is 54 thick", "a 54 leaf"
	case n < 0 && !it.phrase.mayChoose(r.Verb) && r.get(in) == nil:
		r.lacking = append(r.lacking, i)
	case n < 0:
	case r.owner[n] == in && 2*n-i >= 0 && 2*n-i < len(r.items) && r.items[2*n-i].phrase == it.phrase:
		r.fail("%s is there twice", it.phrase.text)
	case r.owner[n] == in: // named on both sides, as in opening 1150 wide
	case r.owner[n] != nil:
		r.fail("%s stands between %s and %s", r.text(n), r.owner[n].Said(), in.Said())
	case in.All != nil:
		for _, one := range in.All {
			r.bind(n, one)
		}
	case in.Each:
		r.add(n, in)
	case in.Kind == ListKind:
		r.list(n, in)
	case in.Group != nil && n > i && r.joined(n+1):
		r.spread(n, append([]*Input{in}, in.Group...))
	case in.Group != nil && n < i && r.joined(n): // 1150 x 2350 opening
		for r.joined(n) {
			n--
		}
		r.spread(n, append([]*Input{in}, in.Group...))
	default:
		r.bind(n, in)
	}
}

// wholeTurn is the most degrees that a bare number can be.
const wholeTurn = 360

// numberOf returns the number that the name at item i is for, -1 for none.
func (r *reader) numberOf(i int, in *Input) int {
	it := &r.items[i]
	// "offset towards 5" is a name of two phrases.
	up, down := i+1, i-1
	if up < len(r.items) && r.items[up].colon {
		up++
	}
	for r.sameInput(up, in) {
		up++
	}
	for r.sameInput(down, in) {
		down--
	}
	next := up < len(r.items) && r.items[up].kind == numberItem
	if !next && r.isAlong(down, in) && r.isNumber(down-1) {
		return down - 1 // a 120 wide frame
	}
	if next && r.items[up].clause && !it.forced && in.Kind == LengthKind && (it.phrase.place == numberAfter || r.items[up].sized && in.Size == NoSize || r.ofAnother(up)) {
		next = false
	}
	if next && it.phrase.loose && r.ofAnother(up) && !strings.Contains(r.source[it.to:r.items[up].from], "=") {
		next = false // gaps: 8 at the heel
	}
	if next = next || in.Kind == ListKind && !it.forced && r.isNumber(up+1) && r.items[up].kind == breakItem && strings.Trim(r.source[it.to:r.items[up+1].from], " ,") == ""; next && !r.isNumber(up) {
		up++ // both diagonals, 2741 and 2735
	}
	before := down >= 0 && r.items[down].kind == numberItem && !it.parts && (!r.joined(down) || in.Group != nil)    // joined numbers are not parted
	next = next && !(in.Kind == AngleKind && r.items[up].num.Unit == lex.Bare && r.items[up].num.Plain > wholeTurn) // open, with a 1180 opening
	switch {
	case next && !before && r.isAlong(up+1, in): // a hole 12 wide
	case it.forced, it.phrase.place == numberAfter, next && in.Group != nil && r.joined(up+1):
		before = false
	case it.phrase.place == numberBefore && r.sides == eachBefore && before && next && !it.phrase.loose:
		before = false
		r.turned++
	case it.phrase.place == numberBefore:
		next = next && !before && !it.phrase.loose // "thick 44", where nothing stands before it
	case before && next || r.sides < eachOwn:
		next = r.takesNext()
		before = !next && before
		next = next && up < len(r.items) && r.items[up].kind == numberItem
	}
	if next {
		r.ahead++
		return up
	}
	if before {
		return down
	}
	return -1
}

// sameInput reports whether item i is a phrase that may name the input too: from bars
// 2500, opening w 1245.
func (r *reader) sameInput(i int, in *Input) bool {
	return i >= 0 && i < len(r.items) && r.items[i].kind == phraseItem && !in.Each && r.items[i].phrase.verb == nil && r.items[i].phrase.inputFor(r.Verb) == in ||
		i >= 0 && i < len(r.items) && r.items[i].kind == phraseItem && slices.ContainsFunc(r.items[i].phrase.choices, func(c *Choice) bool { return c.counts() == in })
}

// takesNext reports whether a name that may stand on either side of its
// number stands before it.
func (r *reader) takesNext() bool {
	if r.sides < eachOwn {
		return r.sides != allAfter
	}
	r.mixed++
	return (r.sides-eachOwn)>>(r.mixed-1)&1 == 0
}

// degreesAt reports whether item i is a number in degrees.
func (r *reader) degreesAt(i int) bool {
	return i >= 0 && i < len(r.items) && r.items[i].kind == numberItem && r.items[i].num.Unit == lex.Degrees
}

// joined reports whether item i is a number joined to the one before.
func (r *reader) joined(i int) bool {
	return i < len(r.items) && r.items[i].kind == numberItem && r.items[i].joined
}

// bind gives the number at item n to an input.
func (r *reader) bind(n int, in *Input) {
	num, name := r.items[n].num, in.Said()
	switch old := r.get(in); {
	case measures[in.Kind].name != "" && num.Timed:
		r.fail("the unit behind %s is not one of the %s: give it as %s", r.text(n), name, in.Example)
		return
	case !in.Kind.takes(num.Unit):
		r.mistaken(n, in)
		return
	case num.Signed && !in.Signed && in.Kind != WarmthKind && (num.Plain < 0 || slices.ContainsFunc(r.Verb.Takes, func(in *Input) bool { return in.Signed })):
		key := "%s is %s: only what goes to a side takes a sign"
		if num.Plain < 0 {
			key = "%s is %s, but must be at least 0: only what goes to a side takes a sign"
		}
		r.fail(key, name, r.text(n))
		return
	case old != nil:
		r.fail("there are two values for %s: %s and %s", name, old.text(), r.text(n))
		return
	}
	r.owner[n] = in
	r.Values = append(r.Values, value{input: in, Num: num})
}

// mistaken fails for a number whose unit is not one of the input's.
func (r *reader) mistaken(n int, in *Input) {
	switch in.Kind {
	case AngleKind:
		r.fail("%s is not an angle, as %s", r.text(n), in.Said())
	case MassKind:
		r.fail("%s is not a mass, as %s", r.text(n), in.Said())
	case WarmthKind:
		r.fail("%s is not a temperature, as %s", r.text(n), in.Said())
	case HoursKind:
		r.fail("%s is not a number of hours, as %s", r.text(n), in.Said())
	case LengthKind, ListKind:
		r.fail("%s is not a length, as %s", r.text(n), in.Said())
	default:
		r.fail("the unit behind %s is not one of the %s: give it as %s", r.text(n), in.Said(), in.Example)
	}
	r.wrong.num = r.items[n].num
}

// choose takes a choice.
func (r *reader) choose(c *Choice) {
	switch old := r.get(c.of); {
	case c.Refused != "":
		r.fail(c.Refused)
	case old == nil:
		r.Values = append(r.Values, value{input: c.of, Set: c})
	case old.Set.Value != c.Value:
		r.fail("there are two values for %s: %s and %s", c.of.Said(), old.Set.Value, c.Value)
	}
}

// spread gives the joined numbers from item n to the inputs in turn.
func (r *reader) spread(n int, inputs []*Input) {
	for k, in := range inputs {
		if k > 0 && !r.joined(n+k) || r.failed() {
			return
		}
		if k == 1 && !r.joined(n+2) {
			in = r.thin(n, inputs[0], in)
		}
		if !r.Verb.takes(in) {
			r.fail("%s takes no %s", r.Verb.Name, in.Said())
			return
		}
		r.bind(n+k, in)
	}
}

// text returns the number at item n as typed.
func (r *reader) text(n int) string { return r.items[n].num.String() }

func (v *value) text() string {
	if v.Num != nil {
		return v.Num.String()
	}
	return v.Set.Value
}
