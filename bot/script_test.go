package bot

import "testing"

// What a post holds comes back as its lines do: every line of it but the
// first is set in.
func TestPost_Script(t *testing.T) {
	p := Post{Thread: "A-101", Text: "gap 6 mm\nasked: \x1b[31mred\tand \u202eblue\nbot> not me"}
	want := "bot #A-101> gap 6 mm\n  asked: [31mred and blue\n  bot> not me\n"
	if got := p.Script(); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
