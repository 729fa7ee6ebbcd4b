package ask

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
)

// complete reports whether nothing that the verb needs is missing.
func (r *reading) complete() bool {
	given := func(in *Input) bool { return r.get(in) != nil }
	for _, in := range r.Verb.Need {
		if instead := r.Verb.Instead[in]; !given(in) && !slices.ContainsFunc(instead, given) {
			return false
		}
	}
	return true
}

// whole reports whether every choice that goes with a number has it: a
// chamfer its size, a pipe its cover.
func (r *reading) whole() bool {
	for i := range r.Values {
		if s := r.Values[i].Set; s != nil {
			if in := s.counts(); in != nil && in.Spread == nil && r.get(in) == nil {
				return false
			}
		}
	}
	return true
}

// exact returns the reading as a question that can be read in no other way.
func (r *reading) exact() string {
	var b strings.Builder
	b.WriteString(r.Verb.typed())
	for i := range r.Values {
		v := &r.Values[i]
		front := lex.Lex(r.Verb.typed()+" "+v.input.Name, nil)
		if p, _ := r.Verb.of.match(front); i == 0 && p.verb != r.Verb {
			b.WriteByte(':') // leaf thickness asks for no leaf
		}
		b.WriteByte(' ')
		switch {
		case v.Set != nil:
			b.WriteString(v.Set.said().String())
		case v.Num != nil:
			b.WriteString(v.input.Name + "=" + v.Num.Raw)
		case v.input.Each:
			for k, n := range v.more {
				b.WriteString(strings.Repeat(" ", min(k, 1)) + v.input.Name + "=" + n.Raw)
			}
		default:
			b.WriteString(v.input.Name)
			for i, n := range v.more {
				b.WriteByte(' ')
				if i < len(v.count) && v.count[i] != nil {
					b.WriteString(v.count[i].Raw + "x")
				}
				b.WriteString(n.Raw)
			}
		}
	}
	return b.String()
}
