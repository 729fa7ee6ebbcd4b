package jobs_test

import (
	"os"
	"strings"
	"testing"

	"heelpost/jobs"
)

// All that is wrong with a file is told at once: its shape, a value without its
// unit, a key that is not known, one that is missing, values outside their bounds,
// and two that do not go together. What follows only from a value that was not
// read is not told.
func TestFaults_allAtOnce(t *testing.T) {
	data, err := os.ReadFile("../testdata/sheets/orchard.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for _, change := range []struct{ from, to string }{
		{"wind: 6 m/s", "wind: 600 m/s"}, {"months: ", "monhts: "}, {"  closing_most: 14 s", "  closing_most: 2 s"}, {"  screed: 11 mm", "  screed: 11"},
	} {
		if !strings.Contains(text, change.from) {
			t.Fatalf("the sheet has no %q", change.from)
		}
		text = strings.Replace(text, change.from, change.to, 1)
	}
	_, err = jobs.ParseSheet([]byte(text))
	if err == nil {
		t.Fatal("it is taken")
	}
	for _, want := range []string{"wind: 600 m/s is outside", "service.monhts is not a key", "service.months is missing", "acceptance.closing_most: 2 s is outside 6 s to 300 s", "holes.screed: \"11\": write it with its unit"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not told:\n%s", want, err)
		}
	}
	if n := strings.Count(err.Error(), "\n") + 1; n != 5 {
		t.Errorf("%d faults for five:\n%s", n, err)
	}
}

// A sheet whose values are good one by one may open no door all the same.
func TestSheet_doubts(t *testing.T) {
	data, err := os.ReadFile("../testdata/sheets/orchard.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ from, to, want string }{
		{"", "", ""},
		{"  concrete: ", "  conrete: ", "is it concrete?"},
		{"  concrete: ", "  epoxy: ", ""}, // their own word for a floor
		{"  lengths: [", "  lengths: [22 mm, ", "22 mm stands there twice"},
		{"  reference: ", "  reference: 60 °C # ", "adhesive.reference: 60 °C is outside"},
	} {
		if !strings.Contains(string(data), c.from) {
			t.Fatalf("the sheet has no %q", c.from)
		}
		s, err := jobs.ParseSheet([]byte(strings.Replace(string(data), c.from, c.to, 1)))
		if err != nil {
			t.Fatal(c.to, err)
		}
		all := ""
		for _, d := range s.Doubts() {
			all += d.String() + "\n"
		}
		if (c.want == "") != (all == "") || !strings.Contains(all, c.want) {
			t.Errorf("%q: doubts %q, want %q", c.to, all, c.want)
		}
	}
}
