package verb_test

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
)

const usual = 20_000

var (
	number = flag.Int("texts", usual, "how many texts the generator writes; its counts are held at the usual number only")
	seed   = flag.Uint64("seed", 1, "seed of the generator; its counts are held at the usual one only")
)

// A tally counts outcomes by class, and keeps some texts of each.
type tally struct {
	counts   map[string]map[string]int
	examples map[string][]string
}

func newTally() tally {
	return tally{map[string]map[string]int{}, map[string][]string{}}
}

func (a tally) add(class, outcome, example string) {
	if a.counts[class] == nil {
		a.counts[class] = map[string]int{}
	}
	a.counts[class][outcome]++
	if key := class + ", " + outcome; outcome != right && len(a.examples[key]) < 8 {
		a.examples[key] = append(a.examples[key], example)
	}
}

// log tells all counts and, where tests are verbose, the examples.
func (a tally) log(t *testing.T) {
	for _, key := range slices.Sorted(maps.Keys(a.examples)) {
		t.Logf("%s:\n\t%s", key, strings.Join(a.examples[key], "\n\t"))
	}
	sum := map[string]int{}
	for _, class := range slices.Sorted(maps.Keys(a.counts)) {
		n := a.counts[class]
		t.Logf("%-24s of %6d wrong %6d shy %6d", class, n[right]+n[shy]+n[wrong], n[wrong], n[shy])
		for outcome, n := range n {
			sum[outcome] += n
		}
	}
	t.Logf("%-24s of %6d wrong %6d shy %6d", "all", sum[right]+sum[shy]+sum[wrong], sum[wrong], sum[shy])
}

// hold compares the counts with those that are kept: none may grow, and what
// has shrunk must be written down.
func (a tally) hold(t *testing.T, path string) {
	t.Helper()
	if *number != usual || *seed != 1 {
		return
	}
	var b strings.Builder
	b.WriteString("-- how many of the generator's texts fail today, by class: wrong, shy\n")
	kept := map[string][2]int{}
	if !*shrink || exists(path) {
		lines(t, path, func(line string) error {
			var n [2]int
			class, _, ok := strings.Cut(line, ": ")
			_, err := fmt.Sscanf(line[len(class):], ": %d %d", &n[0], &n[1])
			if !ok || err != nil {
				return fmt.Errorf("not a class and two counts: %s", err)
			}
			kept[class] = n
			return nil
		})
	}
	for _, class := range slices.Sorted(maps.Keys(a.counts)) {
		now, was := [2]int{a.counts[class][wrong], a.counts[class][shy]}, kept[class]
		_, known := kept[class]
		switch {
		case known && (now[0] > was[0] || now[1] > was[1]):
			t.Errorf("%s: wrong %d shy %d, but were %d and %d; -v shows texts", class, now[0], now[1], was[0], was[1])
			now = [2]int{min(now[0], was[0]), min(now[1], was[1])}
		case !known && !*shrink:
			t.Errorf("%s: a new class, wrong %d shy %d: run with -shrink", class, now[0], now[1])
		case now != was && !*shrink:
			t.Errorf("%s: wrong %d shy %d, better than %d and %d: run with -shrink", class, now[0], now[1], was[0], was[1])
		}
		fmt.Fprintf(&b, "%s: %d %d\n", class, now[0], now[1])
	}
	if *shrink {
		if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// TestMeaning writes texts whose meaning it knows and counts what becomes of
// them: taken otherwise than meant, and asked back where one meaning is possible.
func TestMeaning(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of texts")
	}
	sums, ways := newTally(), newTally()
	for i := range uint64(*number) {
		w := write(*seed, i)
		u := understand(t, w.text)
		outcome := w.judge(u)
		example := ""
		if outcome != right {
			example = fmt.Sprintf("%q meant %s %s (%s): %s", w.text, w.verb, w.inputs, w.expect, u)
		}
		sums.add(w.style, outcome, example)
		for _, way := range []string{"in " + w.manner, "verb " + w.verb} {
			ways.add(way, outcome, example)
		}
	}
	clear(ways.examples)
	ways.log(t)
	sums.log(t)
	sums.hold(t, texts+"/meaning.list")
}
