package slack

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"
	"pgregory.net/rapid"

	"heelpost/bot"
	"heelpost/bot/slack/fake"
	"heelpost/bot/talk"
	"heelpost/bot/verb"
)

// crew are people of the site file by their id in Slack.
type crew map[string]string

func (c crew) Slack(person string) string { return c[person] }

var orchard = crew{"ana": "U0ANA", "bo": "U0BO", "mo": "U0MO"}

// breachless returns a screen as JSON, after fake.Check has found nothing in
// it and nothing in it can be interpreted.
func breachless(t interface{ Errorf(string, ...any) }, name, kind string, payload any) []byte {
	if s, ok := payload.(screen); ok {
		payload = map[string]any{"text": s.Text, "blocks": slack.Blocks{BlockSet: s.Blocks}}
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(payload); err != nil {
		t.Errorf("%s: %v", name, err)
	}
	for _, breach := range fake.Check(kind, b.Bytes()) {
		t.Errorf("%s: %s", name, breach)
	}
	var v any
	if err := json.Unmarshal(b.Bytes(), &v); err != nil {
		t.Errorf("%s: %v", name, err)
	}
	for _, fault := range live(v) {
		t.Errorf("%s: %s", name, fault)
	}
	return b.Bytes()
}

// ours is the one thing that may stand in text that Slack interprets: a
// person whom we call.
var ours = regexp.MustCompile(`^<@U[0-9A-Z]+>$`)

// live returns what Slack would interpret in a screen: anything in mrkdwn,
// emoji in plain text, elements of rich text that are neither text nor a
// person, and control characters.
func live(v any) []string {
	var faults []string
	switch v := v.(type) {
	case string:
		if v != bot.Printable(v) {
			faults = append(faults, fmt.Sprintf("%q has characters that steer the screen", v))
		}
	case []any:
		for _, m := range v {
			faults = append(faults, live(m)...)
		}
	case map[string]any:
		text, _ := v["text"].(string)
		switch typ := v["type"]; typ {
		case nil:
			bare := regexp.MustCompile(`<@U[0-9A-Z]+>|&amp;|&lt;|&gt;`).ReplaceAllString(text, "")
			if strings.ContainsAny(bare, "<>&") {
				faults = append(faults, fmt.Sprintf("%q is not escaped", text))
			}
		case "mrkdwn":
			if !ours.MatchString(text) {
				faults = append(faults, fmt.Sprintf("%q is interpreted", text))
			}
		case "plain_text":
			if v["emoji"] != false {
				faults = append(faults, fmt.Sprintf("%q may show emoji", text))
			}
		case "link", "broadcast", "usergroup", "channel", "emoji", "markdown":
			faults = append(faults, fmt.Sprintf("there is an element %q", typ))
		}
		for key, m := range v {
			if key != "value" { // what a button says is shown to nobody
				faults = append(faults, live(m)...)
			}
		}
	}
	return faults
}

// words returns the words of a text, without what only sets it out.
func words(s string) []string {
	return strings.FieldsFunc(bot.Printable(s), func(r rune) bool { return unicode.IsSpace(r) || r == '·' })
}

// shownWords returns the words of a screen's blocks, and those of its text.
func shownWords(t interface{ Fatal(...any) }, s screen) (blocks, text []string) {
	data, err := json.Marshal(slack.Blocks{BlockSet: s.Blocks})
	if err != nil {
		t.Fatal(err)
	}
	var v any
	if err := json.Unmarshal(data, &v); err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	var collect func(v any)
	collect = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, m := range v {
				collect(m)
			}
		case map[string]any:
			switch v["type"] {
			case "actions", "image":
				return
			case "rich_text_section", "rich_text_quote", "plain_text":
				b.WriteByte('\n')
			case "user":
				fmt.Fprintf(&b, "<@%s>", v["user_id"])
			}
			if text, ok := v["text"].(string); ok {
				b.WriteString(text)
			}
			for _, key := range []string{"text", "elements"} {
				collect(v[key])
			}
		}
	}
	collect(v)
	unescaped := strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&").Replace(s.Text)
	return words(b.String()), words(unescaped)
}

// whole checks that pages hold every word of a text in its order, in blocks
// and texts alike, and are marked. Words that Slack could not take in one
// piece are put together first.
func whole(t *rapid.T, text string, all []screen) {
	var blocks, texts []string
	for i, s := range all {
		b, x := shownWords(t, s)
		if len(all) > 1 {
			mark := words(fmt.Sprintf("%d of %d", i+1, len(all)))
			for _, w := range [][]string{b, x} {
				if len(w) < len(mark) || !slices.Equal(w[len(w)-len(mark):], mark) {
					t.Fatalf("page %d of %d is not marked: %q", i+1, len(all), w)
				}
			}
			b, x = b[:len(b)-len(mark)], x[:len(x)-len(mark)]
		}
		blocks, texts = append(blocks, b...), append(texts, x...)
	}
	want := words(text)
	if slices.ContainsFunc(want, func(w string) bool { return size(w) > maxSection/2 }) {
		want, blocks, texts = []string{strings.Join(want, "")}, []string{strings.Join(blocks, "")}, []string{strings.Join(texts, "")}
	}
	if diff := cmp.Diff(want, blocks); diff != "" {
		t.Fatalf("the blocks have other words (-post +blocks):\n%s", diff)
	}
	if diff := cmp.Diff(want, texts); diff != "" {
		t.Fatalf("the texts have other words (-post +texts):\n%s", diff)
	}
}

// hostile is text that would do something if Slack interpreted it.
var hostile = []string{"<!channel>", "<!here>", "<!everyone>", "<@U1>", "<!subteam^S1>", "<https://example.com|the sheet>", "https://example.com", "@channel", "@everyone",
	"&lt;!channel&gt;", "&amp;", "&", "<", ">", "*bold*", "_slant_", "~struck~", "`code`", "```block```", ":skull:", "> quoted", "\u202egnitset", "in\u200bvisible", "\ufeff", "line\nbreak", "#general",
	"5 mm", "1050 mm × 2350 mm", "√(75² + 23²)", "−3", "🚪🚪", "e\u0301"}

func textGen(most int) *rapid.Generator[string] {
	part := rapid.OneOf(rapid.SampledFrom(hostile), rapid.StringMatching(`[a-z]{1,12}`), rapid.StringMatching(`[0-9]{1,6}(\.[0-9]{1,3})?`), rapid.String(), rapid.SampledFrom([]string{"\n", "\n  ", ": "}))
	return rapid.Custom(func(t *rapid.T) string {
		parts := rapid.SliceOfN(part, 1, 40).Draw(t, "parts")
		s := strings.Join(parts, rapid.SampledFrom([]string{" ", "", "\n"}).Draw(t, "between"))
		n := rapid.SampledFrom([]int{1, 1, 1, 20, 400}).Draw(t, "times")
		for s = strings.Repeat(s+" ", n); len(s) > most; {
			s = strings.ToValidUTF8(s[:most], "")
		}
		return s
	})
}

// Any post gives messages within every limit that interpret nothing and lose
// no word.
func TestMessage_Any(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := textGen(12_000).Draw(t, "text")
		if strings.TrimSpace(bot.Printable(text)) == "" {
			text = "nothing"
		}
		p := bot.Post{Thread: rapid.StringMatching(`[A-Z]-[0-9]{1,20}`).Draw(t, "door"), To: "ana cy", Kind: rapid.SampledFrom([]bot.Kind{bot.KindAnswer, bot.KindDoor, bot.KindReminder, bot.KindBoard, bot.KindError}).Draw(t, "kind"),
			Text: text, Buttons: rapid.SliceOfN(buttonGen(), 0, 60).Draw(t, "buttons")}
		front, want := "", text
		if rapid.Bool().Draw(t, "called") {
			front, want = "@ana @cy ", "<@U0ANA> @cy "+text
			p.Text = front + text
		}
		all := pages(nil, message(nil, p, orchard, ""))
		for i, s := range all {
			breachless(t, "message", fake.InMessage, s)
			if buttons := len(s.buttons) > 0; buttons && i+1 < len(all) {
				t.Fatalf("page %d of %d has buttons", i+1, len(all))
			}
		}
		whole(t, want, all)
	})
}

func buttonGen() *rapid.Generator[bot.Button] {
	return rapid.Custom(func(t *rapid.T) bot.Button {
		b := bot.Button{Label: "press " + textGen(300).Draw(t, "label")}
		if rapid.Bool().Draw(t, "says") {
			b.Say = "tick " + textGen(3000).Draw(t, "say")
		} else {
			b.Form = "readings"
		}
		return b
	})
}

// No page ends between a figure and its sign or unit, and none within a word.
func TestPages_Figures(t *testing.T) {
	words := strings.Repeat("the leaf of 1050 mm × 2350 mm hangs at − 3 mm and √ 75 in the lining ", 150)
	for offset := range 80 {
		all := pages(nil, message(nil, bot.Post{Kind: bot.KindDoor, Text: strings.Repeat("x", offset) + " " + words}, orchard, ""))
		if len(all) < 3 {
			t.Fatalf("got %d pages, want several", len(all))
		}
		for i, s := range all[:len(all)-1] {
			text := strings.TrimSpace(strings.TrimSuffix(s.Text, fmt.Sprintf("%d of %d", i+1, len(all))))
			if last := text[strings.LastIndexByte(text, ' ')+1:]; strings.ContainsAny(last, "0123456789−×√") || !strings.Contains(words, " "+last+" ") {
				t.Errorf("offset %d: page %d ends with %q", offset, i+1, last)
			}
		}
	}
}

// Short lines make a page full too: each costs Slack an element.
func TestPages_Lines(t *testing.T) {
	if n := len(pages(nil, message(nil, bot.Post{Text: "doors" + strings.Repeat("\n  A-1", 250)}, orchard, ""))); n != 3 {
		t.Errorf("got %d pages of 251 lines, want 3", n)
	}
}

// A call for people is one only at the front, for those the post is for, and
// whom Slack does not know is named.
func TestMessage_Calls(t *testing.T) {
	for _, c := range []struct{ to, text, want string }{
		{"ana bo", "@ana @bo visit v1 is now", "<@U0ANA> <@U0BO> visit v1 is now"},
		{"ana cy", "@ana @cy visit v1 is now", "<@U0ANA> @cy visit v1 is now"},
		{"ana", "@ana @bo said so", "<@U0ANA> @bo said so"},
		{"ana", "snag s1 opened: @ana", "snag s1 opened: @ana"},
		{"", "@ana", "@ana"},
		{"ana", "@ana", "@ana"}, // for what?
		{"ana", "<@U0BO> <!channel> & more", "&lt;@U0BO&gt; &lt;!channel&gt; &amp; more"},
	} {
		s := message(nil, bot.Post{To: c.to, Text: c.text}, orchard, "")
		if s.Text != c.want {
			t.Errorf("%q to %q: got %q, want %q", c.text, c.to, s.Text, c.want)
		}
		blocks, text := shownWords(t, s)
		if diff := cmp.Diff(text, blocks); diff != "" {
			t.Errorf("%q: blocks and text differ (-text +blocks):\n%s", c.text, diff)
		}
	}
}

// Every answer to the questions of testdata/understood.csv and to the
// examples of the help is within the limits, complete, and begins with its
// result.
func TestMessage_Answers(t *testing.T) {
	f, err := os.Open("../../testdata/understood.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var questions []string
	for _, row := range rows[1:] {
		questions = append(questions, row[0])
	}
	for _, typed := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(verb.Questions.Reference(), -1) {
		questions = append(questions, typed[1])
	}
	for _, q := range questions {
		p := (&talk.Bot{}).Reply(&bot.Message{Person: "ana"}, talk.Ask(q))
		for _, s := range []screen{message(nil, p, orchard, "F0HEEL"), ephemeral(nil, p, q)} {
			all := pages(nil, s)
			if len(all) != 1 {
				t.Errorf("%q: got %d pages, want 1", q, len(all))
			}
			breachless(t, q, fake.InMessage, all[0])
			blocks, text := shownWords(t, all[0])
			slices.Sort(blocks)
			for _, w := range text {
				if _, ok := slices.BinarySearch(blocks, w); !ok && w != "also:" {
					t.Errorf("%q: the blocks lack %q", q, w)
				}
			}
			if h, ok := all[0].Blocks[0].(*slack.HeaderBlock); p.Answer.OK() && (!ok || h.Text.Text != p.Answer.Lines()[0].Text.String()) {
				t.Errorf("%q: the result %q is not the first block", q, p.Answer.Lines()[0].Text.String())
			}
		}
	}
}

// Every post, form and home of every conversation of testdata/chat is within
// the limits and can be read at a glance.
func TestMessage_Conversations(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/chat/*.chat")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no conversations: %v", err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".chat"), func(t *testing.T) {
			script, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			synctest.Test(t, func(t *testing.T) {
				r := newRoom(t)
				for i, text := range strings.Split(string(script), "\n") {
					r.line(i, text)
				}
				r.settle(r.now)
				r.views()
				if len(r.out.posts) == 0 {
					t.Error("nothing was posted")
				}
				for _, p := range r.out.posts {
					for _, s := range pages(nil, message(nil, p, orchard, "")) {
						breachless(t, p.Text, fake.InMessage, s)
						if len(s.Blocks) > 12 {
							t.Errorf("%q: %d blocks are too many to read", p.Text, len(s.Blocks))
						}
					}
				}
			})
		})
	}
}

// Only what can be shared has the button, and it carries the question back.
func TestEphemeral_Share(t *testing.T) {
	for _, c := range []struct {
		question string
		shared   bool
	}{{"gap 46 75", true}, {"gap 46", false}, {"what now", false}, {"gap 46 75" + strings.Repeat(" and so on", 300), false}} {
		a := talk.Ask(c.question)
		s := ephemeral(nil, (&talk.Bot{}).Reply(&bot.Message{}, a), c.question)
		row, ok := s.Blocks[len(s.Blocks)-1].(*slack.ActionBlock)
		if ok != c.shared {
			t.Errorf("%.20q: shared %v, want %v", c.question, ok, c.shared)
			continue
		}
		if ok {
			if p, ok := readPress(row.Elements.ElementSet[0].(*slack.ButtonBlockElement).Value); !ok || p.Ask != c.question {
				t.Errorf("got %q back, want %q", p.Ask, c.question)
			}
		}
	}
}

// A pressed message, as Slack hands it back, keeps its text and picture and
// loses its buttons.
func TestPressed(t *testing.T) {
	p := bot.Post{Thread: "A-101", To: "ana", Kind: bot.KindReminder, Text: "@ana visit v1 is now <!channel>", Picture: talk.Ask("gap 54 60").Picture,
		Buttons: []bot.Button{{Label: "Done", Say: "done v1"}}}
	s := message(nil, p, orchard, "F0DOOR")
	data, err := json.Marshal(slack.Blocks{BlockSet: s.Blocks})
	if err != nil {
		t.Fatal(err)
	}
	sent := strings.Replace(string(data), `"slack_file":{"id":"F0DOOR"}`, `"image_url":"https://files.example/F0DOOR","slack_file":{"id":"F0DOOR","url":"https://files.example/F0DOOR"}`, 1)
	var back slack.Message
	if err := json.Unmarshal([]byte(`{"blocks":`+sent+`}`), &back); err != nil {
		t.Fatal(err)
	}
	back.Text = s.Text
	got := pressed(back, &slack.BlockAction{Text: slack.TextBlockObject{Text: "Done <!here>"}}, "U0ANA", time.Date(2027, 3, 1, 14, 2, 0, 0, time.UTC))
	payload := breachless(t, "pressed", fake.InMessage, got)
	if bytes.Contains(payload, []byte("done v1")) || !bytes.Contains(payload, []byte(`"slack_file":{"id":"F0DOOR"}`)) {
		t.Errorf("its button stands or its picture is lost: %s", payload)
	}
	if want := "<@U0ANA> visit v1 is now &lt;!channel&gt;\nDone &lt;!here&gt;: <@U0ANA>, 14:02"; got.Text != want {
		t.Errorf("got %q, want %q", got.Text, want)
	}
}

// A figure stays on a line with its unit.
func TestGlued(t *testing.T) {
	for text, want := range map[string]string{
		"8 mm":                 "8\u00a0mm",
		"8 mm × 9.5 in, 3 kg":  "8\u00a0mm × 9.5\u00a0in, 3\u00a0kg",
		"2 h 30 min at 21 °C":  "2\u00a0h 30\u00a0min at 21\u00a0°C",
		"9 inch, 4 high, x mm": "9 inch, 4 high, x mm",
	} {
		if got := glued(text); got != want {
			t.Errorf("%q became %q, want %q", text, got, want)
		}
	}
}
