package talk_test

import (
	"testing"
	"testing/synctest"

	"heelpost/jobs"
)

// A process whose clock is behind takes a new site file into use after another
// one has said the morning's digest: it is not laid for that morning again, nor
// is the question of the temperatures.
func TestDigest_clockBehind(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := inMemory(t)
		ahead, behind := newWorks("a", store, &wall{}), newWorks("b", store, &wall{})
		site := edited(t)
		at := clockOf(t, site)
		step := func(w *works, text string) {
			if _, err := w.Settle(t.Context(), at(text)); err != nil {
				t.Fatal(err)
			}
		}
		for _, w := range []*works{ahead, behind} {
			if err := w.UseSite(t.Context(), site); err != nil {
				t.Fatal(err)
			}
		}
		step(ahead, "2027-03-01 06:00")
		if err := ahead.LayRules(t.Context(), at("2027-03-01 06:00")); err != nil {
			t.Fatal(err)
		}
		step(behind, "2027-03-01 06:29")
		for _, text := range []string{"2027-03-01 06:30", "2027-03-01 06:31", "2027-03-01 07:01", "2027-03-01 07:02"} {
			step(ahead, text)
		}
		before := map[string]jobs.Millis{}
		for _, id := range []string{"digest:", "warmth:"} {
			n, err := store.Notice(t.Context(), id+site.ID)
			if err != nil {
				t.Fatal(err)
			}
			before[id] = n.Due
			if !n.Due.Time().After(at("2027-03-01 07:02")) {
				t.Fatalf("%s is still due at %v", id, n.Due.Time())
			}
		}
		if err := behind.UseSite(t.Context(), edited(t, "mo, name: Mo Reyes-Falk", "mo, name: Mo Falk")); err != nil {
			t.Fatal(err)
		}
		for id, due := range before {
			if n, err := store.Notice(t.Context(), id+site.ID); err != nil || n.Due != due {
				t.Errorf("%s is due at %v, %v, want %v as before", id, n.Due, err, due)
			}
		}
	})
}
