package jobs

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"heelpost/calc"
)

// anything draws a command, sensible or not.
func anything(rt *rapid.T, b *bench) Command {
	ids := []string{"nothing"}
	var next []string // what is open and not held up, to get somewhere
	items := Checklist(&b.door, b.sheet)
	for _, it := range items {
		ids = append(ids, it.ID)
		if !it.State.Settled() && len(Holds(items, it.Stage)) == 0 {
			next = append(next, it.ID)
		}
	}
	id := rapid.SampledFrom(ids).Draw(rt, "item")
	if len(next) > 0 && rapid.IntRange(0, 9).Draw(rt, "go on") > 0 {
		id = next[rapid.IntRange(0, min(3, len(next)-1)).Draw(rt, "next")]
	}
	where := rapid.SampledFrom([]string{"floor", "floor", "floor", "head"}).Draw(rt, "where")
	soon := b.now.Add(time.Duration(rapid.IntRange(-5, 200).Draw(rt, "hours")) * time.Hour)
	if i := slices.IndexFunc(items, func(it Item) bool { return it.ID == id }); i >= 0 && rapid.IntRange(0, 9).Draw(rt, "its kind") > 1 {
		switch it := items[i]; {
		case it.Kind == Reading:
			v := Of(rapid.Float64Range(0, 30).Draw(rt, "value"), it.Unit)
			if it.Least != nil && rapid.Bool().Draw(rt, "good") {
				v.Micro = it.Least.Micro + 1000
			}
			return &ReadItem{Item: id, Value: v}
		case it.Kind == Photo:
			return &PhotoItem{Item: id, Where: "photo"}
		case it.Kind == ByEntry && b.door.mix(where) == nil:
			return &MixAdhesive{Where: where, Batch: "7", Expiry: Date{2028, 1, 1}}
		case it.Kind == ByEntry:
			return &BondPlate{where}
		}
		return &TickItem{Item: id}
	}
	spec := b.door.Spec
	spec.Setback += calc.Length(rapid.IntRange(-3, 3).Draw(rt, "setback")) * mm
	if lean := calc.Length(rapid.IntRange(-2, 2).Draw(rt, "lean")) * mm; lean != 0 {
		spec.LeanHeel = &lean
	}
	return rapid.SampledFrom([]Command{
		&Untick{id, "wrong"}, &NotApplicable{id, "not here"}, &OverrideHold{Item: id, Why: "my word"},
		&OverrideHold{Item: id, Why: "my word", Word: "letter"}, &Correction{Spec: spec}, &OpenSnag{Text: "scratch", Due: soon}, &MoveSnag{ID: "s1", Owner: "bo", Due: soon.Add(time.Hour)}, &CloseSnag{"s1", "done"},
		anyWarmth(rt), &HoldWarmth{T: calc.Temperature(rapid.IntRange(4, 25).Draw(rt, "held")), Until: soon}, &Knock{where, "barrow"},
		&GiveWord{where, "asked", "letter", soon}, &SetVisit{At: soon, Why: "margins", Who: []string{"bo"}, Takes: time.Hour}, &MoveVisit{At: soon}, &CancelVisit{"v1", "rain"}, &FinishVisit{},
		&SnoozeReminder{"cure", soon}, &UndoLastMessage{}, &HandDoor{"my word"},
	}).Draw(rt, "command")
}

// anyWarmth draws a reading, with its minimum or without.
func anyWarmth(rt *rapid.T) *ReadWarmth {
	c := &ReadWarmth{T: calc.Temperature(rapid.IntRange(4, 25).Draw(rt, "warmth"))}
	if rapid.Bool().Draw(rt, "has min") {
		c.Min = new(c.T - calc.Temperature(rapid.IntRange(-1, 9).Draw(rt, "below it")))
	}
	return c
}

// Whatever is said in whatever order: the state is the fold of the log,
// also after storage; reminders add up to what the state asks for; no
// stage is reached over an open hold, nothing that nobody may override is
// overridden, and frozen numbers keep their values but by undoing.
func TestDoor_properties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := newBench(t, rapid.SampledFrom([]string{"orchard", "orchard", "quarry"}).Draw(rt, "sheet"))
		s := a101()
		if b.sheet.Name == "quarry" {
			s.Thickness, s.Setback, s.Sheet, s.OpeningWidth, s.OpeningHeight, s.Cover = 64*mm, 95*mm, "quarry", 1120*mm, 2430*mm, 90*mm
		}
		if s.Inches = rapid.Bool().Draw(rt, "inches"); s.Inches {
			s.OpeningWidth += 2 * mm // 1/32 in is wider than the hair that is left
		}
		b.must("ana", &Open{s})
		begin := []func(){b.toFloor, b.bond, b.hang}
		if b.sheet.Name == "quarry" {
			begin = begin[:2] // its leaf is hung after the cure
		}
		for _, work := range begin[:rapid.IntRange(0, len(begin)).Draw(rt, "begin")] {
			work()
		}
		for range rapid.IntRange(10, 80).Draw(rt, "steps") {
			b.now = b.now.Add(time.Duration(rapid.SampledFrom([]int{0, 1, 1, 2, 600}).Draw(rt, "minutes")) * time.Minute)
			before := b.door.clone()
			cmd := anything(rt, b)
			who := rapid.SampledFrom([]string{"ana", "ana", "bo", "mo", "mo", "ivy", "zed"}).Draw(rt, "who")
			if err := b.try(who, cmd); err != nil {
				if diff := cmp.Diff(before, b.door); diff != "" {
					rt.Fatalf("refused %T (%v) changed the door:\n%s", cmd, err, diff)
				}
				continue
			}
			checkHolds(rt, b, cmd, &before)
			checkQuiet(rt, b)
			checkCuring(rt, b)
			checkUndo(rt, b, who, &before)
		}
		checkFold(rt, b)
	})
}

// checkHolds checks what no command may do.
func checkHolds(rt *rapid.T, b *bench, cmd Command, before *Door) {
	items := Checklist(&b.door, b.sheet)
	if open := Holds(items, b.door.Stage); len(open) > 0 && b.door.Stage != Done {
		rt.Fatalf("after %T+%v the stage is %s, with %s open", cmd, cmd, b.door.Stage, open[0].ID)
	}
	for _, it := range items {
		if it.Never && it.State.State == Overridden {
			rt.Fatalf("%s was overridden", it.ID)
		}
		if it.ID == "floor-sample" && it.State.State == Overridden && it.State.Word == "" {
			rt.Fatal("the sample was overridden without the maker's word")
		}
		if it.Hold && it.State.State == NotForThis {
			rt.Fatalf("%s was left out", it.ID)
		}
	}
	if _, ok := cmd.(*UndoLastMessage); ok {
		return
	}
	if b.door.Items["stood"].Settled() && !before.Items["stood"].Settled() {
		if open := Holds(Checklist(before, b.sheet), Hang); len(open) > 0 {
			rt.Fatalf("%T stood the leaf up with %s open", cmd, open[0].ID)
		}
	}
	for _, n := range before.Numbers {
		if now, ok := b.door.Number(n.Name); n.Fixed != "" && (!ok || now.Value != n.Value) {
			rt.Fatalf("%T changed %s from %v to %v", cmd, n.Name, n.Value, now.Value)
		}
	}
}

// checkQuiet checks that nobody is spoken to outside working hours of what
// can wait, but of a visit at its own hour.
func checkQuiet(rt *rapid.T, b *bench) {
	for id, r := range b.reminders {
		visit := b.door.Visit(strings.TrimPrefix(id, "visit:"))
		if visit != nil && r.Due.Equal(visit.At) {
			continue
		}
		if !r.Urgent && !b.site.Open(r.Due) {
			rt.Fatalf("%s is due at %v, when nobody works", id, r.Due.In(b.site.Zone))
		}
	}
}

// checkCuring checks that no cure is forgotten: its end is told, unless the cold
// has voided it.
func checkCuring(rt *rapid.T, b *bench) {
	c := b.door.Cure(b.door.Updated)
	if c.Bonds == 0 || c.Void || !b.door.Curing() || !b.door.Handover.IsZero() {
		return
	}
	steps := []string{"", ":again", ":foreman"}
	if slices.ContainsFunc(b.door.Planned(), func(v Visit) bool { return !v.At.Before(c.End) }) {
		steps = steps[:1] // a visit that is planned answers it
	}
	for _, step := range steps {
		if _, end := b.reminders["cure"+step]; !end {
			rt.Fatalf("nobody is reminded of the cure (%s): %+v", step, c)
		}
	}
}

// checkUndo checks that the change just made can be taken back at once, if
// it can be undone at all, and leaves the door as it was.
func checkUndo(rt *rapid.T, b *bench, who string, before *Door) {
	d, err := Decide(b.door, &UndoLastMessage{}, Context{Sheet: b.sheet, Site: b.site, Now: b.now, Who: who, Op: "undo"})
	if err != nil || b.door.Version == before.Version {
		return
	}
	was := before.clone()
	was.Version, was.Updated, was.Undo = d.Door.Version, d.Door.Updated, nil
	if diff := cmp.Diff(was, d.Door); diff != "" {
		rt.Fatalf("undone, the door is another:\n%s", diff)
	}
}

// checkFold checks the log, as it is and after storage, and the reminders.
func checkFold(rt *rapid.T, b *bench) {
	data, err := json.Marshal(b.log)
	if err != nil {
		rt.Fatal(err)
	}
	_ = Fold(b.log)
	if after, err := json.Marshal(b.log); err != nil || string(after) != string(data) {
		rt.Fatalf("folding changed the log: %v", err)
	}
	var stored []Event
	if err := json.Unmarshal(data, &stored); err != nil {
		rt.Fatal(err)
	}
	again, err := json.Marshal(stored)
	if err != nil || string(again) != string(data) {
		rt.Fatalf("the log changed in storage: %v", err)
	}
	for name, events := range map[string][]Event{"log": b.log, "stored log": stored} {
		if diff := cmp.Diff(b.door, Fold(events)); diff != "" {
			rt.Fatalf("the state is not the fold of the %s:\n%s", name, diff)
		}
	}
	half := Fold(b.log[:len(b.log)/2])
	kept := half.clone()
	if diff := cmp.Diff(b.door, half.Apply(b.log[len(b.log)/2:]...)); diff != "" {
		rt.Fatalf("half the log and the rest of it make another door:\n%s", diff)
	}
	if diff := cmp.Diff(kept, half); diff != "" {
		rt.Fatalf("Apply changed the door it was called on:\n%s", diff)
	}
	var door Door
	if data, err = json.Marshal(b.door); err == nil {
		err = json.Unmarshal(data, &door)
	}
	if diff := cmp.Diff(b.door, door); err != nil || diff != "" {
		rt.Fatalf("the state changed in storage: %v\n%s", err, diff)
	}
	if diff := cmp.Diff(Pending(&b.door, b.sheet, b.site), b.reminders); diff != "" {
		rt.Fatalf("the reminders are not what the state asks for:\n%s", diff)
	}
}
