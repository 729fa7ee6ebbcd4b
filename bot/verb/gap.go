package verb

import (
	"fmt"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/calc"
)

const (
	sagittaSource  = "growth is the sagitta of a circle segment: Machinery's Handbook, 31st ed., p. 83"
	geometrySource = "plane geometry of the leaf's corners as it turns"
	trapCaution    = "the gap closes on fingers as the leaf turns: keep hands off the moving edge"
	evidence       = "a fire or smoke door takes its gaps from its test evidence, not from here; the hardware maker's instructions come first"
)

func answerGap(k *ask.Inquiry) {
	if edgeUnclear(k) || tested(k) {
		return
	}
	t, s := k.Length("thickness"), k.Length("setback")
	w := k.Length("width")
	turn := turn(k)
	turn.Thickness, turn.Setback, turn.Width = t, s, w
	c, step := k.LengthOr("clearance", ask.AssumedClearance), k.Step()
	g, err := calc.Gap(turn, c, step)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("heel_gap", g.HeelGap)
	k.Minor("heel_growth", g.HeelGrowth)
	k.Minor("heel_gap_min", g.HeelGap.Exact)
	if w > 0 {
		k.Result("lead_gap", g.LeadGap)
		k.Minor("lead_growth", g.LeadGrowth)
		k.Minor("lead_gap_min", g.LeadGap.Exact)
		k.Plain("even_gap", g.EvenGap)
		k.Result("opening_width", g.OpeningWidth)
	} else {
		k.Minor("even_gap", g.EvenGap)
		k.Note("leading edge not checked: give the width for it")
	}
	if k.Q.Named("height") != nil {
		k.Note("height is not needed for this: %s", k.Show(k.Length("height")))
	}
	if own, ok := k.Door["gap_heel"]; ok && own.From != "" && own.Length != g.HeelGap.SetOut {
		k.Note("this is the least that turns: the door's own heel gap is %s, as its opening leaves it", k.ShowOwn(own.Length))
	}
	workGap(k, &turn, &g, c)
	if !spread(k, &turn, &g, c, step) {
		return
	}
	k.Source(sagittaSource)
	k.Caution(trapCaution, evidence)
}

// workGap shows how the heel gap comes about.
func workGap(k *ask.Inquiry, t *calc.Turn, g *calc.Gaps, c calc.Length) {
	end := " = " + k.Figure(g.HeelGrowth) + "; + " + k.Figure(c) + " clearance = " + k.SetOut(g.HeelGap)
	s, face, size := k.Figure(t.Setback), k.Figure(faceOf(k, t)), k.Figure(t.Heel.Size)
	switch {
	case g.HeelGrowth == 0:
		k.A.Working = append(k.A.Working, "no corner of the heel edge comes nearer to the jamb: 0"+end[len(" = 0"):])
	case t.Angle < calc.RightAngle:
		k.Working("turned to %s, the heel edge's corner gets%s", lex.DegreeText(t.Angle), end[len(" ="):])
	case t.Heel.Form == calc.Rounded:
		k.Working("√((%s − %s)² + (%s − %s)²) + %s − %s%s", s, size, face, size, size, s, end)
	case t.Heel.Form == calc.Chamfered:
		k.Working("the larger of √(%s² + (%s − %s)²) and √((%s − %s)² + %s²), − %s%s", s, face, size, s, size, face, s, end)
	default:
		k.A.Working = append(k.A.Working, "√("+s+"² + "+face+"²) − "+s+end)
	}
}

// face returns the distance from the axis to the face that the heel corner
// comes round on, as calc has it.
func faceOf(k *ask.Inquiry, t *calc.Turn) calc.Length {
	heel, _ := t.Faces()
	return heel
}

// spread adds what a tolerance does to the gap; false if it is refused.
func spread(k *ask.Inquiry, t *calc.Turn, g *calc.Gaps, c, step calc.Length) bool {
	tol := calc.Tolerance{Thickness: k.Tolerance("thickness"), Setback: k.Tolerance("setback"), Offset: k.Tolerance("offset"), Clearance: k.Tolerance("clearance")}
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
	k.Plain("heel_gap_rss", spread.RSS)
	if spread.Worst > g.HeelGap.SetOut {
		k.Note("at worst the leaf needs %s, more than %s", k.Show(spread.Worst), k.Show(g.HeelGap.SetOut))
		k.A.Headline = fmt.Sprintf("heel gap %s, at worst %s", k.Show(g.HeelGap.SetOut), k.Show(spread.Worst.Up(step)))
	}
	k.Source("root-sum-square: JCGM 100:2008, 5.1.2")
	return true
}

func answerSetback(k *ask.Inquiry) {
	if edgeUnclear(k) {
		return
	}
	t, gap := k.Length("thickness"), k.Length("gap")
	turn := turn(k)
	turn.Thickness = t
	c, step := k.LengthOr("clearance", ask.AssumedClearance), k.Step()
	s, err := calc.SetbackMin(turn, gap, c, step)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("setback_min", s)
	own(k, "setback", "least")
	left, face := k.Figure(gap-c), k.Figure(faceOf(k, &turn))
	switch {
	case s.Exact == 0 || gap-c >= faceOf(k, &turn):
		k.Working("%s − %s = %s is as much as the corner's %s can need: any setback from %s will do", k.Figure(gap), k.Figure(c), left, face, k.Figure(s.SetOut))
	case turn.Heel.Form == calc.Square:
		k.Working("%s gap − %s clearance = %s; (%s² − %s²)/(2 × %s) = %s", k.Figure(gap), k.Figure(c), left, face, left, left, k.SetOut(s))
	default:
		k.Working("the gap formula solved for the setback: %s", k.SetOut(s))
	}
	k.Source(sagittaSource)
	k.Caution(trapCaution, evidence)
}

// own notes what the door has of what is asked for.
func own(k *ask.Inquiry, name, end string) {
	if own, ok := k.Door[name]; ok {
		k.Note("this is the %s that turns in the gap: the door's own %s is %s", end, name, k.ShowOwn(own.Length))
	}
}

func answerThickness(k *ask.Inquiry) {
	if edgeUnclear(k) {
		return
	}
	s, gap := k.Length("setback"), k.Length("gap")
	turn := turn(k)
	turn.Setback = s
	c, step := k.LengthOr("clearance", ask.AssumedClearance), k.Step()
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
	k.Source(sagittaSource)
	k.Caution(trapCaution, evidence)
}
