package ask

import (
	"regexp"
	"slices"

	"heelpost/bot/lex"
)

// inFrom takes "in" for no unit in 65 in from the heel, of a length that nobody
// gives in inches, beside others that are in mm; and in pivot 65 in or it goes 65 in,
// beside others of which none is in inches.
func (p *parser) inFrom() {
	isMetric := func(t lex.Token) bool {
		return t.Kind == lex.NumberToken && !t.Num.InInches() && lex.LengthUnit(t.Num.Unit)
	}
	inchesToo := slices.ContainsFunc(p.tokens, func(t lex.Token) bool {
		part := t.Num.Unit == lex.Bare && t.Num.Plain != float64(int(t.Num.Plain)) // .25 may be inches
		return t.Kind == lex.NumberToken && (part || t.Num.Doubt == lex.Fraction || t.Num.InInches() && t.Num.Doubt != lex.WordIn)
	})
	inward := func(i int) bool {
		return i > 0 && !p.inch && !inchesToo && (slices.Contains(inwards, p.tokens[i-1].Word) || i > 1 && slices.Contains(pivots, p.tokens[i-2].Word) && slices.Contains(placed, p.tokens[i-1].Word) || i > 1 && slices.Contains(values, p.tokens[i-1].Word) && p.tokens[i-2].Word == "pivot") && p.tokens[i].Num.End == p.tokens[i].End && slices.ContainsFunc(p.tokens, func(t lex.Token) bool {
			return t.Kind == lex.NumberToken && !t.Num.InInches()
		})
	}
	for i := range p.tokens {
		t := &p.tokens[i]
		if t.Kind == lex.NumberToken && t.Num.Doubt == lex.WordIn && t.Num.Plain >= 25 && (fromEdge.MatchString(p.text[t.End:]) && slices.ContainsFunc(p.tokens, isMetric) || inward(i)) {
			t.Num.TakeBare()
		}
	}
}

// inwards are the words behind which "60 in" is 60 mm in from an edge, among others in
// mm: the pivot sits 72 in, the key only goes 200 in.
var inwards = []string{"pivot", "pivoted", "goes", "reaches", "sits"}

// pivots are what is set in from an edge, and placed the words for that.
var (
	pivots = []string{"pivot", "pivots", "axis"}
	placed = []string{"set", "fixed", "drilled", "mounted", "fitted"}
)

// fromEdge is what stands behind a length that is measured in from an edge.
var fromEdge = regexp.MustCompile(`^\s*from (?:the )?(?:heel|edge|(?:back|pivot|hinge) edge)\b`)
