package verb

import (
	"maps"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askOpening = &ask.Verb{
	Name: "opening", Summary: "the opening that a clear width or a leaf needs",
	AskedBy: []string{"how wide", "how big"},
	Words: []string{"opening needed", "what should opening be", "what must opening be", "what does opening have to be", "what opening do i need", "how wide an opening", "opening width for", "what opening width", "which opening width", "opening to get", "opening i need", "opening do i need", "how big an opening", "what opening", "what size opening", "which opening", "needed opening", "opening required", "opening for",
		"how wide opening", "how big opening", "how wide must opening be", "how big must opening be", "how wide does opening need to be", "how big does opening need to be", "how wide should opening be", "how big should opening be", "how wide does opening have to be", "how big does opening have to be",
		"how {wide|big|large} {do|must|should|does} {they|i|we|he|you|builder|builders} {have to|need to|} {build|make|leave|frame|form} {opening|hole}",
		"how {wide|big|large} {has|must|should|does|will|would|ought} {opening|hole|gap in wall|doorway} {to be|be|need to be|have to be|got to be|has to be|end up}",
		"how {wide|big|large} {a|an|} {opening|hole|doorway} {do|does|should|must|will|would} {i|we|they|you|it} {need|want|need to leave|need to build|have to leave|leave|build|take}",
		"{what|which} {opening|hole|size hole|size opening|width opening} {do|does|should|must|will|would} {i|we|they|you|it|leaf|door} {need|want|leave|build|need to leave|take|call for}",
	},
	Asks: opening, Wish: clearWidth, Claims: leafPlaces(),
	Box:  []*ask.Input{width, height, thickness},
	Need: []*ask.Input{clearWidth}, Instead: map[*ask.Input][]*ask.Input{clearWidth: {width}},
	Takes:   []*ask.Input{clearWidth, thickness, setback, gap, gapHeel, gapLead, width, height, gapTop, gapBottom, finish, stopWidth, handle, offset, offsetSide, clearance, swing, edge, edgeSize, edgeHeel, edgeHeelSize, edgeLead, edgeLeadSize, step},
	Example: "what opening for 850 clear, 44 thick, 65 setback", Exact: "opening needed clear_width=850 thickness=44 setback=65",
	Answer: answerOpening, Refuses: waitsForEvidence,
}

var clearWidth = &ask.Input{Name: "clear_width", Few: "%s clear", What: "clear width that the leaf must leave, open to 90°", Example: "850",
	Words: []string{"clear", "clear width", "clear opening", "clear opening width", "free width", "… to walk through", "… clear to walk through", "… clear through it", "… clear through", "clear through it", "clear passage", "passage clear", "clear way"}}

func answerOpening(k *ask.Inquiry) {
	switch wide, leaf := k.Q.Named(clearWidth) != nil, k.Q.Named(width) != nil; {
	case edgeUnclear(k):
	case wide && leaf:
		k.Fail("is the opening for the clear width or for the leaf's width? give one of them")
	case wide:
		openingForClear(k)
	default:
		openingForLeaf(k)
	}
}

func openingForClear(k *ask.Inquiry) {
	for _, in := range [...]*ask.Input{height, gapTop, gapBottom, finish} {
		if k.Q.Named(in) != nil {
			k.Fail("the height of an opening comes from the leaf's: ask it with the leaf's width and height, or without %s", in.Said())
			return
		}
	}
	in, want, c0, ok := clearNeeded(k)
	if !ok {
		return
	}
	needed, c, err := calc.OpeningNeeded(in, want)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("opening_needed", needed)
	workNeeded(k, &in, want, needed)
	in.Opening, in.Turn.Angle = needed.SetOut, calc.RightAngle
	if !opened(k, &in, &c, c0) {
		return
	}
	in.Turn.Width = c.Width
	p := planOf(k, &in.Turn)
	p.GapHeel, p.GapLead, p.Opening = k.Measure(in.GapHeel), k.Measure(in.GapLead), k.Measure(in.Opening)
	p.Clear, p.Stop, p.Growth, p.Free = k.Measure(c.Clear.SetOut), in.StopWidth, k.Measure(c.HeelGrowth), k.Measure(max(0, in.GapHeel-c.HeelGrowth))
	k.Draw(p)
	k.Give(opening, needed.SetOut)
	k.Source(geometrySource)
	k.General("clear", "whether a width is enough, and for an escape route, is for the local authority to say")
}

// clearNeeded takes a wanted clear width and what stands between it and the
// jambs; false if something has to be asked for or is refused.
func clearNeeded(k *ask.Inquiry) (in calc.ClearInput, want, c calc.Length, ok bool) {
	want = k.Length(clearWidth)
	if missing := k.Missing(thickness, setback); len(missing) > 0 {
		k.Ask(say.F("the open leaf and its pivot take their part of the opening"), missing...)
		return in, 0, 0, false
	}
	t, s := k.Length(thickness), k.Length(setback)
	in.Turn = takeTurn(k)
	in.Turn.Thickness, in.Turn.Setback = t, s
	in.StopWidth, in.Handle, in.Step = k.LengthOr(stopWidth, 0), k.LengthOr(handle, 0), k.Step(step)
	c = k.LengthOr(clearance, assumedClearance)
	heel, lead := sideGaps(k, &in.GapHeel, &in.GapLead)
	if !heel || !lead {
		even, err := calc.EvenGapFor(in, want, c)
		if err != nil {
			k.Refuse(err)
			return in, 0, 0, false
		}
		if !heel {
			in.GapHeel = k.Compute(gapHeel, even)
		}
		if !lead {
			in.GapLead = k.Compute(gapLead, even)
		}
	}
	if !k.Has(swing) {
		in.Turn.Swing = calc.OneWay // it stands open to one side
	}
	return in, want, c, true
}

// workNeeded shows how the opening comes about.
func workNeeded(k *ask.Inquiry, in *calc.ClearInput, want calc.Length, needed calc.Dimension) {
	face := needed.Exact - want - in.Turn.Setback - in.GapHeel - in.StopWidth - in.Handle
	sum := say.F("%s clear + %s setback + %s gap + %s that the leaf reaches past the axis at 90°", k.Figure(want), k.Figure(in.Turn.Setback), k.Figure(in.GapHeel), k.Figure(face))
	if in.StopWidth > 0 {
		sum = say.F("%s + %s stop", sum, k.Figure(in.StopWidth))
	}
	if in.Handle > 0 {
		sum = say.F("%s + %s handle", sum, k.Figure(in.Handle))
	}
	k.Working("%s = %s", sum, k.SetOut(needed))
}

// openingForLeaf answers with the opening that a leaf needs with its gaps.
func openingForLeaf(k *ask.Inquiry) {
	w, step := k.Length(width), k.Step(step)
	var heel, lead calc.Length
	if hasHeel, hasLead := sideGaps(k, &heel, &lead); !hasHeel || !hasLead {
		if len(k.Missing(thickness, setback)) > 0 {
			k.Ask(say.F("or thickness and setback, from which it is worked out"), gap)
			return
		}
		t, s := k.Length(thickness), k.Length(setback)
		turn := takeTurn(k)
		turn.Thickness, turn.Setback, turn.Width = t, s, w
		g, err := calc.Gap(turn, k.LengthOr(clearance, assumedClearance), step)
		if err != nil {
			k.Refuse(err)
			return
		}
		if !hasHeel {
			heel = k.Compute(gapHeel, g.EvenGap)
		}
		if !hasLead {
			lead = k.Compute(gapLead, g.EvenGap)
		}
	}
	for _, in := range [...]*ask.Input{thickness, setback, clearance, stopWidth, handle, offset} {
		if k.Q.Named(in) != nil && !k.Taken(in) {
			k.Note("%s %s is not needed for this", in.Said(), k.Show(k.Length(in)))
		}
	}
	needed, err := calc.OpeningFor(w, heel, lead, step)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("opening_needed", needed)
	k.Working("%s leaf + %s gap + %s gap = %s", k.Figure(w), k.Figure(heel), k.Figure(lead), k.SetOut(needed))
	if !heightNeeded(k, needed, step) {
		return
	}
	k.Give(opening, needed.SetOut)
	k.Source("distances along one line")
	k.General("opening", "the opening is between finished jambs, and over the finished floor: add what linings and packers take for the structural one")
}

// heightNeeded adds the height of the opening where the leaf's is known; false if
// it is refused.
func heightNeeded(k *ask.Inquiry, wide calc.Dimension, step calc.Length) bool {
	if k.Q.Named(height) == nil || len(k.Missing(gapTop, gapBottom)) > 0 {
		for _, in := range [...]*ask.Input{height, gapTop, gapBottom, finish} {
			if k.Q.Named(in) != nil {
				k.Mention("%s %s is not used: the height takes the leaf's and the gaps at top and bottom", in.Said(), k.Show(k.Length(in)))
			}
		}
		return true
	}
	high := k.Length(height)
	top, bottom, finish := k.Length(gapTop), k.Length(gapBottom), k.Length(finish)
	needed, err := calc.HeightFor(high, top, bottom, finish, step)
	if err != nil {
		k.Refuse(err)
		return false
	}
	k.Result("height_needed", needed)
	k.HideLast() // it is in the headline
	k.Headline("opening %s × %s", k.Show(wide.SetOut), k.Show(needed.SetOut))
	k.Working("height: %s leaf + %s top + %s bottom + %s finish = %s", k.Figure(high), k.Figure(top), k.Figure(bottom), k.Figure(finish), k.SetOut(needed))
	return true
}

// leafForClear takes the opening of a leaf from the clear width that is wanted;
// false if something has to be asked for or is refused.
func leafForClear(k *ask.Inquiry, in *calc.LeafInput) bool {
	for _, read := range [...]*ask.Input{opening, widthTop, widthMiddle, widthBottom, diagonal1, leanHeel, leanLead, floorFall} {
		if k.Q.Named(read) != nil {
			k.Fail("is the leaf for the clear width or for the opening that was read? give one of them: %s or %s", clearWidth.Said(), read.Said())
			return false
		}
	}
	if k.Q.Named(gap) == nil && len(k.Missing(gapHeel, gapLead)) > 0 {
		k.Ask(say.Text{}, k.Missing(gapHeel, gapLead)...)
		return false
	}
	around, want, c0, ok := clearNeeded(k)
	if !ok {
		return false
	}
	needed, c, err := calc.OpeningNeeded(around, want)
	if err != nil {
		k.Refuse(err)
		return false
	}
	around.Turn.Angle = calc.RightAngle
	if !opened(k, &around, &c, c0) {
		return false
	}
	workNeeded(k, &around, want, needed)
	wide, plumb, o := k.Compute(opening, needed.SetOut), calc.Length(0), &in.Opening
	o.WidthTop, o.WidthMiddle, o.WidthBottom = wide, wide, wide
	if k.Q.Named(height) != nil {
		high := k.Length(height)
		o.HeightHeel, o.HeightMiddle, o.HeightLead = high, high, high
	}
	o.LeanHeel, o.LeanLead, o.Fall.Read = &plumb, &plumb, calc.LevelFloor
	in.GapHeel, in.GapLead = around.GapHeel, around.GapLead
	k.Beside("opening unread")
	k.Suppose("the opening is made plumb and level", "plumb, level")
	k.Caution(ask.NotUsable, "this is for an opening of %s that is still to be made: order from its readings", k.Show(wide))
	k.InShort("order from the readings of the finished opening")
	return true
}

// leafPlaces are the places of gaps as names of them, and the leaf as that of its width.
func leafPlaces() map[string]*ask.Input {
	all := maps.Clone(gapPlaces)
	all["leaf"] = width
	return all
}
