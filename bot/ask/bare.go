package ask

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// A number without a name after an answer, as in "and for 950?": it is taken for
// the one value that it is near, where all others of its kind are far from it, as
// 950 is near a clear width of 900 and no setback of 60; else it is asked which
// it is, with the names to choose from.

// How near a number is to the value it changes, and how far from others: our own.
const (
	nearBy = 2
	farOff = 10
	asOne  = 3 // where there is no other
)

// bare answers a text that is one number without a name; nil if it is none, or
// can be none of the values before.
func (q *Questions) bare(f *parser, before *question, text string, marked bool, o *Open, door *Door) *Answer {
	n, in := f.bareNumber(before.Verb)
	if k, ok := Ordinal(text); n == nil || f.whether() || ok && k < 10 { // which of what was offered long ago
		return nil
	}
	if in != nil {
		return q.change(before, in, n.Raw, text, o, door)
	}
	var all, near, far []*Input
	for i := range before.Values {
		v := &before.Values[i]
		if v.Num == nil || n.Signed || !v.input.Kind.takes(n.Unit) {
			continue
		}
		ratio := n.Plain / v.Num.Plain
		if lex.LengthUnit(n.Unit) && n.Length != 0 && v.Num.Length != 0 {
			ratio = float64(n.Length) / float64(v.Num.Length)
		}
		all = append(all, v.input)
		switch {
		case v.input.Kind == WarmthKind, ratio <= nearBy && nearBy*ratio >= 1:
			near = append(near, v.input)
		case v.Num.Plain != 0 && (ratio > farOff || farOff*ratio < 1):
			far = append(far, v.input)
		}
	}
	asks := marked && !o.Again || strings.Contains(text, "?")
	switch {
	case len(all) == 0:
		return nil
	case asks && (len(near) == 1 && len(far) == len(all)-1 && len(far) > 0 || len(all) == 1 && within(before.get(all[0]), n)):
		return q.change(before, append(near, all...)[0], n.Raw, text, o, door)
	case len(all) > len(far):
		all = slices.DeleteFunc(all, func(in *Input) bool { return slices.Contains(far, in) })
	}
	slices.SortStableFunc(all, func(a, b *Input) int {
		return slices.Index(before.Verb.Takes, a) - slices.Index(before.Verb.Takes, b)
	})
	open, names := o.again(), make([]say.Text, len(all))
	open.Bare = n.Raw
	for i, in := range all {
		v := value{input: in, Num: n}
		whole := ordered(before.Verb, put(slices.Clone(before.Values), v))
		one := reading{Verb: before.Verb, Values: []value{v}}
		open.Need, open.Offers, open.Labels = append(open.Need, in.Name), append(open.Offers, whole.exact()), append(open.Labels, one.few())
		names[i] = say.F("(%s) the %s", i+1, in.Said())
	}
	return &Answer{Asked: text, Verb: before.Verb.Name, Open: open, Error: say.F("%s: is that %s? send its number, or its name", n.Raw, say.Join(" or ", names...))}
}

// within reports whether a number may be a change of the only value of its kind.
func within(v *value, n *lex.Number) bool {
	return v.input.Kind == WarmthKind || n.Plain <= asOne*v.Num.Plain && asOne*n.Plain >= v.Num.Plain
}

// change changes the value of one input.
func (q *Questions) change(before *question, in *Input, figure, text string, o *Open, door *Door) *Answer {
	words := in.Name + " = " + figure
	by, d := (&parser{of: q}).parse(words, before.Verb)
	if d != nil {
		return nil
	}
	return q.changed(before, by, words, text, o, door)
}

// bareNumber returns the only number of a text that names nothing, and the input
// that it is for if it is said of the leaf: the leaf is 50.
func (p *parser) bareNumber(verb *Verb) (n *lex.Number, in *Input) {
	thing := false
	for i := range p.items {
		switch it := &p.items[i]; {
		case it.kind == numberItem && n == nil && !it.counted:
			n = it.num
		case it.kind == breakItem:
		case it.kind == phraseItem && it.phrase.filler && it.phrase.place == numberAfter && !it.phrase.careful: // at 12
		case it.kind == phraseItem && it.phrase.thing && n == nil:
			thing = true
		case it.kind == phraseItem && n == nil && it.phrase.text == verb.Name && p.usual(i+1, verb): // gap 9, after a gap
		default:
			return nil, nil
		}
	}
	if n == nil || !thing {
		return n, nil
	}
	for _, in := range verb.Takes {
		if in.OfDoor > 0 && in.Kind.takes(n.Unit) && n.Length <= in.OfDoor && 5*n.Length >= in.OfDoor {
			return n, in
		}
	}
	return nil, nil
}

// usual reports whether item i is a number that may be what a verb asks for, and
// none of what it takes: gap 9 is hardly for a leaf 9 thick.
func (p *parser) usual(i int, verb *Verb) bool {
	in := verb.of.named[verb.Name]
	return in != nil && i < len(p.items) && p.items[i].kind == numberItem && p.items[i].num.Length <= in.Usual
}

// picked returns the offer that a reply takes to what was asked about a text that
// followed, or what was said as a value of the input that it takes: setback, or 2,
// of a number that is the thickness or the setback; "" if it takes none.
func (q *Questions) picked(text string, o *Open, verb *Verb) string {
	offers := slices.Clone(o.Offers)
	for i, name := range o.Need {
		offers[i] = name + " = " + o.Bare
	}
	if n, ok := Ordinal(text); ok && n >= 1 && n <= len(offers) {
		return offers[n-1]
	}
	if len(offers) == 1 && agrees[strings.Trim(strings.ToLower(text), " .!")] {
		return offers[0]
	}
	tokens := q.tokens(strings.Trim(text, " .!?\n"), nil)
	for n := q.Filler(tokens); n > 0; n = q.Filler(tokens) {
		tokens = tokens[n:]
	}
	p, size := q.match(tokens)
	if p == nil || size < len(tokens) {
		return ""
	}
	if in := p.inputFor(verb); in != nil && slices.Contains(o.Need, in.Name) {
		return in.Name + " = " + o.Bare
	}
	return ""
}

// thatName takes out of a text what it says of values that are known, as in how
// thick could it be with that gap, and returns what they are of.
func (q *Questions) thatName(text string) (rest string, same []*Input) {
	tokens := q.tokens(text, nil)
	for i := len(tokens) - 2; i >= 0; i-- {
		if !pointing[tokens[i].Word] {
			continue
		}
		p, size := q.match(tokens[i+1:])
		end := i + 1 + size
		if p == nil || len(p.inputs) == 0 || end < len(tokens) && tokens[end].Kind == lex.NumberToken || i > 0 && tokens[i-1].Kind == lex.NumberToken {
			continue
		}
		same = append(same, p.inputs[len(p.inputs)-1].input)
		text = text[:tokens[i].Start] + text[tokens[end-1].End:]
	}
	return text, same
}

// pointing are the words for what was said before.
var pointing = lex.WordSet("that this those these same")
