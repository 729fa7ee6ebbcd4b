package slack

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/slack/fake"
	"heelpost/bot/talk"
)

// golden is a screen of testdata/screens.
type golden struct {
	name, kind string
	payload    any
}

// gallery collects screens.
type gallery struct{ all []golden }

// add adds a message, page by page.
func (g *gallery) add(name string, s screen) {
	for i, page := range pages(nil, s) {
		if i > 0 {
			name = strings.TrimSuffix(name, fmt.Sprint("-", i)) + fmt.Sprint("-", i+1)
		}
		g.all = append(g.all, golden{name, fake.InMessage, page})
	}
}

func (g *gallery) form(name string, f bot.Form) {
	g.all = append(g.all, golden{name, fake.InModal, modal(nil, f, f.Door, "C0ORCHARD", "1772352000.000100", orchard)})
}

func (g *gallery) home(name string, h bot.Home) {
	g.all = append(g.all, golden{name, fake.InHome, home(nil, h, link)})
}

// goldens are screens of every shape that the bot's have.
func goldens(t *testing.T) []golden {
	var g gallery
	g.answers()
	g.doors()
	for _, f := range goldenForms() {
		name, _, _ := strings.Cut("form-"+f.ID, " ")
		g.form(name, f)
	}
	homes := goldenHomes()
	for _, name := range slices.Sorted(maps.Keys(homes)) {
		g.home("home-"+name, homes[name])
	}
	g.site(t)
	return g.all
}

// answered is the answer to a question, as it is posted.
func answered(question string) bot.Post {
	return (&talk.Bot{}).Reply(&bot.Message{Person: "ana"}, talk.Ask(question))
}

func (g *gallery) answers() {
	g.add("answer", message(nil, answered("gap t=46 s=75 w=1040"), orchard, "F0HEEL"))
	g.add("answer-checks", message(nil, answered("clear opening 1054 with 46 thick at 75 setback"), orchard, ""))
	g.add("answer-corrected", message(nil, answered("GAP THIKNESS 46 SETBAKC 75"), orchard, ""))
	g.add("answer-leaf", message(nil, answered("leaf widths 1055 1054 1053 heights 2310 2311 2312 gap 7 top 12 bottom 8 diagonals 2540 2536 thickness 46 lift 9"), orchard, ""))
	g.add("answer-refused", message(nil, answered("gap for 46 thick with 700 setback and 1040 wide"), orchard, ""))
	g.add("answer-asks", message(nil, answered("gap 46"), orchard, ""))
	g.add("answer-unknown", message(nil, answered("what about <!channel> & *that*"), orchard, ""))
	g.add("answer-ephemeral", ephemeral(nil, answered("gap 46 75"), "gap 46 75"))
	for _, page := range []string{"help", "help door", "help gap"} {
		text, _ := talk.Help(nil, page)
		g.add(strings.ReplaceAll(page, " ", "-"), message(nil, bot.Post{To: "ana", Kind: bot.KindAnswer, Text: text}, orchard, ""))
	}
}

func (g *gallery) doors() {
	jobButtons := bot.StandingButtons(nil, "A-101")
	g.add("door-opened", message(nil, bot.Post{Thread: "A-101", To: "ana", Kind: bot.KindDoor, Buttons: jobButtons, Text: `door A-101 opened: leaf 1050 mm × 2350 mm × 44 mm, setback 65 mm, opening 1068 mm × 2372 mm, both ways, 88 kg, floor screed heated, sheet orchard, crew @ana @bo, foreman @mo
heel gap 9 mm
lead gap 9 mm
opening width 1068 mm
plate centre 74 mm
stop depth 40 mm (the cover is not measured yet)
assumed: clearance 2 mm, jambs plumb, square edges, pivot axis on the mid-plane
stage: survey
next: [ ] 1 status: neither fire, smoke nor escape door: checked with the drawings · hold`}, orchard, ""))
	g.add("door-ticked", message(nil, bot.Post{Thread: "A-101", To: "ana", Kind: bot.KindDoor, Text: "ticked 6 room\nstage: floor\nnext: [ ] 16 sound: pins hold in sound screed: tile, its bed, levelling and insulation do not count",
		Buttons: []bot.Button{{Label: "Tick 16 sound", Say: "tick sound"}}}, orchard, ""))
	g.add("door-list", message(nil, bot.Post{Thread: "A-101", To: "ana", Kind: bot.KindDoor, Text: `[x] 1 status: neither fire, smoke nor escape door: checked with the drawings · hold
[x] 2 datum: finished floor level, datum and handing (both ways) marked
[-] 7 opening-photo: photo of the opening
[!] 8 second: confirmed by a second person · hold
[ ] 9 plumb: lean of the heel jamb (mm, at most 3 mm) = 5 mm out`}, orchard, ""))
	g.add("door-hostile", message(nil, bot.Post{Thread: "A-101", To: "ana", Kind: bot.KindDoor,
		Text:    "snag s1 opened: <!channel> *scratch* _on_ ~the~ `leaf` :door: <https://example.com|here> & <@U0BO> \u202ekool, @bo\nnext: hand over",
		Buttons: []bot.Button{{Label: "Close <!here> & s1", Say: "close s1 <@U0BO>"}}}, orchard, ""))
	reminder := bot.Post{Thread: "A-101", To: "ana cy", Kind: bot.KindReminder,
		Text:    "@ana @cy visit v1 is now, Fri 2027-03-05 10:00 (the jamb is wet); answer done, snooze 2h, move visit to a time, or cancel visit because of something",
		Buttons: []bot.Button{{Label: "Done", Say: "done v1"}, {Label: "Snooze 2 h", Say: "snooze v1 2h"}, {Label: "Move visit", Form: "move v1"}}}
	g.add("reminder", message(nil, reminder, orchard, ""))
	calls := message(nil, reminder, orchard, "")
	g.add("reminder-done", pressed(slack.Message{Msg: slack.Msg{Text: calls.Text, Blocks: slack.Blocks{BlockSet: calls.Blocks}}}, &slack.BlockAction{Text: slack.TextBlockObject{Text: "Done"}}, "U0ANA", time.Date(2027, 3, 5, 14, 2, 0, 0, time.UTC)))
	g.add("together", message(nil, bot.Post{To: "mo", Kind: bot.KindReminder, Text: `@mo 8 things wait at 7 doors
A-9: snag: s1 for @bo: the lining is <loose>
A-1: check the control sample, the leaf stays still until then (return visit Tue 2027-03-30 07:15?)
A-2: visit v1 was due Mon 2027-03-29 09:00 (the jamb is wet); visit v2 is Wed 2027-03-31 09:00
A-3: visit v1 is now (to drill)
A-4: return after handover (four weeks): Tue 2027-03-30 08:00?
and at 2 doors more: reminders
you stand in for @ana until 2027-04-02`, Buttons: []bot.Button{{Label: "Yes A-1", Say: "door A-1 yes 2027-03-30 07:15"}, {Label: "Done A-2 v1", Say: "door A-2 visit done v1"},
		{Label: "Done A-3 v1", Say: "door A-3 visit done v1"}, {Label: "Yes A-4", Say: "door A-4 yes 2027-03-30 08:00"}, {Label: "More", Say: "reminders"}}}, orchard, ""))
	g.add("board", message(nil, bot.Post{Kind: bot.KindBoard, Text: `board of Orchard Lane, houses 2 to 9
@mo is on leave until 2027-08-13: @ivy is told
14 doors: survey 9, floor 3, hang 2
1 held, 1 overdue, 1 curing, 1 with snags
1 reminder could not be posted: failed lists it
  A-9: held by 3 second since Mon 03-01
  A-1: visit overdue since Fri 03-05 10:00 · 1 status (hold) since Mon 03-01
  B-7: cures, not before Fri 03-26 04:00
  A-2: 1 status (hold) · 1 snag since Mon 03-01
and 10 more: board all`, Buttons: []bot.Button{{Label: "More", Say: "board all"}}}, orchard, ""))
	if s, ok := tabled(nil, goldenBoard(4), orchard, ""); ok {
		g.all = append(g.all, golden{"board-table", fake.InMessage, s})
	}
	var log strings.Builder
	for i := range 60 {
		fmt.Fprintf(&log, "Mon 2027-03-01 %02d:%02d @ana 9 plumb: %d mm is in (at most 3 mm): read at the heel jamb, from the floor up, with the long level\n", 8+i/60, i%60, i%4)
	}
	g.add("door-log", message(nil, bot.Post{Thread: "A-101", To: "ana", Kind: bot.KindDoor, Text: strings.TrimSpace(log.String()), Buttons: jobButtons[:2]}, orchard, ""))

}

// goldenBoard is a board of so many doors, with their table.
func goldenBoard(n int) bot.Post {
	t := &bot.Table{Head: fmt.Sprintf("board of Orchard <Lane>\n%d doors: survey %d", n, n), Caption: "board of Orchard <Lane>", Columns: []string{"Door", "Waits for", "Look", "State", "Since", "Stage"}, Look: 2}
	for i := range n {
		id := fmt.Sprintf("A-%d", n-i)
		t.Rows = append(t.Rows, bot.Row{Text: id + ": held by 3 second since Mon 03-01 · visit Fri 03-05 10:00", Button: bot.Button{Label: "Next", Say: "door " + id + " next"},
			Cells: []bot.Cell{{Text: id, Order: n - i}, {Text: "held by 3 second · visit Fri 03-05 10:00"}, {Text: "held"}, {Text: "2027-03-01"}, {Text: "survey"}}})
	}
	return bot.Post{Kind: bot.KindBoard, Text: t.Head + "\nand more: board all", Table: t, Buttons: []bot.Button{{Label: "More", Say: "board all"}}}
}

// site adds what the desk shows of goldenDoor.
func (g *gallery) site(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRoom(t)
		for i, l := range strings.Split(goldenDoor, "\n") {
			r.line(i, l)
		}
		face, err := r.desk.bot.Face(t.Context(), "orchard-lane/A-101")
		if err != nil {
			t.Fatal(err)
		}
		g.add("site-face", message(nil, face, orchard, ""))
		for _, text := range []string{"card", "board"} {
			name := "site-" + text
			posts, err := r.bot.Handle(t.Context(), bot.Message{ID: name, At: r.now, Person: "mo", Channel: r.site.Channels[0], Thread: map[string]string{"card": "A-101"}[text], Text: text})
			if err != nil {
				t.Fatal(err)
			}
			s, ok := tabled(nil, posts[0], orchard, "")
			if !ok {
				t.Fatalf("%s is no table: %+v", text, posts[0])
			}
			g.all = append(g.all, golden{name, fake.InMessage, s})
		}
		for _, id := range []string{"open", "readings", "visit"} {
			m := bot.Message{ID: id, At: r.now, Person: "ana", Channel: r.site.Channels[0]}
			if id != "open" {
				m.Thread = "A-101"
			}
			f, err := r.desk.bot.Form(t.Context(), m, id)
			if err != nil {
				t.Fatal(err)
			}
			g.form("site-form-"+id, f)
		}
		for _, person := range []string{"ana", "mo", "zoe"} {
			h, err := r.desk.bot.Home(t.Context(), person, "", 1, r.now)
			if err != nil {
				t.Fatal(err)
			}
			g.home("site-home-"+person, h)
		}
	})
}

// goldenDoor is how the door comes about that the screens named site- show.
const goldenDoor = `@ 2027-03-01 08:00
door open A-101 1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed both ways ordinary sheet orchard crew @ana @bo foreman @mo
ana #A-101> tick datum
mo #A-101> tick second
ana #A-101> tick joint
ana #A-101> tick carrier
ana #A-101> tick room
ana #A-101> snag <!channel> the *lining* is loose @bo
ana #A-101> visit Thursday 9:00 because the jamb is wet`

func goldenForms() []bot.Form {
	return []bot.Form{
		{ID: "open", Title: "Open a door", Submit: "Open", Intro: "Measure the finished opening; leave a field as it is if you are not sure.", Fields: []bot.Field{
			{Name: "door", Label: "Door", Hint: "its number on the drawings, as A-101"},
			{Name: "width", Label: "Leaf width (mm)", Hint: `as 1050, or 41-3/8"`, Kind: bot.NumberField},
			{Name: "mass", Label: "Leaf mass (kg)", Kind: bot.NumberField, Value: "88", Optional: true},
			{Name: "floor", Label: "Floor", Kind: bot.ChoiceField, Value: "screed", Options: []bot.Option{{Value: "screed", Label: "Screed"}, {Value: "concrete", Label: "Concrete"}, {Value: "timber", Label: "Timber"}}},
			{Name: "with", Label: "What it has", Kind: bot.ChoicesField, Value: "latch", Optional: true, Options: []bot.Option{{Value: "latch", Label: "Latch"}, {Value: "heating", Label: "Floor heating"}}},
			{Name: "joint", Label: "4 joint", Hint: "movement joint looked for", Kind: bot.BoxField, Optional: true, Options: []bot.Option{{Value: "1a2b3c4d", Label: "it is so"}}},
			{Name: "crew", Label: "Crew", Kind: bot.PeopleField, Value: "ana bo cy"},
			{Name: "foreman", Label: "Foreman", Kind: bot.PersonField, Value: "mo"},
		}},
		{ID: "readings", Title: "Readings of A-101", Submit: "Judge", Door: "A-101", Fields: []bot.Field{
			{Name: "plumb", Label: "9 plumb: lean of the heel jamb (mm)", Hint: "at most 3 mm", Kind: bot.NumberField, Value: "1.5", Optional: true},
			{Name: "floor-temperature", Label: "16 temperature of the substrate (°C)", Hint: "7 to 33 °C", Kind: bot.NumberField, Optional: true},
		}},
		{ID: "snag", Title: "Snag at A-101", Submit: "Open the snag", Door: "A-101", Fields: []bot.Field{
			{Name: "text", Label: "What is wrong", Kind: bot.LongField, Value: "scratch <!channel>"},
			{Name: "owner", Label: "Whose it is", Kind: bot.PersonField, Value: "cy"},
		}},
		{ID: "move v1", Title: "Move visit v1", Submit: "Move", Door: "A-101", Fields: []bot.Field{
			{Name: "date", Label: "Day", Kind: bot.DateField, Value: "2027-03-05"},
			{Name: "time", Label: "Time", Kind: bot.TimeField, Value: "10:00"},
			{Name: "why", Label: "Why", Optional: true},
		}},
	}
}

func goldenHomes() map[string]bot.Home {
	door := func(id, text string, buttons ...bot.Button) bot.HomeLine {
		return bot.HomeLine{Text: id + ": " + text, Site: "orchard-lane", Door: id, Buttons: buttons}
	}
	next, done := bot.Button{Label: "Next", Say: "next"}, bot.Button{Label: "Done", Say: "done v1"}
	return map[string]bot.Home{
		"crew": {Page: 1, Pages: 1, Sections: []bot.HomeSection{
			{Title: "My doors", Lines: []bot.HomeLine{door("A-101", "held by 11 floor-services", next), door("A-102", "1 status (hold)", next)}},
			{Title: "My visits", Lines: []bot.HomeLine{door("A-101", "visit v1 Fri 2027-03-05 10:00 (the jamb is wet)", done, bot.Button{Label: "Move visit", Form: "move v1"})}},
			{Title: "Curing", Lines: []bot.HomeLine{door("B-7", "the sheet's hours end Fri 2027-03-26 04:00")}},
		}},
		"foreman": {Page: 2, Pages: 3, Filter: "curing", Filters: []bot.Option{{Value: "all", Label: "All doors"}, {Value: "curing", Label: "Curing"}, {Value: "crew north", Label: "Crew north"}},
			Sections: []bot.HomeSection{
				{Title: "Orchard Lane, houses 2 to 9", Lines: []bot.HomeLine{door("A-1", "1 status (hold) · visit Fri 2027-03-05 10:00"), door("A-2", "1 status (hold) · 1 snag: <!channel> *loose* lining")}},
				{Title: "Could not be posted", Lines: []bot.HomeLine{{Text: "1 reminder: channel_not_found", Buttons: []bot.Button{{Label: "Retry", Say: "retry 1"}}}}},
			}},
		"empty": {Page: 1, Pages: 1},
	}
}
