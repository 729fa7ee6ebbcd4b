package bot

import (
	"fmt"

	"heelpost/calc"
)

const (
	sagittaSource  = "growth is the sagitta of a circle segment: Machinery's Handbook, 31st ed., p. 83"
	geometrySource = "plane geometry of the leaf's corners as it turns"
	trapCaution    = "the gap closes on fingers as the leaf turns: keep hands off the moving edge"
	evidence       = "a fire or smoke door takes its gaps from its test evidence, not from here; the hardware maker's instructions come first"
)

func answerGap(k *inquiry) {
	if k.edgeUnclear() || k.tested() {
		return
	}
	t, s := k.length("thickness"), k.length("setback")
	w := k.length("width")
	turn := k.turn()
	turn.Thickness, turn.Setback, turn.Width = t, s, w
	c, step := k.lengthOr("clearance", assumedClearance), k.step()
	g, err := calc.Gap(turn, c, step)
	if err != nil {
		k.refuse(err)
		return
	}
	k.result("heel_gap", g.HeelGap)
	k.minor("heel_growth", g.HeelGrowth)
	k.minor("heel_gap_min", g.HeelGap.Exact)
	if w > 0 {
		k.result("lead_gap", g.LeadGap)
		k.minor("lead_growth", g.LeadGrowth)
		k.minor("lead_gap_min", g.LeadGap.Exact)
		k.plain("even_gap", g.EvenGap)
		k.result("opening_width", g.OpeningWidth)
	} else {
		k.minor("even_gap", g.EvenGap)
		k.note("leading edge not checked: give the width for it")
	}
	if k.q.named("height") != nil {
		k.note("height is not needed for this: %s", k.show(k.length("height")))
	}
	if own, ok := k.door["gap_heel"]; ok && own.from != "" && own.length != g.HeelGap.SetOut {
		k.note("this is the least that turns: the door's own heel gap is %s, as its opening leaves it", k.showOwn(own.length))
	}
	k.workGap(&turn, &g, c)
	if !k.spread(&turn, &g, c, step) {
		return
	}
	k.source(sagittaSource)
	k.caution(trapCaution, evidence)
}

// workGap shows how the heel gap comes about.
func (k *inquiry) workGap(t *calc.Turn, g *calc.Gaps, c calc.Length) {
	end := " = " + k.figure(g.HeelGrowth) + "; + " + k.figure(c) + " clearance = " + k.setOut(g.HeelGap)
	s, face, size := k.figure(t.Setback), k.figure(k.face(t)), k.figure(t.Heel.Size)
	switch {
	case g.HeelGrowth == 0:
		k.a.Working = append(k.a.Working, "no corner of the heel edge comes nearer to the jamb: 0"+end[len(" = 0"):])
	case t.Angle < calc.RightAngle:
		k.working("turned to %s, the heel edge's corner gets%s", degreeText(t.Angle), end[len(" ="):])
	case t.Heel.Form == calc.Rounded:
		k.working("√((%s − %s)² + (%s − %s)²) + %s − %s%s", s, size, face, size, size, s, end)
	case t.Heel.Form == calc.Chamfered:
		k.working("the larger of √(%s² + (%s − %s)²) and √((%s − %s)² + %s²), − %s%s", s, face, size, s, size, face, s, end)
	default:
		k.a.Working = append(k.a.Working, "√("+s+"² + "+face+"²) − "+s+end)
	}
}

// face returns the distance from the axis to the face that the heel corner
// comes round on, as calc has it.
func (k *inquiry) face(t *calc.Turn) calc.Length {
	heel, _ := t.Faces()
	return heel
}

// spread adds what a tolerance does to the gap; false if it is refused.
func (k *inquiry) spread(t *calc.Turn, g *calc.Gaps, c, step calc.Length) bool {
	tol := calc.Tolerance{Thickness: k.tolerance("thickness"), Setback: k.tolerance("setback"), Offset: k.tolerance("offset"), Clearance: k.tolerance("clearance")}
	if tol == (calc.Tolerance{}) {
		return true
	}
	spread, err := calc.GapTolerance(*t, c, tol)
	if err != nil {
		k.refuse(err)
		return false
	}
	k.plain("heel_gap_worst", spread.Worst)
	k.plain("heel_gap_best", spread.Best)
	k.plain("heel_gap_rss", spread.RSS)
	if spread.Worst > g.HeelGap.SetOut {
		k.note("at worst the leaf needs %s, more than %s", k.show(spread.Worst), k.show(g.HeelGap.SetOut))
		k.a.Headline = fmt.Sprintf("heel gap %s, at worst %s", k.show(g.HeelGap.SetOut), k.show(spread.Worst.Up(step)))
	}
	k.source("root-sum-square: JCGM 100:2008, 5.1.2")
	return true
}

func answerSetback(k *inquiry) {
	if k.edgeUnclear() {
		return
	}
	t, gap := k.length("thickness"), k.length("gap")
	turn := k.turn()
	turn.Thickness = t
	c, step := k.lengthOr("clearance", assumedClearance), k.step()
	s, err := calc.SetbackMin(turn, gap, c, step)
	if err != nil {
		k.refuse(err)
		return
	}
	k.result("setback_min", s)
	k.own("setback", "least")
	left, face := k.figure(gap-c), k.figure(k.face(&turn))
	switch {
	case s.Exact == 0 || gap-c >= k.face(&turn):
		k.working("%s − %s = %s is as much as the corner's %s can need: any setback from %s will do", k.figure(gap), k.figure(c), left, face, k.figure(s.SetOut))
	case turn.Heel.Form == calc.Square:
		k.working("%s gap − %s clearance = %s; (%s² − %s²)/(2 × %s) = %s", k.figure(gap), k.figure(c), left, face, left, left, k.setOut(s))
	default:
		k.working("the gap formula solved for the setback: %s", k.setOut(s))
	}
	k.source(sagittaSource)
	k.caution(trapCaution, evidence)
}

// own notes what the door has of what is asked for.
func (k *inquiry) own(name, end string) {
	if own, ok := k.door[name]; ok {
		k.note("this is the %s that turns in the gap: the door's own %s is %s", end, name, k.showOwn(own.length))
	}
}

func answerThickness(k *inquiry) {
	if k.edgeUnclear() {
		return
	}
	s, gap := k.length("setback"), k.length("gap")
	turn := k.turn()
	turn.Setback = s
	c, step := k.lengthOr("clearance", assumedClearance), k.step()
	t, err := calc.ThicknessMax(turn, gap, c, step)
	if err != nil {
		k.refuse(err)
		return
	}
	k.result("thickness_max", t)
	k.own("thickness", "most")
	left := k.figure(gap - c)
	if turn.Heel.Form == calc.Square && turn.Offset.E == 0 {
		k.working("%s gap − %s clearance = %s; 2 × √(%s² + 2 × %s × %s) = %s", k.figure(gap), k.figure(c), left, left, left, k.figure(s), k.setOut(t))
	} else {
		k.working("the gap formula solved for the thickness: %s", k.setOut(t))
	}
	k.source(sagittaSource)
	k.caution(trapCaution, evidence)
}
