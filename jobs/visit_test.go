package jobs

import (
	"strings"
	"testing"
	"time"
)

func TestVisits(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	on := func(s string) time.Time { return at(t, s, b.site.Zone) }
	b.refused("ana", &SetVisit{At: on("2027-02-28T09:00")}, "that is over")
	b.refused("ana", &SetVisit{At: on("2027-03-06T09:00")}, "no working hours on a Saturday): the next slot is Monday 2027-03-08 07:00")
	b.refused("ana", &SetVisit{At: on("2027-03-26T09:00")}, "Good Friday")
	b.refused("ana", &SetVisit{At: on("2040-03-26T09:00")}, "over five years")
	b.refused("ana", &MoveVisit{At: on("2027-03-03T09:00")}, "no visit is planned")
	b.must("ana", &SetVisit{At: on("2027-03-30T09:00"), Why: "margins"})
	// The Tuesday after Easter: the working day before is Maundy Thursday.
	b.due("visit:v1:ahead", "2027-03-25T07:00")
	b.due("visit:v1", "2027-03-30T09:00")
	b.due("visit:v1:again", "2027-03-30T11:00")
	b.due("visit:v1:foreman", "2027-03-31T07:00")
	b.must("ana", &SnoozeReminder{"visit:v1", on("2027-03-30T14:00")})
	b.due("visit:v1", "2027-03-30T14:00")
	// The crew puts off what is said to the crew, until somebody works again.
	b.due("visit:v1:again", "2027-03-31T07:00")
	b.due("visit:v1:foreman", "2027-03-31T07:00")
	b.refused("ana", &SnoozeReminder{"visit:v1:foreman", on("2027-03-31T09:00")}, "that is @mo's to put off")
	b.refused("cy", &SnoozeReminder{"visit:v1", on("2027-03-31T09:00")}, "that is @ana's to put off")
	b.must("mo", &SnoozeReminder{"visit:v1:foreman", on("2027-03-31T18:00")})
	b.due("visit:v1:foreman", "2027-04-01T07:00")
	if e := b.log[len(b.log)-1]; !e.When.Equal(on("2027-04-01T07:00")) {
		t.Errorf("put off until %v", e.When.In(b.site.Zone))
	}
	b.must("mo", &UndoLastMessage{})
	b.must("ana", &MoveVisit{At: on("2027-03-04T09:00")})
	b.due("visit:v1:ahead", "2027-03-03T07:00")
	b.due("visit:v1", "2027-03-04T09:00") // moved, it is no longer put off
	b.must("ana", &UndoLastMessage{})
	b.due("visit:v1", "2027-03-30T14:00")
	b.must("ana", &MoveVisit{At: on("2027-03-04T09:00")})
	b.must("mo", &SetVisit{At: on("2027-03-06T09:00")})
	b.refused("ana", &FinishVisit{}, "which visit: v1, v2?")
	b.refused("ana", &CancelVisit{ID: "v2"}, "takes a reason")
	b.must("ana", &CancelVisit{"v2", "the lift is out"}, &FinishVisit{ID: "v1"})
	for id := range b.reminders {
		if strings.HasPrefix(id, "visit") {
			t.Errorf("reminder %s is left", id)
		}
	}
	b.refused("ana", &FinishVisit{ID: "v1"}, "visit v1 is done already, since 2027-03-01 08:00")
	b.refused("ana", &SnoozeReminder{"visit:v1", on("2027-03-05T09:00")}, "no reminder")
}

func TestUndo(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.refused("ana", &UndoLastMessage{}, `"opened" can't be undone`)
	b.must("ana", &SetVisit{At: at(t, "2027-03-04T09:00", b.site.Zone)})
	before := b.reminders["visit:v1"]
	b.must("ana", &FinishVisit{})
	b.due("visit:v1", "")
	b.refused("bo", &UndoLastMessage{}, "only they can undo it")
	b.must("ana", &UndoLastMessage{})
	if after := b.reminders["visit:v1"]; !after.Due.Equal(before.Due) || len(b.door.Planned()) != 1 {
		t.Errorf("undone, the visit is due %v, want %v", after.Due, before.Due)
	}
	b.refused("ana", &UndoLastMessage{}, "nothing to undo")
	b.must("ana", &TickItem{Item: "datum"})
	b.now = b.now.Add(5*time.Minute + time.Second)
	b.refused("ana", &UndoLastMessage{}, "over five minutes old")
	b.must("ana", &TickItem{Item: "room"})
	b.now = b.now.Add(5*time.Minute - time.Second)
	b.must("ana", &UndoLastMessage{})
	if b.door.Items["room"].Settled() || !b.door.Items["status"].Settled() {
		t.Errorf("undone: %+v", b.door.Items)
	}
}

// Undoing a tick that froze numbers frees them again.
func TestUndo_frozenNumbers(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.toFloor()
	if n, _ := b.door.Number("leaf_width"); n.Fixed != "ordered" {
		t.Fatalf("leaf width %+v, want it ordered", n)
	}
	b.must("ana", &UndoLastMessage{})
	if n, _ := b.door.Number("leaf_width"); n.Fixed != "" || b.door.Items["ordered"].Settled() || b.door.Stage != SettingUp {
		t.Errorf("undone: %+v, stage %s", n, b.door.Stage)
	}
}

func TestSnagsAndHandover(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.refused("ana", &OpenSnag{Text: "", Owner: "ana"}, "what is wrong")
	b.refused("ana", &OpenSnag{Text: "scratch", Owner: "zed"}, "zed is not named")
	b.refused("ana", &OpenSnag{Text: strings.Repeat("x", 10_000), Owner: "ana"}, "10000 characters: keep it within 2000")
	b.refused("ana", &OpenSnag{Text: "a\x00b", Owner: "ana"}, "don't print")
	b.must("ana", &OpenSnag{Text: "scratch on the heel edge"}, &OpenSnag{Text: "seal short", Owner: "bo"})
	b.refused("ana", &HandDoor{}, "handing over waits for")
	b.toFloor()
	b.bond()
	b.hang()
	b.now = b.now.Add(24 * time.Hour)
	b.finish()
	b.refused("ana", &HandDoor{Why: "done"}, "snags are open: s1 (scratch on the heel edge); s2 (seal short)")
	b.refused("mo", &HandDoor{}, "takes the foreman's word")
	b.refused("ana", &CloseSnag{"s1", ""}, "what was done")
	b.refused("ana", &CloseSnag{"s9", "x"}, "no snag s9")
	b.must("ana", &CloseSnag{"s1", "polished out"})
	b.refused("ana", &CloseSnag{"s1", "again"}, "closed already")
	b.must("mo", &HandDoor{Why: "the seal comes on Friday"})
	b.must("ana", &CloseSnag{"s2", "seal put in"})
}

// The return visits after handover are proposed until one is planned for
// that reason; service comes again.
func TestCare(t *testing.T) {
	b := newBench(t, "orchard")
	s := a101()
	s.CyclesDay = 300
	b.must("ana", &Open{s})
	b.toFloor()
	b.bond()
	b.hang()
	b.now = b.now.Add(24 * time.Hour)
	b.finish()
	b.must("ana", &HandDoor{})
	// 90,000 cycles at 300 a day are 300 days: Monday 27 December, which is
	// closed until Monday 3 January 2028.
	b.due("care:service", "2028-01-03T07:00")
	b.must("ana", &SetVisit{At: at(t, "2028-01-04T09:00", b.site.Zone), Why: "service"})
	b.due("care:service", "")
	b.now = at(t, "2028-01-04T10:00", b.site.Zone)
	b.must("ana", &FinishVisit{})
	b.due("care:service", "2028-10-30T07:00")
	b.must("ana", &SetVisit{At: at(t, "2028-01-05T09:00", b.site.Zone), Why: "four weeks"})
	b.due("care:four weeks", "")
}

// A visit answers the return that it names, or the only one that is proposed
// when it is set; called off, it has answered nothing.
func TestCare_answeredByVisit(t *testing.T) {
	b := newBench(t, "orchard")
	b.ready()
	b.must("ana", &HandDoor{})
	on := func(s string) time.Time { return at(t, s, b.site.Zone) }
	b.must("ana", &SetVisit{At: on("2027-03-29T08:00").AddDate(0, 0, 2), Why: "the seal"})
	b.due("care:four weeks", "2027-03-30T07:00") // it was set before that was proposed
	b.now = on("2027-03-30T07:10")
	b.must("ana", &SetVisit{At: on("2027-03-31T10:00"), Why: "a scratch"}, &FinishVisit{ID: "v2"})
	b.due("care:four weeks", "2027-03-30T07:00") // it was for something else
	b.must("ana", &SetVisit{At: on("2027-04-01T09:00"), Why: ""})
	b.due("care:four weeks", "")
	b.due("care:four weeks:foreman", "")
	b.due("care:service", "2028-05-02T07:00")
	b.must("ana", &CancelVisit{"v3", "the client is away"})
	b.due("care:four weeks", "2027-03-30T07:00")
	b.must("ana", &SetVisit{At: on("2027-04-02T09:00"), Why: ""}, &FinishVisit{ID: "v4"})
	b.due("care:four weeks", "")
	b.now = on("2028-05-02T07:10") // the season's and the service are both proposed
	b.must("ana", &SetVisit{At: on("2028-05-03T09:00"), Why: "margins"})
	b.due("care:service", "2028-05-02T07:00")
	b.must("ana", &SetVisit{At: on("2028-05-03T10:00"), Why: "for Service"})
	b.due("care:service", "")
	b.due("care:heating season", "2028-05-01T07:00")
}

func TestPermissions(t *testing.T) {
	rows := map[Action]int{}
	for _, p := range Permissions {
		rows[p.Action]++
		if p.What == "" || len(p.Roles) == 0 {
			t.Errorf("%s: nobody, or no words", p.Action)
		}
	}
	for _, c := range []Command{&Open{}, &Correction{}, &TickItem{}, &Untick{}, &NotApplicable{}, &OverrideHold{}, &ReadItem{}, &ReadItems{}, &PhotoItem{},
		&MixAdhesive{}, &BondPlate{}, &ReadWarmth{}, &Knock{}, &GiveWord{}, &OpenSnag{}, &MoveSnag{}, &CloseSnag{}, &HandDoor{}, &UndoLastMessage{},
		&SetVisit{}, &MoveVisit{}, &CancelVisit{}, &FinishVisit{}, &SnoozeReminder{}} {
		if rows[c.action()] != 1 {
			t.Errorf("%T takes %q, which has %d rows", c, c.action(), rows[c.action()])
		}
		if _, ok := c.(*Correction); !ok && Allowed(Guest, c.action()) {
			t.Errorf("a guest may %q", c.action())
		}
	}
	if Allowed(Crew, Override) || Allowed(Office, Check) || !Allowed(Guest, Ask) || Allowed(Foreman, "dance") {
		t.Error("the table is not the one meant")
	}
}

// A day to do something by is the end of its work; a closed day, one that is
// over and an hour in doubt are refused, and what names no day is none.
func TestDeadline(t *testing.T) {
	b := newBench(t, "orchard") // Monday 2027-03-01 08:00, Easter on 2027-03-28
	for _, c := range []struct{ phrase, want, refused string }{
		{"friday", "2027-03-05T13:00", ""}, {"today", "2027-03-01T16:00", ""}, {"Thursday 9:00", "2027-03-04T09:00", ""},
		{"1 April", "2027-04-01T16:00", ""}, {"2027-03-02", "2027-03-02T16:00", ""},
		{"good friday", "", ""}, {"2027-03-26", "", "Good Friday"}, {"saturday", "", "no working hours on a Saturday"},
		{"2027-02-26", "", "that is over"}, {"2027-02-30", "", "has 28 days"}, {"monday", "", "today is Monday"}, {"thursday 9", "", "is 9 the time?"},
		{"next friday", "", "name the date"}, {"2045-01-02", "", "over five years"}, {"7:00", "", "that is over"},
		{"a trolley", "", ""}, {"5 mm", "", ""}, {"9", "", ""}, {"2 h", "", ""}, {"sun", "", ""}, {"the sun", "", ""}, {"so-and-so", "", ""}, {"", "", ""},
	} {
		due, meant, err := b.site.Deadline(c.phrase, b.now)
		switch {
		case c.refused != "":
			if err == nil || !meant || !strings.Contains(err.Error(), c.refused) {
				t.Errorf("%q: got %s, %t, %v, want it refused: %s", c.phrase, due, meant, err, c.refused)
			}
		case err != nil || meant != (c.want != "") || meant && !due.Equal(at(t, c.want, b.site.Zone)):
			t.Errorf("%q: got %s, %t, %v, want %q", c.phrase, due, meant, err, c.want)
		}
	}
}

// A snag with a day is spoken of to its owner that morning and, when it is over,
// to the foreman too; moved or closed it is not.
func TestSnag_due(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	friday := at(t, "2027-03-05T13:00", b.site.Zone)
	b.refused("ana", &OpenSnag{Text: "scratch", Owner: "bo", Due: b.now.Add(-time.Hour)}, "that is over")
	b.must("ana", &OpenSnag{Text: "scratch", Owner: "bo", Due: friday})
	b.due("snag:s1", "2027-03-05T07:00")
	b.due("snag:s1:late", "2027-03-08T07:00")
	if got := Pending(&b.door, b.sheet, b.site)["snag:s1:late"].Args["to"]; got != "@bo @mo" {
		t.Errorf("who is told of a late snag: got %q", got)
	}
	b.refused("ana", &MoveSnag{ID: "s1", Owner: "zed"}, "zed is not named")
	b.refused("ana", &MoveSnag{ID: "s1", Due: friday}, "stands there already")
	b.must("bo", &MoveSnag{ID: "s1", Due: friday.AddDate(0, 0, 7)})
	b.due("snag:s1", "2027-03-12T07:00")
	b.must("bo", &UndoLastMessage{})
	b.due("snag:s1", "2027-03-05T07:00")
	b.must("mo", &MoveSnag{ID: "s1", Owner: "ana"})
	if s := b.door.Snag("s1"); s.Owner != "ana" || !s.Due.Equal(friday) {
		t.Errorf("moved to ana: got %+v", s)
	}
	b.must("ana", &CloseSnag{"s1", string(PutRight)})
	b.due("snag:s1", "")
	b.due("snag:s1:late", "")
}

// Who comes is reminded of a visit in the crew's place; one that goes on after
// work is the foreman's to set.
func TestVisit_people(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	thursday := at(t, "2027-03-04T15:00", b.site.Zone)
	b.refused("ana", &SetVisit{At: thursday, Who: []string{"zed"}}, "zed is not named")
	b.refused("ana", &SetVisit{At: thursday, Takes: 2 * time.Hour}, "it would end 17:00, and work that day ends 16:00")
	b.refused("ana", &SetVisit{At: thursday, Takes: 13 * time.Hour}, "5 min to 12 h")
	b.must("ana", &SetVisit{At: thursday, Who: []string{"cy"}, Takes: time.Hour, Why: "margins"})
	for _, id := range []string{"visit:v1:ahead", "visit:v1", "visit:v1:again"} {
		if got := Pending(&b.door, b.sheet, b.site)[id].Args["to"]; got != "@cy" {
			t.Errorf("%s: got %q, want @cy", id, got)
		}
	}
	b.refused("cy", &MoveVisit{At: thursday}, "at that time already")
	b.must("cy", &MoveVisit{Who: []string{"bo"}})
	if v := b.door.Visit("v1"); v.Who[0] != "bo" || v.Takes != 60 || !v.At.Equal(thursday) {
		t.Errorf("got %+v", v)
	}
	b.must("mo", &MoveVisit{Takes: 3 * time.Hour})
	if got := b.site.Told(&b.door.Spec, "@zed", b.now); len(got) != 1 || got[0] != "mo" {
		t.Errorf("who is told in the place of somebody who left: got %q", got)
	}
}

// A visit's word ahead that was put off beyond it is no reminder any more: it would
// say nothing, and as the later one of the two take the place of the visit's own.
func TestVisits_aheadPutOffBeyond(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()}, &SetVisit{At: at(t, "2027-03-30T09:00", b.site.Zone)})
	b.must("ana", &SnoozeReminder{"visit:v1:ahead", at(t, "2027-03-29T20:00", b.site.Zone)}) // Easter Monday: until work begins
	b.due("visit:v1:ahead", "2027-03-30T07:00")
	b.must("ana", &SnoozeReminder{"visit:v1:ahead", at(t, "2027-03-30T20:00", b.site.Zone)})
	if r, ok := b.reminders["visit:v1:ahead"]; ok {
		t.Errorf("ahead of a visit that is over: due %v", r.Due)
	}
	b.due("visit:v1", "2027-03-30T09:00")
}
