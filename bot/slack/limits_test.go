package slack

import (
	"fmt"
	"strings"
	"testing"
)

// A limit is kept at its number and broken one past it. The numbers are typed
// anew from the doc comments of @slack/types 3.2.0 (npm) and, for alert, card
// and layout, from the block specifications of nicklambourne/slackblocks.
func TestCheck_Limits(t *testing.T) {
	const section = `{"type":"section","text":{"type":"plain_text","text":"a"}}`
	const input = `{"type":"input","label":{"type":"plain_text","text":"a"},"element":{"type":"plain_text_input"}}`
	message := func(block string) string { return `{"text":"a","blocks":[` + block + `]}` }
	modal := func(block string) string {
		return `{"type":"modal","title":{"type":"plain_text","text":"a"},"submit":{"type":"plain_text","text":"a"},"blocks":[` + block + `]}`
	}
	button := func(with string) string {
		return message(`{"type":"actions","elements":[{"type":"button","text":{"type":"plain_text","text":"a"},` + with + `}]}`)
	}
	element := func(e string) string { return message(`{"type":"actions","elements":[` + e + `]}`) }
	option := func(with string) string {
		return element(`{"type":"static_select","options":[{` + with + `}]}`)
	}
	confirm := func(with string) string {
		for _, key := range []string{"title", "text", "confirm"} {
			if !strings.Contains(with, `"`+key+`":{`) {
				with += `,"` + key + `":{"type":"plain_text","text":"a"}`
			}
		}
		return button(`"confirm":{` + with + `}`)
	}
	for _, c := range []struct {
		kind, payload string // TEXT is a text of the most characters, LIST(x) a list of the most x
		most          int
		path          string
	}{
		{kindMessage, `{"text":"TEXT"}`, 4000, "text"},
		{kindMessage, `{"text":"a","blocks":LIST(` + section + `)}`, 50, "blocks"},
		{kindMessage, `{"text":"a","attachments":LIST({})}`, 100, "attachments"},
		{kindModal, strings.Replace(modal(section), `"text":"a"},"submit"`, `"text":"TEXT"},"submit"`, 1), 24, "title"},
		{kindModal, strings.Replace(modal(section), `"submit":{"type":"plain_text","text":"a"`, `"submit":{"type":"plain_text","text":"TEXT"`, 1), 24, "submit"},
		{kindModal, strings.Replace(modal(section), `"blocks"`, `"close":{"type":"plain_text","text":"TEXT"},"blocks"`, 1), 24, "close"},
		{kindModal, strings.Replace(modal(section), `"blocks"`, `"private_metadata":"TEXT","blocks"`, 1), 3000, "private_metadata"},
		{kindModal, strings.Replace(modal(section), `"blocks"`, `"callback_id":"TEXT","blocks"`, 1), 255, "callback_id"},
		{kindModal, strings.Replace(modal(section), `[`+section+`]`, `LIST(`+section+`)`, 1), 100, "blocks"},
		{kindHome, `{"type":"home","blocks":LIST(` + section + `)}`, 100, "blocks"},
		{kindHome, `{"type":"home","private_metadata":"TEXT","blocks":[` + section + `]}`, 3000, "private_metadata"},
		{kindMessage, message(`{"type":"divider","block_id":"TEXT"}`), 255, "blocks[0].block_id"},
		{kindMessage, message(`{"type":"section","text":{"type":"mrkdwn","text":"TEXT"}}`), 3000, "blocks[0].text"},
		{kindMessage, message(`{"type":"section","fields":LIST({"type":"plain_text","text":"a"})}`), 10, "blocks[0].fields"},
		{kindMessage, message(`{"type":"section","fields":[{"type":"plain_text","text":"TEXT"}]}`), 2000, "blocks[0].fields[0]"},
		{kindMessage, message(`{"type":"header","text":{"type":"plain_text","text":"TEXT"}}`), 150, "blocks[0].text"},
		{kindMessage, message(`{"type":"context","elements":LIST({"type":"plain_text","text":"a"})}`), 10, "blocks[0].elements"},
		{kindMessage, message(`{"type":"actions","elements":LIST({"type":"button","text":{"type":"plain_text","text":"a"}})}`), 25, "blocks[0].elements"},
		{kindMessage, message(`{"type":"image","slack_file":{"id":"F1"},"alt_text":"TEXT"}`), 2000, "blocks[0].alt_text"},
		{kindMessage, message(`{"type":"image","slack_file":{"id":"F1"},"alt_text":"a","title":{"type":"plain_text","text":"TEXT"}}`), 2000, "blocks[0].title"},
		{kindMessage, message(`{"type":"image","image_url":"TEXT","alt_text":"a"}`), 3000, "blocks[0].image_url"},
		{kindModal, modal(strings.Replace(input, `"text":"a"`, `"text":"TEXT"`, 1)), 2000, "blocks[0].label"},
		{kindModal, modal(strings.Replace(input, `"element"`, `"hint":{"type":"plain_text","text":"TEXT"},"element"`, 1)), 2000, "blocks[0].hint"},
		{kindModal, modal(strings.Replace(input, `input"}`, `input","action_id":"TEXT"}`, 1)), 255, "blocks[0].element.action_id"},
		{kindModal, modal(strings.Replace(input, `input"}`, `input","placeholder":{"type":"plain_text","text":"TEXT"}}`, 1)), 150, "blocks[0].element.placeholder"},
		{kindModal, modal(strings.Replace(input, `input"}`, `input","max_length":MOST}`, 1)), 3000, "blocks[0].element.max_length"},
		{kindModal, modal(strings.Replace(input, `input"}`, `input","min_length":MOST}`, 1)), 3000, "blocks[0].element.min_length"},
		{kindMessage, strings.Replace(button(`"style":"primary"`), `"text":"a"},"style"`, `"text":"TEXT"},"style"`, 1), 75, "blocks[0].elements[0].text"},
		{kindMessage, button(`"value":"TEXT"`), 2000, "blocks[0].elements[0].value"},
		{kindMessage, button(`"url":"TEXT"`), 3000, "blocks[0].elements[0].url"},
		{kindMessage, button(`"accessibility_label":"TEXT"`), 75, "blocks[0].elements[0].accessibility_label"},
		{kindMessage, confirm(`"title":{"type":"plain_text","text":"TEXT"}`), 100, "blocks[0].elements[0].confirm.title"},
		{kindMessage, confirm(`"text":{"type":"plain_text","text":"TEXT"}`), 300, "blocks[0].elements[0].confirm.text"},
		{kindMessage, confirm(`"confirm":{"type":"plain_text","text":"TEXT"}`), 30, "blocks[0].elements[0].confirm.confirm"},
		{kindMessage, confirm(`"deny":{"type":"plain_text","text":"TEXT"}`), 30, "blocks[0].elements[0].confirm.deny"},
		{kindMessage, option(`"text":{"type":"plain_text","text":"TEXT"},"value":"a"`), 75, "blocks[0].elements[0].options[0].text"},
		{kindMessage, option(`"text":{"type":"plain_text","text":"a"},"value":"TEXT"`), 75, "blocks[0].elements[0].options[0].value"},
		{kindMessage, option(`"text":{"type":"plain_text","text":"a"},"value":"a","description":{"type":"plain_text","text":"TEXT"}`), 75, "blocks[0].elements[0].options[0].description"},
		{kindMessage, option(`"text":{"type":"plain_text","text":"a"},"value":"a","url":"TEXT"`), 3000, "blocks[0].elements[0].options[0].url"},
		{kindMessage, element(`{"type":"static_select","options":LIST({"text":{"type":"plain_text","text":"a"},"value":"a"})}`), 100, "blocks[0].elements[0].options"},
		{kindMessage, element(`{"type":"static_select","option_groups":LIST({"label":{"type":"plain_text","text":"a"},"options":[{"text":{"type":"plain_text","text":"a"},"value":"a"}]})}`), 100, "blocks[0].elements[0].option_groups"},
		{kindMessage, element(`{"type":"static_select","option_groups":[{"label":{"type":"plain_text","text":"TEXT"},"options":[{"text":{"type":"plain_text","text":"a"},"value":"a"}]}]}`), 75, "blocks[0].elements[0].option_groups[0].label"},
		{kindMessage, element(`{"type":"overflow","options":LIST({"text":{"type":"plain_text","text":"a"},"value":"a"})}`), 5, "blocks[0].elements[0].options"},
		{kindMessage, element(`{"type":"checkboxes","options":LIST({"text":{"type":"plain_text","text":"a"},"value":"a"})}`), 10, "blocks[0].elements[0].options"},
		{kindMessage, element(`{"type":"radio_buttons","options":LIST({"text":{"type":"plain_text","text":"a"},"value":"a"})}`), 10, "blocks[0].elements[0].options"},
		{kindModal, modal(strings.Replace(input, `{"type":"plain_text_input"}`, `{"type":"file_input","max_files":MOST}`, 1)), 10, "blocks[0].element.max_files"},
		{kindMessage, message(`{"type":"markdown","text":"TEXT"}`), 12_000, "blocks[0].text"},
		{kindMessage, message(`{"type":"table","rows":LIST([{"type":"raw_text","text":"a"}])}`), 100, "blocks[0].rows"},
		{kindMessage, message(`{"type":"table","rows":[LIST({"type":"raw_text","text":"a"})]}`), 20, "blocks[0].rows[0]"},
		{kindMessage, message(`{"type":"data_table","caption":"a","rows":LIST([{"type":"raw_text","text":"a"}])}`), 201, "blocks[0].rows"},
		{kindMessage, message(`{"type":"alert","text":{"type":"plain_text","text":"TEXT"}}`), 200, "blocks[0].text"},
		{kindMessage, message(`{"type":"card","title":{"type":"mrkdwn","text":"TEXT"}}`), 150, "blocks[0].title"},
		{kindMessage, message(`{"type":"card","body":{"type":"mrkdwn","text":"TEXT"}}`), 200, "blocks[0].body"},
		{kindMessage, message(`{"type":"carousel","elements":LIST({"type":"card"})}`), 10, "blocks[0].elements"},
		{kindMessage, message(`{"type":"container","child_blocks":LIST({"type":"divider"})}`), 10, "blocks[0].child_blocks"},
		{kindMessage, message(`{"type":"layout","rows":LIST([{"type":"divider"}])}`), 5, "blocks[0].rows"},
	} {
		for past := range 2 {
			breaches := check(c.kind, []byte(fill(c.payload, c.most+past)))
			ok := len(breaches) == 0
			if past == 1 {
				ok = len(breaches) > 0 && strings.HasPrefix(breaches[0], c.path+": ")
			}
			if !ok {
				t.Errorf("%s at %d, limit %d, got %q", c.path, c.most+past, c.most, breaches)
			}
		}
	}
}

// fill puts texts and lists of n into a payload.
func fill(payload string, n int) string {
	payload = strings.ReplaceAll(strings.ReplaceAll(payload, "TEXT", strings.Repeat("x", n)), "MOST", fmt.Sprint(n))
	if before, rest, ok := strings.Cut(payload, "LIST("); ok {
		end := strings.LastIndexByte(rest, ')')
		return before + "[" + strings.Repeat(rest[:end]+",", n-1) + rest[:end] + "]" + rest[end+1:]
	}
	return payload
}

// What is wrong beside lengths and counts, and how characters are counted.
func TestCheck_Breaches(t *testing.T) {
	rich := func(text string) string {
		return `{"type":"rich_text","elements":[{"type":"rich_text_section","elements":[{"type":"text","text":"` + text + `"}]}]}`
	}
	message := func(blocks string) string { return `{"text":"a","blocks":[` + blocks + `]}` }
	for _, c := range []struct{ kind, payload, want string }{
		{kindMessage, `[]`, "no JSON object"},
		{kindMessage, `{"blocks":[]}`, "text: 0 characters, at least 1"},
		{kindMessage, message(`{"type":"divider","block_id":"a"},{"type":"divider","block_id":"a"}`), `blocks[1].block_id: "a" is there twice`},
		{kindMessage, message(`{"type":"actions","elements":[{"type":"button","action_id":"a","text":{"type":"plain_text","text":"a"}},{"type":"button","action_id":"a","text":{"type":"plain_text","text":"b"}}]}`), `blocks[0].elements[1].action_id: "a" is there twice`},
		{kindMessage, message(`{"type":"header","text":{"type":"plain_text","text":""}}`), "blocks[0].text: 0 characters, at least 1"},
		{kindMessage, message(`{"type":"section"}`), "blocks[0]: neither text nor fields"},
		{kindMessage, message(`{"type":"image","alt_text":"a"}`), "blocks[0]: one of image_url and slack_file"},
		{kindMessage, message(`{"type":"image","alt_text":"a","image_url":"a","slack_file":{"id":"F1"}}`), "blocks[0]: one of image_url and slack_file"},
		{kindMessage, message(`{"type":"heading"}`), `blocks[0]: no block is of type "heading"`},
		{kindMessage, message(`{"type":"section","text":{"type":"mrkdwn","text":"a","emoji":false}}`), "blocks[0].text: emoji"},
		{kindMessage, message(`{"type":"actions","elements":[{"type":"static_select","options":[{"text":{"type":"plain_text","text":"a"},"value":"a"}],"initial_option":{"text":{"type":"plain_text","text":"a"},"value":"b"}}]}`), "blocks[0].elements[0]: {"},
		{kindMessage, message(rich(strings.Repeat("x", 3001))), "blocks[0].elements[0].elements[0].text: 3001 characters"},
		{kindMessage, message(rich(strings.Repeat("<", 751))), "blocks[0].elements[0].elements[0].text: 3004 characters"},
		{kindMessage, message(rich(strings.Repeat("🚪", 1501))), "blocks[0].elements[0].elements[0].text: 3002 characters"},
		{kindMessage, message(strings.TrimSuffix(strings.Repeat(rich(strings.Repeat("x", 2900))+",", 5), ",")), "blocks: 14500 characters in all"},
		{kindMessage, message(`{"type":"table","rows":[[{"type":"raw_text","text":"a"}]]},{"type":"table","rows":[[{"type":"raw_text","text":"a"}]]}`), "blocks: 2 tables"},
		{kindMessage, `{"text":"a","metadata":{"event_type":"a.b","event_payload":{}}}`, `metadata.event_type: "a.b"`},
		{kindMessage, `{"text":"a","metadata":{"event_type":"a","event_payload":{"id":"` + strings.Repeat("x", 1000) + `"}}}`, "metadata: "},
		{kindModal, `{"type":"modal","title":{"type":"plain_text","text":"a"},"blocks":[{"type":"input","label":{"type":"plain_text","text":"a"},"element":{"type":"plain_text_input"}}]}`, "blocks[0]: an input, and the modal has no submit"},
		{kindHome, `{"type":"home","blocks":[]}`, "blocks: 0 members, at least 1"},
		{kindHome, `{"type":"home","blocks":[{"type":"divider"}],"x":"` + strings.Repeat("x", 250_000) + `"}`, "250"},
	} {
		got := check(c.kind, []byte(c.payload))
		if len(got) == 0 || !strings.HasPrefix(got[0], c.want) {
			t.Errorf("%.200s: got %.200q, want %q first", c.payload, got, c.want)
		}
	}
	if got := check(kindMessage, []byte(`{"text":"`+strings.Repeat("&lt;", 1000)+`"}`)); got != nil {
		t.Errorf("a text of 4000 characters that is sent escaped: got %q", got)
	}
}
