package ask

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
)

// frames gives two numbers in a row to the inputs that the words between them tell,
// where the unit of one of them says that they are meant.
func (r *reader) frames() {
	for _, f := range r.Verb.Frames {
		if f.If != nil && !slices.ContainsFunc(f.If, func(w string) bool { return strings.Contains(strings.ToLower(r.source), w) }) {
			continue
		}
		for i := range r.items {
			j := r.nextNumber(i)
			if j < 0 || r.get(f.First) != nil || r.get(f.Second) != nil {
				continue
			}
			a, b := r.items[i].num, r.items[j].num
			unit := a.Unit != lex.Bare || b.Unit != lex.Bare && f.First.Kind == f.Second.Kind
			if i > 0 && r.items[i-1].kind == phraseItem && a.Unit == lex.Bare {
				of := r.items[i-1].phrase.inputFor(r.Verb)
				unit = unit && (of == nil || of == f.First) // oak 1050, to 12 %
			}
			if unit && r.owner[i] == nil && r.owner[j] == nil && f.First.Kind.takes(a.Unit) && f.Second.Kind.takes(b.Unit) && slices.Contains(f.Between, r.between(i, j)) {
				r.bind(i, f.First)
				r.bind(j, f.Second)
				r.framed = append(r.framed, [2]int{i, j})
			}
		}
	}
}

// nextNumber returns the number behind that at item i, with at most a phrase or a
// break between them; -1 if item i is none, or there is none.
func (r *reader) nextNumber(i int) int {
	for j := i + 1; r.isNumber(i) && j < len(r.items) && j <= i+3; j++ {
		if r.isNumber(j) {
			return j
		}
	}
	return -1
}

// between returns the words between two items, without articles.
func (r *reader) between(i, j int) string {
	words := strings.Fields(strings.ToLower(strings.Trim(r.source[r.items[i].to:r.items[j].from], " ()")))
	return strings.Join(slices.DeleteFunc(words, func(w string) bool { return lex.Articles[w] }), " ")
}
