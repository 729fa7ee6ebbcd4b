package slack

import (
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode/utf16"
)

// What check can look at.
const (
	kindMessage = "message" // the arguments of chat.postMessage
	kindModal   = "modal"
	kindHome    = "home"
)

// limit bounds what stands under a key: the characters of a text, the members
// of a list, or a number. What has a least is required.
type limit struct {
	key         string // key[] bounds each member of a list
	least, most int
}

// limits are Slack's, by the type of what they bound. Sources: the doc
// comments of the npm package @slack/types 3.2.0, which repeat Slack's Block
// Kit reference; where the comment beside a line says so, what others read
// off Slack's servers.
var limits = map[string][]limit{
	kindMessage: {{"text", 1, 4000}, {"blocks", 0, 50}, {"attachments", 0, 100}}, // chat.update refuses more text than chat.postMessage advises (from memory)
	kindModal: {{"title", 1, 24}, {"submit", 0, 24}, {"close", 0, 24}, {"blocks", 1, 100},
		{"private_metadata", 0, 3000}, {"callback_id", 0, 255}, {"external_id", 0, 255}},
	kindHome: {{"blocks", 1, 100}, {"private_metadata", 0, 3000}, {"callback_id", 0, 255}, {"external_id", 0, 255}},

	// Blocks.
	"actions":         {{"elements", 1, 25}},
	"alert":           {{"text", 1, 200}}, // of nicklambourne/slackblocks, as those of card and layout
	"card":            {{"title", 0, 150}, {"subtitle", 0, 150}, {"body", 0, 200}, {"subtext", 0, 200}, {"actions", 0, 3}},
	"carousel":        {{"elements", 1, 10}},
	"container":       {{"title", 0, 150}, {"subtitle", 0, 150}, {"child_blocks", 1, 10}},
	"context":         {{"elements", 1, 10}},
	"context_actions": {{"elements", 1, 5}},
	"data_table":      {{"rows", 1, 201}, {"rows[]", 1, 20}, {"caption", 1, 3000}, {"page_size", 0, 100}},
	"divider":         {},
	"file":            {{"external_id", 1, 255}},
	"header":          {{"text", 1, 150}},
	"image":           {{"alt_text", 1, 2000}, {"title", 0, 2000}, {"image_url", 0, 3000}},
	"input":           {{"label", 1, 2000}, {"hint", 0, 2000}},
	"layout":          {{"rows", 1, 5}, {"rows[]", 1, 3}, {"label", 0, 150}},
	"markdown":        {{"text", 1, 12_000}},
	"rich_text":       {{"elements", 1, 1000}}, // the number is ours
	"section":         {{"text", 0, 3000}, {"fields", 0, 10}, {"fields[]", 1, 2000}},
	"table":           {{"rows", 1, 100}, {"rows[]", 1, 20}},
	"video":           {{"alt_text", 1, 2000}, {"title", 1, 200}, {"author_name", 0, 50}},

	// Elements and what they are made of.
	"button":                     {{"text", 1, 75}, {"value", 0, 2000}, {"url", 0, 3000}, {"accessibility_label", 0, 75}},
	"checkboxes":                 {{"options", 1, 10}},
	"radio_buttons":              {{"options", 1, 10}},
	"overflow":                   {{"options", 1, 5}},
	"static_select":              {{"options", 0, 100}, {"option_groups", 0, 100}, {"placeholder", 0, 150}},
	"multi_static_select":        {{"options", 0, 100}, {"option_groups", 0, 100}, {"placeholder", 0, 150}},
	"users_select":               {{"placeholder", 0, 150}},
	"multi_users_select":         {{"placeholder", 0, 150}},
	"conversations_select":       {{"placeholder", 0, 150}},
	"multi_conversations_select": {{"placeholder", 0, 150}},
	"datepicker":                 {{"placeholder", 0, 150}},
	"timepicker":                 {{"placeholder", 0, 150}},
	"number_input":               {{"placeholder", 0, 150}},
	"plain_text_input":           {{"placeholder", 0, 150}, {"initial_value", 0, 3000}, {"min_length", 0, 3000}, {"max_length", 0, 3000}},
	"file_input":                 {{"max_files", 0, 10}},
	"plain_text":                 {{"text", 1, 3000}},
	"mrkdwn":                     {{"text", 1, 3000}},
	"text":                       {{"text", 1, 3000}}, // of rich text; the number is ours

	// What has no type is known by the key that it stands under.
	"confirm":      {{"title", 1, 100}, {"text", 1, 300}, {"confirm", 1, 30}, {"deny", 0, 30}},
	"option":       {{"text", 1, 75}, {"value", 1, 75}, {"description", 0, 75}, {"url", 0, 3000}},
	"option_group": {{"label", 1, 75}, {"options", 1, 100}},
}

// untyped is what stands under these keys, if it does not say its type.
var untyped = map[string]string{"confirm": "confirm", "options[]": "option", "initial_option": "option", "initial_options[]": "option", "option_groups[]": "option_group"}

// Bounds of a payload as a whole.
const (
	mostText     = 12_000  // characters in a message's blocks; beyond some 13,200 Slack answers msg_blocks_too_long
	mostMarkdown = 12_000  // characters in all markdown blocks
	mostCells    = 20_000  // characters in a data_table
	mostRich     = 3000    // characters in a rich_text block; the number is ours, that of a section
	mostView     = 250_000 // bytes of a modal or a home
	mostMetadata = 1000    // bytes of a message's metadata; the number is ours, Slack's is not published
)

// check returns every breach of Slack's limits in what is to be sent, with
// where it is. It reads the JSON and knows nothing of how it was made.
// Lengths are counted as escaped UTF-16, the longest that Slack may count.
func check(kind string, payload []byte) []string {
	c := &checker{kind: kind}
	var top map[string]any
	if err := json.Unmarshal(payload, &top); err != nil {
		return []string{"no JSON object: " + err.Error()}
	}
	c.object("", kind, top)
	blocks, _ := top["blocks"].([]any)
	ids := map[string]bool{}
	for i, b := range blocks {
		c.block(fmt.Sprintf("blocks[%d]", i), b, ids, top)
	}
	if kind == kindMessage {
		c.atMost("blocks", "characters in all", count(blocks, ""), mostText)
		c.atMost("blocks", "characters of markdown", c.markdown, mostMarkdown)
		c.atMost("blocks", "tables", c.tables, 1)
		c.metadata(top["metadata"])
	} else {
		c.atMost("", "bytes", len(payload), mostView)
	}
	return c.breaches
}

type checker struct {
	kind     string
	markdown int // characters
	tables   int
	breaches []string
}

func (c *checker) breach(path, format string, args ...any) {
	c.breaches = append(c.breaches, strings.TrimPrefix(path+": ", ": ")+fmt.Sprintf(format, args...))
}

func (c *checker) atMost(path, what string, n, most int) {
	if n > most {
		c.breach(path, "%d %s, at most %d", n, what, most)
	}
}

// object holds a value of a type against its limits, and all that it holds
// against theirs.
func (c *checker) object(path, typ string, o map[string]any) {
	for _, l := range limits[typ] {
		key, each := strings.CutSuffix(l.key, "[]")
		members := []any{o[key]}
		if each {
			members, _ = o[key].([]any)
		}
		for i, m := range members {
			at := key
			if each {
				at = fmt.Sprintf("%s[%d]", key, i)
			}
			n, what := measure(m)
			if text, ok := m.(string); ok && (typ == kindMessage || typ == "mrkdwn") {
				n = len(utf16.Encode([]rune(text))) // it is sent escaped
			}
			c.atMost(join(path, at), what, n, l.most)
			if n < l.least {
				c.breach(join(path, at), "%d %s, at least %d", n, what, l.least)
			}
		}
	}
	for _, key := range [...]string{"block_id", "action_id"} {
		n, what := measure(o[key])
		c.atMost(join(path, key), what, n, 255)
	}
	if _, chosen := o["options"]; chosen {
		c.chosen(path, o)
	}
	for _, key := range slices.Sorted(maps.Keys(o)) {
		c.walk(join(path, key), key, o[key])
	}
}

func (c *checker) walk(path, key string, v any) {
	switch v := v.(type) {
	case []any:
		for i, m := range v {
			c.walk(fmt.Sprintf("%s[%d]", path, i), key+"[]", m)
		}
	case map[string]any:
		typ, ok := v["type"].(string)
		if !ok {
			typ = untyped[key]
		}
		if typ == "mrkdwn" && v["emoji"] != nil {
			c.breach(path, "emoji is only for plain_text")
		}
		c.object(path, typ, v)
	}
}

// chosen checks that what is chosen at first can be chosen.
func (c *checker) chosen(path string, o map[string]any) {
	options, _ := o["options"].([]any)
	initial, _ := o["initial_options"].([]any)
	if one, ok := o["initial_option"]; ok {
		initial = append(initial, one)
	}
	asJSON := func(v any) string { b, _ := json.Marshal(v); return string(b) }
	for _, i := range initial {
		if !slices.ContainsFunc(options, func(v any) bool { return asJSON(v) == asJSON(i) }) {
			c.breach(path, "%s is chosen at first and is no option", asJSON(i))
		}
	}
}

// block checks what a block must be beside the limits of its parts.
func (c *checker) block(path string, v any, ids map[string]bool, top map[string]any) {
	b, _ := v.(map[string]any)
	typ, _ := b["type"].(string)
	if _, known := limits[typ]; !known {
		c.breach(path, "no block is of type %q", typ)
	}
	if id, _ := b["block_id"].(string); id != "" {
		if ids[id] {
			c.breach(join(path, "block_id"), "%q is there twice", id)
		}
		ids[id] = true
	}
	c.actionIDs(path, b, map[string]bool{})
	switch typ {
	case "input":
		if c.kind == kindModal && top["submit"] == nil {
			c.breach(path, "an input, and the modal has no submit")
		}
	case "section":
		if b["text"] == nil && b["fields"] == nil {
			c.breach(path, "neither text nor fields")
		}
	case "image":
		if (b["image_url"] == nil) == (b["slack_file"] == nil) {
			c.breach(path, "one of image_url and slack_file is needed")
		}
	case "rich_text":
		c.atMost(path, "characters", count(b, ""), mostRich)
	case "data_table":
		c.atMost(path, "characters", count(b["rows"], ""), mostCells)
		c.tables++
	case "table":
		c.tables++
	case "markdown":
		n, _ := measure(b["text"])
		c.markdown += n
	}
}

// actionIDs checks that no two elements of a block have the same action.
func (c *checker) actionIDs(path string, v any, seen map[string]bool) {
	switch v := v.(type) {
	case []any:
		for i, m := range v {
			c.actionIDs(fmt.Sprintf("%s[%d]", path, i), m, seen)
		}
	case map[string]any:
		if id, _ := v["action_id"].(string); id != "" {
			if seen[id] {
				c.breach(join(path, "action_id"), "%q is there twice in its block", id)
			}
			seen[id] = true
		}
		for _, key := range slices.Sorted(maps.Keys(v)) {
			c.actionIDs(join(path, key), v[key], seen)
		}
	}
}

// eventType is what the type of a message's metadata may be; Slack drops
// metadata of any other.
var eventType = regexp.MustCompile(`^[A-Za-z0-9_-]+$`)

func (c *checker) metadata(v any) {
	if v == nil {
		return
	}
	m, _ := v.(map[string]any)
	if typ, _ := m["event_type"].(string); !eventType.MatchString(typ) {
		c.breach("metadata.event_type", "%q: letters, digits, _ and - only", typ)
	}
	if _, ok := m["event_payload"].(map[string]any); !ok {
		c.breach("metadata.event_payload", "no object")
	}
	b, _ := json.Marshal(v)
	c.atMost("metadata", "bytes", len(b), mostMetadata)
}

// measure returns how much of a limit a value takes, and of what.
func measure(v any) (n int, what string) {
	switch v := v.(type) {
	case string:
		return escapedUTF16(v), "characters"
	case []any:
		return len(v), "members"
	case map[string]any:
		return measure(v["text"])
	case float64:
		return int(v), "as a number"
	}
	return 0, "characters"
}

// count returns the characters of all texts in a value.
func count(v any, key string) int {
	n := 0
	switch v := v.(type) {
	case string:
		if key == "text" || key == "alt_text" {
			n = escapedUTF16(v)
		}
	case []any:
		for _, m := range v {
			n += count(m, key)
		}
	case map[string]any:
		for k, m := range v {
			n += count(m, k)
		}
	}
	return n
}

func escapedUTF16(s string) int {
	return len(utf16.Encode([]rune(s))) + 4*strings.Count(s, "&") + 3*strings.Count(s, "<") + 3*strings.Count(s, ">")
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
