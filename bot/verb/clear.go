package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askClear = &ask.Verb{
	Name: "clear", Summary: "the clear opening that the open leaf leaves",
	AskedBy: []string{"how wide", "how much"},
	Words: []string{"clear", "how much clear", "how much clear opening", "how much clear do i get", "how much clear width", "clear do i get", "what clear", "what clear width", "what clear do i get", "how wide is clear", "what's clear", "how wide can you walk", "how much way", "what width is left", "how much width is left", "what's passage", "width to walk through", "clear opening", "clear width", "clear opening width", "free width", "what's left", "what is left", "what's left to get through", "what is left to get through", "what's left to walk through", "what is left to walk through", "how much is left to walk through", "how much can you walk through", "how much can i walk through", "walk through", "does it meet", "does it comply", "does it keep", "how much passage", "how much passage is left", "how wide is passage", "how wide is way through", "how wide can you get through", "how wide can i get through", "how wide is it to walk through", "passage width",
		"passage {left|beside|left beside}",
		"{width|space|room|way} left {beside|past} {open|} {leaf|door}",
		"clear {from|out}",
		"how wide is {gap|space|opening} {you|i|we|people} can {walk|get|go|pass} through",
		"{what|how much} {do|will|would} {i|we|you} {get|have|end up with} clear {from|out|with|in|}",
		"how much {clear width|clear opening|width|room|space|clear|} {is|will be|would be|do i|do we|have i|have we|does that|does it} {get|left|got|have|end up with|leave|give} {clear|to walk through|to get through|to pass|}",
		"{what|how wide} {is left|will be left|do i get|do we get|does it leave|does that leave} {clear|to walk through|to pass|to get through}",
		"how {wide|much} {is|will|would} {clear opening|clear width|way through|passage} {be|}",
		"how much can {you|i|we|people} {get through|walk through|pass through}",
	},
	Everyday: []string{"clear"},
	Leads:    map[string]*ask.Input{"clear opening": opening, "clear opening width": opening},
	Also:     map[string]*ask.Input{"when leaf at …": angle, "when door at …": angle, "with leaf at …": angle, "with door at …": angle, "with it at …": angle, "through at …": angle, "stops at …": angle, "stopped at …": angle, "stop open at …": angle, "it's at …": angle, "when it is at …": angle, "when leaf is at …": angle, "when door is at …": angle},
	Order:    []*ask.Input{opening, thickness, setback}, Need: []*ask.Input{opening, thickness, setback},
	Takes:   with(opening, thickness, setback, gap, gapHeel, gapLead, angle, stopWidth, handle, reveal, rule, approach, route, clearance, swing, step, edgeLead, edgeLeadSize),
	Example: "clear opening 1150 with 44 thick at 65 setback, open to 95 degrees", Exact: "clear opening=1150 thickness=44 setback=65 angle=95",
	Answer: answerClear, Refuses: waitsForEvidence,
}

var stopWidth = &ask.Input{Name: "stop_width", Along: wide, Few: "%s stop", None: true, Zero: true, What: "width of the stop at the leading jamb", Example: "12",
	Words: []string{"stop", "stops", "stop width", "door stop"}}

var handle = &ask.Input{Name: "handle", Along: deep, Few: "%s handle", None: true, Zero: true, What: "how far the handle sticks out of the face", Example: "60",
	Words: []string{"handle sticks out", "handle stands out", "handle sticks out by", "sticks out …", "stands out …", "pull sticks out", "handle", "handles", "pull", "pulls"}}

var reveal = &ask.Input{Name: "reveal", Along: deep, Zero: true, What: "how far the axis lies behind the reveal's edge on the opening side", Example: "90",
	Words: []string{"reveal …", "reveal edge …"}}

var approach = &ask.Input{Name: "approach", Kind: ask.ChoiceKind, What: "how people come to the door, for England's table", Example: "straight on",
	Choices: []ask.Choice{
		{Words: []string{"straight on", "head on"}, Value: "straight"},
		{Words: []string{"public entrance", "external public", "general public"}, Value: "public"},
	}}

var route = &ask.Input{Name: "route", Loose: []string{"at right angles …"}, Along: wide, What: "width of the access route at right angles to the door", Example: "right angle 1500",
	Words: []string{"right angle …", "at right angles …", "right angles …", "access route", "route"}}

var rule = &ask.Input{Name: "rule", Kind: ask.ChoiceKind, What: "the published least width that is asked for: ada, ibc, england, england-dwellings, din or spain, or rules for all", Example: "ada",
	Choices: []ask.Choice{
		{Words: []string{"ada", "by ada", "rule ada"}, Value: "ada"},
		{Words: []string{"ibc", "by ibc", "rule ibc"}, Value: "ibc"},
		{Words: []string{"england", "by england", "rule england", "english rule"}, Value: "england"},
		{Words: []string{"england dwellings", "england dwelling", "dwelling", "dwellings", "rule england dwellings", "by england dwellings"}, Value: "england-dwellings"},
		{Words: []string{"din", "by din", "rule din"}, Value: "din"},
		{Words: []string{"spain", "by spain", "rule spain"}, Value: "spain"},
		{Words: []string{"rules", "all rules", "rules for all"}, Value: "all"},
	}}

func answerClear(k *ask.Inquiry) {
	if edgeUnclear(k) {
		return
	}
	jambs := k.Door[ask.JambsDoor].Length
	in := calc.ClearInput{Opening: k.Length(opening) - jambs}
	t, s := k.Length(thickness), k.Length(setback)
	in.Turn = takeTurn(k)
	in.Turn.Thickness, in.Turn.Setback = t, s
	if !k.Has(angle) {
		in.Turn.Angle = k.AngleOr(angle, calc.RightAngle, "open to 90°")
	}
	in.StopWidth, in.Handle = k.LengthOr(stopWidth, 0), k.LengthOr(handle, 0)
	in.HasReveal, in.Reveal = k.Has(reveal), k.Length(reveal)
	code := k.Word(rule)
	how, ok := takeApproach(k, code)
	if !ok {
		return
	}
	in.Step = k.Step(step)
	c0 := k.LengthOr(clearance, assumedClearance)
	if err := clearGaps(k, &in, c0); err != nil {
		k.Refuse(err)
		return
	}
	if !k.Has(swing) {
		in.Turn.Swing = calc.OneWay // it stands open to one side
	}
	c, err := calc.Clear(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("clear_width", c.Clear)
	k.Result("lost_width", c.Lost)
	k.Behind()
	k.Result("heel_side_width", c.HeelSide)
	k.Behind()
	k.Result("lead_radius", c.LeadRadius)
	k.Behind()
	k.Result("heel_radius", c.HeelRadius)
	k.Behind()
	workClear(k, &in, &c, jambs)
	if !opened(k, &in, &c, c0) {
		return
	}
	in.Turn.Width = c.Width
	p := planOf(k, &in.Turn)
	p.GapHeel, p.GapLead, p.Opening = k.Measure(in.GapHeel), k.Measure(in.GapLead), k.Measure(in.Opening)
	p.Clear, p.Stop, p.Growth, p.Free = k.Measure(c.Clear.SetOut), in.StopWidth, k.Measure(c.HeelGrowth), k.Measure(max(0, in.GapHeel-c.HeelGrowth))
	k.Draw(p)
	ruled(k, &in, &c, code, how)
	k.Source(geometrySource)
	k.Caution(ask.Whole, "keep both sweeps free, overhead too: %s from the axis at the leading end, %s at the heel", k.Show(c.LeadRadius.SetOut), k.Show(c.HeelRadius.SetOut))
	if k.Word(escape) == "" { // of one that is, more is said
		k.General("clear", "whether a width is enough, and for an escape route, is for the local authority to say")
	}
}

// takeApproach takes how people come to the door; false if it is refused.
func takeApproach(k *ask.Inquiry, code string) (calc.Approach, bool) {
	home := code == "england-dwellings"
	switch k.Word(approach) {
	case "straight":
		if home {
			return calc.DwellingHeadOn, true
		}
		return calc.StraightOn, true
	case "public":
		if home {
			k.Fail("the table for dwellings has no entrance for the public: ask by england")
			return 0, false
		}
		return calc.PublicEntrance, true
	}
	if !k.Has(route) {
		return calc.UnsaidApproach, true
	}
	route, routes := k.Length(route), calc.Routes
	if home {
		routes = calc.DwellingRoutes
	}
	for _, r := range routes {
		if route >= r.Least {
			return r.Approach, true
		}
	}
	k.Refuse(&calc.RangeError{Name: "route", Value: route, Bound: calc.AtLeast, Limit: routes[len(routes)-1].Least, Why: "the table knows no narrower access route"})
	return 0, false
}

// ruled holds the width against the published rule that was asked for, or says
// between which of them it lies.
func ruled(k *ask.Inquiry, in *calc.ClearInput, c *calc.ClearWidths, code string, how calc.Approach) {
	if k.Q.Named(escape) != nil {
		return // its widths are for the local authority, which is said
	}
	if k.Word(escape) != "" {
		k.Mention("escape door: widths, opening forces and fittings on an escape route are for the local authority to say")
		return
	}
	if in.Turn.Angle < calc.RightAngle {
		k.Mention("published clear widths are taken at 90°: at %s not measurable by these rules", lex.DegreeText(in.Turn.Angle))
		return
	}
	if in.Turn.Angle > calc.RightAngle && code != "" {
		k.Mention("at 90°, as the rule measures: %s free", k.Show(c.AtRight.SetOut))
	}
	var kept, short *calc.Check
	checks := calc.ClearChecks(c.AtRight, in.Opening, how, k.Q.Inches)
	for i := range checks {
		check := &checks[i]
		if check.Counts && !k.Has(handle) {
			if code == check.Code {
				k.Mention("%s counts what sticks out of the leaf: give the handle, 0 if there is none, for a verdict", say.Name(check.Name))
			}
			continue
		}
		switch {
		case code == check.Code || code == "all":
			k.A.Checks = append(k.A.Checks, *check)
			k.Source(string(check.Source))
			if !check.OK && check.Inches != 0 && check.Value >= check.Inches {
				k.Mention("%s is written as %s and as %s: by the inches this is enough, by the mm it is not", say.Name(check.Name), lex.InchText(check.Inches), lex.MmText(check.Limit))
			}
		case code != "":
		case check.OK && (kept == nil || check.Limit > kept.Limit):
			kept = check
		case !check.OK && (short == nil || check.Limit < short.Limit):
			short = check
		}
	}
	switch {
	case kept != nil && short != nil:
		k.Note("of published least widths the highest kept is %s (%s), the lowest not kept %s (%s); name a rule for its verdict, or say rules for all", k.Show(kept.Limit), say.Name(kept.Name), k.Show(short.Limit), say.Name(short.Name))
	case kept != nil:
		k.Note("of published least widths the highest kept is %s (%s); name a rule for its verdict, or say rules for all", k.Show(kept.Limit), say.Name(kept.Name))
	case short != nil:
		k.Note("of published least widths the lowest is not kept: %s (%s); name a rule for its verdict, or say rules for all", k.Show(short.Limit), say.Name(short.Name))
	}
	for _, check := range []*calc.Check{kept, short} {
		if check != nil {
			k.Source(string(check.Source))
		}
	}
}

// clearGaps takes the gaps, or works out even ones.
func clearGaps(k *ask.Inquiry, in *calc.ClearInput, c calc.Length) error {
	heel, lead := sideGaps(k, &in.GapHeel, &in.GapLead)
	if heel && lead {
		return nil
	}
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

func workClear(k *ask.Inquiry, in *calc.ClearInput, c *calc.ClearWidths, jambs calc.Length) {
	reach := in.Opening - in.Turn.Setback - in.GapHeel - in.StopWidth - in.Handle - c.Clear.Exact
	sum := say.F("%s opening − %s setback − %s gap − %s that the leaf reaches past the axis at %s",
		k.Figure(in.Opening), k.Figure(in.Turn.Setback), k.Figure(in.GapHeel), k.Figure(reach), lex.DegreeText(in.Turn.Angle))
	if jambs > 0 {
		k.Note("between plumb lines through the points of the jambs that stand furthest in the opening is %s", k.Show(in.Opening))
	}
	if in.StopWidth > 0 {
		sum = say.F("%s − %s stop", sum, k.Figure(in.StopWidth))
	}
	if in.Handle > 0 {
		sum = say.F("%s − %s handle", sum, k.Figure(in.Handle))
	}
	k.Working("%s = %s", sum, k.SetOut(c.Clear))
}

// opened says what the leaf meets as it opens; false if it is refused.
func opened(k *ask.Inquiry, in *calc.ClearInput, c *calc.ClearWidths, least calc.Length) bool {
	up := calc.Millimetre / 100
	for _, g := range []struct {
		edge        say.Text
		gap, growth calc.Length
	}{{say.F("heel"), in.GapHeel, c.HeelGrowth}, {say.F("leading"), in.GapLead, c.LeadGrowth}} {
		switch {
		case g.growth > g.gap:
			k.A.Results = nil
			k.Fail("the leaf can't turn to %s: the %s gap is %s, less than the %s that the edge grows", lex.DegreeText(in.Turn.Angle), g.edge, k.Show(g.gap), k.Show(g.growth.Up(up)))
			return false
		case g.gap-g.growth < least:
			k.Caution(ask.Tight, "less than the clearance of %s is left at the %s edge: %s", k.Show(least), g.edge, k.Show((g.gap - g.growth).Down(up)))
			k.InShort("%s left at the %s edge, too little", k.Show((g.gap - g.growth).Down(up)), g.edge)
		}
	}
	switch {
	case in.HasReveal:
		k.Degrees("angle_max", c.AngleMax.Tenth(), c.AngleMax)
		k.Behind()
		k.Headline("clear width %s, opens to %s", k.Show(c.Clear.SetOut), lex.DegreeText(c.AngleMax.Tenth()))
	case in.Turn.Angle > calc.RightAngle:
		k.Caution(ask.Other, "past 90° the leaf's face can strike the edge of the reveal: measure how far the axis lies behind that edge on the opening side, and ask again with reveal and that distance")
		k.InShort("past 90° the face can strike the reveal")
	}
	return true
}
