package jobs

import (
	"encoding/json"
	"flag"
	"os"
	"testing"
	"time"
)

var outside = flag.String("outside", "", "file to write wall times and their instants to, for .ci/outside/walls.mjs")

// TestOutside writes the instants of wall times around every change of clocks
// and on ordinary days, to be held against a general library of time.
func TestOutside(t *testing.T) {
	type wall struct{ Zone, Wall, Instant string }
	var all []wall
	for _, name := range []string{"Europe/Berlin", "Europe/London", "America/New_York", "Australia/Sydney", "Australia/Lord_Howe",
		"Asia/Kathmandu", "America/Sao_Paulo", "Pacific/Apia", "UTC"} {
		zone, err := time.LoadLocation(name)
		if err != nil {
			t.Fatal(err)
		}
		add := func(w time.Time) {
			all = append(all, wall{name, w.Format("2006-01-02T15:04:05"), Wall(w, zone).UTC().Format(time.RFC3339)})
		}
		at, end := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
		for w := at; w.Before(end); w = w.Add(29*24*time.Hour + 37*time.Minute) {
			add(w)
		}
		for {
			_, next := at.In(zone).ZoneBounds()
			if next.IsZero() || next.After(end) {
				break
			}
			for w := asUTC(next).Add(-26 * time.Hour); w.Before(asUTC(next).Add(26 * time.Hour)); w = w.Add(10 * time.Minute) {
				add(w)
			}
			at = next
		}
	}
	if len(all) < 20_000 {
		t.Fatalf("got %d wall times, want 20,000 at least", len(all))
	}
	if *outside == "" {
		return
	}
	data, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(*outside, data, 0o666); err != nil {
		t.Fatal(err)
	}
}
