package fake

import (
	"fmt"
	"maps"
	"math"
)

// cells are what stands in tables. That of a button is as slack-go 0.35 has it:
// Slack's types are older.
var (
	columnSetting = shape{"align": matching("^(left|center|right)$"), "is_wrapped": boolean}.check
	rawCells      = map[string]shape{"raw_text": {"text!": str(1, 3000)}, "raw_number": {"value!": whole(-1<<53, 1<<53), "text!": str(1, 3000)}}
	cells         = with(rawCells, "rich_text", shape{"elements!": list(1, 1000, oneKind(richParts))})
	dataCells     = with(cells, "action_cell", shape{"element!": element("datepicker", "timepicker", "number_input", "plain_text_input", "static_select", "multi_static_select",
		"checkboxes", "users_select", "multi_users_select"), "fallback": oneKind(rawCells)})
)

func with(shapes map[string]shape, name string, s shape) map[string]shape {
	shapes = maps.Clone(shapes)
	shapes[name] = s
	return shapes
}

// whole is a whole number.
func whole(least, most float64) rule {
	return func(c *checker, path string, v any) {
		if n, ok := v.(float64); !ok || n < least || n > most || n != math.Trunc(n) {
			c.bad(path, "must be a whole number from %.0f to %.0f", least, most)
		}
	}
}

// table: there is one, its rows are of one length, and a data table's header is
// plain text.
func (c *checker) table(path string, m map[string]any, kind string) {
	if c.tables > 1 {
		c.whole("invalid_blocks")
	}
	rows, _ := m["rows"].([]any)
	for i, r := range rows {
		row, _ := r.([]any)
		if first, _ := rows[0].([]any); len(row) != len(first) {
			c.bad(fmt.Sprintf("%s/rows/%d", path, i), "must have as many cells as the first row")
		}
		for k, cell := range row {
			if m, _ := cell.(map[string]any); i == 0 && kind == "data_table" && m["type"] != "raw_text" {
				c.bad(fmt.Sprintf("%s/rows/0/%d", path, k), "a header must be raw_text")
			}
		}
	}
}
