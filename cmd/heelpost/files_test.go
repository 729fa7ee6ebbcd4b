package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"heelpost/bot/desk"
	"heelpost/bot/say"
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
	s := shelf{places: places{Sheets: folder}, desk: desk.New(store, false)}
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
			if !strings.Contains(faults[0].String(), part) {
				t.Errorf("%s: got %q, want it to say %q", step.name, faults[0], part)
			}
		}
	}
}

// So with a site file, and with the holidays beside it.
func TestShelf_ReloadSite(t *testing.T) {
	store, err := redis.Embedded(t.Context(), "console")
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	folder := t.TempDir()
	read := func(name string) string {
		text, err := os.ReadFile("../../testdata/sites/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	good, holidays := read("orchard-lane.yaml"), read("orchard-lane.ics")
	closed, bad := strings.Replace(good, "2027-06-11", "2027-06-10", 1), strings.Replace(good, "zone: Europe/Berlin", "zone: Atlantis", 1)
	s := shelf{places: places{Sites: folder}, desk: desk.New(store, false)}
	before := ""
	for _, step := range []struct {
		name, site, ics string
		taken           bool
		want            []string // what must stand in the one fault; none for no fault
	}{
		{"none", "", "", false, []string{folder, "no site file", "the last good files"}},
		{"none yet", "", "", false, nil},
		{"without its holidays", good, "", false, []string{"orchard-lane.yaml", "orchard-lane.ics", "it is not taken"}},
		{"still without", good, "", false, nil},
		{"new", good, holidays, true, nil},
		{"unchanged", good, holidays, false, nil},
		{"changed", closed, holidays, true, nil},
		{"broken", bad, holidays, false, []string{"orchard-lane.yaml", "line 4", "Atlantis", "last good one stays"}},
		{"still broken", bad, holidays, false, nil},
		{"mended as it was", closed, holidays, false, nil},
		{"other holidays", closed, strings.Replace(holidays, "20270501", "20270502", 2), true, nil},
		{"broken holidays", closed, strings.Replace(holidays, "END:VCALENDAR", "", 1), false, []string{"orchard-lane.ics", "last good one stays"}},
	} {
		for name, text := range map[string]string{"orchard-lane.yaml": step.site, "orchard-lane.ics": step.ics} {
			if text == "" {
				continue
			}
			if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		faults := s.reload(t.Context())
		if (len(faults) > 0) != (step.want != nil) || len(faults) > 1 {
			t.Errorf("%s: got %q", step.name, faults)
			continue
		}
		for _, part := range step.want {
			if !strings.Contains(faults[0].String(), part) {
				t.Errorf("%s: got %q, want it to say %q", step.name, faults[0], part)
			}
		}
		bound, err := store.Bound(t.Context(), "site:orchard-lane")
		if err != nil || (bound[0] != before) != step.taken {
			t.Errorf("%s: bound to %.8s before and %.8s now, %v; taken into use: want %v", step.name, before, bound[0], err, step.taken)
		}
		before = bound[0]
	}
}

// What the store could not take is taken when it is there again, and is no
// fault of the files.
func TestShelf_StoreAway(t *testing.T) {
	store, err := redis.Embedded(t.Context(), "console")
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	s := shelf{places: places{Sites: "../../testdata/sites", Sheets: "../../testdata/sheets"}, desk: desk.New(store, false)}
	away, cancel := context.WithCancel(t.Context())
	cancel()
	if faults, err := s.load(away); len(faults) > 0 || err == nil {
		t.Errorf("away: got %q, %v, want an error alone", faults, err)
	}
	if faults, err := s.load(t.Context()); len(faults) > 0 || err != nil {
		t.Errorf("there again: got %q, %v", faults, err)
	}
	if bound, err := store.Bound(t.Context(), "site:orchard-lane", "site:pier-nine"); err != nil || bound[0] == "" || bound[1] == "" {
		t.Errorf("got %q, %v, want both sites in use", bound, err)
	}
}

// What check finds is said in the operator's language, and what jobs says of a
// file within it.
func TestCheck_language(t *testing.T) {
	folder := t.TempDir()
	sheet, err := os.ReadFile("../../testdata/sheets/orchard.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"good.yaml": string(sheet), "bad.yaml": strings.Replace(string(sheet), "mass: 150 kg", "mass: plenty", 1), "old.yml": ""} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var out, complaints strings.Builder
	s := streams{out: &out, err: &complaints, language: &say.Language{Texts: map[string]string{
		"sheet %s is good": "good: sheet %s", "line %s: %s": "%[2]s at line %[1]s", "%s is not read: its name has to end in .yaml": "not read, for its name does not end in .yaml: %s"}}}
	if err := (&checkCmd{places: places{Sheets: folder}}).Run(t.Context(), &s); !errors.Is(err, errTheirs) {
		t.Errorf("got %v", err)
	}
	if got := out.String(); !strings.HasPrefix(got, "good: sheet good.yaml\n") {
		t.Errorf("got %q", got)
	}
	for _, want := range []string{" at line 6\n", "heelpost: not read, for its name does not end in .yaml: " + filepath.Join(folder, "old.yml") + "\n"} {
		if got := complaints.String(); !strings.Contains(got, want) {
			t.Errorf("got %q, want it to say %q", got, want)
		}
	}
}
