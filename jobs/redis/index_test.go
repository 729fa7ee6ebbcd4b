package redis

import (
	"errors"
	"testing"

	"heelpost/jobs"
)

// indexed holds the sets of door north/A-101, whose version is 2, and those it
// was put in before.
func indexed(t *testing.T, s *Store) {
	t.Helper()
	ctx := t.Context()
	if rs, total, err := s.Doors(ctx, "crew:ana", 0, 10); len(rs) != 0 || total != 0 || err != nil {
		t.Errorf("left index: got %v, %d, %v", rs, total, err)
	}
	if err := s.Index(ctx, "north/A-101", 1, []jobs.Index{{Name: "crew:bo"}}); !errors.Is(err, jobs.ErrConflict) {
		t.Errorf("sets of an old version: got %v, want ErrConflict", err)
	}
	if err := s.Index(ctx, "north/A-101", 2, []jobs.Index{{Name: "board:north", Score: 1}, {Name: "crew:bo"}}); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]int{"board:north": 1, "crew:bo": 1, "crew:ana": 0} {
		if _, total, err := s.Doors(ctx, name, 0, 10); total != want || err != nil {
			t.Errorf("%s has %d doors, %v, want %d", name, total, err, want)
		}
	}
	if err := s.Purge(ctx, "north/A-101"); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"board:north", "crew:bo"} {
		if rs, _, _ := s.Doors(ctx, name, 0, 10); len(rs) != 0 {
			t.Errorf("%s after purge: got %v", name, rs)
		}
	}
	if err := s.Index(ctx, "north/A-101", 2, nil); !errors.Is(err, jobs.ErrConflict) {
		t.Errorf("sets of no door: got %v, want ErrConflict", err)
	}
}
