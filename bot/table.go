package bot

import "strings"

// Table is what a post lists, row by row, for where people can sort and filter
// it, or see it in columns. It says the same as the post's text, which may be
// no more than its first page; the buttons that turn pages are not wanted beside
// it.
type Table struct {
	Head    string // what stands above it, as plain text
	Caption string // what it is, in a few words
	Columns []string
	Look    int // which of them has the rows' buttons, if there are some: within a phone's width
	Rows    []Row
	Foot    string // what stands below it, as plain text; mostly nothing
}

// Row is a row of a table.
type Row struct {
	Cells  []Cell
	Text   string // the same as a line of text
	Button Button // what can be pressed in it; none where it has no label
}

// Cell is a cell of a table.
type Cell struct {
	Text string // "" for an empty one
	// Order is where the cell stands when its column is sorted, from 1; 0 where
	// the text tells: A-8 comes before A-10.
	Order int
	Firm  bool // it stands out: a number that stays as it is
}

// Text returns a table as plain text, complete.
func (t *Table) Text() string {
	lines := []string{t.Head}
	for _, r := range t.Rows {
		lines = append(lines, r.Text)
	}
	return strings.TrimSpace(strings.Join(append(lines, t.Foot), "\n"))
}

// Pressed reports whether there is something to press in the rows.
func (t *Table) Pressed() bool { return len(t.Rows) > 0 && t.Rows[0].Button.Label != "" }

// Add adds a line to what a post says.
func (p *Post) Add(line string) {
	p.Text += "\n" + line
	if p.Table != nil {
		p.Table.Foot = strings.TrimPrefix(p.Table.Foot+"\n"+line, "\n")
	}
}
