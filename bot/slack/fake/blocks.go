package fake

import (
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode/utf16"
)

// Limits of whole payloads.
const (
	maxText     = 40_000  // of a message's text: Slack cuts it there
	maxMessage  = 13_200  // characters over all blocks of a message, as measured by others: Slack does not publish it
	maxMarkdown = 12_000  // characters over all markdown blocks of a message
	maxView     = 250_000 // bytes of a view
	maxMetadata = 8_000   // bytes of a message's metadata: Slack has a limit and does not publish it
)

var (
	datePattern    = regexp.MustCompile(`^\d{4}-\d\d-\d\d$`)
	clockPattern   = regexp.MustCompile(`^\d\d:\d\d$`)
	decimalPattern = regexp.MustCompile(`^-?\d*\.?\d+$`)
)

// Where blocks are shown.
const (
	inMessage = "message"
	inModal   = "modal"
	inHome    = "home"
)

// CheckBlocks says what Slack would refuse in the blocks of a message, a line
// each in Slack's own form: what is wrong, and the JSON pointer to it.
func CheckBlocks(blocks json.RawMessage) []string { return checkBlocks(blocks).result() }

func checkBlocks(blocks json.RawMessage) *checker {
	c := &checker{surface: inMessage}
	c.whole("/blocks", blocks, list(0, 50, block))
	if c.markdown > maxMarkdown {
		c.bad("/blocks", "markdown of all blocks must be less than %d characters", maxMarkdown+1)
	}
	return c
}

// CheckView says what Slack would refuse in a modal or a home tab.
func CheckView(view json.RawMessage) []string {
	if len(view) > maxView {
		return []string{"[ERROR] view_too_large"}
	}
	return checkView(view).result()
}

func checkView(view json.RawMessage) *checker {
	c := &checker{}
	var kind struct{ Type string }
	if json.Unmarshal(view, &kind) == nil {
		c.surface = kind.Type
	}
	shape, ok := views[c.surface]
	if !ok {
		c.bad("/view/type", "must be modal or home")
		return c
	}
	c.whole("/view", view, shape.check)
	if c.surface == inModal && c.inputs > 0 && !c.submit {
		c.bad("/view", "submit is required with input blocks")
	}
	return c
}

// checker walks over a payload and collects what is wrong with it.
type checker struct {
	surface  string
	problems []string
	chars    int // in all texts
	markdown int // in markdown blocks
	inputs   int
	tables   int
	submit   bool
	blockIDs map[string]bool
	actions  map[string]bool // action ids of the block being checked
	focused  bool
	files    []string // files shown, by id
}

func (c *checker) bad(path, format string, args ...any) {
	c.problems = append(c.problems, fmt.Sprintf("[ERROR] "+format+" [json-pointer:%s]", append(args, path)...))
}

func (c *checker) whole(path string, data json.RawMessage, r rule) {
	var v any
	if err := json.Unmarshal(data, &v); err != nil {
		c.bad(path, "invalid JSON")
		return
	}
	r(c, path, v)
}

func (c *checker) result() []string {
	slices.Sort(c.problems)
	return slices.Compact(c.problems)
}

// units is a length as Slack's clients count it. Whether the server counts
// code points is not published; UTF-16 units are never fewer.
func units(s string) int {
	n := 0
	for _, r := range s {
		n += utf16.RuneLen(r)
	}
	return n
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
		if s[name] == nil && s[name+"!"] == nil {
			c.bad(path+"/"+name, "invalid additional property: %s", name)
		}
	}
}

// with is the shape and the fields of others.
func (s shape) with(others ...shape) shape {
	s = maps.Clone(s)
	for _, o := range others {
		maps.Copy(s, o)
	}
	return s
}

func length(c *checker, path string, s string, least, most int) {
	switch n := units(s); {
	case n < least:
		c.bad(path, "must be more than %d characters", least-1)
	case n > most:
		c.bad(path, "must be less than %d characters", most+1)
	}
}

func str(least, most int) rule {
	return func(c *checker, path string, v any) {
		s, ok := v.(string)
		if !ok {
			c.bad(path, "must be a string")
			return
		}
		c.chars += units(s)
		length(c, path, s, least, most)
	}
}

// id is a string that is not shown.
func id(most int) rule {
	return func(c *checker, path string, v any) {
		s, ok := v.(string)
		if !ok {
			c.bad(path, "must be a string")
			return
		}
		length(c, path, s, 0, most)
	}
}

func address(c *checker, path string, v any) {
	id(3000)(c, path, v)
	if s, _ := v.(string); !strings.HasPrefix(s, "http://") && !strings.HasPrefix(s, "https://") {
		c.bad(path, "must be a valid URL")
	}
}

func boolean(c *checker, path string, v any) {
	if _, ok := v.(bool); !ok {
		c.bad(path, "must be a boolean")
	}
}

func number(least, most float64) rule {
	return func(c *checker, path string, v any) {
		n, ok := v.(float64)
		if !ok {
			c.bad(path, "must be a number")
		} else if n < least || n > most {
			c.bad(path, "must be between %v and %v", least, most)
		}
	}
}

func anything(*checker, string, any) {}

func oneOf(words ...string) rule {
	return func(c *checker, path string, v any) {
		if s, ok := v.(string); !ok || !slices.Contains(words, s) {
			c.bad(path, "must be one of %s", strings.Join(words, ", "))
		}
	}
}

func list(least, most int, r rule) rule {
	return func(c *checker, path string, v any) {
		items, ok := v.([]any)
		if !ok {
			c.bad(path, "must be an array")
			return
		}
		switch {
		case len(items) < least:
			c.bad(path, "no fewer than %d items", least)
		case len(items) > most:
			c.bad(path, "no more than %d items allowed", most)
		}
		for i, item := range items {
			r(c, fmt.Sprintf("%s/%d", path, i), item)
		}
	}
}

func plain(least, most int) rule {
	return shape{"type!": oneOf("plain_text"), "text!": str(least, most), "emoji": boolean}.check
}

func marked(least, most int) rule {
	return shape{"type!": oneOf("mrkdwn"), "text!": str(least, most), "verbatim": boolean}.check
}

// text is a text object of either kind.
func text(least, most int) rule {
	marked, plain := marked(least, most), plain(least, most)
	return func(c *checker, path string, v any) {
		if kind(v) == "mrkdwn" {
			marked(c, path, v)
		} else {
			plain(c, path, v)
		}
	}
}

func kind(v any) string {
	m, _ := v.(map[string]any)
	s, _ := m["type"].(string)
	return s
}

func option(described bool) rule {
	words := plain(1, 75)
	if described { // radio buttons and checkboxes
		words = text(1, 75)
	}
	return shape{"text!": words, "value!": id(75), "description": words, "url": address}.check
}

var optionGroup = shape{"label!": plain(1, 75), "options!": list(1, 100, option(false))}.check

func options(c *checker, path string, v any) { list(1, 100, option(false))(c, path, v) }

var (
	confirm = shape{"title": plain(1, 100), "text!": text(1, 300), "confirm": plain(1, 30), "deny": plain(1, 30),
		"style": oneOf("primary", "danger")}.check
	acting      = shape{"type!": anything, "action_id": actionID}
	confirming  = shape{"confirm": confirm}
	focusing    = shape{"focus_on_load": focus}
	placed      = shape{"placeholder": plain(0, 150)}
	dispatching = shape{"dispatch_action_config": shape{
		"trigger_actions_on": list(1, 2, oneOf("on_enter_pressed", "on_character_entered"))}.check}
	atMost   = shape{"max_selected_items": number(1, 1000)}
	choosing = shape{"options": options, "option_groups": list(1, 100, optionGroup)}
	filter   = shape{"filter": shape{"include": list(1, 4, oneOf("im", "mpim", "private", "public")),
		"exclude_external_shared_channels": boolean, "exclude_bot_users": boolean}.check,
		"default_to_current_conversation": boolean, "response_url_enabled": boolean}
	picture = shape{"image_url": address, "slack_file": slackFile, "alt_text!": str(1, 2000)}
)

func actionID(c *checker, path string, v any) {
	id(255)(c, path, v)
	s, _ := v.(string)
	if c.actions[s] && s != "" {
		c.bad(path, "action_id already exists in this block: %s", s)
	}
	if c.actions == nil {
		c.actions = map[string]bool{}
	}
	c.actions[s] = true
}

func focus(c *checker, path string, v any) {
	boolean(c, path, v)
	if on, _ := v.(bool); on {
		if c.focused {
			c.bad(path, "only one element can have focus_on_load")
		}
		c.focused = true
	}
}

func slackFile(c *checker, path string, v any) {
	shape{"id": id(255), "url": address}.check(c, path, v)
	m, _ := v.(map[string]any)
	if s, _ := m["id"].(string); s != "" {
		c.files = append(c.files, s)
	} else if m["url"] == nil {
		c.bad(path, "missing required field: id")
	}
}

// elements are the things to press, fill in and choose from.
var elements = map[string]shape{
	"button": acting.with(confirming, shape{"text!": plain(1, 75), "value": id(2000), "url": address,
		"style": oneOf("primary", "danger"), "accessibility_label": str(0, 75)}),
	"checkboxes": acting.with(confirming, focusing, shape{"options!": list(1, 10, option(true)),
		"initial_options": list(1, 10, option(true))}),
	"radio_buttons": acting.with(confirming, focusing, shape{"options!": list(1, 10, option(true)),
		"initial_option": option(true)}),
	"overflow":       acting.with(confirming, shape{"options!": list(1, 5, option(false))}),
	"datepicker":     acting.with(confirming, focusing, placed, shape{"initial_date": date}),
	"datetimepicker": acting.with(confirming, focusing, shape{"initial_date_time": number(1e9, 1e10-1)}),
	"timepicker":     acting.with(confirming, focusing, placed, shape{"initial_time": clock, "timezone": id(100)}),
	"email_text_input": acting.with(dispatching, focusing, placed, shape{
		"initial_value": str(0, 3000)}),
	"url_text_input": acting.with(dispatching, focusing, placed, shape{"initial_value": str(0, 3000)}),
	"number_input": acting.with(dispatching, focusing, placed, shape{"is_decimal_allowed!": boolean,
		"initial_value": decimal, "min_value": decimal, "max_value": decimal}),
	"plain_text_input": acting.with(dispatching, focusing, placed, shape{"initial_value": str(0, 3000),
		"multiline": boolean, "min_length": number(0, 3000), "max_length": number(1, 3000)}),
	"rich_text_input": acting.with(dispatching, focusing, placed, shape{"initial_value": block,
		"min_lines": number(1, 100), "max_lines": number(1, 100)}),
	"file_input":           acting.with(shape{"filetypes": list(1, 100, id(20)), "max_files": number(1, 10)}),
	"static_select":        acting.with(confirming, focusing, placed, choosing, shape{"initial_option": option(false)}),
	"users_select":         acting.with(confirming, focusing, placed, shape{"initial_user": id(20)}),
	"conversations_select": acting.with(confirming, focusing, placed, filter, shape{"initial_conversation": id(20)}),
	"channels_select": acting.with(confirming, focusing, placed, shape{"initial_channel": id(20),
		"response_url_enabled": boolean}),
	"external_select": acting.with(confirming, focusing, placed, shape{"initial_option": option(false),
		"min_query_length": number(0, 100)}),
	"multi_static_select": acting.with(confirming, focusing, placed, choosing, atMost, shape{
		"initial_options": list(1, 100, option(false))}),
	"multi_users_select": acting.with(confirming, focusing, placed, atMost, shape{"initial_users": list(1, 100, id(20))}),
	"multi_conversations_select": acting.with(confirming, focusing, placed, atMost, filter, shape{
		"initial_conversations": list(1, 100, id(20))}),
	"multi_channels_select": acting.with(confirming, focusing, placed, atMost, shape{
		"initial_channels": list(1, 100, id(20))}),
	"multi_external_select": acting.with(confirming, focusing, placed, atMost, shape{
		"initial_options": list(1, 100, option(false)), "min_query_length": number(0, 100)}),
	"image": picture.with(shape{"type!": anything}),
}

var (
	selects      = []string{"static_select", "users_select", "conversations_select", "channels_select", "external_select"}
	multiSelects = []string{"multi_static_select", "multi_users_select", "multi_conversations_select",
		"multi_channels_select", "multi_external_select"}
	pressable  = slices.Concat(selects, multiSelects, []string{"button", "checkboxes", "radio_buttons", "overflow", "datepicker", "timepicker"})
	inSection  = element(append(slices.Clone(pressable), "image"))
	inActions  = element(append(slices.Clone(pressable), "datetimepicker", "rich_text_input"))
	fillable   = element(slices.Concat(selects, multiSelects, []string{"checkboxes", "radio_buttons", "datepicker", "timepicker", "datetimepicker", "email_text_input", "url_text_input", "number_input", "plain_text_input", "rich_text_input", "file_input"}))
	buttonOnly = element([]string{"button"})
	imageOnly  = element([]string{"image"})
)

func element(types []string) rule {
	return func(c *checker, path string, v any) {
		k := kind(v)
		if !slices.Contains(types, k) {
			c.bad(path+"/type", "unsupported type: %s", k)
			return
		}
		elements[k].check(c, path, v)
		e := v.(map[string]any)
		switch k {
		case "static_select", "multi_static_select":
			if (e["options"] == nil) == (e["option_groups"] == nil) {
				c.bad(path, "must provide either options or option_groups")
			}
		case "image":
			onePicture(c, path, e)
		}
		initial(c, path, e)
	}
}

func onePicture(c *checker, path string, m map[string]any) {
	if (m["image_url"] == nil) == (m["slack_file"] == nil) {
		c.bad(path, "must provide either image_url or slack_file")
	}
}

// initial: what is chosen at first has to be one of the options, exactly.
func initial(c *checker, path string, e map[string]any) {
	all, _ := e["options"].([]any)
	groups, _ := e["option_groups"].([]any)
	for _, g := range groups {
		group, _ := g.(map[string]any)
		more, _ := group["options"].([]any)
		all = append(slices.Clone(all), more...)
	}
	if all == nil {
		return
	}
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

func date(c *checker, path string, v any) {
	if s, _ := v.(string); !datePattern.MatchString(s) {
		c.bad(path, "must be a date YYYY-MM-DD")
	}
}

func clock(c *checker, path string, v any) {
	if s, _ := v.(string); !clockPattern.MatchString(s) {
		c.bad(path, "must be a time HH:mm")
	}
}

func decimal(c *checker, path string, v any) {
	if s, _ := v.(string); !decimalPattern.MatchString(s) {
		c.bad(path, "must be a number in a string")
	}
}

// block is any block in the place it is in.
func block(c *checker, path string, v any) {
	k := kind(v)
	s, ok := blocks[k]
	if !ok || !slices.Contains(surfaces(k), c.surface) {
		c.bad(path+"/type", "unsupported type: %s", k)
		return
	}
	before := c.actions
	c.actions = nil
	s.check(c, path, v)
	c.actions = before
	m := v.(map[string]any)
	switch k {
	case "section":
		if m["text"] == nil && m["fields"] == nil {
			c.bad(path, "missing required field: text or fields")
		}
	case "image":
		onePicture(c, path, m)
	case "input":
		c.inputs++
	case "markdown":
		s, _ := m["text"].(string)
		c.markdown += units(s)
	case "table", "data_table":
		c.tables++
		if c.tables > 1 {
			c.bad(path, "only one table is allowed in a message")
		}
	case "card":
		if m["hero_image"] == nil && m["title"] == nil && m["body"] == nil && m["actions"] == nil {
			c.bad(path, "a card needs a hero image, title, body or actions")
		}
	}
}

// surfaces says where a block may stand.
func surfaces(kind string) []string {
	switch kind {
	case "section", "header", "divider", "context", "actions", "image", "input", "rich_text", "video":
		return []string{inMessage, inModal, inHome}
	}
	return []string{inMessage}
}

func blockID(c *checker, path string, v any) {
	id(255)(c, path, v)
	s, _ := v.(string)
	if s == "" {
		return
	}
	if c.blockIDs[s] {
		c.bad(path, "block_id already exists: %s", s)
	}
	if c.blockIDs == nil {
		c.blockIDs = map[string]bool{}
	}
	c.blockIDs[s] = true
}

var (
	placedBlock = shape{"type!": anything, "block_id": blockID}
	blocks      map[string]shape
	views       map[string]shape
)

// init breaks the circle of blocks that hold blocks.
func init() {
	rich := placedBlock.with(shape{"elements!": list(0, 1000, richPart)}).check
	cell := func(c *checker, path string, v any) {
		switch kind(v) {
		case "raw_text":
			shape{"type!": anything, "text!": str(1, 3000)}.check(c, path, v)
		case "raw_number":
			shape{"type!": anything, "value!": number(-1e300, 1e300), "text!": str(1, 3000)}.check(c, path, v)
		case "rich_text":
			rich(c, path, v)
		default:
			c.bad(path+"/type", "unsupported type: %s", kind(v))
		}
	}
	card := placedBlock.with(shape{"hero_image": imageOnly, "icon": imageOnly, "slack_icon": anything,
		"title": marked(1, 150), "subtitle": marked(1, 150), "body": marked(1, 200), "subtext": marked(1, 200),
		"actions": list(1, 3, buttonOnly)})
	task := placedBlock.with(shape{"task_id!": id(255), "title!": str(1, 2000), "details": rich, "output": rich,
		"sources": list(0, 100, anything), "status!": oneOf("pending", "in_progress", "complete", "error"), "hide_title": boolean})
	blocks = map[string]shape{
		"section": placedBlock.with(shape{"text": text(1, 3000), "fields": list(1, 10, text(1, 2000)),
			"accessory": inSection, "expand": boolean}),
		"header":  placedBlock.with(shape{"text!": plain(1, 150)}),
		"divider": placedBlock,
		"context": placedBlock.with(shape{"elements!": list(1, 10, func(c *checker, path string, v any) {
			if kind(v) == "image" {
				imageOnly(c, path, v)
			} else {
				text(1, 3000)(c, path, v)
			}
		})}),
		"actions": placedBlock.with(shape{"elements!": list(1, 25, inActions)}),
		"image":   placedBlock.with(picture, shape{"title": plain(0, 2000)}),
		"input": placedBlock.with(shape{"label!": plain(1, 2000), "hint": plain(0, 2000), "element!": fillable,
			"optional": boolean, "dispatch_action": boolean}),
		"rich_text": placedBlock.with(shape{"elements!": list(0, 1000, richPart)}),
		"markdown":  placedBlock.with(shape{"text!": str(1, maxMarkdown)}),
		"table": placedBlock.with(shape{"rows!": list(1, 100, list(1, 20, cell)), "column_settings": list(0, 20, shape{
			"align": oneOf("left", "center", "right"), "is_wrapped": boolean}.check)}),
		"data_table": placedBlock.with(shape{"caption!": str(1, 2000), "rows!": dataRows(list(1, 201, list(1, 20, cell))),
			"page_size": number(1, 100), "row_header_column_index": number(0, 19)}),
		"file": placedBlock.with(shape{"external_id!": id(255), "source!": oneOf("remote")}),
		"video": placedBlock.with(shape{"video_url!": address, "thumbnail_url!": address, "alt_text!": str(1, 2000),
			"title!": plain(1, 199), "title_url": address, "author_name": str(0, 49), "provider_name": str(0, 49),
			"provider_icon_url": address, "description": plain(0, 199)}),
		"alert":    placedBlock.with(shape{"text!": text(1, 200), "level": oneOf("default", "info", "warning", "error", "success")}),
		"card":     card,
		"carousel": placedBlock.with(shape{"elements!": list(1, 10, card.check)}),
		"container": placedBlock.with(shape{"title": plain(1, 150), "rich_text_title": rich, "subtitle": text(1, 150),
			"icon": imageOnly, "width": oneOf("narrow", "standard", "wide", "full"), "is_collapsible": boolean,
			"default_collapsed": boolean, "has_header_divider": boolean, "child_blocks!": list(1, 10, block)}),
		"layout": placedBlock.with(shape{"label!": str(1, 150), "is_label_visible": boolean,
			"grid_lines": oneOf("none", "rows", "outer"), "fallback": list(0, 50, block),
			"rows!": list(1, 5, shape{"items!": list(1, 3, shape{"block!": block,
				"width":                oneOf("narrow", "standard", "wide"),
				"horizontal_alignment": oneOf("start", "center", "end")}.check)}.check)}),
		"task_card": task,
		"plan":      placedBlock.with(shape{"title!": str(1, 2000), "tasks": list(0, 100, task.check)}),
		"context_actions": placedBlock.with(shape{"elements!": list(1, 5, func(c *checker, path string, v any) {
			if k := kind(v); k != "feedback_buttons" && k != "icon_button" {
				c.bad(path+"/type", "unsupported type: %s", k)
			}
		})}),
	}
	common := shape{"type!": anything, "blocks!": list(0, 100, block), "private_metadata": id(3000),
		"callback_id": id(255), "external_id": id(255)}
	views = map[string]shape{
		inHome: common,
		inModal: common.with(shape{"title!": plain(1, 24), "close": plain(1, 24), "submit": func(c *checker, path string, v any) {
			c.submit = true
			plain(1, 24)(c, path, v)
		}, "clear_on_close": boolean, "notify_on_close": boolean, "submit_disabled": boolean}),
	}
}

// dataRows counts the characters of a data table.
func dataRows(rows rule) rule {
	return func(c *checker, path string, v any) {
		before := c.chars
		rows(c, path, v)
		if c.chars-before > 20_000 {
			c.bad(path, "must be less than 20001 characters")
		}
	}
}

var richStyle = shape{"bold": boolean, "italic": boolean, "strike": boolean, "code": boolean, "underline": boolean}.check

// richPart is a section, list, quote or preformatted part of a rich text.
func richPart(c *checker, path string, v any) {
	part := shape{"type!": anything, "elements!": list(0, 1000, richElement)}
	switch k := kind(v); k {
	case "rich_text_section":
		part.check(c, path, v)
	case "rich_text_quote":
		part.with(shape{"border": number(0, 1)}).check(c, path, v)
	case "rich_text_preformatted":
		part.with(shape{"border": number(0, 1), "language": id(100)}).check(c, path, v)
	case "rich_text_list":
		part.with(shape{"elements!": list(0, 1000, richPart), "style!": oneOf("bullet", "ordered"),
			"indent": number(0, 8), "offset": number(0, 1e9), "border": number(0, 1)}).check(c, path, v)
	default:
		c.bad(path+"/type", "unsupported type: %s", k)
	}
}

var richElements = map[string]shape{
	"text":      {"text!": str(1, 40_000)},
	"link":      {"url!": address, "text": str(0, 3000), "unsafe": boolean},
	"emoji":     {"name!": id(100), "unicode": id(100), "skin_tone": number(1, 6)},
	"user":      {"user_id!": id(20)},
	"channel":   {"channel_id!": id(20)},
	"usergroup": {"usergroup_id!": id(20)},
	"team":      {"team_id!": id(20)},
	"date":      {"timestamp!": number(0, 1e10), "format!": id(1000), "url": address, "fallback": str(0, 1000)},
	"broadcast": {"range!": oneOf("here", "channel", "everyone")},
	"color":     {"value!": id(20)},
}

func richElement(c *checker, path string, v any) {
	s, ok := richElements[kind(v)]
	if !ok {
		c.bad(path+"/type", "unsupported type: %s", kind(v))
		return
	}
	s.with(shape{"type!": anything, "style": richStyle}).check(c, path, v)
}
