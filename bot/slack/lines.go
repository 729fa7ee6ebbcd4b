package slack

import (
	"slices"
	"strings"

	"github.com/slack-go/slack/slackutilsx"

	"heelpost/bot/ask"
	"heelpost/bot/say"
)

// line is a line of a message.
type line struct {
	role  role
	apart bool // it begins a block of its own
	spans []span
}

// role is how a line is shown.
type role uint8

const (
	plain    role = iota
	headline      // large, alone
	bullet        // set in
	quote         // behind a bar: cautions
	small         // small print
	picture       // its text says what it shows
)

// span is a part of a line: text, or a person who is called.
type span struct {
	text string
	bold bool
	user string // Slack's id of the person
	file string // Slack's id of a picture
	link bool   // the text is an address that may be opened
}

// answerLines shows an answer: the result first and alone, then what else
// came out and what it rests on, the cautions, and in small print where it
// is from.
func answerLines(in *say.Language, a *ask.Answer) []line {
	var result, rest, cautions, sources []line
	for _, l := range a.Lines() {
		text, label := oneLine(in.Say(l.Text)), in.Say(l.Label)
		labelled := line{spans: []span{{text: label + ": ", bold: true}, {text: text}}}
		if label == "" {
			labelled.spans = []span{{text: text}}
		}
		switch {
		case l.Part == ask.Headline && a.OK():
			result = append(result, line{role: headline, spans: []span{{text: text, bold: true}}})
		case l.Part == ask.Headline:
			result = append(result, line{spans: []span{{text: text}}})
		case l.Part == ask.Also:
			result = append(result, others(in, a)...)
		case l.Part == ask.Beware:
			labelled.role = quote
			cautions = append(cautions, labelled)
		case l.Part == ask.Source:
			sources = append(sources, line{role: small, spans: []span{{text: label + ": " + text}}})
		default:
			rest = append(rest, labelled)
		}
	}
	for _, part := range [][]line{rest, cautions} {
		if len(part) > 0 {
			part[0].apart = true
		}
	}
	return slices.Concat(result, rest, cautions, sources)
}

// others shows the results after the first.
func others(in *say.Language, a *ask.Answer) []line {
	var lines []line
	for _, r := range a.Others() {
		lines = append(lines, line{role: bullet, spans: []span{{text: oneLine(in.Say(a.Named(r)))}}})
	}
	return lines
}

// textLines shows a text. What stands before a colon is bold, as "stage:" in
// "stage: survey"; so is a short first line (a headline, if the text is titled)
// and a line above a list. Lines that are set in become the list:
//
//	survey: 2
//	  1 status (hold)
//	  1 snag
func textLines(in *say.Language, text string, titled bool) []line {
	var lines []line
	all := strings.Split(text, "\n")
	next, _, _ := strings.Cut(in.Say(say.F("next: %s", "\n")), "\n") // what such a line begins with
	labelled := true                                                 // the line that a list is under
	for i, t := range all {
		inset := strings.HasPrefix(t, " ")
		if t = strings.TrimSpace(t); t == "" {
			continue
		}
		l, bold := line{apart: len(lines) > 0 && strings.HasPrefix(t, next)}, label(t)
		switch first := len(lines) == 0 && len(all) > 1; {
		case inset:
			l.role = bullet
			if !labelled {
				bold = 0
			}
		case first && titled:
			l.role, bold = headline, len(t)
		default:
			labelled = bold > 0
			title := first && (len(t) <= longestTitle || strings.HasSuffix(t, ":")) || i+1 < len(all) && strings.HasPrefix(all[i+1], " ")
			if title && !labelled {
				bold = len(t)
			}
		}
		for _, s := range []span{{text: t[:bold], bold: true}, {text: t[bold:]}} {
			if s.text != "" {
				l.spans = append(l.spans, s)
			}
		}
		lines = append(lines, l)
	}
	return lines
}

// longestTitle is how long a first line may be that stands out as a whole.
const longestTitle = 60

// label returns the length of the label that a line begins with, as in
// "next: tick 3".
func label(s string) int {
	const longest = 32
	i := strings.Index(s, ": ")
	if i < 0 || i > longest || strings.ContainsAny(s[:i], "@,;()\"") {
		return 0
	}
	return i + 1
}

// linesText returns lines as escaped plain text.
func linesText(lines []line) string {
	all := make([]string, len(lines))
	for i, l := range lines {
		all[i] = lineText(l)
	}
	return strings.Join(all, "\n")
}

func lineText(l line) string {
	if l.role == bullet {
		return "    " + spansText(l.spans)
	}
	return spansText(l.spans)
}

func spansText(spans []span) string {
	var b strings.Builder
	for _, s := range spans {
		if s.user != "" {
			b.WriteString("<@" + s.user + ">")
			continue
		}
		b.WriteString(slackutilsx.EscapeMessage(s.text))
	}
	return b.String()
}
