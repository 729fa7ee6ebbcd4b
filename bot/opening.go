package bot

import "heelpost/calc"

func answerClear(k *inquiry) {
	if k.edgeUnclear() {
		return
	}
	in := calc.ClearInput{Opening: k.length("opening")}
	t, s := k.length("thickness"), k.length("setback")
	in.Turn = k.turn()
	in.Turn.Thickness, in.Turn.Setback = t, s
	if !k.has("angle") {
		in.Turn.Angle = k.angleOr("angle", calc.RightAngle, "open to 90°")
	}
	in.StopWidth, in.Handle = k.length("stop_width"), k.length("handle")
	in.HasReveal, in.Reveal = k.has("reveal"), k.length("reveal")
	approach, ok := k.approach()
	if !ok {
		return
	}
	in.Step = k.step()
	if err := k.clearGaps(&in); err != nil {
		k.refuse(err)
		return
	}
	c, err := calc.Clear(in)
	if err != nil {
		k.refuse(err)
		return
	}
	k.result("clear_width", c.Clear)
	k.result("lost_width", c.Lost)
	k.result("heel_side_width", c.HeelSide)
	k.result("lead_radius", c.LeadRadius)
	k.result("heel_radius", c.HeelRadius)
	k.workClear(&in, &c)
	k.opened(&in, &c)
	if in.Turn.Angle < calc.RightAngle {
		k.note("published clear widths are taken at 90°: at %s not measurable by these rules", degreeText(in.Turn.Angle))
	} else {
		k.a.Checks = calc.ClearChecks(c.AtRight, in.Opening, approach)
		for _, check := range k.a.Checks {
			k.sourceOnce(check.Source)
			if !check.OK && check.Inches != 0 && check.Value >= check.Inches {
				k.note("%s is written as %s and as %s: by the inches this is enough, by the mm it is not", check.Name, inchText(check.Inches), mmText(check.Limit))
			}
		}
	}
	k.source(geometrySource)
	k.caution("keep both sweeps free, overhead too: "+k.show(c.LeadRadius.SetOut)+" from the axis at the leading end, "+k.show(c.HeelRadius.SetOut)+" at the heel",
		"whether a width is enough, and for an escape route, is for the local authority to say")
}

// sourceOnce adds a source that is not there yet.
func (k *inquiry) sourceOnce(s string) {
	for _, have := range k.a.Sources {
		if have == s {
			return
		}
	}
	k.source(s)
}

// approach takes how people come to the door; false if it is refused.
func (k *inquiry) approach() (calc.Approach, bool) {
	switch k.word("approach") {
	case "straight":
		return calc.StraightOn, true
	case "public":
		return calc.PublicEntrance, true
	}
	if !k.has("route") {
		return calc.UnsaidApproach, true
	}
	route := k.length("route")
	switch {
	case route >= 1500*calc.Millimetre:
		return calc.RightAngle1500, true
	case route >= 1200*calc.Millimetre:
		return calc.RightAngle1200, true
	}
	k.refuse(&calc.RangeError{Name: "route", Value: route, Bound: calc.AtLeast, Limit: 1200 * calc.Millimetre, Why: "the table knows no narrower access route"})
	return 0, false
}

// clearGaps takes the gaps, or works out even ones.
func (k *inquiry) clearGaps(in *calc.ClearInput) error {
	heel, lead := k.sideGaps(&in.GapHeel, &in.GapLead)
	if heel && lead {
		return nil
	}
	c := k.lengthOr("clearance", assumedClearance)
	turn := in.Turn
	turn.Angle = max(turn.Angle, calc.RightAngle)
	even, err := calc.EvenGap(turn, in.Opening, c, in.Step)
	if err != nil {
		return err
	}
	if !heel {
		in.GapHeel = k.compute("gap_heel", even)
	}
	if !lead {
		in.GapLead = k.compute("gap_lead", even)
	}
	return nil
}

// sideGaps takes the gaps at the sides, and reports which are known. An asked
// gap is both, except for an edge whose own is asked too; a door's are told
// apart.
func (k *inquiry) sideGaps(heel, lead *calc.Length) (hasHeel, hasLead bool) {
	asked := k.q.named("gap") != nil
	if asked {
		*heel = k.length("gap")
		*lead = *heel
	}
	take := func(name string, gap *calc.Length) bool {
		if k.q.named(name) != nil || !asked && k.has(name) {
			*gap = k.length(name)
			return true
		}
		return asked
	}
	hasHeel = take("gap_heel", heel)
	return hasHeel, take("gap_lead", lead)
}

func (k *inquiry) workClear(in *calc.ClearInput, c *calc.ClearWidths) {
	rest := ""
	if in.StopWidth > 0 {
		rest += " − " + k.figure(in.StopWidth) + " stop"
	}
	if in.Handle > 0 {
		rest += " − " + k.figure(in.Handle) + " handle"
	}
	reach := in.Opening - in.Turn.Setback - in.GapHeel - in.StopWidth - in.Handle - c.Clear.Exact
	k.working("%s opening − %s setback − %s gap − %s that the leaf reaches past the axis at %s%s = %s",
		k.figure(in.Opening), k.figure(in.Turn.Setback), k.figure(in.GapHeel), k.figure(reach), degreeText(in.Turn.Angle), rest, k.setOut(c.Clear))
}

// opened says what the leaf meets as it opens.
func (k *inquiry) opened(in *calc.ClearInput, c *calc.ClearWidths) {
	if c.HeelGrowth > in.GapHeel {
		k.caution("the heel gap of " + k.show(in.GapHeel) + " is less than the " + k.show(c.HeelGrowth) + " that the heel edge grows: the leaf can't turn to " + degreeText(in.Turn.Angle))
	}
	switch {
	case in.HasReveal:
		k.a.Results = append(k.a.Results, Result{Name: "angle_max", Kind: AngleValue, Angle: c.AngleMax, Shown: degreeText(c.AngleMax.Tenth())})
	case in.Turn.Angle > calc.RightAngle:
		k.caution("past 90° the leaf's face can strike the edge of the reveal: measure how far the axis lies behind that edge on the opening side, and ask again with reveal and that distance")
	}
}

func answerLeaf(k *inquiry) {
	in := calc.LeafInput{}
	o := &in.Opening
	if !k.readings(o) {
		return
	}
	if heel, lead := k.sideGaps(&in.GapHeel, &in.GapLead); !heel || !lead {
		k.a.ask(k.q.verb, k.missing("gap_heel", "gap_lead"), "")
		return
	}
	if o.HeightHeel > 0 && !(k.has("gap_top") && k.has("gap_bottom")) {
		k.a.ask(k.q.verb, k.missing("gap_top", "gap_bottom"), "")
		return
	}
	in.GapTop, in.GapBottom, in.Finish = k.length("gap_top"), k.length("gap_bottom"), k.length("finish")
	in.Step = k.step()
	l, err := calc.Leaf(in)
	if err != nil {
		k.refuse(err)
		return
	}
	k.leafResults(&in, &l)
	if !k.topGap(&in, &l) {
		return
	}
	k.ownLeaf(&l)
	k.source("plane geometry of the opening")
	k.caution("order from finished jambs and floor only, after a second person has checked the readings; the leaf's mass is for the hardware maker's limits and for the lifting plan")
}

// missing returns the names that were not given.
func (k *inquiry) missing(names ...string) []string {
	var need []string
	for _, name := range names {
		if !k.has(name) {
			need = append(need, name)
		}
	}
	return need
}

// readings takes the single readings of the opening, or one for all of a kind;
// false if some are missing or doubled.
func (k *inquiry) readings(o *calc.Opening) bool {
	for _, group := range []struct {
		all   string
		names [3]string
		into  [3]*calc.Length
	}{
		{"opening", [3]string{"width_top", "width_middle", "width_bottom"}, [3]*calc.Length{&o.WidthTop, &o.WidthMiddle, &o.WidthBottom}},
		{"height", [3]string{"height_heel", "height_middle", "height_lead"}, [3]*calc.Length{&o.HeightHeel, &o.HeightMiddle, &o.HeightLead}},
	} {
		missing := k.missing(group.names[:]...)
		switch {
		case len(missing) == 3:
			all := k.length(group.all)
			*group.into[0], *group.into[1], *group.into[2] = all, all, all
			continue
		case k.q.named(group.all) != nil:
			k.a.Error = "there are two values for " + group.all + ": give one, or the readings at " + words(group.names[0]) + ", " + words(group.names[1]) + " and " + words(group.names[2])
			return false
		case len(missing) > 0:
			k.a.ask(k.q.verb, missing, "")
			return false
		}
		for i, name := range group.names {
			*group.into[i] = k.length(name)
		}
	}
	if missing := k.missing("diagonal_1", "diagonal_2"); len(missing) == 1 {
		k.a.ask(k.q.verb, missing, "one diagonal says nothing without the other")
		return false
	}
	o.Diagonal1, o.Diagonal2 = k.length("diagonal_1"), k.length("diagonal_2")
	o.DiagonalsNamed = !k.has("diagonals")
	return true
}

func (k *inquiry) leafResults(in *calc.LeafInput, l *calc.LeafSizes) {
	o := &in.Opening
	k.result("leaf_width", l.Width)
	k.a.Headline = "leaf " + k.show(l.Width.SetOut)
	width := min(o.WidthTop, o.WidthMiddle, o.WidthBottom)
	if l.Plumbed {
		width = l.PlumbWidth.Exact
	}
	k.working("width: %s − %s − %s = %s", k.figure(width), k.figure(in.GapHeel), k.figure(in.GapLead), k.setOut(l.Width))
	if o.HeightHeel > 0 {
		k.result("leaf_height", l.Height)
		k.a.Headline += " × " + k.show(l.Height.SetOut)
		k.a.Results[len(k.a.Results)-1].Minor = true // it is in the headline
		k.working("height: %s − %s top − %s bottom − %s finish = %s", k.figure(min(o.HeightHeel, o.HeightMiddle, o.HeightLead)),
			k.figure(in.GapTop), k.figure(in.GapBottom), k.figure(in.Finish), k.setOut(l.Height))
		k.taper("height_taper", l.HeightTaper)
	} else {
		k.note("no height given: width only")
	}
	k.taper("width_taper", l.WidthTaper)
	if !l.Plumbed {
		k.caution("plumb was not checked: give both diagonals, or check the jambs with a level; a leaning jamb makes the leaf narrower")
		return
	}
	k.plain("diagonal_difference", l.DiagonalDifference)
	k.plain("jamb_lean", l.JambLean)
	k.result("plumb_width", l.PlumbWidth)
	if !o.DiagonalsNamed {
		k.a.Assumed = append(k.a.Assumed, "the worse order of the diagonals")
	}
}

// ownLeaf notes where the door's own leaf is another.
func (k *inquiry) ownLeaf(l *calc.LeafSizes) {
	w, h := k.door["width"].length, k.door["leaf_height"].length
	if w != 0 && (w != l.Width.SetOut || l.Height.SetOut != 0 && h != l.Height.SetOut) {
		k.note("the door's own leaf is %s × %s", k.showOwn(w), k.showOwn(h))
	}
}

// taper adds a difference of readings, which people see if there is one.
func (k *inquiry) taper(name string, l calc.Length) {
	if l == 0 {
		k.minor(name, l)
	} else {
		k.plain(name, l)
	}
}

// topGap adds the gap needed to stand the leaf up; false if it is refused.
func (k *inquiry) topGap(in *calc.LeafInput, l *calc.LeafSizes) bool {
	switch t, lift := k.has("thickness"), k.has("spindle_lift"); {
	case lift && in.Opening.HeightHeel == 0:
		k.a.ask(k.q.verb, []string{"height", "gap_top", "gap_bottom"}, "the gap to stand the leaf up goes by its height")
		return false
	case lift && !t:
		k.a.ask(k.q.verb, []string{"thickness"}, "the gap to stand the leaf up goes by it")
		return false
	case t && !lift && k.q.named("thickness") == nil:
		return true
	case t && !lift:
		k.note("thickness %s is not used: the gap to stand the leaf up needs the spindle lift too", k.show(k.length("thickness")))
		return true
	case !t:
		return true
	}
	t, lift := k.length("thickness"), k.length("spindle_lift")
	top, err := calc.TopGapMin(l.Height.SetOut, t, lift, in.Step)
	if err != nil {
		k.refuse(err)
		return false
	}
	k.result("top_gap_min", top)
	k.working("top gap to stand it up: %s lift + √(%s² + %s²) − %s = %s", k.figure(lift), k.figure(l.Height.SetOut), k.figure(t), k.figure(l.Height.SetOut), k.setOut(top))
	if top.Exact > in.GapTop {
		k.caution("the top gap of " + k.show(in.GapTop) + " is too small to stand the leaf up in place: " + k.show(top.SetOut) + " is needed")
	}
	return true
}
