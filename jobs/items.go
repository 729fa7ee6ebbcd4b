package jobs

import (
	"strings"

	"heelpost/calc"
)

// sampleOf names the item that waits for the end of a plate's cure.
func sampleOf(where string) string { return where + "-sample" }

func isSample(id string) bool { return strings.HasSuffix(id, "-sample") }

// Became returns the items that one of an earlier version has become: itself,
// if it has not changed.
func Became(id string) []string {
	switch id {
	case "sample": // of all plates
		return []string{sampleOf("floor"), sampleOf("head")}
	case "guide":
		return []string{"key-tube"}
	}
	return []string{id}
}

// plumbItem is read from the plate's centre: where that moves, it is read anew.
const plumbItem = "plumb"

// always is no item: until then a correction reopens.
const always = "always"

// Conditions of items.
var (
	tested  = func(s *Spec, _ *Sheet) bool { return s.Tested() }
	heated  = func(s *Spec, _ *Sheet) bool { return s.Heated }
	tendons = func(s *Spec, _ *Sheet) bool { return s.Tendons }
	drilled = func(s *Spec, sh *Sheet) bool {
		return sh.Floor.Fixing == ByScrews || sh.Floor.Fixing == ByPins && !s.Pinless
	}
	anchored   = func(s *Spec, sh *Sheet) bool { return drilled(s, sh) && (s.Floor != "concrete" || s.Covering > 0) }
	boxed      = func(_ *Spec, sh *Sheet) bool { return sh.Floor.Fixing == ByBox }
	screwed    = func(_ *Spec, sh *Sheet) bool { return sh.Floor.Fixing == ByScrews }
	lined      = func(s *Spec, _ *Sheet) bool { return s.Lining > 0 }
	sealed     = func(s *Spec, _ *Sheet) bool { return s.Seals }
	latched    = func(s *Spec, _ *Sheet) bool { return s.Latch }
	keyShort   = func(s *Spec, sh *Sheet) bool { return sh.Head.Reach == FromEdge && s.Setback > sh.Key.Reach }
	onPlate    = func(_ *Spec, sh *Sheet) bool { return sh.Adhesive.ParkOnPlate }
	bonded     = func(_ *Spec, sh *Sheet) bool { return sh.FloorBonded() }
	headBonded = func(_ *Spec, sh *Sheet) bool { return sh.Head.Bonded }
)

// plateCentres are the numbers that say where both plates are.
var plateCentres = []string{"plate_centre", "plate_centre_unlined", "plate_centre_far"}

// itemRules is the checklist of every door. The hold points and the cautions in
// their words (silica dust, eyes, gloves, glass, asbestos, a parked leaf) are
// common practice, no published source, each said once, where the work is; the
// maker's instructions, local codes and licensed people go first.
var itemRules = []itemRule{
	{id: "status", stage: Survey, kind: Tick, until: always, hold: hold, text: calc.F("%s: checked with the drawings", "status")},
	{id: "evidence", stage: Survey, kind: ByEntry, hold: never, when: tested, text: calc.F("gaps of the test evidence entered by the foreman, and filling the opening: %s", "evidence")},
	{id: "datum", stage: Survey, kind: Tick, until: always, text: calc.F("finished floor level, datum and handing (%s) marked", "handing")},
	{id: "second", stage: Survey, kind: Tick, until: always, hold: hold, needs: []string{"datum"}, other: "datum",
		text: calc.F("finished floor level, datum and handing confirmed by a second person")},
	{id: "joint", stage: Survey, kind: Tick, there: true, hold: hold, text: calc.F("movement joint in the doorway looked for: %s on one side of it", "stands")},
	{id: "carrier", stage: Survey, kind: Tick, there: true, hold: hold, text: calc.F("what carries the head plate is solid, never ceiling board")},
	{id: "room", stage: Survey, kind: Tick, until: always, hold: hold,
		text: calc.F("room to swing %s at the leading edge and %s at the heel, overhead and behind", "lead_radius", "heel_radius")},
	{id: "lining", stage: Survey, kind: Tick, until: always, when: lined, text: calc.F("lining of %s with packers: plate centre %s until it is on", "lining", "plate_centre_unlined")},
	{id: "opening-photo", stage: Survey, kind: Photo, text: calc.F("photo of the opening")},

	{id: "centre", stage: SettingUp, kind: Tick, until: always, byJambs: true,
		text: calc.F("plate centre %s from the heel jamb at floor level, %s from the other; by the jambs: %s", "plate_centre", "plate_centre_far", "jambs")},
	{id: plumbItem, stage: SettingUp, kind: Reading, until: always, hold: hold, unit: "mm", limit: plumbLimits,
		text: calc.F("head centre plumbed up from the floor centre, never measured from the jamb: how far off the line")},
	{id: "ordered", stage: SettingUp, kind: Tick, until: always, how: "ordered", fixes: []string{"leaf_width", "leaf_height", "leaf_thickness"},
		text: calc.F("leaf of %s × %s × %s ordered or at hand: gaps %s at the heel, %s at the leading edge; it takes %s to stand up: room, way in and hoist asked about", "leaf_width", "leaf_height", "leaf_thickness", "heel_gap", "lead_gap", "standing")},
	{id: "key-tube", stage: SettingUp, kind: Tick, when: keyShort, how: "cut", fixes: []string{"over_by", "key_length", "tube_length", "stock_length"},
		text: calc.F("the key is %s short: key tube cut to %s from %s", "over_by", "tube_length", "stock_length")},

	{id: "floor-services", stage: FloorWork, kind: Reading, there: true, until: "floor-bonded", hold: never, unit: "mm", limit: floorCover,
		text: calc.F("before any drilling or recess: pipes, cables, tendons and membranes located, circuit off where one is near; asbestos asked about in an old building; nearest cover")},
	{id: "heating", stage: FloorWork, kind: Tick, there: true, hold: never, when: heated, text: calc.F("floor heating off and its pipes marked on the floor")},
	{id: "tendons", stage: FloorWork, kind: Tick, there: true, hold: never, when: tendons, text: calc.F("tendons in the slab: its engineer has said in writing where and how deep it may be drilled, and nothing is drilled before")},
	{id: "bit", stage: FloorWork, inHole: true, kind: Tick, until: "floor-drilled", when: drilled, text: calc.F("mark the bit %s from its tip; drill with extraction and a mask against silica dust, and eye protection", "stop_depth")},
	{id: "recess", stage: FloorWork, inHole: true, kind: Tick, byJambs: true, hold: hold, when: boxed, needs: []string{"floor-services", "heating", "tendons"}, how: "cut", under: "floor",
		fixes: []string{"plate_centre", "plate_centre_unlined", "plate_centre_far", "recess_depth", "tip_depth"},
		text:  calc.F("recess of %s × %s cut %s deep, with extraction and a mask against silica dust, and eye protection", "recess_length", "recess_width", "recess_depth")},
	{id: "floor-dry-fit", stage: FloorWork, kind: Tick, there: true, hold: hold, text: calc.F("floor plate fitted dry")},
	{id: "floor-drilled", stage: FloorWork, inHole: true, kind: Tick, byJambs: true, hold: hold, when: drilled, needs: []string{"floor-services", "heating", "tendons", "bit"}, how: "drilled", under: "floor",
		fixes: []string{"plate_centre", "plate_centre_unlined", "plate_centre_far", "pin_count", "pin_length", "screw_count", "hole_diameter", "stop_depth", "tip_depth"},
		text:  calc.F("%s holes of %s drilled to the mark at %s, for %s", "hole_count", "hole_diameter", "stop_depth", "held_by")},
	{id: "sound", stage: FloorWork, inHole: true, kind: Tick, until: always, when: anchored, needs: []string{"floor-drilled"}, text: calc.F("%s hold in sound %s: tile, its bed, levelling and insulation do not count", "fixing", "floor")},
	{id: "floor-clean", stage: FloorWork, inHole: true, kind: Tick, hold: hold, needs: []string{"floor-services", "floor-drilled", "recess"}, text: calc.F("%s brushed, blown and dry", "bed")},
	{id: "floor-temperature", stage: FloorWork, kind: Reading, until: "floor-bonded", hold: byMaker, unit: "°C", when: bonded, limit: bondLimits, text: calc.F("temperature of the substrate")},
	{id: "floor-batch", stage: FloorWork, inHole: true, kind: ByEntry, hold: hold, when: bonded, text: calc.F("adhesive mixed, with gloves and by its sheet: batch and expiry noted, %s to work in", "working")},
	{id: "floor-bonded", stage: FloorWork, inHole: true, kind: ByEntry, hold: hold, when: bonded, text: calc.F("floor plate bonded")},
	{id: "floor-control", stage: FloorWork, kind: Tick, hold: hold, when: bonded, needs: []string{"floor-bonded"}, text: calc.F("control sample of the same mix kept beside the plate")},
	{id: "floor-fixed", stage: FloorWork, inHole: true, kind: Tick, until: always, hold: hold, when: screwed, needs: []string{"floor-drilled", "floor-bonded"}, text: calc.F("floor plate screwed down, all %s screws", "screw_count")},

	{id: "head-services", stage: HeadWork, kind: Reading, there: true, until: "head-drilled", hold: never, unit: "mm", limit: headCover,
		text: calc.F("before any drilling or recess overhead: pipes, cables, tendons and membranes located, circuit off where one is near; nearest cover")},
	{id: "head-dry-fit", stage: HeadWork, kind: Tick, there: true, hold: hold, text: calc.F("head plate fitted dry")},
	{id: "head-drilled", stage: HeadWork, inHole: true, kind: Tick, byJambs: true, until: always, hold: hold, needs: []string{"head-services"}, how: "drilled", under: "head", fixes: plateCentres,
		text: calc.F("%s pilot holes of %s, %s deep", "head_holes", "head_pilot", "head_depth")},
	{id: "head-clean", stage: HeadWork, inHole: true, kind: Tick, hold: hold, when: headBonded, needs: []string{"head-drilled"}, text: calc.F("holes brushed, blown and dry")},
	{id: "head-temperature", stage: HeadWork, kind: Reading, until: "head-bonded", hold: byMaker, unit: "°C", when: headBonded, limit: bondLimits, text: calc.F("temperature of what the plate is bonded to")},
	{id: "head-batch", stage: HeadWork, inHole: true, kind: ByEntry, hold: hold, when: headBonded, text: calc.F("adhesive mixed: batch and expiry noted, %s to work in", "working")},
	{id: "head-bonded", stage: HeadWork, inHole: true, kind: ByEntry, hold: hold, when: headBonded, text: calc.F("head plate bonded")},
	{id: "head-control", stage: HeadWork, kind: Tick, hold: hold, when: headBonded, needs: []string{"head-bonded"}, text: calc.F("control sample of the same mix kept")},
	{id: "head-fixed", stage: HeadWork, inHole: true, kind: Tick, until: always, hold: hold, needs: []string{"head-drilled", "head-bonded"}, text: calc.F("head plate screwed up, all %s screws", "head_holes")},

	{id: "limits", stage: Hang, kind: Tick, until: always, hold: never, text: calc.F("leaf of %s is within the sheet's %s", "mass", "mass_limit")},
	{id: "lift", stage: Hang, kind: Tick, until: "stood", hold: never, text: calc.F("lifting plan made: %s; a glass leaf by pads on its faces, never by its edges", "team")},
	{id: "zone", stage: Hang, kind: Tick, daily: true, hold: never, text: calc.F("props stand ready and nobody is in the zone the leaf can fall into")},
	{id: "company", stage: Hang, kind: Tick, daily: true, hold: never, text: calc.F("nobody works alone")},
	{id: "wind", stage: Hang, kind: Reading, until: "stood", hold: never, unit: "m/s", limit: windLimits, text: calc.F("wind in the doorway, gusts")},
	{id: "parked", stage: Park, kind: Tick, hold: hold, when: onPlate, needs: []string{"stood"}, text: calc.F("leaf stands still, open or shut, wedged and barred off: nothing cycled or loaded")},
	{id: sampleOf("floor"), stage: Park, kind: Tick, alone: true, hold: byMaker, when: bonded, needs: []string{"floor-bonded"},
		text: calc.F("the sheet's hours of the floor plate have passed: check its control sample")},
	{id: sampleOf("head"), stage: Park, kind: Tick, alone: true, hold: byMaker, when: headBonded, needs: []string{"head-bonded"},
		text: calc.F("the sheet's hours of the head plate have passed: check its control sample")},
	{id: "stood", stage: Hang, kind: Tick, alone: true, hold: never, needs: []string{"limits", "lift", "zone", "company", "wind"}, how: "taken", fixes: []string{"top_gap_min"},
		text: calc.F("leaf stood up with %s free over it", "top_gap_min")},
	{id: "engaged", stage: Hang, kind: Tick, alone: true, until: always, hold: never, needs: []string{"stood"},
		text: calc.F("head pivot engaged by exactly %s, %s turns of %s, before anybody lets go", "engagement", "turns", "pitch")},

	{id: "adjust", stage: Align, kind: Tick, until: always, text: calc.F("adjusters in their order: %s", "adjusters")},
	{id: "heel-top", stage: Align, kind: Reading, until: always, hold: hold, unit: "mm", limit: gapLimits("heel_gap", heelTop), text: calc.F("heel gap at the top")},
	{id: "heel-bottom", stage: Align, kind: Reading, until: always, hold: hold, unit: "mm", limit: gapLimits("heel_gap", heelBottom), text: calc.F("heel gap at the bottom")},
	{id: "lead-top", stage: Align, kind: Reading, until: always, hold: hold, unit: "mm", limit: gapLimits("lead_gap", leadTop), text: calc.F("leading gap at the top")},
	{id: "lead-bottom", stage: Align, kind: Reading, until: always, hold: hold, unit: "mm", limit: gapLimits("lead_gap", leadBottom), text: calc.F("leading gap at the bottom")},
	{id: "seals", stage: Align, kind: Tick, when: sealed, text: calc.F("seals touch all round and drag nowhere")},

	{id: "closing-time", stage: Movement, kind: Reading, until: always, hold: hold, unit: "s", limit: timeLimits, text: calc.F("closing time from 90° to 12°")},
	{id: "opening-force", stage: Movement, kind: Reading, until: always, hold: hold, unit: "N", limit: forceLimits, text: calc.F("opening force at the leading edge")},
	{id: "latching", stage: Movement, kind: Tick, hold: hold, when: latched, needs: []string{"closing-time", "opening-force"},
		text: calc.F("latching action set last: the latch goes home from a hand's breadth")},
	{id: "self-closing", stage: Movement, kind: Tick, hold: hold, when: tested, needs: []string{"closing-time"},
		text: calc.F("closes by itself from every angle; what else its evidence asks for is looked at")},

	{id: "door-photo", stage: Handing, kind: Photo, text: calc.F("photo of the finished door, open and shut")},
	{id: "shown", stage: Handing, kind: Tick, text: calc.F("shown to the client: how it moves, where fingers do not belong, when it wants service")},
}

// least and most make one end of a limit.
func least(m Measure, uncertain int64) Limits { return Limits{Least: &m, Uncertain: uncertain} }
func most(m Measure, uncertain int64) Limits  { return Limits{Most: &m, Uncertain: uncertain} }

func plumbLimits(d *Door, sh *Sheet) Limits {
	l, err := calc.PlumbLimit(d.Spec.Height, sh.Plumb)
	if err != nil {
		l = 0
	}
	return most(d.Spec.Measure(l), gauge)
}

// floorCover is what the hole that is drilled needs, or else the shortest pin:
// with less, no pin will do.
func floorCover(d *Door, sh *Sheet) Limits {
	c := card{spec: &d.Spec, sheet: sh}
	tip := calc.Length(0)
	if n, _ := d.Number("tip_depth"); n.Fixed != "" {
		tip = n.Value.Length()
	}
	need, err := c.coverNeeded(tip)
	if err != nil {
		need = calc.Metre
	}
	return least(d.Spec.Measure(need), tape)
}

func headCover(d *Door, sh *Sheet) Limits {
	s := &d.Spec
	in := calc.StopInput{Depth: sh.Head.Depth, Bit: sh.Head.Pilot, HasCover: true, Cover: calc.Metre, CoverFrom: calc.Surface, Step: s.step()}
	mark, err := calc.StopDepth(in)
	if err != nil {
		return least(s.Measure(calc.Metre), tape)
	}
	return least(s.Measure(max(mark.Tip, in.Depth)+mark.Margin), tape) // a depth that was rounded down needs no less
}

func bondLimits(_ *Door, sh *Sheet) Limits {
	l := least(Of(float64(sh.Adhesive.Lowest), "°C"), exactly)
	m := Of(float64(sh.Adhesive.Highest), "°C")
	l.Most = &m
	return l
}

func windLimits(_ *Door, sh *Sheet) Limits { return most(Of(float64(sh.Wind), "m/s"), exactly) }

// What a corner's gap is more than the gap of the card, which is measured from the
// jambs' furthest points: where both jambs lean, no corner need be there.
func heelBottom(s *Spec) calc.Length { return s.survey().HeelIn }
func heelTop(s *Spec) calc.Length    { return s.survey().HeelIn - s.survey().Lean }
func leadBottom(s *Spec) calc.Length { return s.OpeningWidth - s.survey().HeelIn - s.room() }
func leadTop(s *Spec) calc.Length {
	return s.survey().Lean + s.Opening().WidthTop - s.survey().HeelIn - s.room()
}

// gapLimits keeps a corner's gap within the acceptance about what the set-out
// makes it, and what the swing needs.
func gapLimits(name string, more func(*Spec) calc.Length) func(*Door, *Sheet) Limits {
	return func(d *Door, sh *Sheet) Limits {
		want, ok := d.Number(name)
		need, okNeed := d.Number(name + "_min")
		if !ok || !okNeed {
			if !d.Spec.Tested() {
				return Limits{Unknown: leafUnfit}
			}
			return Limits{Unknown: gapsUnknown}
		}
		corner, upper := want.Value.Length(), want.Value.Length()
		if !d.Spec.Tested() { // the gap of test evidence is the most it allows, at every corner
			corner += more(&d.Spec)
			upper = corner + sh.Acceptance.Gap
		}
		l := least(d.Spec.Measure(max(corner-sh.Acceptance.Gap, need.Value.Length())), gauge)
		m := d.Spec.Measure(upper)
		l.Most = &m
		return l
	}
}

func timeLimits(_ *Door, sh *Sheet) Limits {
	l := least(ofTime(sh.Acceptance.ClosingLeast), stopwatch)
	m := ofTime(sh.Acceptance.ClosingMost)
	l.Most = &m
	return l
}

func forceLimits(_ *Door, sh *Sheet) Limits {
	return most(Of(float64(sh.Acceptance.Opening), "N"), newtons)
}
