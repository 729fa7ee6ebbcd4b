package fake

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode/utf16"
)

// What Check can look at.
const (
	InMessage = "message" // the arguments of chat.postMessage
	InModal   = "modal"
	InHome    = "home"
)

// Limits of whole payloads. Where Slack publishes no number it is ours, on the
// safe side.
const (
	maxText     = 4000    // of an edited message's text, and of one that is posted without a table: Slack refuses such an edit (from memory), and advises it for posts
	maxPosted   = 40_000  // of a posted message's text: Slack cuts off what is longer (reference of chat.postMessage)
	maxTable    = 20_000  // characters in the cells of a message's tables (others' measure)
	maxMessage  = 12_000  // characters in a message's blocks; others measured that Slack refuses more than some 13,200
	maxRich     = 3000    // characters in a rich text: the number is ours, that of a section
	maxMetadata = 1000    // bytes of a message's metadata: the number is ours
	maxView     = 250_000 // bytes of a view
)

// Patterns of values.
const (
	aDate = `^\d{4}-\d\d-\d\d$`
	aTime = `^\d\d:\d\d$`
)

var eventType = regexp.MustCompile(`^[A-Za-z0-9_-]+$`) // Slack drops metadata of any other type

// Check says what Slack would refuse in a payload, a line each in Slack's own
// form: what is wrong, and the JSON pointer to it. It reads the JSON and knows
// nothing of how it was made. The server holds all that it takes against the
// same rules. They are those of the documentation of blocks, as the comments
// of npm @slack/types 3.2.0 repeat them, for the blocks and elements in use:
// any other is refused.
func Check(kind string, payload []byte) []string {
	c := newChecker(kind)
	if kind == InMessage {
		c.message(payload)
		if c.text == "" {
			c.bad("/text", "missing required field: text") // Slack asks for blocks or text: screen readers need the text
		}
	} else {
		c.view(payload)
	}
	slices.Sort(c.problems)
	return c.problems
}

// checker walks over a payload and collects what is wrong with it.
type checker struct {
	kind     string
	problems []string
	code     string // Slack's for what is wrong with the whole
	text     string // of a message
	chars    int    // in all texts of its blocks
	cells    int    // in all texts of its tables' cells
	tables   int
	edit     bool            // it is put in place of another
	block    string          // path of the block being checked
	seen     map[string]bool // ids
	files    []string        // files shown, by id
}

func newChecker(kind string) *checker { return &checker{kind: kind, seen: map[string]bool{}} }

func (c *checker) bad(path, format string, args ...any) {
	c.problems = append(c.problems, fmt.Sprintf("[ERROR] "+format+" [json-pointer:%s]", append(args, path)...))
}

func (c *checker) whole(code string) {
	c.code = cmp.Or(c.code, code)
	c.problems = append(c.problems, "[ERROR] "+code)
}

// refusal is Slack's answer to what is wrong, nil if nothing is.
func (c *checker) refusal() error {
	if len(c.problems) == 0 {
		return nil
	}
	slices.Sort(c.problems)
	usual := "invalid_arguments"
	if c.kind == InMessage {
		usual = "invalid_blocks"
	}
	return refuse(cmp.Or(c.code, usual), c.problems...)
}

func (c *checker) message(payload []byte) {
	var m struct {
		Text             string
		Blocks, Metadata any
		Attachments      []any
	}
	if err := json.Unmarshal(payload, &m); err != nil {
		c.whole("invalid_blocks_format")
		return
	}
	c.text = m.Text
	if len(m.Attachments) > 0 {
		c.bad("/attachments", "they are not part of this fake")
	}
	if m.Blocks != nil {
		list(0, 50, block)(c, "/blocks", m.Blocks)
	}
	most := maxText
	if c.tables > 0 && !c.edit {
		most = maxPosted
	}
	if len(utf16.Encode([]rune(m.Text))) > most { // it is sent escaped
		c.whole("msg_too_long")
	}
	if c.cells > maxTable {
		c.bad("/blocks", "table exceeds %d characters", maxTable)
	}
	if c.chars > maxMessage {
		c.whole("msg_blocks_too_long")
	}
	if m.Metadata != nil {
		c.metadata(m.Metadata)
	}
}

func (c *checker) metadata(v any) {
	m, _ := v.(map[string]any)
	name, _ := m["event_type"].(string)
	if _, ok := m["event_payload"].(map[string]any); !ok || !eventType.MatchString(name) {
		c.whole("invalid_metadata_format")
	}
	if data, _ := json.Marshal(v); len(data) > maxMetadata {
		c.whole("metadata_too_large")
	}
}

func (c *checker) view(payload []byte) {
	var m map[string]any
	if json.Unmarshal(payload, &m) != nil {
		c.bad("/view", "must be an object")
		return
	}
	if len(payload) > maxView {
		c.whole("view_too_large")
	}
	if kind(m) != c.kind {
		c.bad("/view/type", "must be %s", c.kind)
		return
	}
	views[c.kind].check(c, "/view", m)
	all, _ := m["blocks"].([]any)
	if c.kind == InModal && m["submit"] == nil && slices.ContainsFunc(all, func(b any) bool { return kind(b) == "input" }) {
		c.bad("/view", "submit is required with input blocks")
	}
}

// units is a length as it counts: escaped and in UTF-16, the longest that
// Slack may count.
func units(s string) int {
	return len(utf16.Encode([]rune(s))) + 4*strings.Count(s, "&") + 3*strings.Count(s, "<") + 3*strings.Count(s, ">")
}

func kind(v any) string {
	m, _ := v.(map[string]any)
	s, _ := m["type"].(string)
	return s
}

// A rule checks one value.
type rule func(c *checker, path string, v any)

// A shape has a rule for each field; a name that ends in ! must be there.
type shape map[string]rule

func (s shape) check(c *checker, path string, v any) {
	m, ok := v.(map[string]any)
	if !ok {
		c.bad(path, "must be an object")
		return
	}
	for name, r := range s {
		name, needed := strings.CutSuffix(name, "!")
		if field, ok := m[name]; ok {
			r(c, path+"/"+name, field)
		} else if needed {
			c.bad(path, "missing required field: %s", name)
		}
	}
	for name := range m {
		if s[name] == nil && s[name+"!"] == nil && name != "type" { // the type has chosen the shape
			c.bad(path+"/"+name, "invalid additional property: %s", name)
		}
	}
}

// with is the shape and the fields of another.
func (s shape) with(other shape) shape {
	s = maps.Clone(s)
	maps.Copy(s, other)
	return s
}

// str is a string that is shown.
func str(least, most int) rule {
	return func(c *checker, path string, v any) {
		s, _ := v.(string)
		c.chars += units(s)
		sized(least, most)(c, path, v)
	}
}

// sized is a string that is not shown.
func sized(least, most int) rule {
	return func(c *checker, path string, v any) {
		s, ok := v.(string)
		switch n := units(s); {
		case !ok:
			c.bad(path, "must be a string")
		case n < least:
			c.bad(path, "must be more than %d characters", least-1)
		case n > most:
			c.bad(path, "must be less than %d characters", most+1)
		}
	}
}

// matching is a string of a pattern.
func matching(pattern string) rule {
	p := regexp.MustCompile(pattern)
	return func(c *checker, path string, v any) {
		if s, _ := v.(string); !p.MatchString(s) {
			c.bad(path, "must match %s", p)
		}
	}
}

func address(c *checker, path string, v any) {
	sized(0, 3000)(c, path, v)
	matching("^https?://")(c, path, v)
}

func boolean(c *checker, path string, v any) {
	if _, ok := v.(bool); !ok {
		c.bad(path, "must be a boolean")
	}
}

func list(least, most int, r rule) rule {
	return func(c *checker, path string, v any) {
		items, ok := v.([]any)
		switch n := len(items); {
		case !ok:
			c.bad(path, "must be an array")
		case n < least:
			c.bad(path, "no fewer than %d items", least)
		case n > most:
			c.bad(path, "no more than %d items allowed", most)
		}
		for i, item := range items {
			r(c, fmt.Sprintf("%s/%d", path, i), item)
		}
	}
}

// oneKind takes what has one of these types, but for some, in its shape.
func oneKind(shapes map[string]shape, but ...string) rule {
	return func(c *checker, path string, v any) {
		s, ok := shapes[kind(v)]
		if _, object := v.(map[string]any); object && (!ok || slices.Contains(but, kind(v))) {
			c.bad(path+"/type", "unsupported type: %s", kind(v))
			return
		}
		s.check(c, path, v)
	}
}

func plain(least, most int) rule { return oneKind(textObjects(least, most), "mrkdwn") }

// text is a text object of either kind.
func text(least, most int) rule { return oneKind(textObjects(least, most)) }

func textObjects(least, most int) map[string]shape {
	return map[string]shape{"plain_text": {"text!": str(least, most), "emoji": boolean}, "mrkdwn": {"text!": str(least, most), "verbatim": boolean}}
}

// once refuses an id that is there twice, in all or in its block.
func once(inBlock bool) rule {
	return func(c *checker, path string, v any) {
		sized(0, 255)(c, path, v)
		s, _ := v.(string)
		key := s
		if inBlock {
			key = c.block + " " + s
		}
		if s != "" && c.seen[key] {
			c.bad(path, "already exists: %s", s)
		}
		c.seen[key] = true
	}
}

var (
	option  = shape{"text!": plain(1, 75), "value!": sized(1, 75)}.check
	options = list(1, 100, option)
	boxes   = list(1, 10, option)
)

// acting is the shape of an element, asking that of one with a placeholder.
func acting(s shape) shape { return s.with(shape{"action_id": once(true)}) }
func asking(s shape) shape { return acting(s.with(shape{"placeholder": plain(0, 150)})) }

// elements are the things to press, fill in and choose from.
var elements = map[string]shape{
	"button":              acting(shape{"text!": plain(1, 75), "value": sized(0, 2000), "url": address, "style": matching("^(primary|danger)$"), "accessibility_label": sized(1, 75)}),
	"datepicker":          asking(shape{"initial_date": matching(aDate)}),
	"timepicker":          asking(shape{"initial_time": matching(aTime)}),
	"number_input":        asking(shape{"is_decimal_allowed!": boolean, "initial_value": matching(`^-?\d*\.?\d+$`)}),
	"plain_text_input":    asking(shape{"initial_value": str(0, 3000), "multiline": boolean}),
	"static_select":       asking(shape{"options!": options, "initial_option": option}),
	"multi_static_select": asking(shape{"options!": options, "initial_options": options}),
	"checkboxes":          acting(shape{"options!": boxes, "initial_options": boxes}),
	"users_select":        asking(shape{"initial_user": sized(1, 20)}),
	"multi_users_select":  asking(shape{"initial_users": list(1, 100, sized(1, 20))}),
}

// element is any element but those.
func element(but ...string) rule {
	check := oneKind(elements, but...)
	return func(c *checker, path string, v any) {
		check(c, path, v)
		if m, _ := v.(map[string]any); m["options"] != nil {
			initial(c, path, m)
		}
	}
}

var (
	pressable = element("number_input", "plain_text_input")
	fillable  = element("button")
)

// initial: what is chosen at first has to be one of the options, exactly.
func initial(c *checker, path string, e map[string]any) {
	all, _ := e["options"].([]any)
	values := map[string]string{}
	for _, o := range all {
		m, _ := o.(map[string]any)
		data, _ := json.Marshal(o)
		values[fmt.Sprint(m["value"])] = string(data)
	}
	if len(values) < len(all) {
		c.bad(path, "options must have unique values")
	}
	chosen, _ := e["initial_options"].([]any)
	if one := e["initial_option"]; one != nil {
		chosen = append(chosen, one)
	}
	for _, o := range chosen {
		m, _ := o.(map[string]any)
		if data, _ := json.Marshal(o); values[fmt.Sprint(m["value"])] != string(data) {
			c.bad(path, "initial option must be one of the options")
		}
	}
}

// block is any block in the place it is in.
func block(c *checker, path string, v any) {
	before := c.chars
	c.block = path
	if tabled := kind(v) == "table" || kind(v) == "data_table"; tabled && c.kind != InMessage {
		c.bad(path+"/type", "unsupported type: %s", kind(v))
		return
	}
	oneKind(blocks)(c, path, v)
	m, _ := v.(map[string]any)
	switch kind(v) {
	case "table", "data_table":
		c.tables++
		c.cells, c.chars = c.cells+c.chars-before, before // they have a limit of their own
		c.table(path, m, kind(v))
	case "image":
		file, _ := m["slack_file"].(map[string]any)
		c.files = append(c.files, fmt.Sprint(file["id"]))
	case "rich_text":
		if c.chars-before > maxRich {
			c.bad(path, "must be less than %d characters", maxRich+1)
		}
	}
}

// placed is the shape of a block.
func placed(s shape) shape { return s.with(shape{"block_id": once(false)}) }

var blocks = map[string]shape{
	"actions": placed(shape{"elements!": list(1, 25, pressable)}),
	"context": placed(shape{"elements!": list(1, 10, text(1, 3000))}),
	"divider": placed(shape{}),
	"header":  placed(shape{"text!": plain(1, 150)}),
	"image":   placed(shape{"slack_file!": shape{"id!": sized(1, 255)}.check, "alt_text!": str(1, 2000)}),
	"input": placed(shape{"label!": plain(1, 2000), "hint": plain(0, 2000), "element!": fillable,
		"optional": boolean, "dispatch_action": boolean}),
	"rich_text": placed(shape{"elements!": list(1, 1000, oneKind(richParts))}),
	"section":   placed(shape{"text!": text(1, 3000), "accessory": pressable}),
	"table":     placed(shape{"rows!": list(1, 100, list(1, 20, oneKind(cells))), "column_settings": list(0, 20, columnSetting)}),
	"data_table": placed(shape{"caption!": str(1, 3000), "rows!": list(2, 201, list(1, 20, oneKind(dataCells))), // 201 and 20 are others' measure
		"page_size": whole(1, 100), "row_header_column_index": whole(0, 19)}),
}

var (
	richStyle   = shape{"bold": boolean}.check
	richElement = oneKind(map[string]shape{"text": {"text!": str(1, maxRich), "style": richStyle}, "link": {"url!": address, "text": str(0, maxRich), "unsafe": boolean, "style": richStyle}, "user": {"user_id!": sized(0, 20)}})
	richSection = shape{"elements!": list(0, 1000, richElement)}
	richParts   = map[string]shape{
		"rich_text_section": richSection,
		"rich_text_quote":   richSection,
		"rich_text_list": {"style!": matching("^(bullet|ordered)$"),
			"elements!": list(0, 1000, oneKind(map[string]shape{"rich_text_section": richSection}))},
	}
)

var (
	anyView = shape{"blocks!": list(1, 100, block), "private_metadata": sized(0, 3000), "callback_id": sized(0, 255)}
	views   = map[string]shape{
		InHome:  anyView,
		InModal: anyView.with(shape{"title!": plain(1, 24), "close": plain(1, 24), "submit": plain(1, 24), "notify_on_close": boolean}),
	}
)
