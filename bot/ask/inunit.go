package ask

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// A unit that is said of a whole text, and of no one number, is that of its bare
// numbers, or of its answer: gap 1 3/4 thick 2 1/2 setback, in inches; gap 44 thick
// 65 setback in inches. The text is asked with it behind each of them, and with mm
// there. Where only one of the two can be, as no leaf is 44 inches thick, that is
// answered; where both can, it is asked which is meant.

// ofAll matches such a unit, with what is said around it.
var ofAll = regexp.MustCompile(`(?i)[\s,;:]*(?:\b(?:all|everything|dims|dimensions|sizes|figures|numbers|answer|result|reply)\s+)*(?:\bin ` + ofUnit + `\b|\(` + ofUnit + `\)|\b` + ofUnit + `(?:[\s.?!]*$|\s*[:,]))(?:\s+please\b)?`)

// unitParts are those of which one stands in every match of ofAll.
var unitParts = []string{"nch", "NCH", "mm", "MM", "cm", "CM", "imet", "IMET"}

const ofUnit = `(inch(?:es)?|mm|millimet(?:re|er)s|cm|centimet(?:re|er)s)`

// inUnit answers a text with a unit for all of it; nil if it has none.
func (q *Questions) inUnit(r request, door *Door) *Answer {
	if r.unit != "" || !slices.ContainsFunc(unitParts, func(part string) bool { return strings.Contains(r.text, part) }) {
		return nil
	}
	m := ofAll.FindStringSubmatchIndex(r.text)
	if m == nil {
		return nil
	}
	unit, at := "", 0
	for i := 2; i < len(m); i += 2 {
		if m[i] >= 0 {
			unit, at = strings.ToLower(r.text[m[i]:m[i+1]]), m[i+1]
		}
	}
	if slices.ContainsFunc(q.tokens(r.text, r.only), func(t lex.Token) bool { return t.Kind == lex.NumberToken && t.End == at }) {
		return nil // 65 inches
	}
	last := m[6] >= 0 && m[7] == len(strings.TrimRight(r.text, " \t\n.?!")) // 6.5 setback cm
	rest := strings.Trim(r.text[:m[0]]+" , "+r.text[m[1]:], " ,")
	tokens := q.tokens(rest, r.only)
	inch := slices.ContainsFunc(tokens, func(t lex.Token) bool { return t.Kind == lex.NumberToken && t.Num.InInches() })
	switch {
	case unit[0] == 'm' && !inch, unit[0] == 'c' && last: // mm are what has no unit
		return nil
	case unit[0] == 'm':
		return q.askIn(r, rest, toldInMM, door)
	case unit[0] == 'c':
		return q.askIn(r, q.bareIn(rest, "cm", r.only), "", door)
	}
	of, to := q.askIn(r, q.bareIn(rest, "inches", r.only), "", door), q.askIn(r, q.bareIn(rest, "mm", r.only), toldInInches, door)
	can := func(a *Answer) bool { return a.OK() || len(a.Need) > 0 }
	switch {
	case last && !can(of):
		return nil
	case inch, !can(to), m[4] >= 0 && can(of), last: // setback (inches) 2.5
		return of
	case !can(of), !slices.ContainsFunc(tokens, isBare):
		return to
	}
	d := &doubtful{verb: of.reads.Verb, offers: []string{of.reads.exact(), q.bareIn(rest, "mm", r.only) + ", in " + unit}}
	d.say = say.F("are the numbers in inches, or is only the answer wanted in them? it is (1) %s, or (2) %s; send its number", d.offers[0], d.offers[1])
	return d.answer(r.text, r.only)
}

// askIn asks another text in place of the one that was said, for an answer told in
// a unit.
func (q *Questions) askIn(r request, text, unit string, door *Door) *Answer {
	said := r.text
	r.text, r.unit = text, unit
	a := q.ask(r, door)
	a.Asked = said
	return a
}

// bareIn puts a unit behind every number of a text that has none and counts nothing.
func (q *Questions) bareIn(text, unit string, only *Verb) string {
	var b strings.Builder
	end := 0
	tokens := q.tokens(text, only)
	for i, t := range tokens {
		if isBare(t) && !t.Num.Toleranced && !q.counts(tokens, i) {
			b.WriteString(text[end:t.Num.End] + " " + unit)
			end = t.Num.End
		}
	}
	return b.String() + text[end:]
}

// counts reports whether the number at token i tells how many: 2 holes, or 4x28.
func (q *Questions) counts(tokens []lex.Token, i int) bool {
	if i+2 < len(tokens) && tokens[i+1].Mark == 'x' && tokens[i].Num.Counts() && tokens[i+2].Kind == lex.NumberToken && q.listed(tokens) {
		return true
	}
	ph, _ := q.match(tokens[i+1:])
	return ph != nil && len(ph.inputs) > 0 && !slices.ContainsFunc(ph.inputs, func(n named) bool { return n.input.Kind != CountKind })
}

func isBare(t lex.Token) bool { return t.Kind == lex.NumberToken && t.Num.Unit == lex.Bare }
