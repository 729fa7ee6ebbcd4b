package jobs

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"heelpost/calc"
)

// bench drives one door on an example site.
type bench struct {
	testing.TB
	sheet     *Sheet
	site      *Site
	now       time.Time
	door      Door
	log       []Event
	reminders map[string]Reminder // scheduled, moved and cancelled as decisions say
	told      []Reminder
}

// newBench begins on Monday 2027-03-01 at 8:00.
func newBench(t testing.TB, sheetName string) *bench {
	b := &bench{TB: t, sheet: sheet(t, sheetName), site: site(t, "orchard-lane"), reminders: map[string]Reminder{}}
	b.now = at(t, "2027-03-01T08:00", b.site.Zone)
	return b
}

// try decides a command of somebody's and, if it is accepted, goes on from
// there.
func (b *bench) try(who string, cmd Command) error {
	d, err := Decide(b.door, cmd, Context{Sheet: b.sheet, Site: b.site, Now: b.now, Who: who, Op: fmt.Sprint(b.door.Version)})
	if err != nil {
		return err
	}
	b.door, b.log = d.Door, append(b.log, d.Events...)
	for _, r := range d.Reminders {
		switch {
		case r.Kind == TellNow:
			b.told = append(b.told, r)
		case r.Cancel:
			delete(b.reminders, r.ID)
		default:
			b.reminders[r.ID] = r
		}
	}
	return nil
}

// must decides commands that have to be accepted, a second apart. A door that
// is told in inches has its readings so.
func (b *bench) must(who string, cmds ...Command) {
	b.Helper()
	for _, c := range cmds {
		b.now = b.now.Add(time.Second)
		if r, ok := c.(*ReadItem); ok && r.Value.Unit == "mm" && b.door.Spec.Inches {
			r.Value.Unit = inches
		}
		if err := b.try(who, c); err != nil {
			b.Fatalf("%T%+v by %s: %v", c, c, who, err)
		}
	}
}

// refused decides a command that has to be refused, with this in the
// reason, and nothing changed.
func (b *bench) refused(who string, cmd Command, want string) {
	b.Helper()
	before := b.door.clone()
	err := b.try(who, cmd)
	if err == nil || !strings.Contains(err.Error(), want) {
		b.Errorf("%T%+v by %s: %v, want %q", cmd, cmd, who, err, want)
	}
	if diff := cmp.Diff(before, b.door); diff != "" {
		b.Errorf("refused %T changed the door:\n%s", cmd, diff)
	}
}

// due checks when a reminder is scheduled, "" for none.
func (b *bench) due(id, want string) {
	b.Helper()
	r, ok := b.reminders[id]
	if got := r.Due.In(b.site.Zone).Format("2006-01-02T15:04"); ok != (want != "") || ok && got != want {
		b.Errorf("reminder %s: %v %s, want %q", id, ok, got, want)
	}
}

// a101 is the door of an invented scenario.
func a101() Spec {
	level := calc.Length(0)
	return Spec{LeanHeel: &level, LeanLead: &level, FloorFall: &level,
		ID: "A-101", OpeningWidth: 1116 * mm, OpeningHeight: 2420 * mm, Width: 1100 * mm, Height: 2400 * mm,
		Thickness: 54 * mm, Setback: 60 * mm, Swing: BothWays, Mass: 95, Floor: "screed", Heated: true, HasCover: true, Cover: 45 * mm, CoverTo: "pipe",
		Latch: true, Status: []string{"none"}, Sheet: "orchard", Crew: []string{"ana"}, Foreman: "mo"}
}

func tick(ids ...string) []Command {
	out := make([]Command, len(ids))
	for i, id := range ids {
		out[i] = &TickItem{Item: id}
	}
	return out
}

func read(item string, v float64, unit string) Command {
	return &ReadItem{Item: item, Value: Of(v, unit)}
}

// toFloor takes the door through survey and set-out.
func (b *bench) toFloor() {
	b.Helper()
	if !b.door.Items["status"].Settled() { // of a door that is not ordinary
		b.must("ana", tick("status")...)
	}
	b.must("ana", tick("datum", "joint", "carrier", "room")...)
	b.must("bo", &TickItem{Item: "second"})
	b.must("ana", &PhotoItem{Item: "opening-photo", Where: "photo 1"}, &TickItem{Item: "centre"}, read("plumb", 1, "mm"), &TickItem{Item: "ordered"})
}

// bond takes the door through the bonding of its floor plate at 21 °C, which the
// foreman keeps up.
func (b *bench) bond() {
	b.Helper()
	b.must("ana", read("floor-services", b.door.Spec.Cover.MM(), "mm"))
	b.must("ana", tick("heating", "bit", "floor-dry-fit", "floor-drilled", "sound", "floor-clean")...)
	b.must("ana", read("floor-temperature", 21, "°C"), &MixAdhesive{Where: "floor", Batch: "batch 7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"},
		&TickItem{Item: "floor-control"})
	b.must("mo", &HoldWarmth{T: 21, Until: b.now.Add(7 * 24 * time.Hour)})
}

// hang takes the door through head and hanging.
func (b *bench) hang() {
	b.Helper()
	b.must("ana", &ReadItem{Item: "head-services", None: true, Note: "detector, whole lintel"})
	b.must("ana", tick("head-dry-fit", "head-drilled", "head-fixed", "lift", "zone", "company")...)
	b.must("ana", read("wind", 0.5, "m/s"))
	b.must("ana", tick("stood", "engaged", "parked")...)
}

// finish takes the door from the cure's end to before the handover.
func (b *bench) finish() {
	b.Helper()
	b.must("ana", tick("floor-sample", "adjust")...)
	for _, id := range []string{"heel-top", "heel-bottom", "lead-top", "lead-bottom"} {
		b.must("ana", read(id, 8.2, "mm"))
	}
	b.must("ana", read("closing-time", 8, "s"), read("opening-force", 30, "N"), &TickItem{Item: "latching"},
		&PhotoItem{Item: "door-photo", Where: "photo 2"}, &TickItem{Item: "shown"})
}

// ready opens a door and takes it all the way to before the handover.
func (b *bench) ready() {
	b.Helper()
	b.must("ana", &Open{a101()})
	b.toFloor()
	b.bond()
	b.hang()
	b.now = b.now.Add(24 * time.Hour)
	b.finish()
}

func TestDoor_wholeStory(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	if b.door.Stage != Survey {
		t.Fatalf("stage %s", b.door.Stage)
	}
	b.toFloor()
	if b.door.Stage != FloorWork {
		t.Fatalf("stage %s, want floor", b.door.Stage)
	}
	b.bond()
	// 18 h at 21 °C from Monday 8:00 end in the night: said when work begins.
	b.due("cure", "2027-03-02T07:00")
	b.due("cure:again", "2027-03-03T07:00") // what came with the morning's comes again with the next
	b.due("cure:foreman", "2027-03-03T07:00")
	// Proposed with the time to answer, and anew each time.
	if got := b.reminders["cure:again"].Args["visit"]; !strings.HasPrefix(got, "2027-03-03T07:15") {
		t.Errorf("the return is proposed again for %s", got)
	}
	if got := b.reminders["cure"].Args["visit"]; !strings.HasPrefix(got, "2027-03-02T07:15") {
		t.Errorf("the return is proposed for %s", got)
	}
	b.due("working:floor:0", "")
	b.hang()
	b.due("stood", "")
	if b.door.Stage != Park {
		t.Fatalf("stage %s, want park", b.door.Stage)
	}
	b.refused("ana", &TickItem{Item: "floor-sample"}, "the sheet's hours end on Tuesday 2027-03-02 02:01")
	b.refused("ana", read("heel-top", 8, "mm"), "waits for floor-sample")
	b.now = at(t, "2027-03-02T07:30", b.site.Zone)
	b.finish()
	b.due("cure", "")
	b.must("ana", &HandDoor{})
	if b.door.Stage != Done {
		t.Fatalf("stage %s, want handed over", b.door.Stage)
	}
	// 2 March and 28 days is the Tuesday after Easter Monday; the season of
	// 2027 is too young, that of 2028 ends on Sunday 30 April and 1 May is a
	// Monday; fourteen months from 2 March 2027 are 2 May 2028.
	b.due("care:four weeks", "2027-03-30T07:00")
	b.due("care:heating season", "2028-05-01T07:00")
	b.due("care:service", "2028-05-02T07:00")
	b.refused("ana", &TickItem{Item: "status"}, "was handed over on 2027-03-02")
	if diff := cmp.Diff(b.door, Fold(b.log)); diff != "" {
		t.Errorf("the state is not the fold of the log:\n%s", diff)
	}
}

// The gaps, plate centre and sweep radii of 1100 × 54 on a setback of 60 in
// an opening of 1116 were worked out by hand: growth √(60² + 27²) − 60 =
// 5.795, so 7.795 with a clearance of 2; 60 + 8 = 68; √(1040² + 27²) =
// 1040.35; √(60² + 27²) = 65.80; clear 1116 − 60 − 8 − 27 = 1021; over the
// leaf 9 + √(2400² + 54²) − 2400 = 9.61. The hole for a pin of 31 with 2 to
// spare and a point of 5.5/tan 65° = 2.565 leaves 9 of a cover of 45 after
// rounding up, so the shorter pin is taken: 22 + 2 + 2.565 + 4 = 30.565.
func TestSetOut(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	want := map[string]string{"heel_gap": "8 mm", "lead_gap": "8 mm", "opening_width": "1116 mm", "plate_centre": "68 mm", "plate_centre_far": "1048 mm",
		"clear_width": "1021 mm", "lead_radius": "1041 mm", "heel_radius": "66 mm", "pin_count": "2", "pin_length": "22 mm", "hole_diameter": "11 mm",
		"stop_depth": "31 mm", "tip_depth": "27 mm", "cover_left": "18 mm", "top_gap_min": "10 mm"}
	for name, v := range want {
		if n, ok := b.door.Number(name); !ok || n.Value.String() != v {
			t.Errorf("%s is %v %v, want %s", name, n.Value, ok, v)
		}
	}
	if n, _ := b.door.Number("heel_gap_min"); n.Value.Length().Down(calc.Micrometre) != 7_795*calc.Micrometre {
		t.Errorf("heel_gap_min is %v, want 7.795 mm", n.Value)
	}
}

// A door described in inches is set out in 1/32 in, each on its safe side:
// 42 − 41-3/8 leaves 5/16 twice, 2-9/16 + 5/16 is 2-7/8, 42 − 2-7/8 − 7/8 is
// 38-1/4; √(38.8125² + 0.875²) = 38.8224, √(2.5625² + 0.875²) = 2.7078 and
// 9/25.4 + √(92.5² + 1.75²) − 92.5 = 0.3709 go up. By hand.
func TestSetOut_inches(t *testing.T) {
	b := newBench(t, "orchard")
	s := a101()
	s.Inches = true
	s.Width, s.Height, s.Thickness, s.Setback = 41*calc.Inch+calc.Inch*3/8, 92*calc.Inch+calc.Inch/2, calc.Inch*7/4, calc.Inch*41/16
	s.OpeningWidth, s.OpeningHeight = 42*calc.Inch, 94*calc.Inch
	b.must("ana", &Open{s})
	for name, want := range map[string]string{"heel_gap": "5/16 in (7.94 mm)", "lead_gap": "5/16 in (7.94 mm)", "plate_centre": "2-7/8 in (73.03 mm)",
		"plate_centre_far": "39-1/8 in (993.78 mm)", "clear_width": "38-1/4 in (971.55 mm)", "lead_radius": "38-27/32 in (986.63 mm)",
		"heel_radius": "2-23/32 in (69.06 mm)", "top_gap_min": "3/8 in (9.53 mm)", "pin_length": "22 mm (0.87 in)"} {
		if n, ok := b.door.Number(name); !ok || n.Value.String() != want {
			t.Errorf("%s is %v %v, want %s", name, n.Value, ok, want)
		}
	}
	for _, it := range Checklist(&b.door, b.sheet) {
		if it.ID == "plumb" && (it.Unit != "in" || it.Limits.String() != "at most 0.118 in (3 mm)") {
			t.Errorf("plumb is read in %s, %v", it.Unit, it.Limits)
		}
	}
	b.toFloor()
	b.refused("ana", read("floor-services", 45, "mm"), "floor-services is read in in")
	s.Inches = false
	s.Setback = calc.Inch * 21 / 8
	b.must("ana", &Correction{Spec: s})
	if n, _ := b.door.Number("plate_centre"); n.Value.String() != "2-15/16 in (74.61 mm)" {
		t.Errorf("corrected: plate centre %v, want 2-15/16 in: a door keeps its unit", n.Value)
	}
}

// A setback of 300 is 30 more than the key of 270 reaches; half of a body of
// 84 leaves 258 for the key tube, cut from the shortest stock.
func TestSetOut_keyShort(t *testing.T) {
	b := newBench(t, "orchard")
	s := a101()
	s.Setback = 300 * mm
	b.must("ana", &Open{s})
	for name, want := range map[string]string{"over_by": "30 mm", "key_length": "300 mm", "tube_length": "258 mm", "stock_length": "900 mm"} {
		if n, ok := b.door.Number(name); !ok || n.Value.String() != want {
			t.Errorf("%s is %v %v, want %s", name, n.Value, ok, want)
		}
	}
	var text string
	for _, it := range Checklist(&b.door, b.sheet) {
		if it.ID == "key-tube" {
			text = it.Text.String()
		}
	}
	if text != "the key is 30 mm short: key tube cut to 258 mm from 900 mm" {
		t.Errorf("the item says %q", text)
	}
}

// Without pins the plate's recess of 13 mm counts against the cover: 13 and
// the margin of 10 over pipes are 23.
func TestSetOut_withoutPins(t *testing.T) {
	b := newBench(t, "orchard")
	s := a101()
	s.Pinless = true
	b.refused("ana", &Open{s}, "does not allow a plate without pins")
	b = newBench(t, "quarry")
	s.Thickness, s.Setback, s.Sheet, s.OpeningWidth, s.OpeningHeight = 64*mm, 95*mm, "quarry", 1120*mm, 2430*mm
	b.must("ana", &Open{s})
	for _, it := range Checklist(&b.door, b.sheet) {
		if it.ID == "bit" || it.ID == "floor-drilled" {
			t.Errorf("item %s asks for pins", it.ID)
		}
		if it.ID == "floor-services" && it.Limits.String() != "at least 28 mm" {
			t.Errorf("cover %v, want at least 28 mm", it.Limits)
		}
	}
}

func TestOpen_refuses(t *testing.T) {
	tests := []struct {
		name   string
		change func(*Spec)
		want   string
	}{
		{"odd id", func(s *Spec) { s.ID = "A/1 {x}\n" }, "is no door id"},
		{"too heavy", func(s *Spec) { s.Mass = 151 }, "mass is 151 kg, the sheet carries 150 kg"},
		{"estimated too near", func(s *Spec) { s.Mass, s.Estimated = 140, true }, "counted a tenth heavier"},
		{"absurd mass", func(s *Spec) { s.Mass = 950 }, "950 kg for a leaf of"},
		{"too wide", func(s *Spec) { s.Width, s.OpeningWidth = 1310*mm, 1340*mm }, "width is 1310 mm"},
		{"too thick", func(s *Spec) { s.Thickness, s.OpeningWidth = 75*mm, 1140*mm }, "thickness is 75 mm"},
		{"too high", func(s *Spec) { s.Height, s.OpeningHeight = 3100*mm, 3150*mm }, "height is 3100 mm"},
		{"setback", func(s *Spec) { s.Setback, s.OpeningWidth = 45*mm, 1140*mm }, "setback is 45 mm"},
		{"too tight", func(s *Spec) { s.OpeningWidth = 1110 * mm }, "the leaf needs 1116 mm to turn in it"},
		{"too low", func(s *Spec) { s.OpeningHeight = 2405 * mm }, "to be stood up in it"},
		{"floor", func(s *Spec) { s.Floor = "cork" }, "no hole for a floor of cork"},
		{"sheet", func(s *Spec) { s.Sheet = "other" }, "the sheet is orchard"},
		{"no foreman", func(s *Spec) { s.Foreman = "bo" }, "bo is crew at orchard-lane, not foreman"},
		{"stranger", func(s *Spec) { s.Crew = []string{"zed"} }, "zed is not named in the site file"},
		{"handing of both ways", func(s *Spec) { s.Handing = "left" }, "has no handing"},
		{"one way without handing", func(s *Spec) { s.Swing = OneWay }, "still to say: handing, seen from"},
		{"status", func(s *Spec) { s.Status = []string{"none", "fire"} }, "status is"},
		{"much missing", func(s *Spec) { *s = Spec{ID: "A-1"} }, "still to say: width, height, thickness, setback, opening"},
		{"evidence by the crew", func(s *Spec) {
			s.Status, s.Evidence, s.EvidenceHeel, s.EvidenceLead = []string{"fire"}, "test 1", 8*mm, 8*mm
		}, "takes foreman"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b := newBench(t, "orchard")
			s := a101()
			tt.change(&s)
			b.refused("ana", &Open{s}, tt.want)
		})
	}
	b := newBench(t, "orchard")
	b.refused("zed", &Open{a101()}, "zed is guest here")
	b.refused("ana", &TickItem{Item: "status"}, "no such door")
	b.must("ana", &Open{a101()})
	b.refused("ana", &Open{a101()}, "is open already")
}

// A tested door's gaps come from its evidence, or the job waits.
func TestDoor_tested(t *testing.T) {
	b := newBench(t, "orchard")
	s := a101()
	s.Status, s.OpeningWidth = []string{"fire", "escape"}, 1110*mm
	b.must("ana", &Open{s})
	if n, ok := b.door.Number("heel_gap"); ok {
		t.Errorf("a gap of %v is offered", n.Value)
	}
	b.must("ana", tick("status", "datum", "joint", "carrier", "room")...)
	b.must("bo", &TickItem{Item: "second"})
	b.refused("ana", &TickItem{Item: "centre"}, "waits for evidence")
	b.refused("ana", &TickItem{Item: "evidence"}, "an entry of its own")
	b.refused("mo", &OverrideHold{Item: "evidence", Why: "late"}, "can't be overridden by anybody")
	c := b.door.Spec
	c.Evidence, c.EvidenceHeel, c.EvidenceLead = "report 5, sheet 2", 5*mm, 4*mm
	b.refused("ana", &Correction{Spec: c}, "takes foreman")
	b.refused("mo", &Correction{Spec: c}, "can't turn in the gaps of the evidence")
	c.EvidenceHeel = 6 * mm
	b.must("mo", &Correction{Spec: c})
	b.must("ana", &TickItem{Item: "centre"})
	if n, ok := b.door.Number("plate_centre"); !ok || n.Value.Length() != 66*mm {
		t.Errorf("plate centre %v, want 66 mm", n.Value)
	}
}

// A number in material is frozen: a correction opens a snag and tells.
func TestCorrection_frozen(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	c := b.door.Spec
	c.Setback = 62 * mm
	b.must("ana", &Correction{Spec: c, Why: "measured again"})
	if n, _ := b.door.Number("plate_centre"); n.Value.Length() != 70*mm || len(b.door.Snags) != 0 {
		t.Errorf("plate centre %v, %d snags, want 70 mm and none", n.Value, len(b.door.Snags))
	}
	if text := b.told[0].Args["text"]; !strings.Contains(text, "setback ~60 mm~ 62 mm") || !strings.Contains(text, "plate centre ~68 mm~ 70 mm") {
		t.Errorf("told %q", text)
	}
	b.refused("ana", &Correction{Spec: c}, "stands there already")
	b.toFloor()
	b.bond()
	b.told = nil
	c = b.door.Spec
	c.Setback = 64 * mm
	b.must("ana", &Correction{Spec: c})
	n, _ := b.door.Number("plate_centre")
	if n.Value.Length() != 70*mm || n.Fixed != "drilled" || n.Ought != "72 mm" {
		t.Errorf("plate centre %+v, want it frozen at 70 mm", n)
	}
	if len(b.door.Snags) != 1 || b.door.Snags[0].Owner != "mo" || len(b.told) != 2 {
		t.Errorf("snags %+v, told %+v", b.door.Snags, b.told)
	}
	c = b.door.Spec
	c.Seals = true
	b.must("ana", &Correction{Spec: c})
	if len(b.door.Snags) != 1 {
		t.Errorf("another correction repeats the snag: %+v", b.door.Snags)
	}
	c.Mass = 155
	b.must("ana", &Correction{Spec: c})
	if len(b.door.OpenSnags()) != 3 { // the mass, and two pins drilled where it takes four
		t.Errorf("a leaf too heavy: %+v", b.door.Snags)
	}
	b.refused("ana", &Correction{Spec: func() Spec { s := c; s.Foreman = "bo"; return s }()}, "takes foreman or office")
}

func TestHoldPoints(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.refused("ana", &TickItem{Item: "centre"}, "waits for second")
	b.must("ana", tick("datum")...)
	b.refused("ana", &TickItem{Item: "second"}, "wants a second person: ana ticked datum")
	b.refused("ana", &NotApplicable{"room", "small door"}, "only overridden by the foreman")
	b.refused("ana", &OverrideHold{Item: "room", Why: "fine"}, "ana is crew here")
	b.refused("mo", &OverrideHold{Item: "room"}, "takes a reason")
	b.refused("mo", &OverrideHold{Item: "datum", Why: "x"}, "no hold point")
	b.must("mo", &OverrideHold{Item: "room", Why: "leaf comes later, wall goes first"})
	b.must("ana", &Untick{"room", "wall stays"})
	b.must("ana", tick("joint", "carrier", "room")...)
	b.must("bo", &TickItem{Item: "second"})
	b.must("ana", &NotApplicable{"opening-photo", "camera is broken"}, &TickItem{Item: "centre"})
	b.refused("ana", read("plumb", 1, "s"), "is read in mm")
	b.must("ana", read("plumb", 3.4, "mm"))
	b.refused("ana", &TickItem{Item: "bit"}, "waits for plumb")
	b.must("ana", read("plumb", 2.9, "mm"))
	if v := b.door.Items["plumb"].Judgement; v != Near {
		t.Errorf("2.9 of 3 mm is %s, want near", v)
	}
	b.must("ana", &TickItem{Item: "bit"})
	b.refused("ana", &TickItem{Item: "floor-drilled"}, "waits for floor-services")
	b.refused("ana", &ReadItem{Item: "floor-services", None: true, Note: "detector"}, "the floor is heated")
	b.must("ana", read("floor-services", 30, "mm"))
	if _, ok := b.door.Number("stop_depth"); ok {
		t.Error("a stop depth is offered over a cover of 30 mm")
	}
	if last := b.told[len(b.told)-1]; last.Args["to"] != "foreman" || !strings.Contains(last.Args["text"], "move the pipes") {
		t.Errorf("told %+v", last)
	}
	b.refused("ana", &TickItem{Item: "floor-drilled"}, "waits for floor-services")
	b.refused("mo", &OverrideHold{Item: "floor-services", Why: "in a hurry"}, "can't be overridden by anybody")
	for _, id := range []string{"limits", "engaged", "head-services"} {
		b.refused("mo", &OverrideHold{Item: id, Why: "in a hurry"}, "can't be overridden by anybody")
	}
}

// A leaf that stands loose is spoken of each half hour for a day, and each
// morning after that, also where nobody works, as over Easter.
func TestStanding_long(t *testing.T) {
	b := newBench(t, "orchard")
	stood := at(t, "2027-03-25T22:00", b.site.Zone)
	d := Door{Version: 1, Spec: a101(), Items: map[string]ItemState{"stood": {State: Ticked, At: stood}}}
	var said []time.Time
	for _, r := range Pending(&d, b.sheet, b.site) {
		said = append(said, r.Due)
	}
	slices.SortFunc(said, time.Time.Compare)
	for i, now := range said[1:] {
		most := 30 * time.Minute
		if now.Sub(stood) > 24*time.Hour {
			most = 25 * time.Hour // the day on which the clock goes back has as many
		}
		if pause := now.Sub(said[i]); pause > most {
			t.Errorf("nothing is said for %s before %s", pause, now.In(b.site.Zone))
		}
	}
	if last := said[len(said)-1].Sub(stood); last < 13*24*time.Hour {
		t.Errorf("it is said for %s only", last)
	}
}

func TestStanding(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.toFloor()
	b.bond()
	b.must("ana", &ReadItem{Item: "head-services", None: true, Note: "detector"})
	b.must("ana", tick("head-dry-fit", "head-drilled", "head-fixed", "lift", "zone", "company")...)
	b.must("ana", read("wind", 7, "m/s"))
	b.refused("ana", &TickItem{Item: "stood"}, "waits for wind")
	b.must("ana", read("wind", 2, "m/s"))
	b.now = at(t, "2027-03-01T22:00", b.site.Zone)
	b.refused("ana", &TickItem{Item: "stood"}, "the wind was read on 2027-03-01 08:00: read it again")
	b.must("ana", read("wind", 2, "m/s"), &TickItem{Item: "stood"})
	b.due("stood", "2027-03-01T22:15")
	b.due("stood:foreman", "2027-03-01T22:30")
	if !b.reminders["stood"].Urgent {
		t.Error("a leaf that stands free can wait until morning")
	}
	// Then crew and foreman are told every half hour, at night too.
	b.due("stood:1", "2027-03-01T23:00")
	b.due("stood:48", "2027-03-02T22:30")
	b.due("stood:49", "2027-03-03T08:00")
	if r := b.reminders["stood:48"]; !r.Urgent || r.Args["to"] != "all" {
		t.Errorf("the word that comes again is %+v", r)
	}
	b.refused("ana", &SnoozeReminder{"stood", b.now.Add(time.Hour)}, "leaving it would hurt")
	b.must("ana", &Untick{"stood", "laid down again"})
	b.due("stood:8", "")
	b.must("ana", tick("stood", "engaged")...)
	b.due("stood", "")
	b.due("stood:8", "")
}

// What happened is told at once in working hours; at other times only if it
// would hurt to wait, the rest when work begins.
func TestTell_quiet(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	told := func(what calc.Word, want string) {
		t.Helper()
		last := b.told[len(b.told)-1]
		if got := last.Due.In(b.site.Zone).Format("2006-01-02T15:04"); last.Args["what"] != string(what) || got != want {
			t.Errorf("%s is told at %s, want %s at %s", last.Args["what"], got, what, want)
		}
	}
	b.must("ana", &OpenSnag{Text: "scratch"})
	told("snag", "2027-03-01T08:00")
	b.now = at(t, "2027-03-05T22:50", b.site.Zone)
	b.must("ana", &OpenSnag{Text: "scratch 2"})
	told("snag", "2027-03-08T07:00") // a Monday
	b.must("mo", &OverrideHold{Item: "room", Why: "the wall goes"})
	told(overridden, "2027-03-05T22:50")
	b.toFloor()
	b.bond()
	b.must("ana", &Knock{"floor", "the barrow"})
	told(knocked, "2027-03-08T07:00")
	b.hang()
	b.must("ana", &Knock{"floor", "the barrow"}) // with the leaf on it
	told(knocked, b.now.In(b.site.Zone).Format("2006-01-02T15:04"))
	b.must("ana", &ReadWarmth{T: 3})
	told(voided, b.now.In(b.site.Zone).Format("2006-01-02T15:04"))
}

func TestErrorsAreTyped(t *testing.T) {
	b := newBench(t, "orchard")
	var perm *PermissionError
	if err := b.try("zed", &Open{a101()}); !errors.As(err, &perm) || perm.Role != Guest {
		t.Errorf("a guest: %v", err)
	}
	var missing *MissingError
	if err := b.try("ana", &Open{Spec{ID: "A-1"}}); !errors.As(err, &missing) || missing.Names[0] != "width" {
		t.Errorf("nothing said: %v", err)
	}
}

func TestEvent_keepsWhatItDoesNotKnow(t *testing.T) {
	const text = `{"v":2,"kind":"ticked","at":"2027-03-01T08:00:00Z","by":"ana","item":"status","colour":{"b":[1,2.50]},"zeal":null}`
	var e Event
	if err := json.Unmarshal([]byte(text), &e); err != nil {
		t.Fatal(err)
	}
	got, err := json.Marshal(e)
	if err != nil || string(got) != text {
		t.Errorf("got  %s, %v\nwant %s", got, err, text)
	}
	later := Fold([]Event{e, {Kind: "of a later version"}})
	if later.Version != 2 || !later.Items["status"].Settled() {
		t.Errorf("got %+v", later)
	}
}
