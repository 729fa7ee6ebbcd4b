package console

import (
	"regexp"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"heelpost/bot"
	"heelpost/bot/talk"
)

const question = "clear opening 1054 46 75 offset -5 open to 95"

func answer(t *testing.T, s Screen, text string) string {
	t.Helper()
	var b strings.Builder
	s.Out = &b
	if err := s.Answer(talk.Ask(text)); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Without a terminal every line stands alone and there is no colour.
func TestScreen_Plain(t *testing.T) {
	got := answer(t, Screen{}, question)
	if strings.Contains(got, "\x1b") {
		t.Errorf("plain text has escapes: %q", got)
	}
	lines := strings.Split(got, "\n")
	if !strings.HasPrefix(lines[0], "clear width ") || lines[1] != "" {
		t.Errorf("got %q and %q first, want the result alone", lines[0], lines[1])
	}
	for _, l := range lines[2 : len(lines)-1] {
		if len(l) <= labelWidth || l[0] == ' ' || l[labelWidth-1] != ' ' || l[labelWidth] == ' ' {
			t.Errorf("%q has no label, or its text is in another column", l)
		}
	}
}

// On a terminal nothing is wider than it, nothing is lost, and no figure is
// parted from its sign or unit.
func TestScreen_Width(t *testing.T) {
	want := strings.Fields(answer(t, Screen{}, question))
	for width := 36; width <= 140; width++ {
		got := answer(t, Screen{Width: width}, question)
		if f := strings.Fields(got); strings.Join(f, " ") != strings.Join(want, " ") {
			t.Fatalf("width %d: got words %q, want %q", width, f, want)
		}
		for line := range strings.Lines(got) {
			line = strings.TrimSuffix(line, "\n")
			if ansi.StringWidth(line) > width {
				t.Errorf("width %d: %q is wider", width, line)
			}
			if parted.MatchString(line) {
				t.Errorf("width %d: %q parts a figure from its sign or unit", width, line)
			}
		}
	}
}

var parted = regexp.MustCompile(`^ +(mm|in)\b|[(, ]-$`)

// Colours change nothing but colours, and each is ended on its line.
func TestScreen_Color(t *testing.T) {
	plain, got := answer(t, Screen{Width: 70}, question), answer(t, Screen{Width: 70, Color: true}, question)
	if ansi.Strip(got) != plain {
		t.Errorf("got %q without colours, want %q", ansi.Strip(got), plain)
	}
	if !strings.HasPrefix(got, "\x1b[1mclear width ") || !strings.Contains(got, "\n\x1b[1;33mcaution\x1b[0m ") {
		t.Errorf("the result is not bold, or no caution stands out: %q", got)
	}
	for line := range strings.Lines(got) {
		if strings.Count(line, "\x1b[") != 2*strings.Count(line, "\x1b[0m") || strings.Contains(line, "\x1b[m") {
			t.Errorf("%q begins what it does not end", line)
		}
	}
}

// What people type can't steer the terminal.
func TestScreen_Escapes(t *testing.T) {
	const evil = "gap 46 75 \x1b]0;x\x07 \u009b31m \u202e flange\x1b[2J 3"
	got := answer(t, Screen{Width: 60}, evil)
	var b strings.Builder
	s := Screen{Out: &b, Width: 60}
	if err := s.Post(bot.Post{Thread: "A\x1b[2J", Text: evil}); err != nil {
		t.Fatal(err)
	}
	for _, r := range got + b.String() {
		if r < ' ' && r != '\n' || r >= 0x7f && r < 0xa0 || r == 0x202e {
			t.Errorf("%q reaches the screen in %q", r, got+b.String())
		}
	}
}

// Help keeps its shape: what is set in stays so where it goes on.
func TestScreen_Text(t *testing.T) {
	var b strings.Builder
	s := Screen{Out: &b, Width: 40}
	if err := s.Text("gap: the gap that a leaf needs beside it to turn in\n    gap 44 thick, 65 setback, 1050 wide, and so on"); err != nil {
		t.Fatal(err)
	}
	want := "gap: the gap that a leaf needs beside\n  it to turn in\n    gap 44 thick, 65 setback, 1050\n      wide, and so on\n"
	if b.String() != want {
		t.Errorf("got\n%swant\n%s", b.String(), want)
	}
}
