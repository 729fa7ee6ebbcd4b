package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askGap = &ask.Verb{
	Name: "gap", Summary: "the gap a leaf needs beside it to turn",
	AskedBy: []string{"how big", "how much", "how wide"},
	Words: []string{"gap", "smallest gap", "tightest gap", "least gap", "minimum gap", "min gap", "how tight", "how tight can i run it", "how much clearance", "how much do i allow", "what do i leave", "what do we leave", "how much do we leave", "how much should i leave", "how much to leave", "what space", "what room", "room it needs", "how close can leaf be", "how close can it be", "how near jamb can it be", "gaps", "gap needed", "heel gap for", "gap at heel", "gap either side", "gap each side", "gap both sides", "gap all round", "gap round", "how much do i leave", "how much must i leave", "least i can leave", "what's least i can leave", "how much room", "how much space",
		"{know|need|want|wants|calculate|work out|find} {heel|side} gap",
		"{what's|what is|whats} {smallest|least|tightest|minimum} {i|we|you} {can|could|may} {make|have|leave|run|set|go with} {gap|}",
		"{what|which} {heel|side|heel side|hinge side} gap",
		"clearance gap",
		"space between {leaf|door} and {frame|jamb}",
		"how much {space|room} between {leaf|door} and {frame|jamb}",
		"{smallest|least|minimum|min|tightest} gap {that|which|to|that can|that could} {will|would|} {work|works|fit|fits|turn|turns|clear|clears|swing|swings|go round|goes round|do|does|go|goes|go in|goes in|do it|does it|let it turn}",
		"{smallest|least|minimum|min|tightest} gap that'll {work|fit|turn|clear|swing|go round|do|go|go in|go in there|do it}",
		"{smallest|least|minimum|tightest} gap {i|we|you} {can|could|may} {get away with|use|have|go to|go|run|leave}",
		"how much {room|space|clearance|of gap|gap} {does|will|would} {it|leaf|door|that} {want|need|take|require}",
		"{what|how much|how big|how much of} {gap|clearance|room|space} {do|should|must|shall|would|will} {i|we|you|they|it} {leave|allow|need|give|keep|want|have to leave|need to leave|have to allow|need to allow|have to have|need to have}",
		"{what|how much} {do|should|must|shall|would} {i|we|you|they} {leave|allow|need|give|have to leave|need to leave|have to allow} {at|beside|to|up to|against|from} {jamb|frame|side|heel|pivot side|reveal}",
		"{clearance|room|space} {needed|required|wanted|do i need|do we need|i need|we need|to leave|to allow}",
		"what clearance {will|does|would} {it|leaf|door|that|this} {need|want|take}",
		"how {close|tight|near} {can|could|may|should} {i|we|you} {go|run|set|hang|bring|get|put} {it|leaf|door|}",
	},
	Order: []*ask.Input{thickness, setback, width}, Need: []*ask.Input{thickness, setback},
	Takes:    with(thickness, setback, width, height, clearance, swing, angle, step, edgeLead, edgeLeadSize),
	Box:      []*ask.Input{width, height, thickness},
	Tolerant: []*ask.Input{thickness, setback, offset, clearance},
	Example:  "gap 44 thick, 65 setback, 1050 wide", Exact: "gap t=44 s=65 w=1050",
	Answer: answerGap,
}

// elsewhere asks for the width where the gap at the leading edge is wanted, and says
// that those over and under the leaf are not worked out: each is said by its place
// alone.
func elsewhere(k *ask.Inquiry) bool {
	switch {
	case k.LeavesOut("underneath", "at head", "at top", "at floor", "at bottom", "over top", "head", "floor", "top", "bottom", "threshold", "at threshold", "over threshold"):
		k.Fail(otherGap.Choices[0].Refused)
	case k.LeavesOut("at leading edge", "at lead", "at leading end", "leading edge", "lead", "closing side", "at closing side", "on closing side", "leading side", "at leading side", "on leading side", "lead side", "at lead side", "on lead side") && !k.Has(width):
		k.Ask(say.F("the gap at the leading edge goes by it"), width)
	default:
		return false
	}
	return true
}

func answerGap(k *ask.Inquiry) {
	if edgeUnclear(k) || testedDoor(k) || elsewhere(k) {
		return
	}
	t, s := k.Length(thickness), k.Length(setback)
	w := k.Length(width)
	turn := takeTurn(k)
	turn.Thickness, turn.Setback, turn.Width = t, s, w
	c, step := k.LengthOr(clearance, assumedClearance), k.Step(step)
	g, err := calc.Gap(turn, c, step)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("heel_gap", g.HeelGap)
	k.Where("(at the pivot side)")
	k.Minor("heel_growth", g.HeelGrowth)
	k.Minor("heel_gap_min", g.HeelGap.Exact)
	if w > 0 {
		k.Result("lead_gap", g.LeadGap)
		k.Where("(at the closing side)")
		k.Minor("lead_growth", g.LeadGrowth)
		k.Minor("lead_gap_min", g.LeadGap.Exact)
		k.Plain("even_gap", g.EvenGap)
		if g.EvenGap == g.HeelGap.SetOut {
			k.Behind()
		}
		k.Result("opening_width", g.OpeningWidth)
		k.Give(opening, g.OpeningWidth.SetOut)
	} else {
		k.Minor("even_gap", g.EvenGap)
		k.Caution(ask.Unchecked, "leading edge not checked: give the width for it")
		k.InShort("leading edge unchecked")
	}
	if g.EvenGap == g.HeelGap.SetOut {
		k.Give(gap, g.EvenGap)
	}
	if k.Q.Named(height) != nil {
		k.Note("height is not needed for this: %s", k.Show(k.Length(height)))
	}
	if own, ok := k.Door["gap_heel"]; ok && own.From != "" && own.Length != g.HeelGap.SetOut {
		k.Note("this is the least that turns: the door's own heel gap is as its opening leaves it")
		k.Beside("the door has %s", k.Tell(own.Length))
	}
	workGap(k, &turn, &g, c)
	p := planOf(k, &turn)
	p.GapHeel, p.Growth, p.Free = k.Measure(g.HeelGap.SetOut), k.Measure(g.HeelGrowth), k.Measure(g.HeelGap.SetOut-g.HeelGrowth)
	if w > 0 {
		p.GapHeel, p.GapLead, p.Opening = k.Measure(g.EvenGap), k.Measure(g.EvenGap), k.Measure(g.OpeningWidth.SetOut)
		p.Free = k.Measure(g.EvenGap - g.HeelGrowth)
	}
	k.Draw(p)
	if !spread(k, &turn, &g, c, step) {
		return
	}
	k.Source(growthSource(&turn))
	k.General("trap", trapCaution)
	k.General("evidence", evidence)
}

// workGap shows how the heel gap comes about.
func workGap(k *ask.Inquiry, t *calc.Turn, g *calc.Gaps, c calc.Length) {
	growth, clear, gap := k.Figure(g.HeelGrowth), k.Figure(c), k.SetOut(g.HeelGap)
	s, face, size := k.Figure(t.Setback), k.Figure(faceOf(t)), k.Figure(t.Heel.Size)
	switch {
	case g.HeelGrowth == 0:
		k.Working("no corner of the heel edge comes nearer to the jamb: %s; + %s clearance = %s", growth, clear, gap)
	case t.Angle < calc.RightAngle:
		k.Working("turned to %s, the heel edge's corner gets %s; + %s clearance = %s", lex.DegreeText(t.Angle), growth, clear, gap)
	case t.Heel.Form == calc.Rounded:
		k.Working("√((%s − %s)² + (%s − %s)²) + %s − %s = %s; + %s clearance = %s", s, size, face, size, size, s, growth, clear, gap)
	case t.Heel.Form == calc.Chamfered:
		k.Working("the larger of √(%s² + (%s − %s)²) and √((%s − %s)² + %s²), − %s = %s; + %s clearance = %s", s, face, size, s, size, face, s, growth, clear, gap)
	default:
		k.Working("√(%s² + %s²) − %s = %s; + %s clearance = %s", s, face, s, growth, clear, gap)
	}
}

// growthSource returns the source of an edge's growth: that of a square edge in a
// quarter turn is the handbook's sagitta, that of another a corner's way round.
func growthSource(t *calc.Turn) string {
	if t.Heel.Form == calc.Square && t.Lead.Form == calc.Square && t.Angle >= calc.RightAngle {
		return sagittaSource
	}
	return cornerSource
}

// faceOf returns the distance from the axis to the face that the heel corner
// comes round on, as calc has it.
func faceOf(t *calc.Turn) calc.Length {
	heel, _ := t.Faces()
	return heel
}

// spread adds what a tolerance does to the gap; false if it is refused.
func spread(k *ask.Inquiry, t *calc.Turn, g *calc.Gaps, c, step calc.Length) bool {
	tol := calc.Tolerance{Thickness: k.Tolerance(thickness), Setback: k.Tolerance(setback), Offset: k.Tolerance(offset), Clearance: k.Tolerance(clearance)}
	if tol == (calc.Tolerance{}) {
		return true
	}
	spread, err := calc.GapTolerance(*t, c, tol)
	if err != nil {
		k.Refuse(err)
		return false
	}
	k.Plain("heel_gap_worst", spread.Worst)
	k.Plain("heel_gap_best", spread.Best)
	k.Behind()
	k.Plain("heel_gap_rss", spread.RSS)
	k.Behind()
	if spread.Worst > g.HeelGap.SetOut {
		k.Note("at worst the leaf needs %s, more than %s", k.Show(spread.Worst), k.Show(g.HeelGap.SetOut))
		k.Headline("heel gap %s, at worst %s", k.Show(g.HeelGap.SetOut), k.Show(spread.Worst.Up(step)))
	}
	k.Source("root-sum-square: JCGM 100:2008, 5.1.2")
	return true
}
