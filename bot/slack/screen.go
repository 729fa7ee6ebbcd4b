package slack

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf16"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackutilsx"

	"heelpost/bot"
	"heelpost/bot/ask"
)

// screen is a message in Slack's terms. What people wrote stands in plain
// text objects and rich text elements alone, where Slack interprets nothing.
type screen struct {
	Text   string // complete, escaped: what notifications show and screen readers read
	Blocks []slack.Block

	lines   []line // what Blocks shows, for pages
	buttons []slack.Block
}

// users knows who people are in Slack.
type users interface {
	// Slack returns the user id of a person of the site file, "" if there is
	// none.
	Slack(person string) (userID string)
}

// line is a line of a message.
type line struct {
	role  role
	apart bool // it begins a block of its own
	spans []span
	known int // its size, of a line that does not change any more
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
}

// message shows a post, with the picture that Slack keeps as fileID if there
// is one. It may be longer than Slack takes: pages makes messages of it.
func message(p bot.Post, who users, fileID string) screen {
	called, text := callees(p, who)
	var s screen
	if p.Answer != nil {
		s.lines = answerLines(p.Answer)
	} else {
		s.lines = textLines(text, p.Kind == bot.KindBoard || p.Kind == bot.KindFace)
	}
	if len(called) > 0 {
		s.lines[0].role = plain
		s.lines[0].spans = append(slices.Clone(called), s.lines[0].spans...)
	}
	if fileID != "" && p.Picture != nil {
		s.lines = slices.Insert(s.lines, afterResult(s.lines), line{role: picture, spans: []span{{text: oneLine(p.Picture.Alt), file: fileID}}})
	}
	s.Text = spansText(called) + slackutilsx.EscapeMessage(text)
	s.buttons = buttons(p)
	s.lines = short(s.lines)
	s.Blocks = append(layout(s.lines), s.buttons...)
	return s
}

// callees returns whom a post calls by @id at its front, and the rest of its
// text. Only the people it is for can be called.
func callees(p bot.Post, who users) (called []span, rest string) {
	rest = strings.TrimSpace(bot.Printable(p.Text))
	for to := strings.Fields(p.To); ; {
		word, after, _ := strings.Cut(rest, " ")
		id, at := strings.CutPrefix(word, "@")
		if !at || !slices.Contains(to, id) || after == "" {
			return called, rest
		}
		s := span{text: word}
		if who != nil {
			s.user = who.Slack(id)
		}
		called, rest = append(called, s, span{text: " "}), after
	}
}

// afterResult returns the place below the result and above what it rests on.
func afterResult(lines []line) int {
	i := min(1, len(lines))
	for i < len(lines) && lines[i].role == bullet {
		i++
	}
	return i
}

// answerLines shows an answer: the result first and alone, then what else
// came out and what it rests on, the cautions, and in small print where it
// is from.
func answerLines(a *ask.Answer) []line {
	var result, rest, cautions, sources []line
	for _, l := range a.Lines() {
		text := oneLine(l.Text)
		labelled := line{spans: []span{{text: l.Label + ": ", bold: true}, {text: text}}}
		switch {
		case l.Label == "" && a.OK():
			result = append(result, line{role: headline, spans: []span{{text: text, bold: true}}})
		case l.Label == "":
			result = append(result, line{spans: []span{{text: text}}})
		case l.Label == "also":
			result = append(result, others(a)...)
		case l.Label == "caution":
			labelled.role = quote
			cautions = append(cautions, labelled)
		case l.Label == "source":
			sources = append(sources, line{role: small, spans: []span{{text: l.Label + ": " + text}}})
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
func others(a *ask.Answer) []line {
	var lines []line
	for _, r := range a.Results[1:] {
		if !r.Minor {
			lines = append(lines, line{role: bullet, spans: []span{{text: strings.ReplaceAll(r.Name, "_", " ") + " "}, {text: oneLine(r.Shown), bold: true}}})
		}
	}
	return lines
}

// textLines shows a text: labels and the first of several lines stand out, the
// first as a headline if it is a title, and lines that are set in become a
// list under the one before.
func textLines(text string, titled bool) []line {
	var lines []line
	all := strings.Split(text, "\n")
	labelled := true // the line that a list is under
	for i, t := range all {
		in := strings.HasPrefix(t, " ")
		if t = strings.TrimSpace(t); t == "" {
			continue
		}
		l, bold := line{apart: len(lines) > 0 && strings.HasPrefix(t, "next: ")}, label(t)
		switch first := len(lines) == 0 && len(all) > 1; {
		case in:
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

// press is what a button says when it is pressed.
type press struct {
	Site string `json:"site,omitempty"` // of the door, where the channel does not tell
	Door string `json:"door,omitempty"`
	Say  string `json:"say,omitempty"`
	Form string `json:"form,omitempty"`
	Ask  string `json:"ask,omitempty"` // the question whose answer is shared
}

func (p press) value() string { return compact(p) }

// readPress reads a button's value; false if it is none of ours.
func readPress(value string) (press, bool) {
	var p press
	err := json.Unmarshal([]byte(value), &p)
	return p, err == nil
}

// compact returns v as JSON with as few characters as can be.
func compact(v any) string {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		panic(err) // strings always marshal
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// buttons shows what can be pressed beneath a post. The first is what is
// wanted most often, and looks like it.
func buttons(p bot.Post) []slack.Block {
	all := actions(p.Buttons, press{Door: p.Thread})
	if len(all) > 0 {
		all[0].(*slack.ButtonBlockElement).Style = slack.StylePrimary
	}
	return rows("", all)
}

// actions makes buttons that speak of a door. One whose order is too long for
// Slack is left out: it can still be said.
func actions(list []bot.Button, about press) []slack.BlockElement {
	var all []slack.BlockElement
	for i, b := range list {
		kind := "say"
		if about.Say, about.Form = b.Say, ""; b.Say == "" {
			kind, about.Form = "form", b.Form
		}
		if value := about.value(); size(value) <= maxValue {
			all = append(all, slack.NewButtonBlockElement(fmt.Sprintf("%s:%d", kind, i+1), value, plainText(b.Label, maxButton)))
		}
	}
	return all
}

// rows puts elements into as many blocks as they need.
func rows(id string, all []slack.BlockElement) []slack.Block {
	var blocks []slack.Block
	for row := range slices.Chunk(all, maxActions) {
		block := slack.NewActionBlock("", row...)
		if id != "" {
			block.BlockID = fmt.Sprintf("%s:%d", id, len(blocks)+1)
		}
		blocks = append(blocks, block)
	}
	return blocks
}

// ephemeral shows the answer to a slash command to its asker alone, with a
// button that shows it to all.
func ephemeral(p bot.Post, question string) screen {
	s := message(p, nil, "")
	value := press{Ask: question}.value()
	if p.Kind == bot.KindAsk || p.Kind == bot.KindError || size(value) > maxValue {
		return s
	}
	share := slack.NewActionBlock("", slack.NewButtonBlockElement("share", value, plainText("Share", maxButton)))
	s.buttons = append(s.buttons, share)
	s.Blocks = append(s.Blocks, share)
	return s
}

// pressed shows a message of ours, as it came back from Slack, after one of
// its buttons was pressed: without buttons, and with who pressed what. The
// time is told in its zone.
func pressed(msg slack.Message, label, by string, at time.Time) screen {
	var s screen
	for _, b := range msg.Blocks.BlockSet {
		switch b := b.(type) {
		case *slack.ActionBlock:
			continue
		case *slack.ImageBlock:
			if b.SlackFile != nil { // it comes back with addresses beside the id, but only one of them may be sent
				b.ImageURL, b.SlackFile = "", &slack.SlackFileObject{ID: b.SlackFile.ID}
			}
		}
		s.Blocks = append(s.Blocks, b)
	}
	what, when, who := oneLine(label)+":", at.Format("15:04"), "<@"+by+">"
	s.Blocks = append(s.Blocks, slack.NewContextBlock("", plainText(what, maxButton), slack.NewTextBlockObject(slack.MarkdownType, who, false, false), plainText(when, maxButton)))
	s.Text = msg.Text + "\n" + slackutilsx.EscapeMessage(what) + " " + who + ", " + when
	return s
}

// Bounds of what we send. They keep within Slack's, with room for a line that
// is added when a button is pressed.
const (
	maxPage    = 3700 // of a message's text: an edit with more than 4000 is refused
	maxLines   = 100
	maxSection = 2900
	maxHeader  = 150
	maxActions = 25
	maxButton  = 75
	maxValue   = 2000
)

// pages parts a screen that is too long for one message, at line ends. Every
// page says which it is, and the last one has the buttons.
func pages(s screen) []screen {
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
			lines = append(slices.Clone(lines), line{role: small, apart: true, spans: []span{{text: fmt.Sprintf("%d of %d", i+1, len(all))}}})
		}
		out[i] = screen{Text: linesText(lines), Blocks: layout(lines), lines: lines}
	}
	last := &out[len(out)-1]
	last.Blocks, last.buttons = append(last.Blocks, s.buttons...), s.buttons
	return out
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
		return "  " + spansText(l.spans)
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

// short parts lines that are too long for a block, or for a header.
func short(lines []line) []line {
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
		l.known = l.size()
		out = append(out, l)
	}
	return out
}

// cut parts a text so that the first part is no longer than most: at a space,
// if it can be not between a figure and its sign or unit, and within a word
// only if that is too long alone.
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
	if l.known > 0 {
		return l.known
	}
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
func oneLine(s string) string {
	if isTidy(s) {
		return s
	}
	return strings.Join(strings.Fields(bot.Printable(s)), " ")
}

// isTidy reports whether a text is plainly in one line already, as most are.
func isTidy(s string) bool {
	last := byte(' ')
	for i := range len(s) {
		if c := s[i]; c < ' ' || c >= 0x7f || c == ' ' && last == ' ' {
			return false
		}
		last = s[i]
	}
	return last != ' '
}

// plainText returns a text in one line that Slack does not interpret. What is
// too long is cut after a word.
func plainText(s string, most int) *slack.TextBlockObject {
	if s = oneLine(s); size(s) > most {
		s, _ = cut(s, most-1)
		s += "…"
	}
	return slack.NewTextBlockObject(slack.PlainTextType, s, false, false)
}

// layout shows lines as blocks.
func layout(lines []line) []slack.Block {
	var blocks []slack.Block
	for len(lines) > 0 {
		n, used := 1, lines[0].size()
		for n < len(lines) && together(lines[n-1], lines[n]) {
			if used += lines[n].size() + 1; used > maxSection {
				break
			}
			n++
		}
		blocks = append(blocks, block(lines[:n]))
		lines = lines[n:]
	}
	return blocks
}

// together reports whether two lines can stand in one block.
func together(a, b line) bool {
	rich := func(l line) bool { return l.role == plain || l.role == bullet || l.role == quote }
	return !b.apart && (rich(a) && rich(b) || a.role == small && b.role == small)
}

// block shows lines that stand together.
func block(lines []line) slack.Block {
	first := lines[0]
	switch text := first.spans[0].text; first.role {
	case headline:
		return slack.NewHeaderBlock(slack.NewTextBlockObject(slack.PlainTextType, text, false, false))
	case small:
		all := make([]string, len(lines))
		for i, l := range lines {
			all[i] = l.spans[0].text
		}
		return slack.NewContextBlock("", slack.NewTextBlockObject(slack.PlainTextType, strings.Join(all, "\n"), false, false))
	case picture:
		return slack.NewImageBlockSlackFile(&slack.SlackFileObject{ID: first.spans[0].file}, text, "", nil)
	}
	return rich(lines)
}

// rich shows lines as rich text.
func rich(lines []line) *slack.RichTextBlock {
	b := slack.NewRichTextBlock("")
	for len(lines) > 0 {
		n := 1
		for n < len(lines) && lines[n].role == lines[0].role {
			n++
		}
		switch lines[0].role {
		case bullet:
			l := &list{Type: slack.RTEList, Style: slack.RTEListBullet}
			for i := range lines[:n] {
				l.Elements = append(l.Elements, slack.NewRichTextSection(elements(lines[i:i+1])...))
			}
			b.Elements = append(b.Elements, l)
		case quote:
			b.Elements = append(b.Elements, &slack.RichTextQuote{Type: slack.RTEQuote, Elements: elements(lines[:n])})
		default:
			b.Elements = append(b.Elements, slack.NewRichTextSection(elements(lines[:n])...))
		}
		lines = lines[n:]
	}
	return b
}

// list is a list in rich text, without the offset that slack-go sends along
// and Slack's types don't know.
type list struct {
	Type     slack.RichTextElementType     `json:"type"`
	Style    slack.RichTextListElementType `json:"style"`
	Elements []*slack.RichTextSection      `json:"elements"`
}

func (l *list) RichTextElementType() slack.RichTextElementType { return l.Type }

// unitNames are the units that stay on one line with their figures.
var unitNames = []string{"mm", "in", "kg", "N", "°C", "m/s", "h", "min"}

// glued returns a text with no line broken between a figure and its unit.
// Every answer passes here many times: a regular expression took a fifth of
// the time that a question costs.
func glued(s string) string {
	var b strings.Builder
	from := 0
	for i := 1; i < len(s); i++ {
		if s[i] == ' ' && s[i-1] >= '0' && s[i-1] <= '9' && unitFirst(s[i+1:]) {
			b.WriteString(s[from:i])
			b.WriteString("\u00a0")
			from = i + 1
		}
	}
	if from == 0 {
		return s
	}
	b.WriteString(s[from:])
	return b.String()
}

// unitFirst reports whether a text begins with a unit.
func unitFirst(s string) bool {
	for _, u := range unitNames {
		if rest, ok := strings.CutPrefix(s, u); ok && !(rest != "" && isWord(rest[0])) {
			return true
		}
	}
	return false
}

func isWord(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '_'
}

// elements shows lines one below the other, with neighbours of one style
// joined.
func elements(lines []line) []slack.RichTextSectionElement {
	var all []slack.RichTextSectionElement
	var last *slack.RichTextSectionTextElement
	for i, l := range lines {
		spans := l.spans
		if i > 0 {
			spans = append([]span{{text: "\n"}}, spans...)
		}
		for _, s := range spans {
			s.text = glued(s.text)
			switch {
			case s.user != "":
				all, last = append(all, slack.NewRichTextSectionUserElement(s.user, nil)), nil
			case last != nil && (last.Style != nil) == s.bold:
				last.Text += s.text
			default:
				var style *slack.RichTextSectionTextStyle
				if s.bold {
					style = &slack.RichTextSectionTextStyle{Bold: true}
				}
				last = slack.NewRichTextSectionTextElement(s.text, style)
				all = append(all, last)
			}
		}
	}
	return all
}
