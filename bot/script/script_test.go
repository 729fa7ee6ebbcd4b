package script

import (
	"errors"
	"strings"
	"testing"
	"time"
)

func TestParseLine(t *testing.T) {
	for _, c := range []struct {
		line string
		want ScriptLine
	}{
		{"", ScriptLine{Kind: CommentLine}},
		{"-- a comment", ScriptLine{Kind: CommentLine, Text: "-- a comment"}},
		{"@ 2027-03-01 08:00", ScriptLine{Kind: ClockSet, Text: "2027-03-01 08:00"}},
		{"@2027-03-01 08:00", ScriptLine{Kind: ClockSet, Text: "2027-03-01 08:00"}},
		{"\ufeff@ 2027-03-01 08:00\r", ScriptLine{Kind: ClockSet, Text: "2027-03-01 08:00"}},
		{"@ +90m", ScriptLine{Kind: ClockMove, Move: 90 * time.Minute}},
		{"@ +3d", ScriptLine{Kind: ClockMove, Days: 3}},
		{"@ana gap 46 75", ScriptLine{Kind: Said, Text: "@ana gap 46 75"}},
		{"gap 46 75 ", ScriptLine{Kind: Said, Text: "gap 46 75"}},
		{"is 46 > 75?", ScriptLine{Kind: Said, Text: "is 46 > 75?"}},
		{"gap > 46 75", ScriptLine{Kind: Said, Text: "gap > 46 75"}},
		{"ana> gap 46 75", ScriptLine{Kind: Said, Person: "ana", Text: "gap 46 75"}},
		{"josé> gap 46 75", ScriptLine{Kind: Said, Person: "josé", Text: "gap 46 75"}},
		{"ana #A-101> tick 3", ScriptLine{Kind: Said, Person: "ana", Thread: "A-101", Text: "tick 3"}},
		{"ana #A-101> [Next]", ScriptLine{Kind: Pressed, Person: "ana", Thread: "A-101", Text: "Next"}},
		{"{gap_heel=8}", ScriptLine{Kind: Filled, Text: "gap_heel=8"}},
		{"bot #A-101> done", ScriptLine{Kind: Posted, Thread: "A-101", Text: "done"}},
	} {
		if got, err := ParseLine(c.line); err != nil || got != c.want {
			t.Errorf("%q: got %+v, %v, want %+v", c.line, got, err, c.want)
		}
	}
}

func TestParseLine_faults(t *testing.T) {
	for line, want := range map[string]string{
		"@ 2027-02-30 08:00": `"2027-02-30 08:00" is no time`,
		"@ noon":             `"noon" is no time`,
		"@ +0h":              `"+0h" is no step of time`,
		"@ +-3h":             `"+-3h" is no step of time`,
		"@ +1e1d":            `"+1e1d" is no step of time`,
		"ana #A 1> gap":      `"ana #A 1" is no person and thread`,
		"ana#A-1> gap":       `"ana#A-1" is no person and thread`,
		"#A-1> gap":          `"#A-1" is no person and thread`,
		"Bot> gap 46 75":     "nobody can be called Bot",
		"BOT #A-1> gap":      "nobody can be called BOT",
	} {
		if got, err := ParseLine(line); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %+v, %v, want an error with %q", line, got, err, want)
		}
	}
}

func TestCheckPerson(t *testing.T) {
	for name, ok := range map[string]bool{"ana": true, "j.o-b_2": true, "josé": true, "": false, "a b": false, "a>b": false, "bot": false, "bOt": false} {
		if err := CheckPerson(name); (err == nil) != ok {
			t.Errorf("%q: got %v", name, err)
		}
	}
}

func TestScriptLine_Clock(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	// Clocks there go forward on 28 March 2027, 2:00: a day later is 23 hours.
	now := time.Date(2027, 3, 27, 8, 0, 0, 0, berlin)
	for line, want := range map[string]time.Time{
		"@ +24h":             time.Date(2027, 3, 28, 9, 0, 0, 0, berlin),
		"@ +1d":              time.Date(2027, 3, 28, 8, 0, 0, 0, berlin),
		"@ 2027-03-27 08:00": now,
		"@ 2027-03-27 08:01": now.Add(time.Minute),
	} {
		l, err := ParseLine(line)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := l.Clock(now, berlin); err != nil || !got.Equal(want) {
			t.Errorf("%q: got %v, %v, want %v", line, got, err, want)
		}
	}
	back := ScriptLine{Kind: ClockSet, Text: "2027-03-27 07:59"}
	if got, err := back.Clock(now, berlin); !errors.Is(err, ErrBackward) || !got.Equal(now) {
		t.Errorf("turned back to %v, %v", got, err)
	}
	if _, err := back.Clock(time.Time{}, berlin); err != nil {
		t.Errorf("the first time is refused: %v", err)
	}
}
