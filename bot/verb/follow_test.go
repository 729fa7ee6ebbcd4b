package verb_test

import (
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// TestFollowUps asks a question and then changes one of its numbers by its
// name, which must change that and nothing else, or says a number by itself,
// which may change only that, or is asked about.
func TestFollowUps(t *testing.T) {
	seen, asked := 0, 0
	for n := uint64(0); n < 1500; n++ {
		r := rand.New(rand.NewPCG(5, n))
		p := &pen{Rand: r, q: pick(r, questions...), manner: pick(r, bare, bare, mm, inches)}
		parts := p.draw()
		given := each(parts, p.exact)
		if given == nil {
			continue
		}
		base := p.q.verb + ": " + strings.Join(given, ", ")
		want := inputs{}
		for _, f := range parts {
			want[f.name] = []float64{f.value}
		}
		if was := understand(t, base); !was.answered || !was.inputs.same(want) {
			continue
		}
		next := pick(r, parts...)
		next.figure = figureOf(r, next.fact, p.manner)
		how := pick(r, p.exact, p.named, p.behind)(next)
		if how == "" || slices.Contains(next.before, "") || slices.Contains(next.fact.behind, "") {
			continue
		}
		changed := maps.Clone(want)
		changed[next.name] = []float64{next.value}
		text := base + " >> " + pick(r, "and with ", "what if ", "no, ", "and ", "the same with ", "but with ") + how
		seen++
		switch u := understand(t, text); {
		case !u.answered:
			asked++
		case u.verb != p.q.verb || !u.inputs.same(changed):
			t.Errorf("%s\n\tgot %s, want %s", text, u, changed)
		}
		text = base + " >> " + pick(r, "and ", "and with ", "what if ", "no, ", "") + next.text
		if u := understand(t, text); u.answered && next.kind == length && (u.verb != p.q.verb || !u.inputs.same(changed)) {
			t.Errorf("%s\n\tgot %s, want %s: nobody said what that number is", text, u, changed)
		}
	}
	if seen < 300 || asked > seen/10 {
		t.Errorf("%d of %d changes by name were asked about", asked, seen)
	}
}
