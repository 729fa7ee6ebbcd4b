package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askLeaf = &ask.Verb{
	Name: "leaf", Summary: "the leaf to order for an opening",
	Words: []string{"leaf", "biggest leaf", "largest leaf", "biggest door", "largest door", "leaf dimensions", "leaf dims", "leaf sizes", "dimensions leaf", "size of leaf", "size of door", "size leaf", "size door", "what do i order", "what do we order", "what should i order", "what size do i order", "which leaf width", "which leaf width goes in", "leaf to suit", "door to suit", "leaf to fit", "door to fit", "door to order", "leaf order size", "what leaf", "what leaf size", "widest leaf", "leaf i need to order", "leaf size", "door size", "leaf to order", "order size", "size to order", "what size door", "leaf width for", "what leaf width", "how wide leaf", "how wide leaf fits", "how wide can leaf be", "what width leaf", "what size leaf", "what door", "which leaf",
		"{what|which} {dimensions|dims|sizes|size|measurements|width} {should|must|will|would|does|do i make|do i order|can} {leaf|door} {be|need to be|have to be|}",
		"{dimensions|dims|size|sizes} {leaf|door} {please|}",
		"{biggest|largest|widest} {leaf|door} {that|which|to|that can|that could} {will|would|} {work|works|fit|fits|turn|turns|clear|clears|swing|swings|go round|goes round|do|does|go|goes|go in|goes in|do it|does it|let it turn}",
		"{biggest|largest|widest} {leaf|door} that'll {work|fit|turn|clear|swing|go round|do|go|go in|go in there|do it}",
		"what width {leaf|door}",
		"{width|size} leaf {i|we} {need|want|should}",
		"what {leaf|door} {do|should} {i|we|they} {need|order|want|get}",
		"what {size|sizes|} {do i|do we|should i|should we|must i|to|am i to|do you want me to} {order|make|make it|cut|cut it|build|quote|buy}",
		"{what|which} {size|sizes} {leaf|door|panel} {do i|do we|should i|should we|to|will|would|goes in|fits|can i}",
		"how {big|large|wide} {a|} {leaf|door} {do i|do we|can i|can we|should i|will|would|goes in|fits}",
		"{biggest|largest|widest} {leaf|door} {i|we|that|} {can|could|will|would|goes|fits}",
	},
	Things: []string{"leaf"}, Everyday: []string{"leaf"},
	Also:   map[string]*ask.Input{"… wide": opening, "width": opening, "w …": opening, "… hole": opening},
	Claims: gapPlaces,
	Order:  []*ask.Input{opening, height}, Need: []*ask.Input{opening, gap},
	Instead: map[*ask.Input][]*ask.Input{opening: {widthTop, widthMiddle, widthBottom, clearWidth}, gap: {gapHeel, gapLead}},
	Takes:   []*ask.Input{opening, height, widthTop, widthMiddle, widthBottom, heightHeel, heightMiddle, heightLead, diagonal1, diagonal2, leanHeel, leanHeelSide, leanLead, leanLeadSide, floorFall, floorFallSide, bowHeel, gap, gapHeel, gapLead, gapTop, gapBottom, gapAll, finish, thickness, spindleLift, step, widths, heights, diagonals, clearWidth, setback, offset, offsetSide, stopWidth, handle},
	Example: "leaf for an opening 1150 x 2350, 9 at the sides, 5 top, 7 bottom", Exact: "leaf opening=1150 height=2350 gap=9 gap_top=5 gap_bottom=7",
	Answer: answerLeaf, Refuses: waitsForEvidence,
}

// gapPlaces are the places of gaps as names of them, where a number stands beside
// them and no other question has these words.
var gapPlaces = map[string]*ask.Input{"head": gapTop, "at head": gapTop, "over": gapTop, "floor": gapBottom, "at floor": gapBottom, "over floor": gapBottom, "jambs": gap, "at heel": gapHeel, "on heel": gapHeel, "at lead": gapLead, "on lead": gapLead, "at leading edge": gapLead, "on leading edge": gapLead, "at lead edge": gapLead, "at heel edge": gapHeel, "on heel edge": gapHeel, "on top": gapTop, "up top": gapTop, "at foot": gapBottom, "above floor": gapBottom}

var gapTop = &ask.Input{Name: "gap_top", Along: high, Few: "%s top", Zero: true, What: "gap over the leaf", Example: "5",
	Words: []string{"top", "top gap", "gap top", "head gap", "above", "over top", "gap at top", "at top", "… at head", "gap on top", "gap over top", "gap over leaf", "gap over door", "gap above leaf", "gap above door", "gap over", "gap above", "across top", "along top", "over head", "to head", "for head", "on head", "overhead", "at lintel", "to lintel"}}

var gapAll = &ask.Input{Name: "gap_all", Zero: true, What: "one gap all round the leaf", Example: "6 all round", All: []*ask.Input{gap, gapTop, gapBottom},
	Words: []string{"all round", "all around", "gap all round", "gap all around", "gaps all round", "gap round", "on all sides", "all sides", "every side", "all four sides", "round it", "around it", "all way round", "all way around", "right round", "on every side", "all edges", "on all four sides", "all round it", "all around it", "on all edges"}}

var gapBottom = &ask.Input{Name: "gap_bottom", Along: high, Few: "%s bottom", Zero: true, What: "gap under the leaf", Example: "7",
	Words: []string{"bottom", "threshold", "at threshold", "bottom gap", "gap bottom", "floor gap", "under", "underneath", "below", "gap under leaf", "gap under door", "under leaf", "under door", "gap at bottom", "at bottom", "under bottom", "gap under", "gap underneath", "gap below", "along bottom", "off floor", "to floor", "for floor", "for threshold", "at sill", "over sill", "off ground"}}

var finish = &ask.Input{Name: "finish", Along: thick, None: true, Zero: true, What: "finished floor still to come", Example: "15",
	Words: []string{"finish", "floor finish", "finished floor"}}

var spindleLift = &ask.Input{Name: "spindle_lift", Zero: true, What: "how far the leaf is lifted over the floor spindle", Example: "9",
	Words: []string{"spindle lift", "spindle", "lift", "lift over"}}

func answerLeaf(k *ask.Inquiry) {
	in := calc.LeafInput{}
	o := &in.Opening
	switch {
	case k.Q.Named(clearWidth) != nil:
		if !leafForClear(k, &in) {
			return
		}
	case !readings(k, o):
		return
	default:
		if heel, lead := sideGaps(k, &in.GapHeel, &in.GapLead); !heel || !lead {
			k.Ask(say.Text{}, k.Missing(gapHeel, gapLead)...)
			return
		}
		for _, in := range [...]*ask.Input{setback, stopWidth, handle, offset} {
			if k.Q.Named(in) != nil {
				k.Note("%s is not used: it matters where a clear width is wanted", in.Said())
			}
		}
	}
	if o.HeightHeel > 0 && !(k.Has(gapTop) && k.Has(gapBottom)) {
		k.Ask(say.Text{}, k.Missing(gapTop, gapBottom)...)
		return
	}
	in.GapTop, in.GapBottom, in.Finish = k.Length(gapTop), k.Length(gapBottom), k.Length(finish)
	in.Step = k.Step(step)
	l, err := calc.Leaf(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	leafResults(k, &in, &l)
	if !topGap(k, &in, &l) {
		return
	}
	ownLeaf(k, &l)
	leafRuled(k, &in, &l)
	k.Source("plane geometry of the opening")
	k.General("leaf", "order from finished jambs and floor only, after a second person has checked the readings; the leaf's mass is for the hardware maker's limits and for the lifting plan")
}

func leafResults(k *ask.Inquiry, in *calc.LeafInput, l *calc.LeafSizes) {
	o, read := &in.Opening, &l.Survey
	k.Result("leaf_width", l.Width)
	k.Headline("leaf %s", k.Show(l.Width.SetOut))
	if o.HeightHeel > 0 {
		k.Result("leaf_height", l.Height)
		k.Headline("leaf %s × %s", k.Show(l.Width.SetOut), k.Show(l.Height.SetOut))
		k.HideLast() // it is in the headline
		k.Working("height: %s − %s top − %s bottom − %s finish = %s", k.Figure(read.Height),
			k.Figure(in.GapTop), k.Figure(in.GapBottom), k.Figure(in.Finish), k.SetOut(l.Height))
		taper(k, "height_taper", l.HeightTaper)
	} else {
		k.Note("no height given: width only")
	}
	taper(k, "width_taper", l.WidthTaper)
	if o.Diagonal1 != 0 {
		k.Plain("diagonal_difference", read.DiagonalDifference)
		k.Behind()
	}
	if read.LeanRead {
		k.Plain("jamb_lean", read.Lean)
		k.Behind()
		k.Result("plumb_width", l.PlumbWidth)
		k.Behind()
		k.Working("between plumb lines, with a lean of %s at the heel jamb: %s", k.Figure(read.Lean), k.Figure(read.Width))
	} else {
		k.Beside("plumb not checked")
		k.Caution(ask.NotUsable, "plumb was not checked: read how far each jamb's head stands in from its foot, by level or laser; a leaning jamb makes the leaf narrower")
		k.InShort("read both jambs' lean")
	}
	k.Working("width: %s − %s − %s = %s", k.Figure(read.Width), k.Figure(in.GapHeel), k.Figure(in.GapLead), k.SetOut(l.Width))
	if o.HeightHeel > 0 && !read.LevelRead {
		k.Beside("level not checked")
		k.Caution(ask.NotUsable, "level was not checked: say the floor's fall between the jambs and its low end; a floor that falls makes the leaf shorter")
		k.InShort("read the floor's fall between the jambs")
	}
	doubts(k, o, read)
}

// doubts tells what the readings leave open, and what was taken for it.
func doubts(k *ask.Inquiry, o *calc.Opening, read *calc.Survey) {
	if read.ByDiagonals && !o.DiagonalsNamed {
		k.Suppose("the worse order of the diagonals", "worse order of diagonals")
	}
	if o.Fall.Read == calc.FallEitherWay {
		k.Suppose("the floor falls to the worse side", "worse side of the floor")
	}
	if read.Doubt > 0 {
		k.Note("a level shows level within 1 mm, which leaves the lean by diagonals in doubt by %s: taken off the width", k.Show(read.Doubt.Up(calc.Millimetre/100)))
	}
	if read.LeanRead && !read.ByDiagonals && o.Diagonal1 != 0 && o.Fall.Read == calc.NoFall {
		k.Note("the diagonals could not be held against the lean: that takes the floor's fall")
	}
	if read.Bow > 0 && !read.BowRead {
		k.Note("the middle is %s narrower than straight jambs make it, in which jamb was not read: the worse is taken; hold a straightedge to the heel jamb and say bow heel", k.Show(read.Bow))
	}
	if read.Hump > 0 {
		k.Caution(ask.Other, "if the middle is low because the floor rises there, and not because the head sags, the leaf must be %s lower", k.Show(read.Hump.Up(calc.Millimetre/10)))
	}
}

// leafRuled holds what the leaf leaves clear against the rule of the door's site.
func leafRuled(k *ask.Inquiry, in *calc.LeafInput, l *calc.LeafSizes) {
	if k.Door[rule.Name].Word == "" {
		return
	}
	code := k.Word(rule)
	c, err := calc.Clear(calc.ClearInput{Turn: calc.Turn{Thickness: k.Door[thickness.Name].Length, Setback: k.Door[setback.Name].Length, Swing: calc.OneWay, Angle: calc.RightAngle},
		Opening: l.Survey.Width, GapHeel: in.GapHeel, GapLead: in.GapLead, StopWidth: k.Door[stopWidth.Name].Length, Step: in.Step})
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Note("open at 90° the leaf leaves %s clear, without a handle", k.Show(c.AtRight.SetOut))
	for _, check := range calc.ClearChecks(c.AtRight, l.Survey.Width, calc.UnsaidApproach, k.Q.Inches) {
		switch {
		case check.Code != code:
		case check.Counts:
			k.Mention("%s counts what sticks out of the leaf: ask clear with the handle for a verdict", say.Name(check.Name))
		default:
			k.A.Checks, k.A.KeptBehind = append(k.A.Checks, check), true
			k.Source(string(check.Source))
		}
	}
}

// ownLeaf notes where the door's own leaf is another.
func ownLeaf(k *ask.Inquiry, l *calc.LeafSizes) {
	w, h := k.Door["width"].Length, k.Door["leaf_height"].Length
	if w != 0 && (w != l.Width.SetOut || l.Height.SetOut != 0 && h != l.Height.SetOut) {
		k.Mention("the door's leaf is %s × %s", k.ShowOwn(w), k.ShowOwn(h))
	}
}

// taper adds a difference of readings, which people see if there is one.
func taper(k *ask.Inquiry, name string, l calc.Length) {
	if l == 0 {
		k.Minor(name, l)
	} else {
		k.Plain(name, l)
		k.Behind()
	}
}

// topGap adds the gap needed to stand the leaf up; false if it is refused.
func topGap(k *ask.Inquiry, in *calc.LeafInput, l *calc.LeafSizes) bool {
	switch t, lift := k.Has(thickness), k.Has(spindleLift); {
	case lift && in.Opening.HeightHeel == 0:
		k.Ask(say.F("the gap to stand the leaf up goes by its height"), height, gapTop, gapBottom)
		return false
	case lift && !t:
		k.Ask(say.F("the gap to stand the leaf up goes by it"), thickness)
		return false
	case t && !lift && (k.Q.Named(thickness) == nil || k.Q.Named(clearWidth) != nil):
		return true
	case t && !lift:
		k.Note("thickness %s is not used: the gap to stand the leaf up needs the spindle lift too", k.Show(k.Length(thickness)))
		return true
	case !t:
		return true
	}
	t, lift := k.Peek(thickness), k.Length(spindleLift)
	if k.Q.Named(clearWidth) == nil {
		k.Length(thickness)
	}
	top, err := calc.TopGapMin(l.Height.SetOut, t, lift, in.Step)
	if err != nil {
		k.Refuse(err)
		return false
	}
	k.Result("top_gap_min", top)
	k.Working("top gap to stand it up: %s lift + √(%s² + %s²) − %s = %s", k.Figure(lift), k.Figure(l.Height.SetOut), k.Figure(t), k.Figure(l.Height.SetOut), k.SetOut(top))
	if top.Exact > in.GapTop {
		k.Caution(ask.Other, "the top gap of %s is too small to stand the leaf up in place: %s is needed", k.Show(in.GapTop), k.Show(top.SetOut))
	}
	return true
}
