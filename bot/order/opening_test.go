package order

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// A list of doors, with ranges in it, is the doors that it names, each once and
// in its order, however it is written.
func TestNamed(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		group := rapid.SampledFrom([]string{"A-", "H2.W-", "B-0"}).Draw(rt, "group")
		var typed []string
		var want []string
		for range rapid.IntRange(1, 6).Draw(rt, "parts") {
			from := rapid.IntRange(1, 9).Draw(rt, "from")
			to := from + rapid.IntRange(0, 9-from).Draw(rt, "more")
			text := fmt.Sprint(group, from)
			if to > from || rapid.Bool().Draw(rt, "of one") {
				text += " TO " + fmt.Sprint(group, to)
			}
			for n := from; n <= to; n++ {
				if id := fmt.Sprint(group, n); !slices.Contains(want, id) {
					want = append(want, id)
				}
			}
			typed = append(typed, text)
		}
		list := typed[0]
		for _, part := range typed[1:] {
			list += rapid.SampledFrom([]string{", ", " AND ", " ", ",", ", AND "}).Draw(rt, "between") + part
		}
		got, err := named(list, rangeOf)
		if err != nil || !slices.Equal(got, want) {
			rt.Fatalf("%q: got %q, %v, want %q", list, got, err, want)
		}
		ids, rest, err := (&Request{}).doorsInFront(strings.ToLower(list) + " like A-1")
		if err != nil || rest != "like A-1" || strings.ToUpper(strings.Join(ids, " ")) != strings.Join(want, " ") {
			rt.Fatalf("%q in front: got %q, %q, %v, want %q", list, ids, rest, err, want)
		}
		if what, doors, _ := atMany("crew @bo for " + list + " because he is back"); what != "crew @bo" || doors != list {
			rt.Fatalf("behind for: got %q and %q, want %q", what, doors, list)
		}
	})
}

// What only looks like a list of doors is none, and a row that is none is
// refused.
func TestNamed_not(t *testing.T) {
	for _, list := range []string{"A-9 TO A-1", "A-1 TO B-9", "A-1 TO A-900"} {
		if ids, err := named(list, rangeOf); err == nil {
			t.Errorf("%s: got %q, want it refused", list, ids)
		}
	}
	for _, text := range []string{"evidence heel 4 lead 4 test at B-12", "cover 45 to pipe", "crew @bo", "setback 66 because measured at A-3"} {
		if what, doors, _ := atMany(text); doors != "" {
			t.Errorf("%q: got %q at %q, want no doors", text, what, doors)
		}
	}
}
