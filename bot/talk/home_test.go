package talk_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"heelpost/bot"
	"heelpost/jobs"
)

// open opens a door for somebody.
func (o *office) open(id, floor, crew string) {
	o.t.Helper()
	values := a1()
	values["door"], values["floor"], values["crew"] = id, floor, crew
	values["lean_heel"], values["lean_lead"], values["floor_fall"] = "0", "0", "level"
	if wrong, _ := o.submit("mo", "", "open", values); len(wrong) > 0 {
		o.t.Fatal(wrong)
	}
}

func (o *office) home(who, filter string, page int) bot.Home {
	o.t.Helper()
	h, err := o.bot.Home(o.ctx, who, filter, page, o.now)
	if err != nil {
		o.t.Fatal(err)
	}
	return h
}

// outline is a home in lines.
func outline(h bot.Home) (lines []string) {
	for _, s := range h.Sections {
		lines = append(lines, s.Title)
		for _, l := range s.Lines {
			text := "  " + l.Text
			for _, b := range l.Buttons {
				text += " [" + b.Label + "]"
			}
			lines = append(lines, text)
		}
	}
	return lines
}

// Everybody sees their own: the crew their doors, the foreman the site, a
// guest what they can do.
func TestHome(t *testing.T) {
	o := newOffice(t)
	o.open("A-1", "screed", "ana")
	o.open("A-2", "concrete", "cy")
	o.open("B-1", "screed", "ana cy")
	o.say("ana", "A-1", "visit 2027-03-02 9:00 to see the floor")
	o.say("cy", "B-1", "visit 2027-03-04 9:00")
	o.say("ana", "B-1", "snag scratch on the leaf @cy")
	o.now = o.now.AddDate(0, 0, 2)
	o.settle(nil, nil)
	for _, c := range []struct {
		who, filter string
		want        []string
	}{
		{"ana", "stage/hang", []string{
			"My doors", "  A-1, survey: visit overdue since Tue 03-02 09:00 · 2 datum since Mon 03-01", "  B-1, survey: 2 datum since Mon 03-01 · visit Thu 03-04 09:00 · 1 snag since Mon 03-01",
			"My visits", "  A-1, visit v1 Tue 2027-03-02 09:00 (to see the floor), overdue [Done v1] [Move v1]", "  B-1, visit v1 Thu 2027-03-04 09:00 [Done v1] [Move v1]",
			"My snags", "  no snag is yours", "Curing", "  nothing is curing"}},
		{"bo", "", []string{"How to begin", "  doors mine lists your doors; in a door's thread, next says what comes next",
			"  ask me as you speak, as gap 44 thick, 65 setback, or gap alone in a door's thread", "  help shows what is typed all day, help all the questions, help door what can be said at a door", "My doors", "  no door is yours yet", "My visits", "  no visit is planned", "My snags", "  no snag is yours", "Curing", "  nothing is curing"}},
		{"mo", "crew/south", []string{
			"Doors", "  A-2, survey: 2 datum since Mon 03-01", "  B-1, survey: 2 datum since Mon 03-01 · visit Thu 03-04 09:00 · 1 snag since Mon 03-01",
			"Overdue visits", "  A-1, visit v1 Tue 2027-03-02 09:00 (to see the floor), overdue [Done v1] [Move v1]",
			"Open snags", "  B-1, snag s1: scratch on the leaf, @cy, since Mon 2027-03-01 08:00", "Failed notices", "  none"}},
		{"ivy", "floor/concrete", []string{
			"Doors", "  A-2, survey: 2 datum since Mon 03-01",
			"Overdue visits", "  A-1, visit v1 Tue 2027-03-02 09:00 (to see the floor), overdue [Done v1] [Move v1]",
			"Open snags", "  B-1, snag s1: scratch on the leaf, @cy, since Mon 2027-03-01 08:00", "Failed notices", "  none"}},
		{"dee", "", []string{"How to begin", "  I answer questions of the trade: type gap 44 thick, 65 setback",
			"  help lists the questions; board, in a site's channel, shows its doors",
			"  no site file names you, so you can't change a door: the office can add you, as dee"}},
	} {
		h := o.home(c.who, c.filter, 1)
		if diff := cmp.Diff(c.want, outline(h)); diff != "" {
			t.Errorf("%s %s (-want +got):\n%s", c.who, c.filter, diff)
		}
		if c.who == "mo" && h.Filter != c.filter || c.who == "ana" && (h.Filter != "" || h.Filters != nil) {
			t.Errorf("%s: filter %q of %v", c.who, h.Filter, h.Filters)
		}
	}
	if h := o.home("mo", "crew/nobody", 1); h.Filter != "all" || len(h.Sections[0].Lines) != 3 {
		t.Errorf("an unknown filter: %q, %v", h.Filter, outline(h))
	}
	if got := o.desk.Places("ana"); len(got) != 1 || got[0].Value != o.site.Channels[0] || o.desk.Channel(o.site.ID) != got[0].Value {
		t.Errorf("ana is named at %v", got)
	}
	if o.desk.Places("dee") != nil || o.desk.Channel("nowhere") != "" {
		t.Error("a guest has a place, or an unknown site a channel")
	}
}

// A door's bonds cure in the homes of its people, until the sample is looked
// at.
func TestHome_curing(t *testing.T) {
	o := newOffice(t)
	o.open("A-1", "screed", "ana")
	for _, text := range []string{"tick datum", "tick joint", "tick carrier", "tick room", "tick centre"} {
		o.say("ana", "A-1", text)
	}
	o.say("mo", "A-1", "tick second")
	for _, text := range []string{"read plumb 1", "read floor-services 80", "tick bit", "tick floor-dry-fit", "tick floor-drilled", "tick sound", "tick floor-clean",
		"read floor-temperature 21", "mix floor batch K7 expires 2028-01-01", "bond floor"} {
		o.say("ana", "A-1", text)
	}
	for _, who := range []string{"ana", "mo"} {
		recs, n, err := o.store.Doors(o.ctx, o.site.ID+"/person/"+who+"/curing", 0, 1)
		if err != nil || n != 1 || recs[0].Key != o.site.ID+"/A-1" {
			t.Errorf("%s: %v, %d, %v", who, recs, n, err)
		}
	}
	lines := outline(o.home("ana", "", 1))
	if !slices.Contains(lines, "  A-1, the sheet's hours end not before Wed 2027-03-03 00:57 (unread in part, first from Mon 2027-03-01 12:00 on: 7 °C counts there, the sheet's lowest)") {
		t.Errorf("got %q", lines)
	}
	face, err := o.bot.Face(o.ctx, o.site.ID+"/A-1")
	want := `door A-1, floor
next: [ ] 20 floor-control: control sample of the same mix kept beside the plate · hold; still open: 7 opening-photo, 8 centre, 10 ordered
the sheet's hours end not before Wed 2027-03-03 00:57 (unread in part, first from Mon 2027-03-01 12:00 on: 7 °C counts there, the sheet's lowest)
crew @ana, foreman @mo`
	if err != nil || face.Kind != bot.KindFace || face.Thread != "A-1" || face.Text != want || !slices.Equal(face.Buttons, bot.StandingButtons(nil, "A-1")) {
		t.Errorf("got %+v, %v", face, err)
	}
	o.say("ana", "A-1", "visit tomorrow 9:00")
	o.say("ana", "A-1", "snag scratch @ana")
	o.now = o.now.AddDate(0, 0, 2)
	o.settle(nil, nil)
	o.say("ana", "A-1", "tick floor-control")
	o.say("ana", "A-1", "override sample because it is hard word: letter in the folder")
	o.say("mo", "A-1", "override sample because it is hard word: letter in the folder")
	face, err = o.bot.Face(o.ctx, o.site.ID+"/A-1")
	for _, want := range []string{"\nvisit v1 Tue 2027-03-02 09:00, overdue\n", "\n1 open snag: s1 scratch, @ana\n"} {
		if err != nil || !strings.Contains(face.Text, want) {
			t.Errorf("got %q, %v, want %q in it", face.Text, err, want)
		}
	}
}

// Doors are paged over one site and over several; a page that there is not is
// the first.
func TestHome_pages(t *testing.T) {
	o := newOffice(t)
	other := *o.site
	other.ID, other.Name, other.Channels = "pond-end", "Pond End", []string{"pond-end-doors"}
	if err := o.desk.UseSite(o.ctx, &other); err != nil {
		t.Fatal(err)
	}
	sheet, err := jobs.ParseSheet(read(t, "sheets/orchard.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	state := func(site, id string) []byte {
		return fmt.Appendf(nil, `{"version":1,"spec":{"site":%q,"id":%q,"sheet_hash":%q,"crew":["ana"],"foreman":"mo"},"stage":"survey"}`, site, id, sheet.Hash)
	}
	for i := range 45 {
		site := []string{o.site.ID, other.ID}[i%2]
		id := fmt.Sprintf("A-%02d", i)
		change := jobs.Change{Op: id, Door: &jobs.DoorChange{Key: jobs.DoorKey(site, id), State: state(site, id), Entry: []byte("[]"),
			Index: []jobs.Index{{Name: site + "/all"}, {Name: site + "/person/ana"}}}}
		if _, err := o.store.Commit(o.ctx, change); err != nil {
			t.Fatal(err)
		}
	}
	for _, who := range []string{"ana", "mo"} {
		seen := map[string]bool{}
		for page, want := range map[int]int{1: 20, 2: 20, 3: 5} {
			h := o.home(who, "", page)
			if h.Page != page || h.Pages != 3 || len(h.Sections[0].Lines) != want {
				t.Errorf("%s: page %d of %d has %d lines, want %d", who, h.Page, h.Pages, len(h.Sections[0].Lines), want)
			}
			for _, l := range h.Sections[0].Lines {
				seen[l.Site+l.Door] = true
				if !strings.Contains(l.Text, " (Pond End), ") && l.Site == other.ID {
					t.Errorf("%q does not say where", l.Text)
				}
			}
		}
		if len(seen) != 45 {
			t.Errorf("%s sees %d of 45 doors", who, len(seen))
		}
		for _, page := range []int{-3, 0, 4, 99} {
			if h := o.home(who, "", page); h.Page != 1 || len(h.Sections[0].Lines) != 20 {
				t.Errorf("%s: page %d gives page %d", who, page, h.Page)
			}
		}
	}
}

// A failed notice stands in the foreman's home; the press sends it again for
// those who may, once, and for nobody at another site.
func TestHome_retry(t *testing.T) {
	o := newOffice(t)
	o.wall.broken = &jobs.SendError{Fault: jobs.Final, Err: errors.New("the channel is closed")}
	o.open("A-1", "screed", "ana")
	lines := o.home("mo", "", 1).Sections[3].Lines
	if len(lines) == 0 || lines[0].Text != "entry of door A-1, due Mon 2027-03-01 08:00: the channel is closed" || lines[0].Site != o.site.ID || lines[0].Door != "A-1" {
		t.Fatalf("got %+v", lines)
	}
	say := lines[0].Buttons[0].Say
	if got := texts(o.press("ana", "A-1", say)); !strings.HasPrefix(got, "ana is crew here: to send a failed notice again takes foreman or office") {
		t.Errorf("ana: got %q", got)
	}
	other := *o.site
	other.ID, other.Channels, other.People = "pond-end", []string{"pond-end-doors"}, []jobs.Person{{ID: "lin", Role: jobs.Foreman}}
	if err := o.desk.UseSite(o.ctx, &other); err != nil {
		t.Fatal(err)
	}
	m := o.message("lin", "A-1", say)
	m.Channel = "pond-end-doors"
	if got := texts(o.settle(o.bot.Press(o.ctx, m))); !strings.HasPrefix(got, "that is not among the failed ones") {
		t.Errorf("from another site: got %q", got)
	}
	if got := outline(o.home("lin", "", 1)); got[len(got)-1] != "  none" {
		t.Errorf("from another site: got %q", got)
	}
	o.wall.broken = nil
	if got := texts(o.press("mo", "A-1", say)); !strings.Contains(got, "it is sent again") || !strings.Contains(got, "door A-1 opened") {
		t.Errorf("mo: got %q", got)
	}
	o.now = o.now.Add(time.Minute)
	if got := texts(o.press("mo", "A-1", say)); got != "that is not among the failed ones any more: it was sent, or is on its way" {
		t.Errorf("pressed twice: got %q", got)
	}
}
