// Package script is the grammar of conversations as they are typed at a
// terminal and kept in .chat files: who says what, where, and when.
package script

import (
	"fmt"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// Added returns what the comments of a conversation add to a file, so that one
// can be held at a site or with a sheet that says more than the example:
//
//	-- in orchard-lane.yaml: usual: {floor: screed}
func Added(conversation, file string) string {
	var b strings.Builder
	for line := range strings.Lines(conversation) {
		if added, ok := strings.CutPrefix(line, "-- in "+file+": "); ok {
			b.WriteString(added)
		}
	}
	return b.String()
}

// LineKind is what a line of a conversation is.
type LineKind uint8

// The kinds of lines, and how they are written:
//
//	-- a comment
//	@ 2027-03-01 08:00       the clock is set
//	@ +24h                   the clock moves on
//	gap 54 60                you, in the channel
//	ana> gap 54 60           ana, in the channel
//	ana #A-101> tick 3       ana, in the thread of A-101
//	ana #A-101> [Next]       she presses a button
//	ana #A-101> {gap=8}      she fills the open form
//	bot #A-101> ...          what the bot posts, continued by lines with two
//	                         spaces in front
const (
	CommentLine LineKind = iota
	ClockSet
	ClockMove
	Said
	Pressed
	Filled
	Posted
)

// ScriptLine is a line of a conversation, typed or in a file.
type ScriptLine struct {
	Kind   LineKind
	Person string // "" for you, and of what the bot posts
	Thread string
	Text   string        // what is said, pressed or filled in
	Move   time.Duration // of ClockMove
	Days   int           // of ClockMove: whole days of the calendar
}

// ParseLine reads a line of a conversation. Posts of the bot that go on over
// several lines are put together by the caller.
func ParseLine(line string) (ScriptLine, error) {
	text := strings.TrimRight(strings.TrimPrefix(line, "\ufeff"), " \t\r\n")
	switch {
	case strings.TrimSpace(text) == "" || strings.HasPrefix(text, "--"):
		return ScriptLine{Kind: CommentLine, Text: text}, nil
	case isClock(text):
		return parseClock(strings.TrimSpace(text[1:]))
	}
	head, said, ok := strings.Cut(text, ">")
	person, thread, threaded := strings.Cut(head, " #")
	switch {
	case ok && lex.IsName(person) && (!threaded || lex.IsName(thread)):
	case ok && strings.Contains(head, "#"):
		return ScriptLine{}, say.F("%q is no person and thread: write it as ana #A-101> text", head)
	default:
		return sayOrPress(ScriptLine{}, text), nil
	}
	said = strings.TrimPrefix(said, " ")
	if person == bot.BotName {
		return ScriptLine{Kind: Posted, Thread: thread, Text: said}, nil
	}
	if err := CheckPerson(person); err != nil {
		return ScriptLine{}, err
	}
	return sayOrPress(ScriptLine{Person: person, Thread: thread}, said), nil
}

// isClock tells a line for the clock from one that calls somebody, as @ana.
func isClock(text string) bool {
	return len(text) > 1 && text[0] == '@' && strings.IndexByte(" +0123456789", text[1]) >= 0
}

// CheckPerson says why nobody can be called name in a conversation, nil if
// somebody can.
func CheckPerson(name string) error {
	switch {
	case strings.EqualFold(name, bot.BotName):
		return say.F("nobody can be called %s: that is who answers", name)
	case !lex.IsName(name):
		return say.F("nobody can be called %q here: use letters, digits, dots, dashes and _", name)
	}
	return nil
}

// sayOrPress tells a button and a form from what is said.
func sayOrPress(l ScriptLine, text string) ScriptLine {
	text = strings.TrimSpace(text)
	switch {
	case strings.HasPrefix(text, "[") && strings.HasSuffix(text, "]"):
		l.Kind, l.Text = Pressed, text[1:len(text)-1]
	case strings.HasPrefix(text, "{") && strings.HasSuffix(text, "}"):
		l.Kind, l.Text = Filled, text[1:len(text)-1]
	default:
		l.Kind, l.Text = Said, text
	}
	return l
}

// parseClock reads "+24h", "+3d" or "2027-03-01 08:00".
func parseClock(text string) (ScriptLine, error) {
	move, ok := strings.CutPrefix(text, "+")
	if !ok {
		if _, err := time.Parse(clockLayout, text); err != nil {
			return ScriptLine{}, say.F("%q is no time: write it as @ 2027-03-01 08:00 or @ +24h", text)
		}
		return ScriptLine{Kind: ClockSet, Text: text}, nil
	}
	if days, ok := strings.CutSuffix(move, "d"); ok {
		var n int
		if _, err := fmt.Sscanf(days, "%d", &n); err == nil && n > 0 && fmt.Sprint(n) == days {
			return ScriptLine{Kind: ClockMove, Days: n}, nil
		}
	}
	d, err := time.ParseDuration(move)
	if err != nil || d <= 0 {
		return ScriptLine{}, say.F("%q is no step of time: write it as @ +24h, @ +90m or @ +3d", text)
	}
	return ScriptLine{Kind: ClockMove, Move: d}, nil
}

const clockLayout = "2006-01-02 15:04"

// ErrBackward says that a clock was to be turned back.
var ErrBackward error = &backwardError{say.F("the clock only goes forward")}

type backwardError struct{ say.Text }

// Clock returns the time after a line that sets or moves the clock, in a
// zone. It returns ErrBackward if that is before now, unless now is zero.
func (l *ScriptLine) Clock(now time.Time, zone *time.Location) (time.Time, error) {
	var t time.Time
	switch {
	case l.Kind == ClockSet:
		var err error
		if t, err = time.ParseInLocation(clockLayout, l.Text, zone); err != nil {
			return now, err
		}
	case l.Days > 0:
		t = now.In(zone).AddDate(0, 0, l.Days)
	default:
		t = now.Add(l.Move)
	}
	if !now.IsZero() && t.Before(now) {
		return now, ErrBackward
	}
	return t, nil
}
