package bot

import "testing"

func TestPrintable(t *testing.T) {
	for text, want := range map[string]string{
		"√(65² + 22²) ½ ′ ″":     "√(65² + 22²) ½ ′ ″",
		"a\x1b]0;title\x07b":     "a]0;titleb",
		"a\u009b31mb":            "a31mb",
		"a\x9bb":                 "a\ufffdb", // a control character of eight bits is no UTF-8
		"a\rb\x00c\x7f":          "abc",
		"a\u2066b\u061cc\u200bd": "abcd",
	} {
		if got := Printable(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}
