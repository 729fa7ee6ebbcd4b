package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/calc"
)

func answerClear(k *ask.Inquiry) {
	if edgeUnclear(k) {
		return
	}
	in := calc.ClearInput{Opening: k.Length("opening")}
	t, s := k.Length("thickness"), k.Length("setback")
	in.Turn = turn(k)
	in.Turn.Thickness, in.Turn.Setback = t, s
	if !k.Has("angle") {
		in.Turn.Angle = k.AngleOr("angle", calc.RightAngle, "open to 90°")
	}
	in.StopWidth, in.Handle = k.Length("stop_width"), k.Length("handle")
	in.HasReveal, in.Reveal = k.Has("reveal"), k.Length("reveal")
	approach, ok := approach(k)
	if !ok {
		return
	}
	in.Step = k.Step()
	if err := clearGaps(k, &in); err != nil {
		k.Refuse(err)
		return
	}
	c, err := calc.Clear(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("clear_width", c.Clear)
	k.Result("lost_width", c.Lost)
	k.Result("heel_side_width", c.HeelSide)
	k.Result("lead_radius", c.LeadRadius)
	k.Result("heel_radius", c.HeelRadius)
	workClear(k, &in, &c)
	opened(k, &in, &c)
	if in.Turn.Angle < calc.RightAngle {
		k.Note("published clear widths are taken at 90°: at %s not measurable by these rules", lex.DegreeText(in.Turn.Angle))
	} else {
		k.A.Checks = calc.ClearChecks(c.AtRight, in.Opening, approach)
		for _, check := range k.A.Checks {
			sourceOnce(k, check.Source)
			if !check.OK && check.Inches != 0 && check.Value >= check.Inches {
				k.Note("%s is written as %s and as %s: by the inches this is enough, by the mm it is not", check.Name, lex.InchText(check.Inches), lex.MmText(check.Limit))
			}
		}
	}
	k.Source(geometrySource)
	k.Caution("keep both sweeps free, overhead too: "+k.Show(c.LeadRadius.SetOut)+" from the axis at the leading end, "+k.Show(c.HeelRadius.SetOut)+" at the heel",
		"whether a width is enough, and for an escape route, is for the local authority to say")
}

// sourceOnce adds a source that is not there yet.
func sourceOnce(k *ask.Inquiry, s string) {
	for _, have := range k.A.Sources {
		if have == s {
			return
		}
	}
	k.Source(s)
}

// approach takes how people come to the door; false if it is refused.
func approach(k *ask.Inquiry) (calc.Approach, bool) {
	switch k.Word("approach") {
	case "straight":
		return calc.StraightOn, true
	case "public":
		return calc.PublicEntrance, true
	}
	if !k.Has("route") {
		return calc.UnsaidApproach, true
	}
	route := k.Length("route")
	switch {
	case route >= 1500*calc.Millimetre:
		return calc.RightAngle1500, true
	case route >= 1200*calc.Millimetre:
		return calc.RightAngle1200, true
	}
	k.Refuse(&calc.RangeError{Name: "route", Value: route, Bound: calc.AtLeast, Limit: 1200 * calc.Millimetre, Why: "the table knows no narrower access route"})
	return 0, false
}

// clearGaps takes the gaps, or works out even ones.
func clearGaps(k *ask.Inquiry, in *calc.ClearInput) error {
	heel, lead := sideGaps(k, &in.GapHeel, &in.GapLead)
	if heel && lead {
		return nil
	}
	c := k.LengthOr("clearance", ask.AssumedClearance)
	turn := in.Turn
	turn.Angle = max(turn.Angle, calc.RightAngle)
	even, err := calc.EvenGap(turn, in.Opening, c, in.Step)
	if err != nil {
		return err
	}
	if !heel {
		in.GapHeel = k.Compute("gap_heel", even)
	}
	if !lead {
		in.GapLead = k.Compute("gap_lead", even)
	}
	return nil
}

// sideGaps takes the gaps at the sides, and reports which are known. An asked
// gap is both, except for an edge whose own is asked too; a door's are told
// apart.
func sideGaps(k *ask.Inquiry, heel, lead *calc.Length) (hasHeel, hasLead bool) {
	asked := k.Q.Named("gap") != nil
	if asked {
		*heel = k.Length("gap")
		*lead = *heel
	}
	take := func(name string, gap *calc.Length) bool {
		if k.Q.Named(name) != nil || !asked && k.Has(name) {
			*gap = k.Length(name)
			return true
		}
		return asked
	}
	hasHeel = take("gap_heel", heel)
	return hasHeel, take("gap_lead", lead)
}

func workClear(k *ask.Inquiry, in *calc.ClearInput, c *calc.ClearWidths) {
	rest := ""
	if in.StopWidth > 0 {
		rest += " − " + k.Figure(in.StopWidth) + " stop"
	}
	if in.Handle > 0 {
		rest += " − " + k.Figure(in.Handle) + " handle"
	}
	reach := in.Opening - in.Turn.Setback - in.GapHeel - in.StopWidth - in.Handle - c.Clear.Exact
	k.Working("%s opening − %s setback − %s gap − %s that the leaf reaches past the axis at %s%s = %s",
		k.Figure(in.Opening), k.Figure(in.Turn.Setback), k.Figure(in.GapHeel), k.Figure(reach), lex.DegreeText(in.Turn.Angle), rest, k.SetOut(c.Clear))
}

// opened says what the leaf meets as it opens.
func opened(k *ask.Inquiry, in *calc.ClearInput, c *calc.ClearWidths) {
	if c.HeelGrowth > in.GapHeel {
		k.Caution("the heel gap of " + k.Show(in.GapHeel) + " is less than the " + k.Show(c.HeelGrowth) + " that the heel edge grows: the leaf can't turn to " + lex.DegreeText(in.Turn.Angle))
	}
	switch {
	case in.HasReveal:
		k.A.Results = append(k.A.Results, ask.Result{Name: "angle_max", Kind: ask.AngleValue, Angle: c.AngleMax, Shown: lex.DegreeText(c.AngleMax.Tenth())})
	case in.Turn.Angle > calc.RightAngle:
		k.Caution("past 90° the leaf's face can strike the edge of the reveal: measure how far the axis lies behind that edge on the opening side, and ask again with reveal and that distance")
	}
}

func answerLeaf(k *ask.Inquiry) {
	in := calc.LeafInput{}
	o := &in.Opening
	if !readings(k, o) {
		return
	}
	if heel, lead := sideGaps(k, &in.GapHeel, &in.GapLead); !heel || !lead {
		k.A.Ask(k.Q.Verb, k.Missing("gap_heel", "gap_lead"), "")
		return
	}
	if o.HeightHeel > 0 && !(k.Has("gap_top") && k.Has("gap_bottom")) {
		k.A.Ask(k.Q.Verb, k.Missing("gap_top", "gap_bottom"), "")
		return
	}
	in.GapTop, in.GapBottom, in.Finish = k.Length("gap_top"), k.Length("gap_bottom"), k.Length("finish")
	in.Step = k.Step()
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
	k.Source("plane geometry of the opening")
	k.Caution("order from finished jambs and floor only, after a second person has checked the readings; the leaf's mass is for the hardware maker's limits and for the lifting plan")
}

// readings takes the single readings of the opening, or one for all of a kind;
// false if some are missing or doubled.
func readings(k *ask.Inquiry, o *calc.Opening) bool {
	for _, group := range []struct {
		all   string
		names [3]string
		into  [3]*calc.Length
	}{
		{"opening", [3]string{"width_top", "width_middle", "width_bottom"}, [3]*calc.Length{&o.WidthTop, &o.WidthMiddle, &o.WidthBottom}},
		{"height", [3]string{"height_heel", "height_middle", "height_lead"}, [3]*calc.Length{&o.HeightHeel, &o.HeightMiddle, &o.HeightLead}},
	} {
		missing := k.Missing(group.names[:]...)
		switch {
		case len(missing) == 3:
			all := k.Length(group.all)
			*group.into[0], *group.into[1], *group.into[2] = all, all, all
			continue
		case k.Q.Named(group.all) != nil:
			k.A.Error = "there are two values for " + group.all + ": give one, or the readings at " + lex.Words(group.names[0]) + ", " + lex.Words(group.names[1]) + " and " + lex.Words(group.names[2])
			return false
		case len(missing) > 0:
			k.A.Ask(k.Q.Verb, missing, "")
			return false
		}
		for i, name := range group.names {
			*group.into[i] = k.Length(name)
		}
	}
	if missing := k.Missing("diagonal_1", "diagonal_2"); len(missing) == 1 {
		k.A.Ask(k.Q.Verb, missing, "one diagonal says nothing without the other")
		return false
	}
	o.Diagonal1, o.Diagonal2 = k.Length("diagonal_1"), k.Length("diagonal_2")
	o.DiagonalsNamed = !k.Has("diagonals")
	return true
}

func leafResults(k *ask.Inquiry, in *calc.LeafInput, l *calc.LeafSizes) {
	o := &in.Opening
	k.Result("leaf_width", l.Width)
	k.A.Headline = "leaf " + k.Show(l.Width.SetOut)
	width := min(o.WidthTop, o.WidthMiddle, o.WidthBottom)
	if l.Plumbed {
		width = l.PlumbWidth.Exact
	}
	k.Working("width: %s − %s − %s = %s", k.Figure(width), k.Figure(in.GapHeel), k.Figure(in.GapLead), k.SetOut(l.Width))
	if o.HeightHeel > 0 {
		k.Result("leaf_height", l.Height)
		k.A.Headline += " × " + k.Show(l.Height.SetOut)
		k.A.Results[len(k.A.Results)-1].Minor = true // it is in the headline
		k.Working("height: %s − %s top − %s bottom − %s finish = %s", k.Figure(min(o.HeightHeel, o.HeightMiddle, o.HeightLead)),
			k.Figure(in.GapTop), k.Figure(in.GapBottom), k.Figure(in.Finish), k.SetOut(l.Height))
		taper(k, "height_taper", l.HeightTaper)
	} else {
		k.Note("no height given: width only")
	}
	taper(k, "width_taper", l.WidthTaper)
	if !l.Plumbed {
		k.Caution("plumb was not checked: give both diagonals, or check the jambs with a level; a leaning jamb makes the leaf narrower")
		return
	}
	k.Plain("diagonal_difference", l.DiagonalDifference)
	k.Plain("jamb_lean", l.JambLean)
	k.Result("plumb_width", l.PlumbWidth)
	if !o.DiagonalsNamed {
		k.A.Assumed = append(k.A.Assumed, "the worse order of the diagonals")
	}
}

// ownLeaf notes where the door's own leaf is another.
func ownLeaf(k *ask.Inquiry, l *calc.LeafSizes) {
	w, h := k.Door["width"].Length, k.Door["leaf_height"].Length
	if w != 0 && (w != l.Width.SetOut || l.Height.SetOut != 0 && h != l.Height.SetOut) {
		k.Note("the door's own leaf is %s × %s", k.ShowOwn(w), k.ShowOwn(h))
	}
}

// taper adds a difference of readings, which people see if there is one.
func taper(k *ask.Inquiry, name string, l calc.Length) {
	if l == 0 {
		k.Minor(name, l)
	} else {
		k.Plain(name, l)
	}
}

// topGap adds the gap needed to stand the leaf up; false if it is refused.
func topGap(k *ask.Inquiry, in *calc.LeafInput, l *calc.LeafSizes) bool {
	switch t, lift := k.Has("thickness"), k.Has("spindle_lift"); {
	case lift && in.Opening.HeightHeel == 0:
		k.A.Ask(k.Q.Verb, []string{"height", "gap_top", "gap_bottom"}, "the gap to stand the leaf up goes by its height")
		return false
	case lift && !t:
		k.A.Ask(k.Q.Verb, []string{"thickness"}, "the gap to stand the leaf up goes by it")
		return false
	case t && !lift && k.Q.Named("thickness") == nil:
		return true
	case t && !lift:
		k.Note("thickness %s is not used: the gap to stand the leaf up needs the spindle lift too", k.Show(k.Length("thickness")))
		return true
	case !t:
		return true
	}
	t, lift := k.Length("thickness"), k.Length("spindle_lift")
	top, err := calc.TopGapMin(l.Height.SetOut, t, lift, in.Step)
	if err != nil {
		k.Refuse(err)
		return false
	}
	k.Result("top_gap_min", top)
	k.Working("top gap to stand it up: %s lift + √(%s² + %s²) − %s = %s", k.Figure(lift), k.Figure(l.Height.SetOut), k.Figure(t), k.Figure(l.Height.SetOut), k.SetOut(top))
	if top.Exact > in.GapTop {
		k.Caution("the top gap of " + k.Show(in.GapTop) + " is too small to stand the leaf up in place: " + k.Show(top.SetOut) + " is needed")
	}
	return true
}
