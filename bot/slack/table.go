package slack

import (
	"fmt"
	"slices"
	"sync/atomic"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackutilsx"

	"heelpost/bot"
	"heelpost/bot/say"
)

// Bounds of a table: those of Slack's, and the rows that it shows at once.
const (
	maxRows       = 200 // beside the header
	maxColumnRows = 100 // with the header, of a table without buttons
	maxTable      = 20_000
	maxTableText  = 39_000 // of the text beside it, which is never edited
	pageRows      = 10
	maxCaption    = 150
)

// refusals remembers, while the process lives, from how many rows on Slack took
// no table.
type refusals struct{ rows atomic.Int64 }

// takes reports whether tables of so many rows have not been refused.
func (r *refusals) takes(rows int) bool {
	least := r.rows.Load()
	return least == 0 || int64(rows) < least
}

// note takes note of a refusal.
func (r *refusals) note(rows int) {
	for {
		least := r.rows.Load()
		if least != 0 && least <= int64(rows) || r.rows.CompareAndSwap(least, int64(rows)) {
			return
		}
	}
}

// tabled shows a post with its table in place of its list; false if it has none
// that Slack takes.
func (a *Adapter) tabled(p bot.Post, who users, fileID string) (screen, bool) {
	if p.Table == nil || !a.tables[p.Table.Pressed()].takes(len(p.Table.Rows)) {
		return screen{}, false
	}
	return tabled(a.Language, p, who, fileID)
}

// tabled is a screen with a table: what stands above it, and the rows. The text
// beside it, which is all that screen readers read, is complete. It is false
// where that is more than Slack takes.
func tabled(in *say.Language, p bot.Post, who users, fileID string) (screen, bool) {
	t := p.Table
	part := p
	part.Text, part.Buttons, part.Table = t.Head, nil, nil
	s := message(in, part, who, fileID)
	s.Text = slackutilsx.EscapeMessage(bot.Printable(t.Text()))
	table, ok := slack.Block(nil), false
	if t.Pressed() {
		table, ok = dataTable(t)
	} else {
		table, ok = columns(t)
		s.buttons = buttons(p)
	}
	if !ok || utf16Len(s.Text) > maxTableText {
		return screen{}, false
	}
	s.Blocks = append(s.Blocks, table)
	if t.Foot != "" {
		part.Text = t.Foot
		s.Blocks = append(s.Blocks, message(in, part, who, "").Blocks...)
	}
	s.Blocks = append(s.Blocks, s.buttons...)
	return s, true
}

// cells makes the texts of a table's cells, and counts their characters.
type cells struct{ used int }

func (c *cells) text(text string, most int) string {
	text = plainText(text, most).Text
	if text == "" {
		text = "–" // Slack takes no empty cell
	}
	c.used += size(text)
	return text
}

// columns makes a table that is only looked at: what is firm in it is bold; false
// if it is too large.
func columns(t *bot.Table) (*slack.TableBlock, bool) {
	var c cells
	bold := func(text string) slack.TableCell {
		return slack.NewTableRichTextCell(slack.NewRichTextSection(slack.NewRichTextSectionTextElement(text, &slack.RichTextSectionTextStyle{Bold: true})))
	}
	wraps := slack.ColumnSetting{Align: slack.ColumnAlignmentLeft, IsWrapped: true}
	b := slack.NewTableBlock("").WithColumnSettings(slices.Repeat([]slack.ColumnSetting{wraps}, len(t.Columns))...)
	var head []slack.TableCell
	for _, text := range t.Columns {
		head = append(head, bold(c.text(text, maxSection)))
	}
	b.AddRow(head...)
	for _, r := range t.Rows {
		var row []slack.TableCell
		for _, cell := range r.Cells {
			if text := c.text(cell.Text, maxSection); cell.Firm {
				row = append(row, bold(text))
			} else {
				row = append(row, slack.NewTableRawTextCell(text))
			}
		}
		b.AddRow(row...)
	}
	return b, len(t.Rows) > 0 && len(t.Rows) < maxColumnRows && c.used <= maxTable
}

// dataTable makes a table that people sort and filter; false if it is too large.
func dataTable(t *bot.Table) (*slack.DataTableBlock, bool) {
	if len(t.Rows) == 0 || len(t.Rows) > maxRows {
		return nil, false
	}
	var c cells
	b := slack.NewDataTableBlock(c.text(t.Caption, maxCaption)).WithPageSize(pageRows)
	var head []slack.DataTableCell
	for _, text := range t.Columns {
		head = append(head, slack.NewDataTableRawTextCell(c.text(text, maxSection)))
	}
	b.AddRow(head...)
	for i, r := range t.Rows {
		var row []slack.DataTableCell
		for _, cell := range r.Cells {
			if text := c.text(cell.Text, maxSection); cell.Order > 0 {
				row = append(row, slack.NewDataTableRawNumberCell(float64(cell.Order)).WithText(text))
			} else {
				row = append(row, slack.NewDataTableRawTextCell(text))
			}
		}
		if r.Button.Label != "" {
			label := c.text(r.Button.Label, maxButton)
			button := slack.NewButtonBlockElement(fmt.Sprintf("say:%d", i+1), press{Say: r.Button.Say}.value(), plainText(label, maxButton))
			button.AccessibilityLabel = plainText(label+", "+r.Cells[0].Text, maxButton).Text
			row = slices.Insert[[]slack.DataTableCell, slack.DataTableCell](row, min(t.Look, len(row)), slack.NewDataTableActionCell(button).WithFallback(slack.NewDataTableRawTextCell(c.text(r.Button.Say, maxButton))))
		}
		b.AddRow(row...)
	}
	return b, c.used <= maxTable
}

// unshown are Slack's words for blocks that it does not show.
var unshown = []string{"invalid_blocks", "invalid_blocks_format", "invalid_arguments", "msg_blocks_too_long", "msg_too_long"}

// showTable posts a post as a table by a call. Where Slack refuses that, it has
// posted nothing: the table is tried without the picture beside it, and if that
// is refused too it is remembered, and the post has to go as text.
func (a *Adapter) showTable(p bot.Post, who users, fileID string, post func(screen) error) (done bool, err error) {
	for _, file := range slices.Compact([]string{fileID, ""}) {
		s, ok := a.tabled(p, who, file)
		if !ok {
			return false, nil
		}
		if err = post(s); !slices.Contains(unshown, code(err)) {
			return true, err
		}
	}
	a.tables[p.Table.Pressed()].note(len(p.Table.Rows))
	a.Log.Warn("slack does not show a table: such go as text from now on", "rows", len(p.Table.Rows), "error", redacted(err))
	return false, nil
}

// hasTable reports whether a message shows a table: its rows are pressed again
// and again, and the text beside it is more than an edit takes.
func hasTable(blocks []slack.Block) bool {
	return slices.ContainsFunc(blocks, func(b slack.Block) bool { return b.BlockType() == slack.MBTDataTable })
}
