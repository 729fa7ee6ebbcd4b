package slack

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf16"

	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/say"
)

// Bounds of what we send. They keep within Slack's, with room for a line that
// is added when a button is pressed.
const (
	maxPage    = 3700 // of a message's text: an edit with more than 4000 is refused
	maxLines   = 100
	maxSection = 2900
	maxHeader  = 150
	maxActions = 25
	maxButton  = 75
	maxFileAlt = 1000
	maxValue   = 2000
)

// pages parts a screen that is too long for one message, at line ends. Every
// page says which it is, and the last one has the buttons.
func pages(in *say.Language, s screen) []screen {
	var all [][]line
	used := 0
	for i, l := range s.lines {
		n := l.size() + 1
		if i == 0 || used+n > maxPage || len(all[len(all)-1]) == maxLines {
			all, used = append(all, nil), 0
		}
		all[len(all)-1] = append(all[len(all)-1], l)
		used += n
	}
	if len(all) == 0 || len(all) == 1 && utf16Len(s.Text) <= maxPage {
		return []screen{s}
	}
	out := make([]screen, len(all))
	for i, lines := range all {
		if len(all) > 1 {
			lines = append(slices.Clone(lines), line{role: small, apart: true, spans: []span{{text: in.Say(say.F("%s of %s", i+1, len(all)))}}})
		}
		out[i] = screen{Text: linesText(lines), Blocks: layout(lines), lines: lines}
	}
	last := &out[len(out)-1]
	last.Blocks, last.buttons = append(last.Blocks, s.buttons...), s.buttons
	return out
}

// fitted parts lines that are too long for a block, or for a header.
func fitted(lines []line) []line {
	var out []line
	for _, l := range lines {
		if l.role == headline && l.size() > maxHeader {
			l.role = plain
		}
		for l.size() > maxSection {
			head := l
			head.spans = nil
			for room := maxSection - 2; ; {
				s := l.spans[0]
				n := s.size()
				if n > room {
					part := s
					part.text, s.text = cut(s.text, room)
					head.spans, l.spans = append(head.spans, part), append([]span{s}, l.spans[1:]...)
					break
				}
				head.spans, l.spans, room = append(head.spans, s), l.spans[1:], room-n
			}
			out = append(out, head)
		}
		out = append(out, l)
	}
	return out
}

// cut parts a text so that the first part is no longer than most. It parts
// "… the gap is 9 mm" before "9" rather than between the figure and its unit,
// and a word only if that is too long alone.
func cut(s string, most int) (head, tail string) {
	n, fit, loose, firm := 0, 0, 0, 0
	last := ' '
	for i, r := range s {
		if n += units(r); n > most {
			break
		}
		if r == ' ' && i > 0 {
			loose = i
			if !unicode.IsDigit(last) && !unicode.IsSymbol(last) && !unicode.IsPunct(last) || last == ',' || last == ';' || last == '.' {
				firm = i
			}
		}
		fit, last = i+len(string(r)), r
	}
	switch {
	case firm > 0:
		return s[:firm], s[firm+1:]
	case loose > 0:
		return s[:loose], s[loose+1:]
	}
	return s[:fit], s[fit:]
}

// units returns how much of a limit a character takes: Slack may count it
// escaped and in UTF-16.
func units(r rune) int {
	switch r {
	case '&':
		return len("&amp;")
	case '<', '>':
		return len("&lt;")
	}
	return max(1, utf16.RuneLen(r))
}

// size returns how much of a limit a line takes.
func (l *line) size() int {
	n := len("  ")
	for _, s := range l.spans {
		n += s.size()
	}
	return n
}

func (s span) size() int {
	if s.user != "" {
		return len("<@>") + len(s.user)
	}
	return size(s.text)
}

// size returns how much of a limit a text takes.
func size(s string) int {
	n := 0
	for _, r := range s {
		n += units(r)
	}
	return n
}

// utf16Len returns how many UTF-16 units a text takes.
func utf16Len(s string) int {
	n := 0
	for _, r := range s {
		n += max(1, utf16.RuneLen(r))
	}
	return n
}

// oneLine returns a text in one line.
func oneLine(s string) string { return strings.Join(strings.Fields(bot.Printable(s)), " ") }

// plainText returns a text in one line that Slack does not interpret. What is
// too long is cut after a word.
func plainText(s string, most int) *slack.TextBlockObject {
	if s = oneLine(s); size(s) > most {
		s, _ = cut(s, most-1)
		s += "…"
	}
	return slack.NewTextBlockObject(slack.PlainTextType, s, false, false)
}
