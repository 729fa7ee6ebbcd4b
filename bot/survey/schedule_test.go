package survey

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"heelpost/jobs"
)

// Lines of a door schedule are taken by their columns, however those are parted;
// other text is none.
func TestRows(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"A-12\t1200x2400\t54\toak\tFD30", "A-12 1200x2400, 54, oak, FD30"},
		{"A-12; 1200 x 2400; 54; oak", "A-12 1200 x 2400, 54, oak"},
		{"| A-12 | 1200 × 2400 mm | 95 kg |", "A-12 1200 × 2400 mm, 95 kg"},
		{"A-12  1200x2400  54", "A-12 1200x2400, 54"},
		{"A-1\t900x2100x44\t60 kg\r\n\r\nA-2\t\t950x2100x44\t61 kg\n", "A-1 900x2100x44, 60 kg / A-2 950x2100x44, 61 kg"},
		{"A-12 1200x2400 54", ""}, {"gap 54; setback 60; both", ""}, {"A-12\toak\tFD30", ""}, {"door\tsize\tfire\nA-1\t900x2100\t44", ""}, {"", ""},
	} {
		rows, ok := Rows(c.text)
		if got := strings.Join(rows, " / "); got != c.want || ok != (c.want != "") {
			t.Errorf("%q: got %q, %t, want %q", c.text, got, ok, c.want)
		}
	}
}

// A class of resistance to fire makes a fire door, in every way that EN 13501-2
// and older rules write it; a size of the leaf in two columns is asked about
// with what it may be.
func TestRead_schedule(t *testing.T) {
	for _, c := range []struct{ text, status, guess string }{
		{"FD30", "fire", ""}, {"fd 60", "fire", ""}, {"EI2-30", "fire", ""}, {"EI 90", "fire", ""}, {"FD30S", "fire smoke", ""}, {"REI120", "fire", ""}, {"E60", "fire", ""},
		{"1200x2400, 54, FD30", "", "1200x2400x54"}, {"1200 x 2400 54", "", "1200 x 2400x54"}, {"1200x2400, 54 kg", "", ""}, {"1200x2400, 900", "", ""}, {"1200x2400", "", ""},
	} {
		var spec jobs.Spec
		_, err := Read(c.text, &spec, new(Names))
		part, asked := errors.AsType[*Part](err)
		if asked == (c.status != "") || asked && part.Guess != c.guess || !slices.Equal(spec.Status, strings.Fields(c.status)) {
			t.Errorf("%q: got %q and %+v, want %q and the guess %q", c.text, spec.Status, part, c.status, c.guess)
		}
	}
}
