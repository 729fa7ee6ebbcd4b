// Package console is the terminal: it shows what the bot says and takes what
// is typed. It exists so that a newcomer talks to the bot a minute after
// cloning, and so that every conversation can be run from a file.
package console

import (
	"io"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"heelpost/bot"
)

// Screen shows answers and posts.
type Screen struct {
	Out   io.Writer
	Width int  // columns to wrap to; 0 for no wrapping
	Color bool // the terminal takes colours
}

// Styles of what is shown, as parameters of the terminal's SGR sequence.
const (
	bold  = "1"
	dim   = "2"
	warn  = "1;33"
	shade = "36"
)

// labelWidth is the column in which the text of labelled lines begins.
const labelWidth = 11

func (s *Screen) style(code, text string) string {
	if !s.Color || text == "" {
		return text
	}
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}

// Answer shows an answer: the result first and alone, then what it rests on.
func (s *Screen) Answer(a *bot.Answer) error {
	var b strings.Builder
	for i, l := range a.Lines() {
		text := bot.Printable(l.Text)
		if l.Label == "" {
			s.wrap(&b, text, "", bold)
			if i == 0 && a.OK() {
				b.WriteByte('\n')
			}
			continue
		}
		code, labelCode := "", dim
		switch l.Label {
		case "caution":
			code, labelCode = "", warn
		case "assumed", "read":
			labelCode = shade
		}
		label := s.style(labelCode, l.Label) + strings.Repeat(" ", max(1, labelWidth-len(l.Label)))
		var body strings.Builder
		s.wrap(&body, text, strings.Repeat(" ", labelWidth), code)
		b.WriteString(label + strings.TrimPrefix(body.String(), strings.Repeat(" ", labelWidth)))
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

// wrap writes text with every line behind the indent.
func (s *Screen) wrap(b *strings.Builder, text, indent, code string) {
	if s.Width > len(indent)+20 {
		text = ansi.Wordwrap(text, s.Width-len(indent), "")
	}
	for _, line := range strings.Split(text, "\n") {
		b.WriteString(indent + s.style(code, line) + "\n")
	}
}

// Text shows a text of several lines; lines that go on are set in.
func (s *Screen) Text(text string) error {
	var b strings.Builder
	for _, line := range strings.Split(bot.Printable(text), "\n") {
		indent := line[:len(line)-len(strings.TrimLeft(line, " "))]
		if s.Width > len(indent)+22 {
			line = ansi.Wordwrap(line, s.Width-2, "")
		}
		b.WriteString(strings.ReplaceAll(line, "\n", "\n"+indent+"  ") + "\n")
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

// Post shows a post: where, to whom, what.
func (s *Screen) Post(p bot.Post) error {
	head := bot.BotName
	if p.Thread != "" {
		head += " #" + p.Thread
	}
	if _, err := io.WriteString(s.Out, s.style(dim, bot.Printable(head))+"\n"); err != nil {
		return err
	}
	if p.Answer != nil {
		return s.Answer(p.Answer)
	}
	return s.Text(p.Text)
}
