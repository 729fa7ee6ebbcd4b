package jobs

import (
	"strings"
	"testing"

	"heelpost/calc"
)

// siteWith returns the example site with more in its file.
func siteWith(t testing.TB, more string) (*Site, error) {
	t.Helper()
	return ParseSite(append(testdata(t, "sites/orchard-lane.yaml"), more...), testdata(t, "sites/orchard-lane.ics"))
}

// What is wrong with own items and usual values is told by line, in words.
func TestOwnItems_check(t *testing.T) {
	for _, c := range []struct{ more, want string }{
		{"items: [{id: a, stage: survey, text: x}]", `items[1].id: "a": small letters and dashes only`},
		{"items: [{id: status, stage: survey, text: x}]", "status stands in every door's list"},
		{"items: [{id: abc, stage: survey, text: x}, {id: abc, stage: hang, text: y}]", "items[2].id: abc stands there twice"},
		{"items: [{id: abc, stage: roof, text: x}]", `items[1].stage: "roof" is none of survey, set-out, floor, head, hang, park, align, movement, handover`},
		{"items: [{id: abc, stage: handed over, text: x}]", "is none of survey"},
		{"items: [{id: abc, stage: hang}]", "items[1].text is missing"},
		{"items: [{id: abc, stage: hang, text: " + strings.Repeat("x", 201) + "}]", "one line of at most 200 characters"},
		{"items: [{id: abc, stage: hang, text: x, kind: entry}]", `"entry" is none of tick, reading, photo`},
		{"items: [{id: abc, stage: hang, text: x, least: 5 mm}]", "only a reading has one"},
		{"items: [{id: abc, stage: hang, text: x, kind: reading}]", "is no unit of a reading"},
		{"items: [{id: abc, stage: hang, text: x, kind: reading, unit: mm, most: 5}]", "write it with the reading's unit, as 5 mm"},
		{"items: [{id: abc, stage: hang, text: x, kind: reading, unit: mm, most: 5 cm}]", "write it with the reading's unit"},
		{"items: [{id: abc, stage: hang, text: x, kind: reading, unit: mm, least: 6 mm, most: 5 mm}]", "5 mm is less than 6 mm"},
		{"items: [{id: abc, stage: hang, text: x, hold: perhaps}]", "neither true nor false"},
		{"usual: {sheet: orchard, crew: [zed]}", "usual.crew[1]: zed is none of the people"},
		{"usual: {foreman: ana}", "usual.foreman: ana is no foreman of the site"},
		{"usual: {setback: 65}", "write it with its unit"},
		{"usual: {status: none}", "usual.status is not a key I know"},
		{"usual: {mass: 88 kg}", "usual.mass is not a key I know"},
	} {
		if _, err := siteWith(t, c.more+"\n"); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %s", c.more, err, c.want)
		}
	}
	site, err := siteWith(t, "items: [{id: abc, stage: hang, text: x}]\nusual: {sheet: orchard, floor: lava, thickness: 90 mm, setback: 20 mm}\n")
	if err != nil {
		t.Fatal(err)
	}
	sh := sheet(t, "orchard")
	sh.Items = site.Items
	var all []string
	for _, text := range site.Clash(sh) {
		all = append(all, text.String())
	}
	for _, want := range []string{"item abc stands in the file of site orchard-lane and in sheet orchard", "sheet orchard has no hole for it", "sheet orchard allows 44 mm to 70 mm", "wants at least 50 mm"} {
		if !strings.Contains(strings.Join(all, "\n"), want) {
			t.Errorf("a site and a sheet that don't go together: got %q, want %s", all, want)
		}
	}
}

// Own items hold and wait as those of every door do; a door keeps those that it
// was opened with until it is corrected to the file's.
func TestOwnItems(t *testing.T) {
	b := newBench(t, "orchard")
	var err error
	if b.site, err = siteWith(t, `items:
  - {id: fire-stop, stage: survey, text: fire stop looked at, hold: true}
  - {id: damp, stage: set-out, text: damp beside the plate, kind: reading, unit: "%", most: 2 %, hold: true}
  - {id: gap-below, stage: align, text: gap below the leaf, kind: reading, unit: mm, least: 5 mm, most: 8 mm}
`); err != nil {
		t.Fatal(err)
	}
	b.must("ana", &Open{a101()})
	b.agrees("ana")
	b.must("ana", tick("datum", "joint", "carrier", "room")...)
	b.must("bo", &TickItem{Item: "second"})
	b.must("ana", &PhotoItem{Item: "opening-photo", Where: "photo 1"})
	b.refused("ana", &TickItem{Item: "ordered"}, "ordered waits for fire-stop (fire stop looked at)")
	b.refused("ana", &OverrideHold{Item: "fire-stop", Why: "no time"}, "takes foreman")
	b.must("ana", &TickItem{Item: "fire-stop"}, &TickItem{Item: "centre"}, read("plumb", 1, "mm"), &TickItem{Item: "ordered"})
	b.agrees("ana")
	b.refused("ana", read("floor-services", 45, "mm"), "waits for damp")
	b.refused("ana", read("damp", 1, "mm"), `read in %, not in "mm"`)
	b.must("ana", read("damp", 2.5, "%"))
	if b.door.Items["damp"].Judgement != Out {
		t.Errorf("2.5 %% of at most 2 %%: got %+v", b.door.Items["damp"])
	}
	b.must("ana", read("damp", 1.9, "%"))
	b.agrees("ana")

	// The office changes the file: the door keeps what it has.
	before := b.door.Stage
	if b.site, err = siteWith(t, `items:
  - {id: fire-stop, stage: survey, text: fire stop looked at by the officer, hold: true}
  - {id: damp, stage: set-out, text: damp beside the plate, kind: reading, unit: "%", most: 1.5 %, hold: true}
  - {id: carpet, stage: survey, text: carpet covered}
`); err != nil {
		t.Fatal(err)
	}
	b.agrees("ana")
	if !b.door.Items["damp"].Settled() || b.door.Stage != before || len(b.door.Spec.Own) != 3 {
		t.Errorf("the file has changed, and the door with it: stage %s, %+v", b.door.Stage, b.door.Spec.Own)
	}
	s := b.door.Spec
	s.Own = b.site.Items
	b.refused("ana", &Correction{Spec: s}, "takes foreman or office")
	b.must("mo", &Correction{Spec: s, Why: "the officer wants it so"})
	if b.door.Items["fire-stop"].Settled() || b.door.Items["damp"].Settled() || b.door.Stage != Survey {
		t.Errorf("another text and a tighter limit: stage %s, %+v", b.door.Stage, b.door.Items)
	}
	var told string
	for _, e := range b.log {
		if e.Kind == Corrected {
			told = StruckText(e.Struck).String()
		}
	}
	if want := "items: fire-stop changed, damp changed, carpet added, gap-below taken away"; told != want {
		t.Errorf("got %q, want %q", told, want)
	}
	b.agrees("ana")

	// One that held is not dropped without a word.
	s = b.door.Spec
	s.Own = nil
	b.refused("mo", &Correction{Spec: s}, "drops a hold (fire-stop, damp) takes a reason")
	b.must("mo", &Correction{Spec: s, Why: "the office took them out"})
	b.must("ana", read("floor-services", 45, "mm"))
}

// A sheet's items are the door's as long as it uses that sheet, and a site's of
// the same name are refused.
func TestOwnItems_sheet(t *testing.T) {
	b := newBench(t, "orchard")
	b.sheet.Items = []OwnItem{{ID: "label", Stage: Handing, Text: "label read", Kind: Tick, Hold: true}}
	b.ready()
	b.refused("ana", &HandDoor{}, "handing over waits for label (label read)")
	b.must("ana", &TickItem{Item: "label"}, &HandDoor{})

	b = newBench(t, "orchard")
	b.sheet.Items = []OwnItem{{ID: "label", Stage: Handing, Text: "label read", Kind: Tick}}
	var err error
	if b.site, err = siteWith(t, "items: [{id: label, stage: hang, text: label put on}]\n"); err != nil {
		t.Fatal(err)
	}
	b.refused("ana", &Open{a101()}, "item label stands in the site's file and in sheet orchard")
}

// A length is judged in the door's own unit.
func TestOwnItems_inches(t *testing.T) {
	b := newBench(t, "orchard")
	b.site.Items = []OwnItem{{ID: "gap-below", Stage: Survey, Text: "gap below", Kind: Reading, Unit: "mm", Least: "5 mm", Most: "8 mm"}}
	s := a101()
	s.Inches, s.OpeningWidth = true, 1118*mm
	b.must("ana", &Open{s}, &ReadItem{Item: "gap-below", Value: s.Measure(calc.Inch / 4)})
	if got := b.door.Items["gap-below"]; got.Judgement != In || got.Limits == "" {
		t.Errorf("a quarter of an inch of 5 to 8 mm: got %+v", got)
	}
}
