package ask

import (
	"slices"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// A temperature without a unit is in °C, but beside one in °F, or lengths in
// inches, nobody knows which it is; and what no site has in °C is one in °F that
// lost its unit: a floor of 51.

// inFahrenheit reports whether a temperature of the text has its unit, and that is
// °F.
func (p *parser) inFahrenheit() bool {
	return p.logF || slices.ContainsFunc(p.items, func(it item) bool { return it.num != nil && it.num.InFahrenheit() })
}

// warmth returns what to ask about the number at item i if it is a temperature
// without a unit, and may be one in °F.
func (p *parser) warmth(q *question, _ int, n *lex.Number) say.Text {
	in := q.inputOf(n)
	if n.Unit != lex.Bare && n.Unit != lex.Degrees || in.Kind != WarmthKind && in.Kind != KelvinKind {
		return say.Text{}
	}
	switch {
	case in.Kind == KelvinKind && p.inFahrenheit():
		return say.F("%s stands beside °F: is it a difference of °F or of K? reply with it in K", n.Raw)
	case in.Kind == KelvinKind:
	case p.inFahrenheit():
		return say.F("%s stands beside °F: is it °F or °C? reply with the number and its unit", n.Raw)
	case q.Inches:
		return say.F("%s stands beside inches: is it °F or °C? reply with the number and its unit", n.Raw)
	case in.Warmest != 0 && n.Plain > in.Warmest && n.Plain <= 1.8*in.Warmest+32: // more is none in °F either, and refused
		return say.F("%s is much for %s in °C: is it °F or °C? reply with the number and its unit", n.Raw, in.Said())
	}
	return say.Text{}
}
