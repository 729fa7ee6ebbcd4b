package talk_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"heelpost/bot/talk"
)

// The first screen is for a phone, and help door tells what can be said to a door,
// though a description has a field of that name.
func TestHelp_firstScreen(t *testing.T) {
	first, _ := talk.Help(nil, "help")
	lines := strings.Split(first, "\n")
	if len(lines) > 20 {
		t.Errorf("help has %d lines, a phone shows 20", len(lines))
	}
	for _, l := range lines {
		if utf8.RuneCountInString(l) > 42 {
			t.Errorf("%q is wider than a phone", l)
		}
	}
	if door, _ := talk.Help(nil, "help door"); !strings.Contains(door, "tick 3\n") {
		t.Errorf("help door does not list what can be said to one:\n%s", door)
	}
}
