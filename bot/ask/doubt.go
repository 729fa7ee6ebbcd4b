package ask

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

// doubts asks about the first number that can't be taken as it stands.
func (p *parser) doubts(q *question) *doubtful {
	q.Inches = p.inch
	for i := range p.items {
		q.Inches = q.Inches || p.items[i].num != nil && p.items[i].num.InInches()
	}
	for _, ask := range [...]func(*question, int, *lex.Number) say.Text{p.inDoubt, p.doubt, p.warmth} {
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
		if q.inputOf(n).Many {
			return say.Text{}
		}
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
		if n.Spoken && (q.inputOf(n).Kind == CountKind || p.metric(q, n)) {
			n.TakeBare() // two and a half turns; six and a half, beside sixty
			return say.Text{}
		}
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
	if n.Unit == lex.Bare && n.Length != 0 && q.isLength(n) && !q.inputOf(n).tooMany(10*n.Length) && slices.ContainsFunc(p.items, func(it item) bool { return it.num != nil && it.num.InCentimetres() }) {
		return say.F("%s stands beside cm: is it cm or mm? reply with the number and its unit", n.Raw)
	}
	if q.Inches && n.Unit == lex.Bare && n.Length != 0 && q.isLength(n) {
		return say.F("%s stands beside inches: is it inches or mm? reply with the number and its unit", n.Raw)
	}
	return say.Text{}
}

// tooMany reports whether a length is more than any of an input's: beside a width of
// 105 cm a thickness of 44 is in mm, as no door is 44 cm thick.
func (in *Input) tooMany(l calc.Length) bool { return in.OfDoor > 0 && l > in.OfDoor }

// tooManyInches is from where on a bare length is in mm: our own.
const tooManyInches = 25

// metric reports whether the text is in mm, though one of its numbers is a spoken half:
// no inch is in it, and a thickness, a setback or the number itself would be of more
// inches than any.
func (p *parser) metric(q *question, n *lex.Number) bool {
	found := n.Plain >= tooManyInches
	for i := range p.items {
		o := p.items[i].num
		if o == nil || o == n {
			continue
		}
		if o.InInches() || o.Doubt == lex.Fraction && !o.Spoken {
			return false
		}
		in := q.inputOf(o)
		found = found || LengthKind.takes(o.Unit) && o.Unit != lex.Bare || o.Unit == lex.Bare && in.Kind == LengthKind && in.Group == nil && o.Plain >= tooManyInches
	}
	return found
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
		if n := p.items[j].num; n != nil && j != i && n.Length != 0 && !n.InInches() && LengthKind.takes(n.Unit) && q.isLength(n) {
			return true
		}
	}
	return false
}

// nothing is the input of a number that is for none.
var nothing = &Input{}
