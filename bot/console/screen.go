// Package console is the terminal: it shows what the bot says and takes what
// is typed. It exists so that a newcomer talks to the bot a minute after
// cloning, and so that every conversation can be run from a file.
package console

import (
	"io"
	"regexp"
	"strings"

	"github.com/clipperhouse/displaywidth"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/say"
)

// Screen shows answers and posts.
type Screen struct {
	Out      io.Writer
	Width    int           // columns to wrap to; 0 for no wrapping
	Color    bool          // the terminal takes colours
	Language *say.Language // of answers; nil for English
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
	if !s.Color || text == "" || code == "" {
		return text
	}
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}

// Answer shows an answer: the result first and alone, then what it rests on.
func (s *Screen) Answer(a *ask.Answer) error {
	var b strings.Builder
	for i, l := range a.Lines() {
		text := bot.Printable(s.Language.Say(l.Text))
		if l.Part == ask.Headline {
			s.wrap(&b, text, "", bold)
			if i == 0 && a.OK() && !a.Short {
				b.WriteByte('\n')
			}
			continue
		}
		code, labelCode := "", dim
		switch l.Part {
		case ask.Beware:
			labelCode = warn
			if a.Short {
				code = warn
			}
		case ask.Part(ask.Assumed), ask.Read:
			labelCode = shade
		}
		name := s.Language.Say(l.Label)
		if a.Short && a.OK() {
			if name != "" {
				text = name + ": " + text
			}
			s.wrap(&b, text, "", code)
			continue
		}
		label := s.style(labelCode, name) + strings.Repeat(" ", max(1, labelWidth-len([]rune(name))))
		var body strings.Builder
		s.wrap(&body, text, strings.Repeat(" ", labelWidth), code)
		b.WriteString(label + strings.TrimPrefix(body.String(), strings.Repeat(" ", labelWidth)))
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

// wrap writes text with every line behind the indent.
func (s *Screen) wrap(b *strings.Builder, text, indent, code string) {
	for _, line := range strings.Split(s.fold(text, len(indent)), "\n") {
		b.WriteString(indent + s.style(code, line) + "\n")
	}
}

// unitGap is the space between a figure and its unit.
var unitGap = regexp.MustCompile(`(\d) (mm|in)\b`)

// fold breaks the lines of text where they are too long for the screen less
// an indent: at spaces, but never between a figure and its sign or unit. A
// longer word is left to the terminal.
func (s *Screen) fold(text string, indent int) string {
	width := s.Width - indent
	if width <= 20 {
		return text
	}
	var b strings.Builder
	for i, line := range strings.Split(unitGap.ReplaceAllString(text, "$1\u00a0$2"), "\n") {
		if i > 0 {
			b.WriteByte('\n')
		}
		column := 0
		for j, word := range strings.Split(line, " ") {
			w := displaywidth.String(word)
			switch {
			case j == 0:
			case column+1+w > width:
				b.WriteByte('\n')
				column = 0
			default:
				b.WriteByte(' ')
				column++
			}
			b.WriteString(word)
			column += w
		}
	}
	return strings.ReplaceAll(b.String(), "\u00a0", " ")
}

// Text shows a text of several lines; lines that go on are set in.
func (s *Screen) Text(text string) error {
	var b strings.Builder
	for _, line := range strings.Split(bot.Printable(text), "\n") {
		rest := strings.TrimLeft(line, " ")
		indent := line[:len(line)-len(rest)]
		b.WriteString(indent + strings.ReplaceAll(s.fold(rest, len(indent)+2), "\n", "\n"+indent+"  ") + "\n")
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

// Post shows a post: where it stands, and what it says.
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
	if err := s.Text(p.Text); err != nil || len(p.Buttons) == 0 {
		return err
	}
	labels := make([]string, len(p.Buttons))
	for i, b := range p.Buttons {
		labels[i] = "[" + bot.Printable(b.Label) + "]"
	}
	_, err := io.WriteString(s.Out, s.style(shade, strings.Join(labels, " "))+"\n")
	return err
}
