package lex

import "testing"

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"gap", "gap", 0}, {"gpa", "gap", 1}, {"ga", "gap", 1}, {"gapp", "gap", 1}, {"gop", "gap", 1},
		{"setbakc", "setback", 1}, {"thikness", "thickness", 1}, {"tihkness", "thickness", 2}, {"", "abc", 3},
		// Damerau's four slips; the classic pair has distance 3 (Levenshtein, 1966).
		{"kitten", "sitting", 3}, {"sitting", "kitten", 3},
	} {
		if got := Distance(c.a, c.b); got != c.want {
			t.Errorf("Distance(%q, %q): got %d, want %d", c.a, c.b, got, c.want)
		}
	}
}
