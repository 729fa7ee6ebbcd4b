package fake

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
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

func mark(words string) string { return fmt.Sprintf(`{"type":"mrkdwn","text":%q}`, words) }

func section(rest string) string { return fmt.Sprintf(`[{"type":"section",%s}]`, rest) }

func actions(rest string) string {
	return fmt.Sprintf(`[{"type":"actions","elements":[{%s}]}]`, rest)
}

func input(rest string) string {
	return fmt.Sprintf(`[{"type":"input","label":%s,"element":{%s}}]`, say("Width"), rest)
}

func button(rest string) string { return actions(`"type":"button",` + rest) }

func opt(i int) string { return fmt.Sprintf(`{"text":%s,"value":"%d"}`, say("o"), i) }

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
	{"fields", 10, func(n int) string {
		return section(`"fields":` + many(n, func(int) string { return say("x") }))
	}, "/blocks/0/fields"},
	{"field", 2000, func(n int) string { return section(`"fields":[` + say(x(n)) + `]`) }, "/blocks/0/fields/0/text"},
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
	{"button url", 3000, func(n int) string {
		return button(`"url":"http://` + x(n-7) + `","text":` + say("x"))
	}, "/blocks/0/elements/0/url"},
	{"button label", 75, func(n int) string {
		return button(`"accessibility_label":"` + x(n) + `","text":` + say("x"))
	}, "/blocks/0/elements/0/accessibility_label"},
	{"confirm title", 100, func(n int) string {
		return button(`"confirm":{"title":` + say(x(n)) + `,"text":` + say("x") + `},"text":` + say("x"))
	}, "/blocks/0/elements/0/confirm/title/text"},
	{"confirm text", 300, func(n int) string {
		return button(`"confirm":{"text":` + say(x(n)) + `},"text":` + say("x"))
	}, "/blocks/0/elements/0/confirm/text/text"},
	{"confirm yes", 30, func(n int) string {
		return button(`"confirm":{"text":` + say("x") + `,"confirm":` + say(x(n)) + `},"text":` + say("x"))
	}, "/blocks/0/elements/0/confirm/confirm/text"},
	{"confirm no", 30, func(n int) string {
		return button(`"confirm":{"text":` + say("x") + `,"deny":` + say(x(n)) + `},"text":` + say("x"))
	}, "/blocks/0/elements/0/confirm/deny/text"},
	{"options", 100, func(n int) string { return actions(`"type":"static_select","options":` + many(n, opt)) }, "/blocks/0/elements/0/options"},
	{"option text", 75, func(n int) string {
		return actions(`"type":"static_select","options":[{"value":"v","text":` + say(x(n)) + `}]`)
	}, "/blocks/0/elements/0/options/0/text/text"},
	{"option value", 75, func(n int) string {
		return actions(`"type":"static_select","options":[{"value":"` + x(n) + `","text":` + say("x") + `}]`)
	}, "/blocks/0/elements/0/options/0/value"},
	{"option description", 75, func(n int) string {
		return actions(`"type":"radio_buttons","options":[{"value":"v","description":` + say(x(n)) + `,"text":` + say("x") + `}]`)
	}, "/blocks/0/elements/0/options/0/description/text"},
	{"option groups", 100, func(n int) string {
		return actions(`"type":"static_select","option_groups":` + many(n, func(i int) string {
			return `{"label":` + say("g") + `,"options":[` + opt(i) + `]}`
		}))
	}, "/blocks/0/elements/0/option_groups"},
	{"group label", 75, func(n int) string {
		return actions(`"type":"static_select","option_groups":[{"label":` + say(x(n)) + `,"options":[` + opt(0) + `]}]`)
	}, "/blocks/0/elements/0/option_groups/0/label/text"},
	{"group options", 100, func(n int) string {
		return actions(`"type":"static_select","option_groups":[{"label":` + say("g") + `,"options":` + many(n, opt) + `}]`)
	}, "/blocks/0/elements/0/option_groups/0/options"},
	{"placeholder", 150, func(n int) string { return actions(`"type":"users_select","placeholder":` + say(x(n))) }, "/blocks/0/elements/0/placeholder/text"},
	{"overflow", 5, func(n int) string { return actions(`"type":"overflow","options":` + many(n, opt)) }, "/blocks/0/elements/0/options"},
	{"checkboxes", 10, func(n int) string { return actions(`"type":"checkboxes","options":` + many(n, opt)) }, "/blocks/0/elements/0/options"},
	{"radio buttons", 10, func(n int) string { return actions(`"type":"radio_buttons","options":` + many(n, opt)) }, "/blocks/0/elements/0/options"},
	{"min length", 3000, func(n int) string { return input(fmt.Sprintf(`"type":"plain_text_input","min_length":%d`, n)) }, "/blocks/0/element/min_length"},
	{"max length", 3000, func(n int) string { return input(fmt.Sprintf(`"type":"plain_text_input","max_length":%d`, n)) }, "/blocks/0/element/max_length"},
	{"label", 2000, func(n int) string {
		return `[{"type":"input","label":` + say(x(n)) + `,"element":{"type":"plain_text_input"}}]`
	}, "/blocks/0/label/text"},
	{"hint", 2000, func(n int) string {
		return `[{"type":"input","label":` + say("x") + `,"hint":` + say(x(n)) + `,"element":{"type":"plain_text_input"}}]`
	}, "/blocks/0/hint/text"},
	{"files", 10, func(n int) string { return input(fmt.Sprintf(`"type":"file_input","max_files":%d`, n)) }, "/blocks/0/element/max_files"},
	{"alt text", 2000, func(n int) string {
		return `[{"type":"image","image_url":"https://example.com","alt_text":"` + x(n) + `"}]`
	}, "/blocks/0/alt_text"},
	{"image url", 3000, func(n int) string {
		return `[{"type":"image","image_url":"https://` + x(n-8) + `","alt_text":"x"}]`
	}, "/blocks/0/image_url"},
	{"image title", 2000, func(n int) string {
		return `[{"type":"image","image_url":"https://example.com","alt_text":"x","title":` + say(x(n)) + `}]`
	}, "/blocks/0/title/text"},
	{"markdown", 12_000, func(n int) string {
		return `[{"type":"markdown","text":"` + x(n-100) + `"},{"type":"markdown","text":"` + x(100) + `"}]`
	}, "/blocks"},
	{"rows", 100, func(n int) string {
		return `[{"type":"table","rows":` + many(n, func(int) string { return `[{"type":"raw_text","text":"x"}]` }) + `}]`
	}, "/blocks/0/rows"},
	{"columns", 20, func(n int) string {
		return `[{"type":"table","rows":[` + many(n, func(int) string { return `{"type":"raw_text","text":"x"}` }) + `]}]`
	}, "/blocks/0/rows/0"},
	{"tables [from memory]", 1, func(n int) string {
		return many(n, func(int) string { return `{"type":"table","rows":[[{"type":"raw_text","text":"x"}]]}` })
	}, "/blocks/1"},
	{"data rows", 201, func(n int) string {
		return `[{"type":"data_table","caption":"c","rows":` + many(n, func(int) string { return `[{"type":"raw_text","text":"x"}]` }) + `}]`
	}, "/blocks/0/rows"},
	{"data columns", 20, func(n int) string {
		return `[{"type":"data_table","caption":"c","rows":[` + many(n, func(int) string { return `{"type":"raw_text","text":"x"}` }) + `]}]`
	}, "/blocks/0/rows/0"},
	{"alert", 200, func(n int) string { return `[{"type":"alert","text":` + say(x(n)) + `}]` }, "/blocks/0/text/text"},
	{"card title", 150, func(n int) string { return `[{"type":"card","title":` + mark(x(n)) + `}]` }, "/blocks/0/title/text"},
	{"card subtitle", 150, func(n int) string {
		return `[{"type":"card","title":` + mark("x") + `,"subtitle":` + mark(x(n)) + `}]`
	}, "/blocks/0/subtitle/text"},
	{"card body", 200, func(n int) string { return `[{"type":"card","body":` + mark(x(n)) + `}]` }, "/blocks/0/body/text"},
	{"card subtext", 200, func(n int) string {
		return `[{"type":"card","title":` + mark("x") + `,"subtext":` + mark(x(n)) + `}]`
	}, "/blocks/0/subtext/text"},
	{"card actions", 3, func(n int) string {
		return `[{"type":"card","actions":` + many(n, func(i int) string {
			return fmt.Sprintf(`{"type":"button","action_id":"a%d","text":%s}`, i, say("x"))
		}) + `}]`
	}, "/blocks/0/actions"},
	{"carousel", 10, func(n int) string {
		return `[{"type":"carousel","elements":` + many(n, func(int) string { return `{"type":"card","title":` + mark("x") + `}` }) + `}]`
	}, "/blocks/0/elements"},
	{"container", 10, func(n int) string {
		return `[{"type":"container","child_blocks":` + many(n, func(int) string { return `{"type":"divider"}` }) + `}]`
	}, "/blocks/0/child_blocks"},
	{"layout rows", 5, func(n int) string {
		return `[{"type":"layout","label":"l","rows":` + many(n, func(int) string { return `{"items":[{"block":{"type":"divider"}}]}` }) + `}]`
	}, "/blocks/0/rows"},
	{"layout items", 3, func(n int) string {
		return `[{"type":"layout","label":"l","rows":[{"items":` + many(n, func(int) string { return `{"block":{"type":"divider"}}` }) + `}]}]`
	}, "/blocks/0/rows/0/items"},
	{"layout label", 150, func(n int) string {
		return `[{"type":"layout","label":"` + x(n) + `","rows":[{"items":[{"block":{"type":"divider"}}]}]}]`
	}, "/blocks/0/label"},
}

func TestLimitsOfBlocks(t *testing.T) {
	for _, l := range limits {
		if got := CheckBlocks(json.RawMessage(l.of(l.most))); got != nil {
			t.Errorf("%s: %d refused: %v", l.what, l.most, got)
		}
		got := CheckBlocks(json.RawMessage(l.of(l.most + 1)))
		if len(got) != 1 || !strings.HasSuffix(got[0], "[json-pointer:"+l.at+"]") {
			t.Errorf("%s: %d: %v, want one complaint at %s", l.what, l.most+1, got, l.at)
		}
	}
}

// The 20,000 characters of a data table come after the size of a message, so
// they are checked on their own.
func TestDataTableCharacters(t *testing.T) {
	of := func(last int) json.RawMessage {
		cells := many(10, func(i int) string { return fmt.Sprintf(`{"type":"raw_text","text":"%s"}`, x(2000-i/9*(2000-last))) })
		return json.RawMessage(`[{"type":"data_table","caption":"c","rows":[` + cells + `]}]`)
	}
	if got := CheckBlocks(of(2000)); got != nil {
		t.Error(got)
	}
	if got := CheckBlocks(of(2001)); len(got) != 1 {
		t.Error(got)
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
		section(`"text":` + say("x") + `,"accessory":{"type":"plain_text_input","action_id":"a"}`):                                                   "/blocks/0/accessory/type",
		`[{"type":"header","text":{"type":"mrkdwn","text":"x"}}]`:                                                                                    "/blocks/0/text/type",
		button(`"text":` + say("x") + `,"style":"loud"`):                                                                                             "/blocks/0/elements/0/style",
		button(`"text":` + say("x") + `,"url":"door"`):                                                                                               "/blocks/0/elements/0/url",
		button(`"action_id":"a"`):                                                                                                                    "/blocks/0/elements/0",
		actions(`"type":"number_input","is_decimal_allowed":true`):                                                                                   "/blocks/0/elements/0/type",
		actions(`"type":"static_select"`):                                                                                                            "/blocks/0/elements/0",
		actions(`"type":"static_select","options":[` + opt(1) + `,` + opt(1) + `]`):                                                                  "/blocks/0/elements/0",
		actions(`"type":"static_select","options":[` + opt(1) + `],"initial_option":` + opt(2)):                                                      "/blocks/0/elements/0",
		actions(`"type":"datepicker","initial_date":"tomorrow"`):                                                                                     "/blocks/0/elements/0/initial_date",
		actions(`"type":"timepicker","initial_time":"9"`):                                                                                            "/blocks/0/elements/0/initial_time",
		input(`"type":"number_input"`):                                                                                                               "/blocks/0/element",
		input(`"type":"number_input","is_decimal_allowed":true,"min_value":"a lot"`):                                                                 "/blocks/0/element/min_value",
		input(`"type":"button","text":` + say("x")):                                                                                                  "/blocks/0/element/type",
		`[{"type":"actions","elements":[{"type":"users_select","action_id":"a"},{"type":"users_select","action_id":"a"}]}]`:                          "/blocks/0/elements/1/action_id",
		`[{"type":"actions","elements":[{"type":"users_select","focus_on_load":true},{"type":"users_select","focus_on_load":true}]}]`:                "/blocks/0/elements/1/focus_on_load",
		`[{"type":"image","alt_text":"x"}]`:                                                                                                          "/blocks/0",
		`[{"type":"image","image_url":"https://example.com"}]`:                                                                                       "/blocks/0",
		`[{"type":"image","alt_text":"x","slack_file":{}}]`:                                                                                          "/blocks/0/slack_file",
		`[{"type":"table","rows":[[{"type":"raw_number","value":2}]]}]`:                                                                              "/blocks/0/rows/0/0",
		`[{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[{"type":"text","text":"x","style":{"loud":true}}]}]}]`:             "/blocks/0/elements/0/elements/0/style/loud",
		`[{"type":"rich_text","elements":[{"type":"rich_text_poem","elements":[]}]}]`:                                                                "/blocks/0/elements/0/type",
		`[{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[{"type":"link","url":"https://example.com"},{"type":"shout"}]}]}]`: "/blocks/0/elements/0/elements/1/type",
		`[{"type":"context","elements":[{"type":"button"}]}]`:                                                                                        "",
		`[{"type":"card"}]`: "/blocks/0",
		`[{"type":"task_card","task_id":"t","title":"x"}]`:                                                                                               "/blocks/0",
		`[{"type":"context_actions","elements":[{"type":"button"}]}]`:                                                                                    "/blocks/0/elements/0/type",
		`[{"type":"container","child_blocks":[{"type":"divider","block_id":"x"},{"type":"divider","block_id":"x"}]}]`:                                    "/blocks/0/child_blocks/1/block_id",
		`[{"type":"section","text":{"type":"mrkdwn","text":"x"},"accessory":{"type":"image","image_url":"https://example.com","alt_text":"x","x":"x"}}]`: "/blocks/0/accessory/x",
	} {
		got := CheckBlocks(json.RawMessage(blocks))
		if len(got) == 0 || at != "" && !slices.ContainsFunc(got, func(g string) bool { return strings.HasSuffix(g, "[json-pointer:"+at+"]") }) {
			t.Errorf("%s: %v, want a complaint at %s", blocks, got, at)
		}
	}
}

func TestLimitsOfViews(t *testing.T) {
	modal := func(rest string) string {
		return `{"type":"modal","title":` + say("Door") + `,"submit":` + say("Open") + `,` + rest + `}`
	}
	dividers := func(n int) string { return many(n, func(int) string { return `{"type":"divider"}` }) }
	named := func(name string, n int) string {
		return strings.Replace(modal(`"blocks":[],"close":`+say("Back")), fmt.Sprintf("%q:%s", name, say(map[string]string{"title": "Door", "submit": "Open", "close": "Back"}[name])), fmt.Sprintf("%q:%s", name, say(x(n))), 1)
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
		{255, func(n int) string { return modal(`"blocks":[],"callback_id":"` + x(n) + `"`) }, "/view/callback_id"},
		{3000, func(n int) string { return modal(`"blocks":[],"private_metadata":"` + x(n) + `"`) }, "/view/private_metadata"},
	} {
		if got := CheckView(json.RawMessage(l.of(l.most))); got != nil {
			t.Errorf("%d at %s refused: %v", l.most, l.at, got)
		}
		if got := CheckView(json.RawMessage(l.of(l.most + 1))); len(got) != 1 || !strings.HasSuffix(got[0], "[json-pointer:"+l.at+"]") {
			t.Errorf("%d at %s: %v", l.most+1, l.at, got)
		}
	}
	long := many(100, func(int) string { return `{"type":"section","text":` + say(x(2400)) + `}` })
	for view, at := range map[string]string{
		`{"type":"door","blocks":[]}`: "/view/type",
		`{"type":"modal","title":` + say("x") + `,"blocks":` + input(`"type":"plain_text_input"`) + `}`: "/view", // no submit
		`{"type":"home","title":` + say("x") + `,"blocks":[]}`:                                          "/view/title",
		`{"type":"home","blocks":[{"type":"table","rows":[[{"type":"raw_text","text":"x"}]]}]}`:         "/view/blocks/0/type",
		`{"type":"modal","blocks":[]}`: "/view",
	} {
		if got := CheckView(json.RawMessage(view)); len(got) != 1 || !strings.HasSuffix(got[0], "[json-pointer:"+at+"]") {
			t.Errorf("%s: %v", view, got)
		}
	}
	home := `{"type":"home","blocks":` + long + `}`
	if got := CheckView(json.RawMessage(home)); len(home) > maxView || got != nil {
		t.Errorf("%d bytes: %v", len(home), got)
	}
	home = strings.Replace(home, `"home"`, `"home"`+strings.Repeat(" ", maxView-len(home)+1), 1)
	if got := CheckView(json.RawMessage(home)); len(got) != 1 {
		t.Errorf("%d bytes: %v", len(home), got)
	}
}

// TestScreens: the fake takes every screen that the adapter has drawn.
func TestScreens(t *testing.T) {
	paths, err := filepath.Glob("../../../testdata/screens/*.json")
	if err != nil || len(paths) == 0 {
		t.Fatal("no screens", err)
	}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		var screen struct {
			Kind    string
			Payload json.RawMessage
		}
		var message struct{ Blocks json.RawMessage }
		if err := errors.Join(json.Unmarshal(data, &screen), json.Unmarshal(screen.Payload, &message)); err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		var problems []string
		switch screen.Kind {
		case inMessage:
			if len(message.Blocks) > 0 {
				problems = CheckBlocks(message.Blocks)
			}
		default:
			problems = CheckView(screen.Payload)
		}
		if len(problems) > 0 {
			t.Errorf("%s: %v", filepath.Base(path), problems)
		}
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
	if _, err := post(slack.MsgOptionText("x", false), blocks(6, 2200)); err != nil {
		t.Error(err)
	}
	if _, err := post(slack.MsgOptionText("x", false), blocks(6, 2201)); code(err) != "msg_blocks_too_long" {
		t.Error(err)
	}
	ts, err := post(slack.MsgOptionText(x(40_001), false))
	if m, _ := s.Message(lane, ts); err != nil || units(m.Text) != 39_999 { // a door is not cut in two
		t.Errorf("%d %v", units(m.Text), err)
	}
	if _, _, _, err := api.UpdateMessage(lane, ts, slack.MsgOptionText(x(4001), false)); code(err) != "msg_too_long" {
		t.Error(err)
	}
	if _, err := post(slack.MsgOptionText("x", false), slack.MsgOptionMetadata(slack.SlackMetadata{EventType: "x", EventPayload: map[string]any{"id": x(8000)}})); code(err) != "metadata_too_large" {
		t.Error(err)
	}
	s.mu.Lock()
	trigger := s.issue(ana, "")
	s.mu.Unlock()
	view := slack.ModalViewRequest{Type: slack.VTModal, Title: slack.NewTextBlockObject("plain_text", x(25), false, false)}
	view.Blocks.BlockSet = []slack.Block{slack.NewDividerBlock()}
	v, err := api.OpenView(trigger, view)
	if code(err) != "invalid_arguments" || len(v.ResponseMetadata.Messages) != 1 || !strings.Contains(v.ResponseMetadata.Messages[0], "/view/title/text") {
		t.Errorf("%v %+v", err, v.ResponseMetadata)
	}
}
