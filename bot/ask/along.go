package ask

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
)

// isNumber reports whether item i is a number.
func (r *reader) isNumber(i int) bool {
	return i >= 0 && i < len(r.items) && r.items[i].kind == numberItem
}

// isAlong reports whether item i is a word that tells which way a value of the
// input goes.
func (r *reader) isAlong(i int, in *Input) bool {
	return i >= 0 && i < len(r.items) && r.items[i].kind == phraseItem && slices.Contains(in.Along, r.items[i].phrase.text)
}

// meant returns what the phrase at item i names and chooses, nil for nothing.
func (r *reader) meant(i int) (*Input, *Choice) {
	p := r.items[i].phrase
	for _, c := range p.choices {
		if c.Before != nil && r.Verb.takes(c.of) && r.isNumber(i+1) && r.items[i+1].num.Unit == measures[c.Before.Kind].unit {
			return nil, c
		}
		if c.Named && i > 0 && r.Verb.takes(c.of) && (r.owner[i-1] == c.counts() || r.items[i-1].kind == phraseItem && r.items[i-1].phrase.inputFor(r.Verb) == c.counts()) {
			return c.counts(), c
		}
	}
	in := p.inputFor(r.Verb)
	if in != nil && in.Tally != nil && r.isNumber(i-1) && r.owner[i-1] == nil && !r.isNumber(i+1) {
		in = in.Tally
	}
	return in, p.choiceFor(r.Verb)
}

// describes reports whether item i only tells which way the value before it
// goes, which has a name: in a frame 120 wide, wide says nothing new. It does
// where another value goes that way: in a cut-out 300 wide, 600 high, the 600 is
// the cut-out's height and not its width.
func (r *reader) describes(i int) bool {
	n := i - 1
	if !r.isNumber(n) {
		return false
	}
	if of := r.owner[n]; of != nil {
		return r.isAlong(i, of)
	}
	if i+1 < len(r.items) && r.items[i+1].kind == phraseItem && !r.isNumber(i+2) {
		if in := r.items[i+1].phrase.inputFor(r.Verb); in != nil && r.isAlong(i, in) {
			return true
		}
	}
	for last := r.before(n); last > 0 && r.owner[last-1] != nil && r.isAlong(last, r.owner[last-1]); last = r.before(last - 1) {
		for _, in := range r.owner[last-1].Group {
			if r.isAlong(i, in) && r.Verb.takes(in) {
				r.bind(n, in)
				return true
			}
		}
	}
	return false
}

// before returns the item before item i that is no break; -1 for none.
func (r *reader) before(i int) int {
	for i--; i >= 0 && r.items[i].kind == breakItem && !r.items[i].ends; i-- {
	}
	return i
}

// since gives the number at item n to the input of a number that stands before
// another's name, 8 % to 12 %; false if there is none.
func (r *reader) since(n int) bool {
	if n+1 >= len(r.items) || r.items[n+1].kind != phraseItem {
		return false
	}
	in := r.items[n+1].phrase.inputFor(r.Verb)
	if in == nil || in.Since == nil || r.get(in.Since) != nil {
		return false
	}
	r.bind(n, in.Since)
	return true
}

// away reports whether the name at item i stands right behind no number of the kind
// of the verb's AwayFrom, and another name of the input does.
func (r *reader) away(i int, in *Input) bool {
	behind := func(i int) bool {
		n := r.before(i)
		return r.isNumber(n) && r.items[n].num.Unit == measures[r.Verb.AwayFrom].unit
	}
	if behind(i) {
		return false
	}
	for j := range r.items {
		if r.items[j].kind == phraseItem && r.items[j].phrase.inputFor(r.Verb) == in && behind(j) {
			return true
		}
	}
	return false
}

// turns reports whether a side that stands behind the number at item n is one of
// another input than what names it.
func (r *reader) turns(n int, in *Input) bool {
	return in.Turned != nil && n >= 0 && n+1 < len(r.items) && r.items[n+1].kind == phraseItem && slices.ContainsFunc(r.items[n+1].phrase.choices, func(c *Choice) bool {
		return c.counts() == in.Turned && r.Verb.takes(c.of)
	})
}

// ofLeaf reports whether the number at token i stands alone behind leaf, and not at
// the front of a text that asks for one: with a leaf of 38, leaf's 56.
func (p *parser) ofLeaf(i int) bool {
	at := i - 1
	for at > 0 && (p.tokens[at].Word == "is" || p.tokens[at].Word == "came" || p.tokens[at].Word == "out") {
		at--
	}
	return at >= 0 && (p.tokens[at].Word == "leaf" || p.tokens[at].Word == "door" && at < i-1) && !(i+1 < len(p.tokens) && (p.tokens[i+1].Kind == lex.NumberToken || p.tokens[i+1].Mark == 'x'))
}

// isFor reports whether for stands at token i, or what is needed for: setback needed
// with 54 thick leaf.
func (p *parser) isFor(i int) bool {
	if i+1 < len(p.tokens) && slices.Contains(wishes, p.tokens[i].Word) && slices.Contains([]string{"for", "with", "when", "if"}, p.tokens[i+1].Word) {
		return true
	}
	return i < len(p.tokens) && p.tokens[i].Word == "for"
}

// betweenSizes reports whether token i stands between two sizes of which the first
// has its name: 2400 high x 1200 wide.
func (p *parser) betweenSizes(i int) bool {
	return i > 1 && i+1 < len(p.tokens) && p.tokens[i].Word == "x" && slices.Contains([]string{"wide", "high", "tall", "thick", "deep", "long"}, p.tokens[i-1].Word) &&
		p.tokens[i-2].Kind == lex.NumberToken && p.tokens[i+1].Kind == lex.NumberToken
}

// thin returns the input of the second of two joined sizes of a leaf: 1050 x 44 is none
// that is 44 high, but one 44 thick: from 20 to 100, as beside door.
func (r *reader) thin(n int, wide, high *Input) *Input {
	for _, thick := range r.Verb.Takes {
		if most := thick.OfDoor; wide.Size == LeafSize && r.items[n+1].num.Length <= most && 5*r.items[n+1].num.Length >= most && r.items[n].num.Length > 3*most {
			return thick
		}
	}
	return high
}

// counted returns the list of lengths that the number at item n is for, of which there
// are more, as 900s; nil if it is for none.
func (r *reader) counted(n int) *Input {
	num := r.items[n].num
	if num.Unit != lex.Seconds || !strings.HasSuffix(num.Raw, "s") || strings.Trim(num.Raw, "0123456789") != "s" {
		return nil
	}
	if i := slices.IndexFunc(r.Verb.Takes, func(in *Input) bool { return in.Counted && r.get(in) == nil }); i >= 0 {
		return r.Verb.Takes[i]
	}
	return nil
}

// doorSize returns the input that the number at item n is for because it stands
// beside door; nil if it is for none, or in a run whose order tells.
func (r *reader) doorSize(n int, inRun bool) *Input {
	if !r.items[n].sized || n+1 == r.at && r.items[n+1].phrase.thing || inRun && len(r.Verb.Order) > 0 {
		return nil
	}
	for _, in := range r.Verb.Takes {
		if in.OfDoor > 0 && r.items[n].num.Length <= in.OfDoor && 5*r.items[n].num.Length >= in.OfDoor && r.get(in) == nil {
			return in
		}
	}
	return nil
}
