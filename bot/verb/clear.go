package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askClear = &ask.Verb{
	Name: "clear", Summary: "the clear opening that the open leaf leaves",
	Words:    []string{"clear", "clear opening", "clear width", "clear opening width", "free width"},
	Everyday: []string{"clear"},
	Leads:    map[string]*ask.Input{"clear opening": opening, "clear opening width": opening},
	Order:    []*ask.Input{opening, thickness, setback}, Need: []*ask.Input{opening, thickness, setback},
	Takes:   with(opening, thickness, setback, gap, gapHeel, gapLead, angle, stopWidth, handle, reveal, approach, route, clearance, swing, step, edgeLead, edgeLeadSize),
	Example: "clear opening 1150 with 44 thick at 65 setback, open to 95 degrees", Exact: "clear opening=1150 thickness=44 setback=65 angle=95",
	Answer: answerClear, Refuses: waitsForEvidence,
}

var stopWidth = &ask.Input{Name: "stop_width", None: true, Zero: true, What: "width of the stop at the leading jamb", Example: "12",
	Words: []string{"stop", "stops", "stop width", "door stop"}}

var handle = &ask.Input{Name: "handle", None: true, Zero: true, What: "how far the handle sticks out of the face", Example: "60",
	Words: []string{"handle", "handles", "pull", "pulls"}}

var reveal = &ask.Input{Name: "reveal", Zero: true, What: "how far the axis lies behind the reveal's edge on the opening side", Example: "90",
	Words: []string{"reveal …", "reveal edge …"}}

var approach = &ask.Input{Name: "approach", Kind: ask.ChoiceKind, What: "how people come to the door, for England's table", Example: "straight on",
	Choices: []ask.Choice{
		{Words: []string{"straight on", "head on"}, Value: "straight"},
		{Words: []string{"public entrance", "external public", "general public"}, Value: "public"},
	}}

var route = &ask.Input{Name: "route", What: "width of the access route at right angles to the door", Example: "right angle 1500",
	Words: []string{"right angle …", "at right angles …", "right angles …", "access route", "route"}}

func answerClear(k *ask.Inquiry) {
	if edgeUnclear(k) {
		return
	}
	in := calc.ClearInput{Opening: k.Length(opening)}
	t, s := k.Length(thickness), k.Length(setback)
	in.Turn = takeTurn(k)
	in.Turn.Thickness, in.Turn.Setback = t, s
	if !k.Has(angle) {
		in.Turn.Angle = k.AngleOr(angle, calc.RightAngle, "open to 90°")
	}
	in.StopWidth, in.Handle = k.Length(stopWidth), k.Length(handle)
	in.HasReveal, in.Reveal = k.Has(reveal), k.Length(reveal)
	how, ok := takeApproach(k)
	if !ok {
		return
	}
	in.Step = k.Step(step)
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
	in.Turn.Width = c.Width
	p := planOf(k, &in.Turn)
	p.GapHeel, p.GapLead, p.Opening = k.Measure(in.GapHeel), k.Measure(in.GapLead), k.Measure(in.Opening)
	p.Clear, p.Stop, p.Growth, p.Free = k.Measure(c.Clear.SetOut), in.StopWidth, k.Measure(c.HeelGrowth), k.Measure(max(0, in.GapHeel-c.HeelGrowth))
	k.Draw(p)
	opened(k, &in, &c)
	if in.Turn.Angle < calc.RightAngle {
		k.Note("published clear widths are taken at 90°: at %s not measurable by these rules", lex.DegreeText(in.Turn.Angle))
	} else {
		k.A.Checks = calc.ClearChecks(c.AtRight, in.Opening, how)
		for _, check := range k.A.Checks {
			k.Source(string(check.Source))
			if !check.OK && check.Inches != 0 && check.Value >= check.Inches {
				k.Note("%s is written as %s and as %s: by the inches this is enough, by the mm it is not", say.Name(check.Name), lex.InchText(check.Inches), lex.MmText(check.Limit))
			}
		}
	}
	k.Source(geometrySource)
	k.Caution("keep both sweeps free, overhead too: %s from the axis at the leading end, %s at the heel", k.Show(c.LeadRadius.SetOut), k.Show(c.HeelRadius.SetOut))
	k.Caution("whether a width is enough, and for an escape route, is for the local authority to say")
}

// takeApproach takes how people come to the door; false if it is refused.
func takeApproach(k *ask.Inquiry) (calc.Approach, bool) {
	switch k.Word(approach) {
	case "straight":
		return calc.StraightOn, true
	case "public":
		return calc.PublicEntrance, true
	}
	if !k.Has(route) {
		return calc.UnsaidApproach, true
	}
	route := k.Length(route)
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
	c := k.LengthOr(clearance, assumedClearance)
	turn := in.Turn
	turn.Angle = max(turn.Angle, calc.RightAngle)
	even, err := calc.EvenGap(turn, in.Opening, c, in.Step)
	if err != nil {
		return err
	}
	if !heel {
		in.GapHeel = k.Compute(gapHeel, even)
	}
	if !lead {
		in.GapLead = k.Compute(gapLead, even)
	}
	return nil
}

func workClear(k *ask.Inquiry, in *calc.ClearInput, c *calc.ClearWidths) {
	reach := in.Opening - in.Turn.Setback - in.GapHeel - in.StopWidth - in.Handle - c.Clear.Exact
	sum := say.F("%s opening − %s setback − %s gap − %s that the leaf reaches past the axis at %s",
		k.Figure(in.Opening), k.Figure(in.Turn.Setback), k.Figure(in.GapHeel), k.Figure(reach), lex.DegreeText(in.Turn.Angle))
	if in.StopWidth > 0 {
		sum = say.F("%s − %s stop", sum, k.Figure(in.StopWidth))
	}
	if in.Handle > 0 {
		sum = say.F("%s − %s handle", sum, k.Figure(in.Handle))
	}
	k.Working("%s = %s", sum, k.SetOut(c.Clear))
}

// opened says what the leaf meets as it opens.
func opened(k *ask.Inquiry, in *calc.ClearInput, c *calc.ClearWidths) {
	if c.HeelGrowth > in.GapHeel {
		k.Caution("the heel gap of %s is less than the %s that the heel edge grows: the leaf can't turn to %s", k.Show(in.GapHeel), k.Show(c.HeelGrowth), lex.DegreeText(in.Turn.Angle))
	}
	switch {
	case in.HasReveal:
		k.Degrees("angle_max", c.AngleMax.Tenth(), c.AngleMax)
	case in.Turn.Angle > calc.RightAngle:
		k.Caution("past 90° the leaf's face can strike the edge of the reveal: measure how far the axis lies behind that edge on the opening side, and ask again with reveal and that distance")
	}
}
