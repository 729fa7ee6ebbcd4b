package ask

import (
	"regexp"
	"slices"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// inRow matches what stands between two numbers of one list.
var inRow = regexp.MustCompile(`^[\s,;/&+]*(?:and|or|then|plus)?[\s,;]*$`)

// isPlus matches a plus between two numbers.
var isPlus = regexp.MustCompile(`^\s*(?:\+|plus)\s*$`)

// isList reports whether the numbers behind the input's name are a list: a +
// between them adds nothing.
func (in *Input) isList() bool { return in.Kind == ListKind && !in.Each && in.Spread == nil }

// lists reports whether the verb takes a list.
func (v *Verb) lists() bool { return slices.ContainsFunc(v.Takes, (*Input).isList) }

// listed reports whether a list is asked about or named in a text.
func (v *vocabulary) listed(tokens []lex.Token) bool {
	for i := 0; i < len(tokens); {
		p, size := v.match(tokens[i:])
		if p != nil && (p.verb != nil && p.verb.lists() || slices.ContainsFunc(p.inputs, func(n named) bool { return n.verb == nil && n.input.isList() })) {
			return true
		}
		i += max(size, 1)
	}
	return false
}

// list gives the numbers from item n on to a list: up to the next name, to the
// number that the next name is for, or to any other word, as in stocks 850,
// door 14.
func (r *reader) list(n int, in *Input) {
	var list []int
	for n < len(r.items) && r.items[n].kind == numberItem && (!r.claimed(n) || r.items[n+1].phrase.inputFor(r.Verb) == in) {
		if in.Counted {
			r.items[n].num.Plural()
		}
		if !in.Kind.takes(r.items[n].num.Unit) {
			r.mistaken(n, in)
			return
		}
		if last := len(list) - 1; last >= 0 && !r.items[n].counted && !inRow.MatchString(r.source[r.items[list[last]].num.End:r.items[n].num.Start]) {
			break
		}
		if len(list) > 0 && in.Tally != nil && n+1 < len(r.items) && r.items[n+1].kind == phraseItem && r.items[n+1].phrase.inputFor(r.Verb) == in {
			break // 45 60 80, 4 pins
		}
		list = append(list, n)
		r.owner[n] = in
		n++
		if n+1 < len(r.items) && r.items[n].kind == breakItem && r.items[n+1].kind == numberItem {
			n++
		}
	}
	if in.Spread == nil {
		if len(list) == 0 {
			r.lacks(in.Said())
		}
		r.enlist(list, in)
		return
	}
	if len(list) != len(in.Spread) {
		r.fail("%s wants %s numbers: %s", in.Said(), len(in.Spread), say.F(in.What))
		return
	}
	for k, n := range list {
		r.bind(n, in.Spread[k])
	}
}

// enlist gives the numbers at items to a list. In a counted one, a number that
// the next is joined to tells how many there are of that.
func (r *reader) enlist(list []int, in *Input) {
	if r.get(in) != nil {
		r.fail("%s stand in two places: give them in one row, as %s", in.Said(), in.Example)
		return
	}
	v := value{input: in}
	for k := 0; k < len(list); k++ {
		num, count := r.items[list[k]].num, (*lex.Number)(nil)
		if in.Counted && k+1 < len(list) && r.items[list[k+1]].counted {
			k++
			num, count = r.items[list[k]].num, num
			if !count.Counts() || num.Unit == lex.Bare && num.Plain < count.Plain {
				r.fail("which of %s and %s is the length, and how many are there? say it as %s", count, num, in.Example)
				return
			}
		}
		if last := len(v.more) - 1; last >= 0 && count == nil && 20*num.Length < v.more[last].Length && isPlus.MatchString(r.source[v.more[last].End:num.Start]) { // stocks 1325 + 3
			r.fail("%s and %s: is that one of the %s, or two? part them by a comma", v.more[last], num, in.Said())
			return
		}
		if num.Added {
			r.fail("%s: is that one of the %s, or two? part them by a comma", num, in.Said())
			return
		}
		v.more, v.count = append(v.more, num), append(v.count, count)
	}
	r.Values = append(r.Values, v)
}

// whole reports whether the input's name alone says something to the verb.
func (in *Input) whole(v *Verb) bool { return in.Whole != nil && v.takes(in.Whole.of) }

// lists reports whether a list of which every number has its name has one.
func (r *reader) lists() bool {
	return slices.ContainsFunc(r.Values, func(v value) bool { return v.input.Each })
}

// add puts the number at item n on a list.
func (r *reader) add(n int, in *Input) {
	v := r.get(in)
	switch {
	case !in.Kind.takes(r.items[n].num.Unit):
		r.mistaken(n, in)
		return
	case v == nil:
		r.Values = append(r.Values, value{input: in, more: []*lex.Number{r.items[n].num}})
	default:
		v.more = append(v.more, r.items[n].num)
	}
	r.owner[n] = in
}

// claimed reports whether a name stands after the number at item n for it.
func (r *reader) claimed(n int) bool {
	if n+1 >= len(r.items) || r.items[n+1].kind != phraseItem || r.items[n+1].forced {
		return false
	}
	p := r.items[n+1].phrase
	return p.inputFor(r.Verb) != nil && (p.place == numberBefore || p.place == eitherSide && r.sides != allBefore)
}

// inFront gives the number at item n to the input that the verb's phrase behind it
// names: does 7 do for 54 at 60. More than is usual for that may be another value.
func (r *reader) inFront(n int, in *Input) {
	switch {
	case n < 0 || r.items[n].kind != numberItem || r.owner[n] != nil || r.joined(n):
	case in.Usual != 0 && r.items[n].num.Length > in.Usual:
		r.fail("%s what? give the %s with its unit or its name, as %s", r.text(n), in.Said(), in.Example)
	default:
		r.bind(n, in)
	}
}

// lead gives the numbers from item n on to the input that the verb's phrase
// names.
func (r *reader) lead(n int, in *Input) {
	isNumber := func(n int) bool { return n < len(r.items) && r.items[n].kind == numberItem }
	switch {
	case r.Verb.Front != nil && isNumber(n) && r.claimed(n), isNumber(n) && in.Kind == LengthKind && !in.Kind.takes(r.items[n].num.Unit): // do for 60 setback, tape 5 °C
	case in.Kind == ListKind && isNumber(n):
		r.list(n, in)
	case in.Kind == ListKind && n < len(r.items) && r.items[n].kind == breakItem: // cutting list: 4x900, on a line of its own
		for n < len(r.items) && r.items[n].kind == breakItem {
			n++
		}
		if isNumber(n) {
			r.list(n, in)
		}
	case isNumber(n) && r.items[n].clause && r.ofAnother(n): // drill depth with a 6 jig
	case r.sides == allAfter && isNumber(n) && r.claimed(n) && !isNumber(n+2): // clear opening with 12 stop
	case isNumber(n) && in.Group != nil && r.joined(n+1):
		r.spread(n, append([]*Input{in}, in.Group...))
	case isNumber(n):
		r.take(n, in)
	}
}

// ofAnother reports whether a name that may stand behind its number stands behind the
// one at item n.
func (r *reader) ofAnother(n int) bool {
	if n+1 >= len(r.items) || r.items[n+1].kind != phraseItem || r.items[n+1].forced {
		return false
	}
	p := r.items[n+1].phrase
	return p.place != numberAfter && p.inputFor(r.Verb) != nil
}
