package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/calc"
)

// takeTurn takes what the gap calculations share. The setback, thickness and
// width are taken by the caller.
func takeTurn(k *ask.Inquiry) calc.Turn {
	t := calc.Turn{Angle: calc.RightAngle}
	switch {
	case !k.Has(swing):
		k.AssumeWord(swing, "both", "swings both ways")
	case k.Word(swing) == "one":
		t.Swing = calc.OneWay
		k.Caution(ask.OneWayStop, "one way counts only where a fixed stop prevents the other")
		k.InShort("one way only with a fixed stop")
	}
	if k.Has(angle) {
		t.Angle = k.Angle(angle)
	}
	t.Offset = takeOffset(k)
	t.Heel, t.Lead = takeEdges(k)
	return t
}

// planOf is the leaf as the plan draws it, its gaps still to come.
func planOf(k *ask.Inquiry, t *calc.Turn) draw.Plan {
	p := draw.Plan{Thickness: k.Measure(t.Thickness), Setback: k.Measure(t.Setback), Width: k.Known(t.Width),
		Offset: t.Offset.E, Heel: t.Heel, Lead: t.Lead, Angle: t.Angle}
	if t.Swing == calc.BothWays || !t.Offset.Signed {
		p.Offset = p.Offset.Abs() // the worse side is what the heel gap is for
	}
	return p
}

// drawHeel shows the heel end of a leaf that turns in a gap.
func drawHeel(k *ask.Inquiry, t calc.Turn, gap calc.Length) {
	g, err := calc.Gap(t, 0, calc.Millimetre)
	if err != nil {
		return // a leaf that only the formula knows, as one without a setback
	}
	p := planOf(k, &t)
	p.GapHeel, p.Growth, p.Free = k.Measure(gap), k.Measure(g.HeelGrowth), k.Measure(gap-g.HeelGrowth)
	k.Draw(p)
}

// takeOffset takes the offset and its side: the sign, or the word for it.
func takeOffset(k *ask.Inquiry) calc.Offset {
	v := k.Q.Named(offset)
	if v == nil {
		k.Assume(ask.Given{Name: offset.Name, Shown: say.Plain(k.Show(0))}, say.F("pivot axis on the mid-plane"))
		return calc.Offset{Signed: true}
	}
	o := calc.Offset{E: k.Length(offset), Signed: v.Num.Signed}
	switch k.Word(offsetSide) {
	case "towards":
		o.E, o.Signed = -o.E, true
	case "away":
		o.Signed = true
	}
	if !o.Signed && o.E != 0 {
		k.Caution(ask.Other, "the side of the offset is not known: the worse one is taken; + is away from the face it opens towards")
		k.InShort("offset's side unknown, worse one taken")
	}
	return o
}

// takeEdges takes the forms of the edges.
func takeEdges(k *ask.Inquiry) (heel, lead calc.Edge) {
	heel, saidBoth := takeEdge(k, edge, edgeSize)
	lead, saidHeel, saidLead := heel, saidBoth, saidBoth
	if k.Has(edgeHeel) {
		heel, saidHeel = takeEdge(k, edgeHeel, edgeHeelSize)
	}
	if k.Has(edgeLead) {
		lead, saidLead = takeEdge(k, edgeLead, edgeLeadSize)
	}
	switch {
	case !saidHeel && !saidLead:
		k.AssumeWord(edge, "square", "square edges")
	case !saidHeel:
		k.AssumeWord(edgeHeel, "square", "heel edge square")
	case !saidLead:
		k.AssumeWord(edgeLead, "square", "leading edge square")
	}
	return heel, lead
}

// takeEdge takes the form of one edge, or of both.
func takeEdge(k *ask.Inquiry, form, size *ask.Input) (e calc.Edge, said bool) {
	if !k.Has(form) {
		return calc.Edge{}, false
	}
	switch k.Word(form) {
	case "chamfered":
		return calc.Edge{Form: calc.Chamfered, Size: k.Length(size)}, true
	case "rounded":
		return calc.Edge{Form: calc.Rounded, Size: k.Length(size)}, true
	}
	return calc.Edge{}, true
}

// edgeUnclear asks about an edge whose form or size was not said.
func edgeUnclear(k *ask.Inquiry) bool {
	for _, e := range [...]struct{ form, size *ask.Input }{{edge, edgeSize}, {edgeHeel, edgeHeelSize}, {edgeLead, edgeLeadSize}} {
		form, size := k.Q.Named(e.form), k.Has(e.size)
		switch {
		case form == nil && size:
			k.Fail("is the %s chamfered or rounded? say chamfer or round before its size", e.form.Said())
			return true
		case form != nil && form.Set.Value == "square" && size:
			k.Fail("a square edge has no size: is it chamfered or rounded?")
			return true
		case form != nil && form.Set.Value != "square" && !size:
			k.Ask(say.F("the edge is %s", say.Name(form.Set.Value)), e.size)
			return true
		}
	}
	return false
}

// testedDoor refuses to compute the gap of a door whose gaps come from its test
// evidence.
func testedDoor(k *ask.Inquiry) bool {
	d, ok := k.Door[ask.TestedDoor]
	if ok {
		k.A.Error = d.Text
	}
	return ok
}

// waitsForEvidence refuses what is set out from a gap, for a door whose gaps
// come from test evidence and wait for it: a typed one is none.
func waitsForEvidence(k *ask.Inquiry) bool {
	_, entered := k.Door["gap_heel"]
	return !entered && testedDoor(k)
}

// sideGaps takes the gaps at the sides, and reports which are known. An asked
// gap is both, except for an edge whose own is asked too; a door's are told
// apart.
func sideGaps(k *ask.Inquiry, heel, lead *calc.Length) (hasHeel, hasLead bool) {
	asked := k.Q.Named(gap) != nil
	if asked {
		*heel = k.Length(gap)
		*lead = *heel
	}
	take := func(in *ask.Input, gap *calc.Length) bool {
		if k.Q.Named(in) != nil || !asked && k.Has(in) {
			*gap = k.Length(in)
			return true
		}
		return asked
	}
	hasHeel = take(gapHeel, heel)
	return hasHeel, take(gapLead, lead)
}
