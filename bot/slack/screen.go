package slack

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackutilsx"

	"heelpost/bot"
	"heelpost/bot/say"
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

// message shows a post, with the picture that Slack keeps as fileID if there
// is one. It may be longer than Slack takes: pages makes messages of it.
func message(in *say.Language, p bot.Post, who users, fileID string) screen {
	called, text := callees(p, who)
	var s screen
	if p.Answer != nil {
		s.lines = answerLines(in, p.Answer)
	} else {
		s.lines = linked(textLines(in, text, p.Kind == bot.KindBoard || p.Kind == bot.KindFace), p.Links)
	}
	if len(called) > 0 {
		s.lines[0].role = plain
		s.lines[0].spans = append(slices.Clone(called), s.lines[0].spans...)
	}
	if fileID != "" && p.Picture != nil {
		s.lines = slices.Insert(s.lines, afterResult(s.lines), line{role: picture, spans: []span{{text: oneLine(in.Say(p.Picture.Alt())), file: fileID}}})
	}
	s.Text = spansText(called) + slackutilsx.EscapeMessage(text)
	s.buttons = buttons(p)
	s.lines = fitted(s.lines)
	s.Blocks = append(layout(s.lines), s.buttons...)
	return s
}

// callees returns whom a post calls by @id at its front, and the rest of its
// text: "@ana @bo visit v1 is now" calls ana and bo, as far as it is for them.
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

// afterResult returns where a picture goes among an answer's lines: below the
// headline and the further results, above "asked:".
func afterResult(lines []line) int {
	i := min(1, len(lines))
	for i < len(lines) && lines[i].role == bullet {
		i++
	}
	return i
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
// wanted most often, and stands out.
func buttons(p bot.Post) []slack.Block {
	all := actions(p.Buttons, press{Door: cmp.Or(p.Thread, doorOf(p.Door))})
	if len(all) > 0 && p.Answer == nil {
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
func ephemeral(in *say.Language, p bot.Post, question string) screen {
	s := message(in, p, nil, "")
	value := press{Ask: question}.value()
	if p.Kind == bot.KindAsk || p.Kind == bot.KindError || size(value) > maxValue {
		return s
	}
	share := slack.NewActionBlock("", slack.NewButtonBlockElement("share", value, plainText(in.Say(say.F("Share")), maxButton)))
	s.buttons = append(s.buttons, share)
	s.Blocks = append(s.Blocks, share)
	return s
}

// pressed shows a message of ours, as it came back from Slack, after one of
// its buttons was pressed: without those that it has answered, and with who
// pressed what. The time is told in its zone.
func pressed(msg slack.Message, action *slack.BlockAction, by string, at time.Time) screen {
	var s screen
	for _, b := range msg.Blocks.BlockSet {
		switch b := b.(type) {
		case *slack.ActionBlock:
			if b = stillOpen(b, action); b == nil {
				continue
			}
			s.Blocks = append(s.Blocks, b)
			continue
		case *slack.ImageBlock:
			if b.SlackFile != nil { // it comes back with addresses beside the id, but only one of them may be sent
				b.ImageURL, b.SlackFile = "", &slack.SlackFileObject{ID: b.SlackFile.ID}
			}
		}
		s.Blocks = append(s.Blocks, b)
	}
	what, when, who := oneLine(action.Text.Text)+":", at.Format("15:04"), "<@"+by+">"
	s.Blocks = append(s.Blocks, slack.NewContextBlock("", plainText(what, maxButton), slack.NewTextBlockObject(slack.MarkdownType, who, false, false), plainText(when, maxButton)))
	s.Text = msg.Text + "\n" + slackutilsx.EscapeMessage(what) + " " + who + ", " + when
	return s
}

// stillOpen returns a row without the buttons that a press on one of a message
// has answered, nil where none is left: those of the door that its order names,
// or all.
func stillOpen(row *slack.ActionBlock, action *slack.BlockAction) *slack.ActionBlock {
	p, _ := readPress(action.Value)
	door, _, named := strings.Cut(strings.TrimPrefix(p.Say, "door "), " ")
	if !named || !strings.HasPrefix(p.Say, "door ") {
		return nil
	}
	left := *row
	left.Elements = &slack.BlockElements{}
	for _, e := range row.Elements.ElementSet {
		if button, ok := e.(*slack.ButtonBlockElement); ok {
			if other, _ := readPress(button.Value); !strings.HasPrefix(other.Say, "door "+door+" ") {
				left.Elements.ElementSet = append(left.Elements.ElementSet, e)
			}
		}
	}
	if len(left.Elements.ElementSet) == 0 {
		return nil
	}
	return &left
}
