package slack

import (
	"regexp"
	"strings"

	"github.com/slack-go/slack"
)

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

// figureUnit is a figure and its unit, as in "9 mm".
var figureUnit = regexp.MustCompile(`(\d) (mm|in|kg|N|°C|m/s|h|min)\b`)

// glued returns a text with no line broken between a figure and its unit.
func glued(s string) string { return figureUnit.ReplaceAllString(s, "$1\u00a0$2") }

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
			case s.link:
				all, last = append(all, slack.NewRichTextSectionLinkElement(strings.TrimSpace(s.text), s.text, nil)), nil
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
