package redis

import (
	"strconv"
	"strings"
	"testing"

	"heelpost/jobs"
)

// What is told twice stands once, numbers grow over all places, a place is
// read from any number on, and a door's goes with the door.
func TestRoom(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		tell := func(place, id, text string, want int64, wantFresh bool) {
			t.Helper()
			n, fresh, err := s.Tell(ctx, place, id, []byte(text))
			if n != want || fresh != wantFresh || err != nil {
				t.Errorf("tell %s at %s: got %d, %v, %v, want %d, %v", id, place, n, fresh, err, want, wantFresh)
			}
		}
		told := func(place string, after int64, count int, want string) {
			t.Helper()
			es, err := s.Told(ctx, place, after, count)
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, e := range es {
				got = append(got, strconv.FormatInt(e.Version, 10)+" "+e.Op+" "+string(e.Data))
			}
			if strings.Join(got, ", ") != want {
				t.Errorf("told at %s after %d: got %q, want %q", place, after, got, want)
			}
		}
		tell("north/A-101", "say:1", "gap", 1, true)
		tell("at:doors", "say:1", "board", 2, true)
		tell("north/A-101", "n1", "6 mm", 3, true)
		tell("north/A-101", "say:1", "gap, said again", 1, false)
		told("north/A-101", 0, 9, "1 say:1 gap, 3 n1 6 mm")
		told("north/A-101", 1, 9, "3 n1 6 mm")
		told("north/A-101", -1, 1, "3 n1 6 mm")
		told("at:nowhere", -1, 9, "")
		if _, err := s.Commit(ctx, jobs.Change{Op: "open", At: day0, Door: &jobs.DoorChange{Key: "north/A-101", State: []byte("s"), Entry: []byte("e")}}); err != nil {
			t.Fatal(err)
		}
		if err := s.Purge(ctx, "north/A-101"); err != nil {
			t.Fatal(err)
		}
		told("north/A-101", -1, 9, "")
		told("at:doors", -1, 9, "2 say:1 board")
	})
}

// A place keeps its last entries: the ids of those that went are free again.
func TestRoom_Trimmed(t *testing.T) {
	s := embedded(t)
	for i := range toldKept + 2 {
		if _, _, err := s.Tell(t.Context(), "p", strconv.Itoa(i), []byte("x")); err != nil {
			t.Fatal(err)
		}
	}
	es, err := s.Told(t.Context(), "p", 0, 1)
	if err != nil || len(es) != 1 || es[0].Op != "2" {
		t.Errorf("the first that is kept: %v, %v, want 2", es, err)
	}
	if n, err := s.rdb.ZCard(t.Context(), s.key.telling(":p")).Result(); n != toldKept || err != nil {
		t.Errorf("%d ids are kept, %v, want %d", n, err, toldKept)
	}
}
