package slack

import (
	"encoding/json"
	"flag"
	"fmt"
	"html"
	"os"
	"strings"
	"testing"

	"heelpost/bot/slack/fake"
)

var screenPage = flag.String("page", "", "a file to write every screen to, as one page to look at")

// TestPage draws all screens on one page, roughly as a phone shows them, for who
// works on them. Without -page it holds that nothing is left out of it.
func TestPage(t *testing.T) {
	var p page
	p.WriteString(pageHead)
	for _, g := range goldens(t) {
		var m map[string]any
		if err := json.Unmarshal(breachless(t, g.name, g.kind, g.payload), &m); err != nil {
			t.Fatal(err)
		}
		p.line(`<section class="%s"><h6>%s</h6>`, g.kind, g.name)
		if g.kind == fake.InModal {
			p.line(`<p class="bar">%s</p>`, esc(textOf(m["title"])))
		}
		blocks, _ := m["blocks"].([]any)
		for _, b := range blocks {
			p.block(b.(map[string]any))
		}
		if g.kind == fake.InModal {
			p.line(`<p class="row"><b class="b">%s</b><b class="b primary">%s</b></p>`, esc(textOf(m["close"])), esc(textOf(m["submit"])))
		}
		p.line(`</section>`)
	}
	if strings.Contains(p.String(), "???") {
		t.Error("a block is not drawn")
	}
	if *screenPage != "" {
		if err := os.WriteFile(*screenPage, []byte(p.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

const pageHead = `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>Screens</title>
<style>body{font:15px/1.45 sans-serif;margin:0;padding:0 12px;color:#1d1c1d;overflow-wrap:anywhere}section{border-top:6px solid #ddd;padding:4px 0 14px}
h6{color:#777;margin:0 0 6px;font-weight:400}h3{font-size:18px;margin:8px 0 2px}p{margin:4px 0;white-space:pre-wrap}ul{margin:0;padding-left:22px}blockquote{border-left:4px solid #ccc;margin:4px 0;padding-left:8px;white-space:pre-wrap}
small{color:#616061;display:block;white-space:pre-wrap}.b{border:1px solid #bbb;border-radius:6px;padding:5px 11px;margin:3px 6px 3px 0;display:inline-block;font-size:14px}.primary{background:#007a5a;color:#fff;border-color:#007a5a}
.t{overflow-x:auto}table{border-collapse:collapse;margin:6px 0;font-size:14px}td{border:1px solid #ccc;padding:3px 7px;min-width:84px;max-width:220px;vertical-align:top}tr:first-child{font-weight:bold}
.f{border:1px solid #999;border-radius:4px;padding:7px;min-height:20px;color:#333}label{font-weight:bold;display:block;margin-top:12px}.bar{font-weight:bold;text-align:center}.img{background:#eef;padding:18px 8px}</style>`

// page is HTML that is being written.
type page struct{ strings.Builder }

func (p *page) line(format string, args ...any) { fmt.Fprintf(p, format+"\n", args...) }

func esc(s string) string { return html.EscapeString(s) }

func (p *page) block(b map[string]any) {
	elements, _ := b["elements"].([]any)
	switch b["type"] {
	case "header":
		p.line("<h3>%s</h3>", esc(textOf(b["text"])))
	case "section":
		p.line("<p>%s</p>", esc(textOf(b["text"])))
		if a, ok := b["accessory"].(map[string]any); ok {
			p.line("%s", pressable(a))
		}
	case "context":
		for _, e := range elements {
			p.line("<small>%s</small>", esc(textOf(e)))
		}
	case "image":
		p.line(`<p class="img">%s</p>`, esc(fmt.Sprint(b["alt_text"])))
	case "actions":
		p.WriteString(`<p class="row">`)
		for _, e := range elements {
			p.WriteString(pressable(e.(map[string]any)))
		}
		p.line("</p>")
	case "rich_text":
		for _, e := range elements {
			p.rich(e.(map[string]any), "p")
		}
	case "input":
		label, may := textOf(b["label"]), ""
		if b["optional"] == true {
			may = " (optional)"
		}
		p.line(`<label>%s<small style="display:inline">%s</small></label><div class="f">%s</div><small>%s</small>`, esc(label), may, pressable(b["element"].(map[string]any)), esc(textOf(b["hint"])))
	case "table", "data_table":
		p.table(b)
	default:
		p.line("??? %v", b)
	}
}

func (p *page) table(b map[string]any) {
	p.line(`<div class="t"><table>`)
	for _, r := range b["rows"].([]any) {
		p.WriteString("<tr>")
		for _, c := range r.([]any) {
			p.WriteString("<td>")
			switch m := c.(map[string]any); m["type"] {
			case "action_cell":
				p.WriteString(pressable(m["element"].(map[string]any)))
			case "rich_text":
				p.rich(m["elements"].([]any)[0].(map[string]any), "span")
			default:
				p.WriteString(esc(m["text"].(string)))
			}
			p.WriteString("</td>")
		}
		p.line("</tr>")
	}
	p.line("</table></div>")
}

func (p *page) rich(part map[string]any, tag string) {
	elements, _ := part["elements"].([]any)
	switch part["type"] {
	case "rich_text_list":
		p.line("<ul>")
		for _, e := range elements {
			p.rich(e.(map[string]any), "li")
		}
		p.line("</ul>")
		return
	case "rich_text_quote":
		tag = "blockquote"
	}
	p.WriteString("<" + tag + ">")
	for _, e := range elements {
		m := e.(map[string]any)
		text := esc(fmt.Sprint(m["text"]))
		if m["type"] == "user" {
			text = "<b>@" + esc(fmt.Sprint(m["user_id"])) + "</b>"
		}
		if m["style"] != nil {
			text = "<b>" + text + "</b>"
		}
		p.WriteString(text)
	}
	p.line("</%s>", tag)
}

// pressable draws something to press, choose or fill in.
func pressable(e map[string]any) string {
	switch e["type"] {
	case "button":
		class := "b"
		if e["style"] == "primary" {
			class += " primary"
		}
		return `<span class="` + class + `">` + esc(textOf(e["text"])) + `</span>`
	case "checkboxes":
		return "☐ " + esc(textOf(e["options"].([]any)[0].(map[string]any)["text"]))
	}
	for _, key := range []string{"initial_value", "initial_date", "initial_time", "initial_user", "initial_users"} {
		if v := e[key]; v != nil {
			return esc(fmt.Sprint(v))
		}
	}
	if o, ok := e["initial_option"].(map[string]any); ok {
		return esc(textOf(o["text"])) + " ▾"
	}
	if _, ok := e["options"]; ok {
		return esc(textOf(e["placeholder"])) + " ▾"
	}
	return esc(textOf(e["placeholder"]))
}
