package jobs

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"
)

// onTerrace is a door whose plate is held by screws and whose head pivot is
// turned from above; nothing of it is bonded.
func onTerrace() Spec {
	s := a101()
	s.Thickness, s.Mass, s.Estimated, s.Sheet, s.Cover, s.HasCover, s.Heated = 44*mm, 66, false, "terrace", 90*mm, true, false
	return s
}

// A plate on screws asks nothing of pins, of adhesive and its hours, and a head
// pivot that is turned from above nothing of a key.
func TestChecklist_screws(t *testing.T) {
	b := newBench(t, "terrace")
	s := onTerrace()
	s.Setback = 300 * mm // farther than any key of the other sheets reaches
	b.must("ana", &Open{s})
	for _, it := range Checklist(&b.door, b.sheet) {
		text := it.Text.String()
		for _, word := range []string{"pin ", "pins", "bonded", "adhesive", "sample", "key"} {
			if strings.Contains(text, word) && it.ID != "engaged" || strings.Contains(it.ID, "batch") {
				t.Errorf("%s says %q", it.ID, text)
			}
		}
		if it.ID == "floor-drilled" && text != "6 holes of 7.5 mm drilled to the mark at 51 mm, for screws" { // 48 and a template of 3
			t.Errorf("it says %q", text)
		}
	}
	for _, name := range []string{"pin_count", "pin_length", "over_by", "key_length", "tube_length"} {
		if n, ok := b.door.Number(name); ok {
			t.Errorf("%s is %v", name, n.Value)
		}
	}
	s.Pinless = true
	b.refused("mo", &Correction{Spec: s}, "the sheet fixes the plate without pins: there are none to leave out")
}

// Such a door is hung as soon as its plates are screwed: nothing cures.
func TestDoor_screwsToTheEnd(t *testing.T) {
	b := newBench(t, "terrace")
	b.must("ana", &Open{onTerrace()})
	b.toFloor()
	b.must("ana", read("floor-services", 90, "mm"))
	b.must("ana", tick("bit", "floor-dry-fit", "floor-drilled", "sound", "floor-clean", "floor-fixed")...)
	b.refused("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, `"floor-batch" is no item of this door's checklist`)
	b.must("ana", &ReadItem{Item: "head-services", None: true, Note: "detector, whole lintel"})
	b.must("ana", tick("head-dry-fit", "head-drilled", "head-fixed", "lift", "zone", "company")...)
	b.must("ana", read("wind", 0.5, "m/s"))
	b.must("ana", tick("stood", "engaged", "adjust")...)
	if b.door.Stage != Align || b.door.Curing() || len(b.reminders) != 0 {
		t.Errorf("at %s, curing %v, reminders %v", b.door.Stage, b.door.Curing(), b.reminders)
	}
}

// A cover of 55 is less than the tip of 48 and the 15 that stay over a pipe (10
// over a pipe and 5 of the locator, both from memory): no screw, no mark.
func TestSetOut_screwsShort(t *testing.T) {
	b := newBench(t, "terrace")
	s := onTerrace()
	s.Cover, s.CoverTo = 55*mm, "pipe"
	b.must("ana", &Open{s})
	if short := b.door.TooShort(b.sheet).String(); short != "a cover of 55 mm is too little for the screws: move the door, or have the heating fitter move the pipes" {
		t.Errorf("it says %q", short)
	}
	s.Cover = 63 * mm
	b.must("mo", &Correction{Spec: s, Why: "measured again"})
	if n, _ := b.door.Number("cover_left"); n.Value.String() != "15 mm" {
		t.Errorf("cover left is %v, want 15 mm", n.Value)
	}
}

// A box is set into a recess: no holes, no bit, no pins, but what it lies in
// sets.
func TestChecklist_box(t *testing.T) {
	b := newBench(t, "harbour")
	s := a101()
	s.Sheet, s.Cover, s.CoverTo, s.OpeningHeight, s.Setback = "harbour", 120*mm, "pipe", 2430*mm, 75*mm
	b.must("ana", &Open{s})
	var ids []string
	for _, it := range Checklist(&b.door, b.sheet) {
		ids = append(ids, it.ID)
		if text := it.Text.String(); it.ID == "recess" && text != "recess of 330 mm × 140 mm cut 58 mm deep, with extraction and a mask against silica dust, and eye protection" {
			t.Errorf("it says %q", text)
		}
	}
	for _, id := range []string{"bit", "floor-drilled", "sound", "floor-fixed"} {
		if slices.Contains(ids, id) {
			t.Errorf("%s is asked of a box", id)
		}
	}
	for _, id := range []string{"recess", "floor-batch", "floor-bonded", "floor-sample"} {
		if !slices.Contains(ids, id) {
			t.Errorf("%s is not asked of a box", id)
		}
	}
	if n, _ := b.door.Number("cover_left"); n.Value.String() != "62 mm" { // 120 - 58
		t.Errorf("cover left is %v, want 62 mm", n.Value)
	}
	b.toFloor()
	b.refused("ana", &TickItem{Item: "recess"}, "floor-services")
	b.must("ana", read("floor-services", 120, "mm"), &TickItem{Item: "heating"}, &TickItem{Item: "recess"})
	if n, _ := b.door.Number("plate_centre"); n.Fixed == "" {
		t.Error("the recess is cut, and the plate's centre can still move")
	}
	short := a101()
	short.Sheet, short.Cover, short.CoverTo, short.Setback = "harbour", 70*mm, "pipe", 75*mm
	b = newBench(t, "harbour")
	b.must("ana", &Open{short})
	if text := b.door.TooShort(b.sheet).String(); !strings.Contains(text, "too little for the recess") {
		t.Errorf("70 over a recess of 58: %q", text)
	}
}

// bothBonded takes a door on quarry to where the floor plate was bonded a day
// before the head plate, both held at 21 °C.
func bothBonded(t testing.TB) *bench {
	b := newBench(t, "quarry")
	s := a101()
	s.Thickness, s.Setback, s.Sheet, s.OpeningWidth, s.OpeningHeight, s.Cover = 64*mm, 95*mm, "quarry", 1120*mm, 2430*mm, 90*mm
	b.must("ana", &Open{s})
	b.toFloor()
	b.bond()
	b.must("ana", read("head-services", 200, "mm"))
	b.must("ana", tick("head-dry-fit", "head-drilled", "head-clean")...)
	b.now = b.now.Add(24 * time.Hour)
	b.must("ana", read("head-temperature", 21, "°C"), &MixAdhesive{Where: "head", Batch: "8", Expiry: Date{2027, 9, 1}}, &BondPlate{"head"})
	b.must("ana", tick("head-control", "head-fixed", "lift", "zone", "company")...)
	return b
}

// The sheet's 30 h of each plate run from its own bonding: the sample of the
// floor plate is looked at while the head plate still cures, the leaf waits for
// both, and the word on the cure's end for the later one.
func TestSample_plateByPlate(t *testing.T) {
	b := bothBonded(t)
	floor, head := b.door.Bonds[0].From, b.door.Bonds[1].From
	b.now = floor.Add(29 * time.Hour)
	b.refused("ana", &TickItem{Item: "floor-sample"}, "the sheet's hours end on")
	b.now = floor.Add(30*time.Hour + time.Minute)
	b.refused("ana", &TickItem{Item: "head-sample"}, "the sheet's hours end on")
	b.must("ana", &TickItem{Item: "floor-sample"})
	if c := b.door.Cure(b.now); !b.door.Curing() || c.End.Sub(head.Add(30*time.Hour)) > time.Minute || c.End.Before(head) {
		t.Errorf("curing %v to %v, want 30 h after %v", b.door.Curing(), c.End, head)
	}
	b.must("ana", read("wind", 1, "m/s"))
	b.refused("ana", &TickItem{Item: "stood"}, "stood waits for head-sample")
	b.now = head.Add(30*time.Hour + time.Minute)
	b.must("ana", &TickItem{Item: "head-sample"})
	if b.door.Curing() {
		t.Error("both samples are hard, and it cures")
	}
	b.must("ana", &Knock{"head", "hit by a ladder"})
	if got := b.settled("floor-sample", "head-sample"); strings.Join(got, " ") != "floor-sample" {
		t.Errorf("the head plate was knocked: %v are settled", got)
	}
}

// A log of an earlier version has one sample for all plates and calls the key
// tube a guide.
func TestFold_earlierItems(t *testing.T) {
	b := bothBonded(t)
	old := `{"v":1,"kind":"ticked","at":"2027-03-05T09:00:00Z","by":"ana","op":"x1","item":"sample"}`
	var e, tube, fixed Event
	if err := json.Unmarshal([]byte(old), &e); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(`{"v":1,"kind":"ticked","at":"2027-03-05T09:00:00Z","by":"ana","op":"x2","item":"guide"}`), &tube); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(`{"v":1,"kind":"fixed","at":"2027-03-05T09:00:00Z","by":"ana","op":"x2","names":["guide_length"],"text":"cut"}`), &fixed); err != nil {
		t.Fatal(err)
	}
	d := b.door.Apply(e, tube, fixed)
	if d.Curing() || !d.Items["key-tube"].Settled() || fixed.Names[0] != "tube_length" {
		t.Errorf("curing %v, items %v, names %v", d.Curing(), d.Items, fixed.Names)
	}
	var kept Door
	state := `{"version":9,"bonds":[{"where":"floor","from":"2027-03-01T09:00:00Z"}],"numbers":[{"name":"guide_length","value":{"n":258,"unit":"mm"}}],` +
		`"items":{"sample":{"state":"ticked","by":"ana"},"guide":{"state":"ticked","by":"ana"}},"undo":{"by":"ana","items":{"sample":null}}}`
	if err := json.Unmarshal([]byte(state), &kept); err != nil {
		t.Fatal(err)
	}
	if _, ok := kept.Number("tube_length"); !ok || kept.Curing() || !kept.Items["key-tube"].Settled() || len(kept.Undo.Items) != 2 {
		t.Errorf("got %+v", kept)
	}
}
