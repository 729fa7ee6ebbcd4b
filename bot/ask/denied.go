package ask

import (
	"regexp"
	"slices"

	"heelpost/bot/lex"
)

// What is said not to be so, and what changes what is safe.

// corrects reports whether a denial at token i only says what the number before it
// is not: setback 70, not 60.
func (p *parser) corrects(i, size int) bool {
	end := i + size
	if p.tokens[i].Word != "not" || end >= len(p.tokens) || p.tokens[end].Kind != lex.NumberToken || end+1 < len(p.tokens) && p.tokens[end+1].Kind != lex.MarkToken {
		return false
	}
	last := len(p.items) - 1
	if last >= 0 && p.items[last].kind == breakItem && !p.items[last].ends {
		last--
	}
	if last > 0 && p.items[last].kind == phraseItem && p.items[last].phrase.verb == nil && p.items[last-1].kind == numberItem {
		last--
	}
	n := &p.tokens[end].Num
	if last < 0 || p.items[last].kind != numberItem || p.items[last].num.Unit != n.Unit {
		return false
	}
	return !slices.ContainsFunc(p.items, func(it item) bool { return it.kind == numberItem && it.num.Raw == n.Raw })
}

// none reads a name that stands behind "no" or "without", and that may be 0,
// and has no number beside it: no template. It returns the name and its 0.
func (p *parser) none(i int) (*phrase, item) {
	if i < len(p.tokens) && p.tokens[i].Word == "any" {
		i++
	}
	name, size := p.of.match(p.tokens[i:])
	end := i + size
	if name == nil || end < len(p.tokens) && p.tokens[end].Kind == lex.NumberToken ||
		!slices.ContainsFunc(name.inputs, func(n named) bool { return n.input.Zero && n.input.None }) {
		return nil, item{}
	}
	last := p.tokens[end-1]
	p.numbers++
	return name, item{kind: numberItem, num: &lex.Number{Raw: "0", Start: last.End, End: last.End}, from: last.End, to: last.End}
}

// unsure is what is said behind not of what nobody knows.
var unsure = regexp.MustCompile(`(?i)^\s*(?:quite )?(?:sure|certain|know|clear)\b`)

// graveBehind returns the first words behind item i that change what is safe, ""
// if there are none, or a number stands before them.
func (p *parser) graveBehind(i int) string {
	for _, it := range p.items[i+1:] {
		switch {
		case it.kind == numberItem:
			return ""
		case it.kind == phraseItem && slices.ContainsFunc(it.phrase.choices, func(c *Choice) bool { return c.of.Grave }):
			return it.phrase.text
		}
	}
	return ""
}

// isGrave reports whether a text says what changes what is safe.
func (p *parser) isGrave() bool {
	return slices.ContainsFunc(p.items, func(it item) bool {
		return it.kind == phraseItem && slices.ContainsFunc(it.phrase.choices, func(c *Choice) bool { return c.of.Grave })
	})
}
