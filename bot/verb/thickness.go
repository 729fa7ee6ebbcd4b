package verb

import (
	"heelpost/bot/ask"
	"heelpost/calc"
)

var askThickness = &ask.Verb{
	Name: "thickness", Summary: "the thickest leaf that turns in a gap",
	Words: []string{"thickness", "how thick can it be", "how thick may it be", "how thick could it be", "most thick", "most thick it can be", "how thick leaf", "how thick door", "what's thickest", "whats thickest", "thick can leaf be", "can leaf be thicker", "can it be thicker", "could leaf be thicker", "could it be thicker", "thickness limit", "maximal thickness", "fattest leaf", "fattest door", "how thick", "max thickness", "maximum thickness", "thickest leaf", "thickest door", "max leaf thickness", "maximum leaf thickness", "max thick", "maximum thick", "thickest", "thickest possible leaf", "thickest possible door", "thickest possible",
		"how fat {can|could|may|might} {leaf|door|it|panel|i|we} {be|go|get|have|use|hang}",
		"{what|which} thickness {leaf|door|} {would|will|can|could} {clear|turn|work|fit|go|go round|do|swing|i use|i have|we use|we have|be ok}",
		"{what's|whats|what is|} {thickest|fattest} {leaf|door|panel} {that|which|to|that can|that could} {will|would|} {work|works|fit|fits|turn|turns|clear|clears|swing|swings|go round|goes round|do|does|go|goes|go in|goes in|do it|does it|let it turn}",
		"{what's|whats|what is|} {thickest|fattest} {leaf|door|panel} that'll {work|fit|turn|clear|swing|go round|do|go|go in|go in there|do it}",
		"{thickest|fattest} that'll {work|fit|turn|clear|swing|go round|do|go|go in|go in there|do it}",
		"{thickest|fattest} it {can|could|may} {be|get}",
		"as {thick|fat} as {possible|it can be|i can|we can}",
		"how thick {can|could} {i|we|they|you} {make|build|order} {it|leaf|door|}",
		"thickest {panel|slab}",
		"{what's|whats|what is|} {thickest|fattest} {leaf|door|panel|it|that|} {i|we|you} {can|could|may|might} {use|have|hang|fit|get|get away with|go to|go|order|take|run|put in}",
		"{limit|maximum|max|upper limit|ceiling|cap} {on|for} {leaf|door|} thickness",
		"{limit|max|maximum} leaf thickness",
		"{maximum|max} door thickness",
		"how thick {can|could|may|might|should|would} {leaf|door|it|panel|that|i|we|you} {be|go|get|have|use|hang|get to be}",
		"how {thick|fat} {is too thick|can i go|can we go|could i go|could we go|may i go}",
		"what thickness {can|could|may|would|will|should} {i|we|it|leaf|door} {have|be|go to|use|hang|get|get away with}",
	},
	Stated: true,
	Also:   map[string]*ask.Input{"heel gap": gap, "gap at heel": gap},
	Order:  []*ask.Input{setback, gap}, Need: []*ask.Input{setback, gap},
	Takes:   with(setback, gap, clearance, swing, angle, step),
	Example: "how thick with setback 65 and gap 9", Exact: "thickness setback=65 gap=9",
	Answer: answerThickness,
}

func answerThickness(k *ask.Inquiry) {
	if edgeUnclear(k) {
		return
	}
	s, gap := k.Length(setback), k.Length(gap)
	turn := takeTurn(k)
	turn.Setback = s
	c, step := k.LengthOr(clearance, assumedClearance), k.Step(step)
	t, err := calc.ThicknessMax(turn, gap, c, step)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("thickness_max", t)
	own(k, "thickness", "most")
	left := k.Figure(gap - c)
	if turn.Heel.Form == calc.Square && turn.Offset.E == 0 {
		k.Working("%s gap − %s clearance = %s; 2 × √(%s² + 2 × %s × %s) = %s", k.Figure(gap), k.Figure(c), left, left, left, k.Figure(s), k.SetOut(t))
	} else {
		k.Working("the gap formula solved for the thickness: %s", k.SetOut(t))
	}
	turn.Thickness = t.SetOut
	drawHeel(k, turn, gap)
	k.Source(growthSource(&turn))
	k.Caution(ask.Unchecked, edgeUnchecked)
	k.InShort("leading edge not checked")
	k.General("trap", trapCaution)
	k.General("evidence", evidence)
}
