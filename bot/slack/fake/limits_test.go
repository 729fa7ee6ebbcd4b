package fake

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/slack-go/slack"
)

// x is a text of n UTF-16 units, of which the last two are one character.
func x(n int) string { return strings.Repeat("x", max(0, n-2)) + "🚪" }

// many is n times the JSON of f, each with its number.
func many(n int, f func(i int) string) string {
	var all []string
	for i := range n {
		all = append(all, f(i))
	}
	return "[" + strings.Join(all, ",") + "]"
}

func say(words string) string { return fmt.Sprintf(`{"type":"plain_text","text":%q}`, words) }

func section(rest string) string { return fmt.Sprintf(`[{"type":"section",%s}]`, rest) }

func actions(rest string) string {
	return fmt.Sprintf(`[{"type":"actions","elements":[{%s}]}]`, rest)
}

func input(rest string) string {
	return fmt.Sprintf(`[{"type":"input","label":%s,"element":{%s}}]`, say("Width"), rest)
}

func button(rest string) string { return actions(`"type":"button",` + rest) }

func opt(i int) string { return fmt.Sprintf(`{"text":%s,"value":"%d"}`, say("o"), i) }

// rich is a rich text of one section.
func rich(elements string) string {
	return `[{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[` + elements + `]}]}]`
}

func raw(text string) string { return fmt.Sprintf(`{"type":"raw_text","text":%q}`, text) }

// table is a table of so many rows and columns.
func table(kind string, rows, columns int) string {
	caption := ""
	if kind == "data_table" {
		caption = `,"caption":"c"`
	}
	return fmt.Sprintf(`[{"type":%q%s,"rows":%s}]`, kind, caption, many(rows, func(int) string { return many(columns, func(int) string { return raw("x") }) }))
}

// checkBlocks checks the blocks of a message.
func checkBlocks(blocks string) []string {
	return Check(InMessage, []byte(`{"text":"x","blocks":`+blocks+`}`))
}

// limits are each limit of a message's blocks: what has exactly n of
// something, how many are allowed, and where the complaint about one more is.
// They are those of the documentation of blocks, as the comments of npm
// @slack/types 3.2.0 repeat them; those marked so are from memory.
var limits = []struct {
	what string
	most int
	of   func(n int) string
	at   string
}{
	{"blocks", 50, func(n int) string { return many(n, func(int) string { return `{"type":"divider"}` }) }, "/blocks"},
	{"block id", 255, func(n int) string { return section(`"block_id":"` + x(n) + `","text":` + say("x")) }, "/blocks/0/block_id"},
	{"section text", 3000, func(n int) string { return section(`"text":` + say(x(n))) }, "/blocks/0/text/text"},
	{"header", 150, func(n int) string { return `[{"type":"header","text":` + say(x(n)) + `}]` }, "/blocks/0/text/text"},
	{"context", 10, func(n int) string {
		return `[{"type":"context","elements":` + many(n, func(int) string { return say("x") }) + `}]`
	}, "/blocks/0/elements"},
	{"actions", 25, func(n int) string {
		return `[{"type":"actions","elements":` + many(n, func(i int) string {
			return fmt.Sprintf(`{"type":"button","action_id":"a%d","text":%s}`, i, say("x"))
		}) + `}]`
	}, "/blocks/0/elements"},
	{"action id", 255, func(n int) string { return button(`"action_id":"` + x(n) + `","text":` + say("x")) }, "/blocks/0/elements/0/action_id"},
	{"button", 75, func(n int) string { return button(`"text":` + say(x(n))) }, "/blocks/0/elements/0/text/text"},
	{"button value", 2000, func(n int) string { return button(`"value":"` + x(n) + `","text":` + say("x")) }, "/blocks/0/elements/0/value"},
	{"button's spoken label", 75, func(n int) string { return button(`"accessibility_label":"` + x(n) + `","text":` + say("x")) }, "/blocks/0/elements/0/accessibility_label"},
	{"button url", 3000, func(n int) string {
		return button(`"url":"http://` + x(n-7) + `","text":` + say("x"))
	}, "/blocks/0/elements/0/url"},
	{"options", 100, func(n int) string { return actions(`"type":"static_select","options":` + many(n, opt)) }, "/blocks/0/elements/0/options"},
	{"option text", 75, func(n int) string {
		return actions(`"type":"static_select","options":[{"value":"v","text":` + say(x(n)) + `}]`)
	}, "/blocks/0/elements/0/options/0/text/text"},
	{"option value", 75, func(n int) string {
		return actions(`"type":"static_select","options":[{"value":"` + x(n) + `","text":` + say("x") + `}]`)
	}, "/blocks/0/elements/0/options/0/value"},
	{"placeholder", 150, func(n int) string { return actions(`"type":"users_select","placeholder":` + say(x(n))) }, "/blocks/0/elements/0/placeholder/text"},
	{"label", 2000, func(n int) string {
		return `[{"type":"input","label":` + say(x(n)) + `,"element":{"type":"plain_text_input"}}]`
	}, "/blocks/0/label/text"},
	{"hint", 2000, func(n int) string {
		return `[{"type":"input","label":` + say("x") + `,"hint":` + say(x(n)) + `,"element":{"type":"plain_text_input"}}]`
	}, "/blocks/0/hint/text"},
	{"rich text (the number is ours)", 3000, func(n int) string {
		return rich(fmt.Sprintf(`{"type":"text","text":%q},{"type":"text","text":%q}`, x(1000), x(n-1000)))
	}, "/blocks/0"},
	{"escaped characters", 750, func(n int) string { return section(`"text":` + say(strings.Repeat("<", n))) }, "/blocks/0/text/text"},
	{"table rows", 100, func(n int) string { return table("table", n, 1) }, "/blocks/0/rows"},
	{"table columns", 20, func(n int) string { return table("table", 1, n) }, "/blocks/0/rows/0"},
	{"data table rows (others' measure)", 201, func(n int) string { return table("data_table", n, 1) }, "/blocks/0/rows"},
	{"page of a data table", 100, func(n int) string {
		return strings.Replace(table("data_table", 2, 1), `"caption"`, fmt.Sprintf(`"page_size":%d,"caption"`, n), 1)
	}, "/blocks/0/page_size"},
	{"characters of a table (others' measure)", 20_000, func(n int) string {
		return fmt.Sprintf(`[{"type":"table","rows":%s}]`, many(10, func(i int) string {
			if i == 0 {
				return "[" + raw(x(n-9*1900)) + "]"
			}
			return "[" + raw(x(1900)) + "]"
		}))
	}, "/blocks"},
	{"alt text", 2000, func(n int) string {
		return `[{"type":"image","slack_file":{"id":"F1"},"alt_text":"` + x(n) + `"}]`
	}, "/blocks/0/alt_text"},
}

func TestLimitsOfBlocks(t *testing.T) {
	for _, l := range limits {
		if got := checkBlocks(l.of(l.most)); got != nil {
			t.Errorf("%s: %d refused: %v", l.what, l.most, got)
		}
		got := checkBlocks(l.of(l.most + 1))
		if len(got) != 1 || !strings.HasSuffix(got[0], "[json-pointer:"+l.at+"]") {
			t.Errorf("%s: %d: %v, want one complaint at %s", l.what, l.most+1, got, l.at)
		}
	}
}

// What is wrong beside lengths.
func TestRefusedBlocks(t *testing.T) {
	for blocks, at := range map[string]string{
		`{}`:                                 "/blocks",
		`[{"type":"dial"}]`:                  "/blocks/0/type",
		`[{"type":"divider","blockid":"x"}]`: "/blocks/0/blockid",
		`[{"type":"divider","block_id":"x"},{"type":"divider","block_id":"x"}]`: "/blocks/1/block_id",
		section(`"block_id":"x"`):                                   "/blocks/0",
		section(`"text":` + say("")):                                "/blocks/0/text/text",
		section(`"text":"words"`):                                   "/blocks/0/text",
		section(`"text":{"type":"bold"}`):                           "",
		section(`"text":{"type":"mrkdwn","text":"x","emoji":true}`): "/blocks/0/text/emoji",
		section(`"text":` + say("x") + `,"accessory":{"type":"plain_text_input","action_id":"a"}`):                          "/blocks/0/accessory/type",
		`[{"type":"header","text":{"type":"mrkdwn","text":"x"}}]`:                                                           "/blocks/0/text/type",
		button(`"text":` + say("x") + `,"style":"loud"`):                                                                    "/blocks/0/elements/0/style",
		button(`"text":` + say("x") + `,"url":"door"`):                                                                      "/blocks/0/elements/0/url",
		button(`"action_id":"a"`):                                                                                           "/blocks/0/elements/0",
		actions(`"type":"number_input","is_decimal_allowed":true`):                                                          "/blocks/0/elements/0/type",
		actions(`"type":"static_select"`):                                                                                   "/blocks/0/elements/0",
		actions(`"type":"static_select","options":[` + opt(1) + `,` + opt(1) + `]`):                                         "/blocks/0/elements/0",
		actions(`"type":"static_select","options":[` + opt(1) + `],"initial_option":` + opt(2)):                             "/blocks/0/elements/0",
		actions(`"type":"datepicker","initial_date":"tomorrow"`):                                                            "/blocks/0/elements/0/initial_date",
		actions(`"type":"timepicker","initial_time":"9"`):                                                                   "/blocks/0/elements/0/initial_time",
		input(`"type":"number_input"`):                                                                                      "/blocks/0/element",
		input(`"type":"button","text":` + say("x")):                                                                         "/blocks/0/element/type",
		`[{"type":"actions","elements":[{"type":"users_select","action_id":"a"},{"type":"users_select","action_id":"a"}]}]`: "/blocks/0/elements/1/action_id",
		`[{"type":"section","fields":"x"}]`:                                                                                 "/blocks/0/fields",
		`[{"type":"table"}]`:                                                                                                "/blocks/0",
		`[{"type":"data_table","caption":"c","rows":[[` + raw("x") + `]]}]`:                                                 "/blocks/0/rows",
		`[{"type":"data_table","caption":"c","rows":[[` + raw("x") + `],[` + raw("x") + `,` + raw("y") + `]]}]`:             "/blocks/0/rows/1",
		`[{"type":"data_table","caption":"c","rows":[[{"type":"raw_number","value":1,"text":"x"}],[` + raw("x") + `]]}]`:    "/blocks/0/rows/0/0",
		`[{"type":"table","rows":[[{"type":"action_cell","element":{"type":"button","text":` + say("x") + `}}]]}]`:          "/blocks/0/rows/0/0/type",
		`[{"type":"context","elements":[{"type":"button"}]}]`:                                                               "/blocks/0/elements/0/type",
		`[{"type":"header"}]`:               "/blocks/0",
		`[{"type":"image","alt_text":"x"}]`: "/blocks/0",
		`[{"type":"image","alt_text":"x","slack_file":{"url":"https://example.com"}}]`:                                                   "/blocks/0/slack_file",
		`[{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[{"type":"text","text":"x","style":{"loud":true}}]}]}]`: "/blocks/0/elements/0/elements/0/style/loud",
		`[{"type":"rich_text","elements":[{"type":"rich_text_poem","elements":[]}]}]`:                                                    "/blocks/0/elements/0/type",
		`[{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[{"type":"user","user_id":"U1"},{"type":"shout"}]}]}]`:  "/blocks/0/elements/0/elements/1/type",
	} {
		got := checkBlocks(blocks)
		if len(got) == 0 || at != "" && !slices.ContainsFunc(got, func(g string) bool { return strings.HasSuffix(g, "[json-pointer:"+at+"]") }) {
			t.Errorf("%s: %v, want a complaint at %s", blocks, got, at)
		}
	}
}

// checkView checks a modal, or a home if it says that it is one.
func checkView(view string) []string {
	if strings.Contains(view, `"type":"home"`) {
		return Check(InHome, []byte(view))
	}
	return Check(InModal, []byte(view))
}

const one = `[{"type":"divider"}]`

func TestLimitsOfViews(t *testing.T) {
	modal := func(rest string) string {
		return `{"type":"modal","title":` + say("Door") + `,"submit":` + say("Open") + `,` + rest + `}`
	}
	dividers := func(n int) string { return many(n, func(int) string { return `{"type":"divider"}` }) }
	named := func(name string, n int) string {
		return strings.Replace(modal(`"blocks":`+one+`,"close":`+say("Back")), fmt.Sprintf("%q:%s", name, say(map[string]string{"title": "Door", "submit": "Open", "close": "Back"}[name])), fmt.Sprintf("%q:%s", name, say(x(n))), 1)
	}
	for _, l := range []struct {
		most int
		of   func(n int) string
		at   string
	}{
		{100, func(n int) string { return modal(`"blocks":` + dividers(n)) }, "/view/blocks"},
		{100, func(n int) string { return `{"type":"home","blocks":` + dividers(n) + `}` }, "/view/blocks"},
		{24, func(n int) string { return named("title", n) }, "/view/title/text"},
		{24, func(n int) string { return named("submit", n) }, "/view/submit/text"},
		{24, func(n int) string { return named("close", n) }, "/view/close/text"},
		{255, func(n int) string { return modal(`"blocks":` + one + `,"callback_id":"` + x(n) + `"`) }, "/view/callback_id"},
		{3000, func(n int) string { return modal(`"blocks":` + one + `,"private_metadata":"` + x(n) + `"`) }, "/view/private_metadata"},
	} {
		if got := checkView(l.of(l.most)); got != nil {
			t.Errorf("%d at %s refused: %v", l.most, l.at, got)
		}
		if got := checkView(l.of(l.most + 1)); len(got) != 1 || !strings.HasSuffix(got[0], "[json-pointer:"+l.at+"]") {
			t.Errorf("%d at %s: %v", l.most+1, l.at, got)
		}
	}
	long := many(100, func(int) string { return `{"type":"section","text":` + say(x(2400)) + `}` })
	for view, at := range map[string]string{
		`{"type":"modal","title":` + say("x") + `,"blocks":` + input(`"type":"plain_text_input"`) + `}`: "/view", // no submit
		`{"type":"home","title":` + say("x") + `,"blocks":` + one + `}`:                                 "/view/title",
		`{"type":"home","blocks":[{"type":"table","rows":[[{"type":"raw_text","text":"x"}]]}]}`:         "/view/blocks/0/type",
		`{"type":"modal","blocks":` + one + `}`:                                                         "/view",
		`{"type":"home","blocks":[]}`:                                                                   "/view/blocks",
	} {
		if got := checkView(view); len(got) != 1 || !strings.HasSuffix(got[0], "[json-pointer:"+at+"]") {
			t.Errorf("%s: %v", view, got)
		}
	}
	home := `{"type":"home","blocks":` + long + `}`
	if got := checkView(home); len(home) > maxView || got != nil {
		t.Errorf("%d bytes: %v", len(home), got)
	}
	home = strings.Replace(home, `"home"`, `"home"`+strings.Repeat(" ", maxView-len(home)+1), 1)
	if got := checkView(home); len(got) != 1 {
		t.Errorf("%d bytes: %v", len(home), got)
	}
}

// The server refuses by the same rules, and by those of whole messages.
func TestLimitsOfMessages(t *testing.T) {
	s, api := start(t, Options{PostEvery: -1})
	post := func(o ...slack.MsgOption) (string, error) {
		_, ts, err := api.PostMessage(lane, o...)
		return ts, err
	}
	blocks := func(n, size int) slack.MsgOption {
		var all []slack.Block
		for range n {
			all = append(all, slack.NewSectionBlock(slack.NewTextBlockObject("plain_text", x(size), false, false), nil, nil))
		}
		return slack.MsgOptionBlocks(all...)
	}
	_, err := post(slack.MsgOptionText("x", false), blocks(51, 10))
	no, _ := err.(slack.SlackErrorResponse)
	if no.Err != "invalid_blocks" || len(no.ResponseMetadata.Messages) != 1 || !strings.Contains(no.ResponseMetadata.Messages[0], "[json-pointer:/blocks]") {
		t.Errorf("%+v", err)
	}
	if _, err := post(slack.MsgOptionText("x", false), blocks(6, 2000)); err != nil {
		t.Error(err)
	}
	if _, err := post(slack.MsgOptionText("x", false), blocks(6, 2001)); code(err) != "msg_blocks_too_long" {
		t.Error(err)
	}
	ts, err := post(slack.MsgOptionText(strings.Repeat("&lt;", 1000), false)) // it counts as it is sent
	if err != nil {
		t.Error(err)
	}
	if _, _, _, err := api.UpdateMessage(lane, ts, slack.MsgOptionText(x(4001), false)); code(err) != "msg_too_long" {
		t.Error(err)
	}
	if _, err := post(slack.MsgOptionText("x", false), slack.MsgOptionMetadata(slack.SlackMetadata{EventType: "x", EventPayload: map[string]any{"id": x(1000)}})); code(err) != "metadata_too_large" {
		t.Error(err)
	}
	if _, err := post(slack.MsgOptionText("x", false), slack.MsgOptionMetadata(slack.SlackMetadata{EventType: "a.b", EventPayload: map[string]any{"id": "n"}})); code(err) != "invalid_metadata_format" {
		t.Error(err)
	}
	if got := Check(InMessage, []byte(`{"blocks":[]}`)); len(got) != 1 {
		t.Errorf("a message without text: %v", got)
	}
	trigger := see(s, func() string { return s.issue(ana, "") })
	view := slack.ModalViewRequest{Type: slack.VTModal, Title: slack.NewTextBlockObject("plain_text", x(25), false, false)}
	view.Blocks.BlockSet = []slack.Block{slack.NewDividerBlock()}
	v, err := api.OpenView(trigger, view)
	if code(err) != "invalid_arguments" || len(v.ResponseMetadata.Messages) != 1 || !strings.Contains(v.ResponseMetadata.Messages[0], "/view/title/text") {
		t.Errorf("%v %+v", err, v.ResponseMetadata)
	}
}
