package slack

import (
	"fmt"
	"strings"
	"testing"

	"heelpost/bot"
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
		long.Table.Rows[i].Cells[1].Text = strings.Repeat("word ", 30)
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

// What a command shows is the same table, to its asker alone; as text, whole, where
// Slack refuses it.
func TestTable_command(t *testing.T) {
	for _, refused := range []bool{false, true} {
		t.Run(fmt.Sprint("refused ", refused), func(t *testing.T) {
			w := inWorld(t)
			if refused {
				w.expected = []string{"invalid_blocks"}
				w.RefuseTables()
			}
			w.boards()
			if err := w.Command(mo, doors, "/door", "board all"); err != nil {
				t.Fatal(err)
			}
			w.whispered(mo, "4 doors")
			m := w.Ephemerals(mo)[len(w.Ephemerals(mo))-1]
			if table := strings.Contains(string(m.Blocks), `"data_table"`); table == refused {
				t.Errorf("a table: %v\n%s", table, m.Blocks)
			}
			for _, id := range []string{"A-1", "A-2", "A-9", "A-10"} {
				if !strings.Contains(m.Text, id+": ") {
					t.Errorf("the text has no %s: %q", id, m.Text)
				}
			}
		})
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

// A door's card is a table of two columns, with what settles the next item below.
func TestTable_card(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	m := w.says(ana, mention+"card", face.TS)
	for _, want := range []string{`"type":"table"`, `"text":"9 mm","type":"raw_text"`, `"style":"primary","text":{"emoji":false,"text":"Tick 2 datum"`} {
		if !strings.Contains(string(m.Blocks), want) {
			t.Errorf("the card has no %s: %s", want, m.Blocks)
		}
	}
	if !strings.Contains(m.Text, "\nheel gap 9 mm\n") {
		t.Errorf("the text is %q", m.Text)
	}
}

// What is drilled, cut or ordered stands out in a card, and says so.
func TestTabled_firm(t *testing.T) {
	p := bot.Post{Kind: bot.KindDoor, Table: &bot.Table{Head: "door A-1", Columns: []string{"Number", "Value"}, Rows: []bot.Row{
		{Text: "plate centre 74 mm, drilled", Cells: []bot.Cell{{Text: "plate centre"}, {Text: "74 mm, drilled", Firm: true}}}}}}
	s, ok := tabled(nil, p, orchard, "")
	if got := string(breachless(t, "card", fake.InMessage, s)); !ok || !strings.Contains(got, `"text":"74 mm, drilled","style":{"bold":true}`) {
		t.Errorf("got %s", got)
	}
}

// A board that stands in the channel itself, as the morning's does, has no thread
// yet: what its button says is told in the channel.
func TestPress_noThread(t *testing.T) {
	w := inWorld(t)
	w.boards()
	site := w.desk.Sites()[0]
	p := bot.Post{ID: "digest", Channel: doors, Kind: bot.KindBoard, Site: site.ID, Text: "4 doors\nand 4 more: board all", Buttons: []bot.Button{{Label: "More", Say: "board all"}}}
	if _, err := w.a.Post(t.Context(), p); err != nil {
		t.Fatal(err)
	}
	all := w.Messages(doors)
	w.press(mo, all[len(all)-1], "More")
	w.whispered(mo, "board all: 4 doors")
}
