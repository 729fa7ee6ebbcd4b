package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"heelpost/bot"
	"heelpost/bot/console"
	"heelpost/jobs/redis"
)

// A sheet that changes is taken into use; one that breaks is told of once,
// with line and reason, and the last good one stays.
func TestShelf_Reload(t *testing.T) {
	store, err := redis.Embedded(t.Context(), "console")
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	folder := t.TempDir()
	path := filepath.Join(folder, "orchard.yaml")
	good, err := os.ReadFile("../../testdata/sheets/orchard.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s := shelf{folder: folder, desk: bot.NewDesk("t", store, &console.Outbox{})}
	for _, step := range []struct {
		name, text string
		want       []string // what must stand in the one fault; none for no fault
	}{
		{"new", string(good), nil},
		{"unchanged", string(good), nil},
		{"broken", strings.Replace(string(good), "mass: 150 kg", "mass: plenty", 1), []string{"orchard.yaml", "line 6", "plenty", "last good one stays"}},
		{"still broken", strings.Replace(string(good), "mass: 150 kg", "mass: plenty", 1), nil},
		{"mended", strings.Replace(string(good), "mass: 150 kg", "mass: 155 kg", 1), nil},
	} {
		if err := os.WriteFile(path, []byte(step.text), 0o644); err != nil {
			t.Fatal(err)
		}
		faults := s.reload(t.Context())
		if (len(faults) > 0) != (step.want != nil) || len(faults) > 1 {
			t.Errorf("%s: got %q", step.name, faults)
			continue
		}
		for _, part := range step.want {
			if !strings.Contains(faults[0], part) {
				t.Errorf("%s: got %q, want it to say %q", step.name, faults[0], part)
			}
		}
	}
}
