package slack

import (
	"encoding/json"
	"fmt"
	"html"
	"slices"
	"strings"

	"heelpost/bot/slack/fake"
)

// legend stands above the screens of testdata/screens/screens.txt.
const legend = `What posts, forms and homes look like in Slack, in words. "go test
./bot/slack -update" rewrites this file; the screens that are kept whole, as
they are sent, stand beside it.

    # large and alone             *bold*          • in a list
    > behind a bar                . small print   {a picture: what it shows}
    [Label: what it says]         a button; [*Label …] is the one that stands out
    [Label: form NAME]            a button that opens a form
    name: Label [value] kind      a field of a form, with its hint below
    [Chosen | one | another]      a menu; what it stands for in (), if that differs
    | cell | cell |               a row of a table

The text that notifications show and screen readers read has the same words
in the same order; where it has not, that is said, or it stands below.
`

// shownScreen is a screen in words: what is shown, line by line.
func shownScreen(name, kind string, payload []byte) (string, error) {
	var m map[string]any
	if err := json.Unmarshal(payload, &m); err != nil {
		return "", err
	}
	var w wording
	w.line("==== %s: %s", name, kind)
	if kind == fake.InModal {
		w.line("%s  [%s] [%s]", textOf(m["title"]), textOf(m["close"]), textOf(m["submit"]))
		w.line("carries %s back to %q", m["private_metadata"], m["callback_id"])
	}
	blocks, _ := m["blocks"].([]any)
	for _, b := range blocks {
		w.block(b.(map[string]any))
	}
	if text, ok := m["text"].(string); ok {
		w.notified(text)
	}
	return w.String(), nil
}

// notified writes the text of a message if it is not what the blocks show.
func (w *wording) notified(text string) {
	said := slices.DeleteFunc(bare(html.UnescapeString(text)), func(word string) bool { return word == "also:" })
	switch {
	case slices.Equal(w.said, said):
	case slices.Equal(slices.Sorted(slices.Values(w.said)), slices.Sorted(slices.Values(said))):
		w.line("text: the same words in another order")
	default:
		w.line("text:\n%s", text)
	}
}

// bare are the words of a text without the marks of bold.
func bare(text string) []string { return words(strings.ReplaceAll(text, "*", "")) }

// wording writes blocks as words.
type wording struct {
	strings.Builder
	said []string // the words of texts, as the text for notifications has them
}

func (w *wording) line(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }

// shown writes a text behind a mark, line by line.
func (w *wording) shown(mark, text string) {
	w.said = append(w.said, bare(text)...)
	for l := range strings.Lines(text) {
		w.line("%s%s", mark, strings.TrimRight(l, "\n"))
	}
}

func (w *wording) block(b map[string]any) {
	if id := b["block_id"]; id != nil && b["type"] != "input" {
		w.line("-- %s", id)
	}
	elements, _ := b["elements"].([]any)
	switch b["type"] {
	case "header":
		w.shown("# ", textOf(b["text"]))
	case "section":
		w.shown("", textOf(b["text"]))
		if a, ok := b["accessory"].(map[string]any); ok {
			w.line("%s", control(a))
		}
	case "context":
		for _, e := range elements {
			w.shown(". ", textOf(e))
		}
	case "image":
		w.line("{%s: %s}", b["slack_file"].(map[string]any)["id"], b["alt_text"])
	case "actions":
		var all []string
		for _, e := range elements {
			all = append(all, control(e.(map[string]any)))
		}
		w.line("%s", strings.Join(all, " "))
	case "rich_text":
		for _, e := range elements {
			w.rich(e.(map[string]any), "")
		}
	case "table", "data_table":
		w.table(b)
	case "input":
		optional := ""
		if b["optional"] == true {
			optional = ", may stay empty"
		}
		w.line("%s: %s %s%s", b["block_id"], textOf(b["label"]), control(b["element"].(map[string]any)), optional)
		if hint := textOf(b["hint"]); hint != "" {
			w.line("    %s", hint)
		}
	default:
		w.line("%v", b) // teach it here
	}
}

// table writes a table row by row.
func (w *wording) table(b map[string]any) {
	if caption, ok := b["caption"]; ok {
		w.line("| %s, %v at once", caption, b["page_size"])
	}
	for _, r := range b["rows"].([]any) {
		var cells []string
		for _, c := range r.([]any) {
			switch m := c.(map[string]any); m["type"] {
			case "action_cell":
				cells = append(cells, control(m["element"].(map[string]any)))
			case "rich_text":
				var cell wording
				cell.rich(m["elements"].([]any)[0].(map[string]any), "")
				cells = append(cells, strings.TrimSpace(cell.String()))
			default:
				cells = append(cells, m["text"].(string))
			}
		}
		w.line("| %s |", strings.Join(cells, " | "))
	}
}

// rich writes a part of a rich text.
func (w *wording) rich(part map[string]any, mark string) {
	elements, _ := part["elements"].([]any)
	switch part["type"] {
	case "rich_text_list":
		for _, e := range elements {
			w.rich(e.(map[string]any), "  • ")
		}
		return
	case "rich_text_quote":
		mark = "> "
	}
	var b strings.Builder
	for _, e := range elements {
		m := e.(map[string]any)
		text, _ := m["text"].(string)
		switch {
		case m["type"] == "user":
			fmt.Fprintf(&b, "<@%s>", m["user_id"])
		case m["style"] != nil:
			lead, body := text[:len(text)-len(strings.TrimLeft(text, "\n "))], strings.TrimSpace(text)
			fmt.Fprintf(&b, "%s*%s*%s", lead, body, text[len(lead)+len(body):])
		default:
			b.WriteString(text)
		}
	}
	w.shown(mark, b.String())
}

// control is something to press or fill in.
func control(e map[string]any) string {
	kind, several := strings.CutPrefix(strings.TrimSuffix(e["type"].(string), "_input"), "multi_")
	switch kind {
	case "button":
		label := textOf(e["text"])
		if e["style"] == "primary" {
			label = "*" + label
		}
		return "[" + label + ": " + pressing(e) + "]"
	case "static_select", "checkboxes":
		return menu(e)
	}
	value := ""
	for _, key := range []string{"initial_value", "initial_date", "initial_time", "initial_user", "initial_users"} {
		if v := e[key]; v != nil {
			value = strings.Trim(fmt.Sprint(v), "[]")
		}
	}
	switch {
	case several:
		kind += ", several"
	case e["multiline"] == true:
		kind += " of several lines"
	}
	return fmt.Sprintf("[%s] %s", value, strings.ReplaceAll(kind, "_", " "))
}

// pressing is what a button does.
func pressing(e map[string]any) string {
	if url, ok := e["url"]; ok {
		return fmt.Sprint(url)
	}
	value, _ := e["value"].(string)
	p, ok := readPress(value)
	if !ok {
		return fmt.Sprintf("%s %s", e["action_id"], value)
	}
	does := p.Say
	switch {
	case p.Form != "":
		does = "form " + p.Form
	case p.Ask != "":
		does = "share " + p.Ask
	}
	if p.Door != "" {
		does += strings.TrimRight(" · "+p.Site, " ·") + " · " + p.Door
	}
	return does
}

// menu is a menu with what is chosen at first.
func menu(e map[string]any) string {
	chosen, _ := e["initial_options"].([]any)
	if one := e["initial_option"]; one != nil {
		chosen = append(chosen, one)
	}
	name := func(o any) string {
		m, label := o.(map[string]any), textOf(o.(map[string]any)["text"])
		if m["value"] != strings.ToLower(label) {
			label += fmt.Sprintf(" (%v)", m["value"])
		}
		return label
	}
	var at, all []string
	for _, o := range chosen {
		at = append(at, name(o))
	}
	for _, o := range e["options"].([]any) {
		all = append(all, name(o))
	}
	several := ""
	if e["type"] == "multi_static_select" {
		several = " several of"
	}
	return "[" + strings.Join(at, ", ") + " |" + several + " " + strings.Join(all, " | ") + "]"
}

// textOf is the text of a text object, "" without one.
func textOf(v any) string {
	m, _ := v.(map[string]any)
	text, _ := m["text"].(string)
	return text
}
