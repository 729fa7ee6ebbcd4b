package slack

import (
	"fmt"
	"strings"
	"testing"

	"heelpost/bot/slack/fake"
)

// A board of up to 200 doors is one message with one table, within Slack's
// limits, and its text is complete; a larger one is none.
func TestTabled(t *testing.T) {
	for _, n := range []int{1, 9, 200} {
		p := goldenBoard(n)
		s, ok := tabled(nil, p, orchard, "")
		if !ok {
			t.Fatalf("%d doors: no table", n)
		}
		payload := string(breachless(t, fmt.Sprint(n, " doors"), fake.InMessage, s))
		for _, r := range p.Table.Rows {
			if !strings.Contains(s.Text, "\n"+r.Text) || !strings.Contains(payload, r.Button.Say) {
				t.Errorf("%d doors: %s is missing", n, r.Text)
			}
		}
	}
	if _, ok := tabled(nil, goldenBoard(201), orchard, ""); ok {
		t.Error("201 doors are a table")
	}
	long := goldenBoard(200)
	for i := range long.Table.Rows {
		long.Table.Rows[i].Cells[3].Text = strings.Repeat("word ", 30)
	}
	if _, ok := tabled(nil, long, orchard, ""); ok {
		t.Error("a table of more than 20,000 characters is one")
	}
}

// What was refused with some rows is not tried with as many or more.
func TestRefusals(t *testing.T) {
	var r refusals
	if !r.takes(200) {
		t.Error("refused before it was tried")
	}
	r.note(150)
	r.note(180)
	if r.takes(150) || r.takes(200) || !r.takes(149) {
		t.Error("it was refused from 150 rows on")
	}
}

// boards opens doors that sort by number and not by letter.
func (w *world) boards() {
	w.open()
	w.says(ana, mention+"open A-10 A-9 A-2 like A-1", "")
	for _, id := range []string{"A-2", "A-9", "A-10"} {
		w.face(id)
	}
}

// A board is a table: sorted by number, with a button in each row that tells what
// comes next, to whoever pressed it alone; the table stays as it is.
func TestTable(t *testing.T) {
	w := inWorld(t)
	w.boards()
	m := w.says(mo, mention+"board", "")
	if !strings.Contains(string(m.Blocks), `"data_table"`) || !strings.Contains(m.Text, "4 doors") {
		t.Fatalf("got %q\n%s", m.Text, m.Blocks)
	}
	for i, id := range []string{"A-1", "A-2", "A-9", "A-10"} {
		if want := fmt.Sprintf(`"text":"%s","type":"raw_number","value":%d}`, id, i+1); !strings.Contains(string(m.Blocks), want) {
			t.Errorf("%s is not sorted by its number: %s", id, m.Blocks)
		}
		if !strings.Contains(m.Text, "\n  "+id+": ") {
			t.Errorf("the text has no %s: %q", id, m.Text)
		}
	}
	if err := w.PressLate(ana, m, "say:3"); err != nil {
		t.Fatal(err)
	}
	w.whispered(ana, "next: ")
	if now, _ := w.Message(doors, m.TS); string(now.Blocks) != string(m.Blocks) {
		t.Error("the press took the table away")
	}
	all := w.says(mo, mention+"board all", "")
	if !strings.Contains(string(all.Blocks), `"data_table"`) || strings.Contains(string(all.Blocks), `"actions"`) {
		t.Errorf("board all: %s", all.Blocks)
	}
}

// Where Slack refuses tables the board comes as text, at once and whole, and they
// are not tried again.
func TestTable_refused(t *testing.T) {
	w := inWorld(t)
	w.expected = []string{"invalid_blocks"}
	w.RefuseTables()
	w.boards()
	for i := range 2 {
		m := w.says(mo, mention+"board all", "")
		if strings.Contains(string(m.Blocks), `"data_table"`) {
			t.Fatalf("refused, and there: %s", m.Blocks)
		}
		for _, id := range []string{"A-1", "A-2", "A-9", "A-10"} {
			if !strings.Contains(m.Text, id+": ") {
				t.Errorf("board %d has no %s: %q", i+1, id, m.Text)
			}
		}
	}
	refused := 0
	for _, r := range w.Refused() {
		if r.Code == "invalid_blocks" {
			refused++
		}
	}
	if refused != 1 {
		t.Errorf("slack refused %d tables, want the first alone", refused)
	}
}
