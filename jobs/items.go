package jobs

import "heelpost/calc"

// sampleItem waits for the cure's end.
const sampleItem = "sample"

// plumbItem is read from the plate's centre: where that moves, it is read anew.
const plumbItem = "plumb"

// always is no item: until then a correction reopens.
const always = "always"

// Conditions of items.
var (
	tested     = func(s *Spec, _ *Sheet) bool { return s.Tested() }
	heated     = func(s *Spec, _ *Sheet) bool { return s.Heated }
	pinned     = func(s *Spec, _ *Sheet) bool { return !s.Pinless }
	onPins     = func(s *Spec, _ *Sheet) bool { return !s.Pinless && (s.Floor != "concrete" || s.Covering > 0) }
	lined      = func(s *Spec, _ *Sheet) bool { return s.Lining > 0 }
	sealed     = func(s *Spec, _ *Sheet) bool { return s.Seals }
	latched    = func(s *Spec, _ *Sheet) bool { return s.Latch }
	keyShort   = func(s *Spec, sh *Sheet) bool { return s.Setback > sh.Key.Reach }
	onPlate    = func(_ *Spec, sh *Sheet) bool { return sh.Adhesive.ParkOnPlate }
	headBonded = func(_ *Spec, sh *Sheet) bool { return sh.Head.Bonded }
)

// plateCentres are the numbers that say where both plates are.
var plateCentres = []string{"plate_centre", "plate_centre_unlined", "plate_centre_far"}

// itemRules is the checklist of every door. The hold points are common
// practice, no published source; the maker's instructions go first.
var itemRules = []itemRule{
	{id: "status", stage: Survey, kind: Tick, until: always, hold: hold, text: "{status}: checked with the drawings"},
	{id: "evidence", stage: Survey, kind: ByEntry, hold: never, when: tested, text: "gaps of the test evidence entered by the foreman, and filling the opening: {evidence}"},
	{id: "datum", stage: Survey, kind: Tick, until: always, text: "finished floor level, datum and handing ({handing}) marked"},
	{id: "second", stage: Survey, kind: Tick, until: always, hold: hold, needs: []string{"datum"}, other: "datum",
		text: "finished floor level, datum and handing confirmed by a second person"},
	{id: "joint", stage: Survey, kind: Tick, there: true, hold: hold, text: "movement joint in the doorway looked for: plate and all pins stand on one side of it"},
	{id: "carrier", stage: Survey, kind: Tick, there: true, hold: hold, text: "what carries the head plate is solid, never ceiling board"},
	{id: "room", stage: Survey, kind: Tick, until: always, hold: hold,
		text: "room to swing {lead_radius} at the leading edge and {heel_radius} at the heel, overhead and behind"},
	{id: "lining", stage: Survey, kind: Tick, until: always, when: lined, text: "lining of {lining} with packers: plate centre {plate_centre_unlined} until it is on"},
	{id: "opening-photo", stage: Survey, kind: Photo, text: "photo of the opening"},

	{id: "centre", stage: SettingUp, kind: Tick, until: always, text: "plate centre {plate_centre} from the heel jamb at floor level, {plate_centre_far} from the other"},
	{id: plumbItem, stage: SettingUp, kind: Reading, until: always, hold: hold, unit: "mm", limit: plumbLimits,
		text: "head centre plumbed up from the floor centre, never measured from the jamb: how far off the line"},
	{id: "ordered", stage: SettingUp, kind: Tick, until: always, how: "ordered", fixes: []string{"leaf_width", "leaf_height", "leaf_thickness"},
		text: "leaf of {leaf_width} × {leaf_height} × {leaf_thickness} ordered or at hand: gaps {heel_gap} at the heel, {lead_gap} at the leading edge"},
	{id: "guide", stage: SettingUp, kind: Tick, when: keyShort, how: "cut", fixes: []string{"over_by", "key_length", "guide_length", "stock_length"},
		text: "the key is {over_by} short: guide cut to {guide_length} from {stock_length}"},

	{id: "floor-services", stage: FloorWork, kind: Reading, there: true, until: "floor-bonded", hold: never, unit: "mm", limit: floorCover,
		text: "before any drilling or recess: pipes, cables, tendons and membranes located, circuit off where one is near; nearest cover"},
	{id: "heating", stage: FloorWork, kind: Tick, there: true, hold: hold, when: heated, text: "floor heating off and its pipes marked on the floor"},
	{id: "bit", stage: FloorWork, kind: Tick, until: "floor-drilled", when: pinned, text: "mark the bit {stop_depth} from its tip"},
	{id: "floor-dry-fit", stage: FloorWork, kind: Tick, there: true, hold: hold, text: "floor plate fitted dry"},
	{id: "floor-drilled", stage: FloorWork, kind: Tick, hold: hold, when: pinned, needs: []string{"floor-services", "heating", "bit"}, how: "drilled",
		fixes: []string{"plate_centre", "plate_centre_unlined", "plate_centre_far", "pin_count", "pin_length", "hole_diameter", "stop_depth", "tip_depth"},
		text:  "{pin_count} holes of {hole_diameter} drilled to the mark at {stop_depth}, for pins of {pin_length}"},
	{id: "sound", stage: FloorWork, kind: Tick, until: always, when: onPins, text: "pins hold in sound {floor}: tile, its bed, levelling and insulation do not count"},
	{id: "floor-clean", stage: FloorWork, kind: Tick, hold: hold, needs: []string{"floor-services", "floor-drilled"}, text: "holes and bed brushed, blown and dry"},
	{id: "floor-temperature", stage: FloorWork, kind: Reading, until: "floor-bonded", hold: word, unit: "°C", limit: bondLimits, text: "temperature of the substrate"},
	{id: "floor-batch", stage: FloorWork, kind: ByEntry, hold: hold, text: "adhesive mixed: batch and expiry noted, {working} to work in"},
	{id: "floor-bonded", stage: FloorWork, kind: ByEntry, hold: hold, text: "floor plate bonded"},
	{id: "floor-control", stage: FloorWork, kind: Tick, hold: hold, needs: []string{"floor-bonded"}, text: "control sample of the same mix kept beside the plate"},

	{id: "head-services", stage: HeadWork, kind: Reading, there: true, until: "head-drilled", hold: never, unit: "mm", limit: headCover,
		text: "before any drilling or recess overhead: pipes, cables, tendons and membranes located, circuit off where one is near; nearest cover"},
	{id: "head-dry-fit", stage: HeadWork, kind: Tick, there: true, hold: hold, text: "head plate fitted dry"},
	{id: "head-drilled", stage: HeadWork, kind: Tick, until: always, hold: hold, needs: []string{"head-services"}, how: "drilled", fixes: plateCentres,
		text: "{head_holes} pilot holes of {head_pilot}, {head_depth} deep"},
	{id: "head-clean", stage: HeadWork, kind: Tick, hold: hold, when: headBonded, needs: []string{"head-drilled"}, text: "holes brushed, blown and dry"},
	{id: "head-temperature", stage: HeadWork, kind: Reading, until: "head-bonded", hold: word, unit: "°C", when: headBonded, limit: bondLimits, text: "temperature of what the plate is bonded to"},
	{id: "head-batch", stage: HeadWork, kind: ByEntry, hold: hold, when: headBonded, text: "adhesive mixed: batch and expiry noted, {working} to work in"},
	{id: "head-bonded", stage: HeadWork, kind: ByEntry, hold: hold, when: headBonded, text: "head plate bonded"},
	{id: "head-control", stage: HeadWork, kind: Tick, hold: hold, when: headBonded, needs: []string{"head-bonded"}, text: "control sample of the same mix kept"},
	{id: "head-fixed", stage: HeadWork, kind: Tick, until: always, hold: hold, needs: []string{"head-drilled"}, text: "head plate screwed up, all {head_holes} screws"},

	{id: "limits", stage: Hang, kind: Tick, until: always, hold: never, text: "leaf of {mass} is within the sheet's {mass_limit}"},
	{id: "lift", stage: Hang, kind: Tick, until: "stood", hold: hold, text: "lifting plan made: {team}"},
	{id: "zone", stage: Hang, kind: Tick, hold: hold, text: "props stand ready and nobody is in the zone the leaf can fall into"},
	{id: "company", stage: Hang, kind: Tick, hold: hold, text: "nobody works alone"},
	{id: "wind", stage: Hang, kind: Reading, until: "stood", hold: never, unit: "m/s", limit: windLimits, text: "wind in the doorway, gusts"},
	{id: "parked", stage: Park, kind: Tick, hold: hold, when: onPlate, needs: []string{"stood"}, text: "leaf stands still, open or shut: nothing cycled or loaded"},
	{id: sampleItem, stage: Park, kind: Tick, hold: word, needs: []string{"floor-bonded"},
		text: "the sheet's hours have passed: check the control sample"},
	{id: "stood", stage: Hang, kind: Tick, hold: never, needs: []string{"limits", "lift", "zone", "company", "wind"}, how: "taken", fixes: []string{"top_gap_min"},
		text: "leaf stood up with {top_gap_min} free over it"},
	{id: "engaged", stage: Hang, kind: Tick, until: always, hold: never, needs: []string{"stood"},
		text: "head pivot engaged by exactly {turns} turns of {pitch} before anybody lets go"},

	{id: "adjust", stage: Align, kind: Tick, until: always, text: "adjusters in their order: {adjusters}"},
	{id: "heel-top", stage: Align, kind: Reading, until: always, hold: hold, unit: "mm", limit: gapLimits("heel_gap"), text: "heel gap at the top"},
	{id: "heel-bottom", stage: Align, kind: Reading, until: always, hold: hold, unit: "mm", limit: gapLimits("heel_gap"), text: "heel gap at the bottom"},
	{id: "lead-top", stage: Align, kind: Reading, until: always, hold: hold, unit: "mm", limit: gapLimits("lead_gap"), text: "leading gap at the top"},
	{id: "lead-bottom", stage: Align, kind: Reading, until: always, hold: hold, unit: "mm", limit: gapLimits("lead_gap"), text: "leading gap at the bottom"},
	{id: "seals", stage: Align, kind: Tick, when: sealed, text: "seals touch all round and drag nowhere"},

	{id: "closing-time", stage: Movement, kind: Reading, until: always, hold: hold, unit: "s", limit: timeLimits, text: "closing time from 90°"},
	{id: "opening-force", stage: Movement, kind: Reading, until: always, hold: hold, unit: "N", limit: forceLimits, text: "opening force at the leading edge"},
	{id: "latching", stage: Movement, kind: Tick, hold: hold, when: latched, needs: []string{"closing-time", "opening-force"},
		text: "latching action set last: the latch goes home from a hand's breadth"},
	{id: "self-closing", stage: Movement, kind: Tick, hold: hold, when: tested, needs: []string{"closing-time"},
		text: "closes by itself from every angle; what else its evidence asks for is looked at"},

	{id: "door-photo", stage: Handing, kind: Photo, text: "photo of the finished door, open and shut"},
	{id: "shown", stage: Handing, kind: Tick, text: "shown to the client: how it moves, where fingers do not belong, when it wants service"},
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
	return least(s.Measure(mark.Tip+mark.Margin), tape)
}

func bondLimits(_ *Door, sh *Sheet) Limits {
	l := least(Of(float64(sh.Adhesive.Lowest), "°C"), exactly)
	m := Of(float64(sh.Adhesive.Highest), "°C")
	l.Most = &m
	return l
}

func windLimits(_ *Door, sh *Sheet) Limits { return most(Of(float64(sh.Wind), "m/s"), exactly) }

// gapLimits keeps a gap within the acceptance and what the swing needs.
func gapLimits(name string) func(*Door, *Sheet) Limits {
	return func(d *Door, sh *Sheet) Limits {
		want, ok := d.Number(name)
		need, okNeed := d.Number(name + "_min")
		if !ok || !okNeed {
			return Limits{Unknown: "not known before the gaps of its test evidence are entered"}
		}
		// The gap of test evidence is the most it allows.
		upper := want.Value.Length()
		if !d.Spec.Tested() {
			upper += sh.Acceptance.Gap
		}
		l := least(d.Spec.Measure(max(want.Value.Length()-sh.Acceptance.Gap, need.Value.Length())), gauge)
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
