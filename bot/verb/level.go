package verb

import (
	"errors"

	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askLevel = &ask.Verb{
	Name: "level", Summary: "the least gap under a leaf in its swing, over a floor read along the arc of its edge",
	Words:    []string{"level", "floor level", "does it clear floor", "will it clear floor", "does leaf clear floor", "will leaf clear floor", "clear floor", "does it scrape", "will it scrape", "scrape", "catch floor", "hit floor", "drag on floor", "rub floor", "scrape floor", "rub on floor", "bottom clear floor", "will door drag", "will it drag", "does it drag", "does door drag", "will leaf drag", "drag on floor", "will it catch on floor", "will bottom clear floor"},
	Everyday: []string{"level", "scrape"},
	Turns:    askFits, Wish: arcFloor,
	Need:    []*ask.Input{arcFloor, gapBottom, width, setback, height},
	Also:    map[string]*ask.Input{"head …": axisX},
	Takes:   []*ask.Input{arcFloor, midFloor, gapBottom, gapBottomHeel, width, setback, height, thickness, pivotHeight, angle, axisX, axisXSide, axisY, axisYSide},
	Box:     []*ask.Input{width, height, thickness},
	Example: "will it clear the floor, arc 0 1 2 4 3 1 0, bottom gap 6, 960x2300x46, setback 70", Exact: "level arc_floor 0 1 2 4 3 1 0 gap_bottom=6 width=960 height=2300 setback=70",
	Answer: answerLevel,
}

var arcFloor = &ask.Input{Name: "arc_floor", Kind: ask.ListKind, What: "heights of the floor under the leading edge over one level line, at equal angles from closed to open, 30° apart at most", Example: "arc 0 1 2 4 3 1 0",
	Words: []string{"arc …", "arc floor …", "floor readings along arc …", "readings along arc …", "floor along arc …", "floor heights …", "floor read …", "floor readings …", "readings along swing …", "floor readings along swing …", "floor along swing …", "along swing …", "along arc …", "readings on arc …", "swing readings …", "readings round arc …", "floor readings round arc …", "arc readings …"}}

var midFloor = &ask.Input{Name: "mid_floor", Kind: ask.ListKind, What: "the same halfway between the pivot and the leading edge", Example: "middle 0 0 1 2 2 1 0",
	Words: []string{"middle …", "mid …", "halfway …", "mid floor …"}}

var gapBottomHeel = &ask.Input{Name: "gap_bottom_heel", Along: high, Zero: true, What: "gap under the closed leaf at its heel end", Example: "bottom gap at heel 6",
	Words: []string{"bottom gap at heel", "bottom gap heel", "gap bottom heel"}}

func answerLevel(k *ask.Inquiry) {
	arc, mid := k.Lengths(arcFloor), k.Lengths(midFloor)
	answerSwept(k, calc.LevelInput{GapLead: k.Length(gapBottom)}, gapBottomHeel, arc, mid)
}

// answerSwept tells the least gap under or over a leaf in its swing.
func answerSwept(k *ask.Inquiry, in calc.LevelInput, heelGap *ask.Input, arc, mid []calc.Length) {
	ownHeight(k)
	in.Setback, in.Width = k.Length(setback), k.Length(width)
	high := k.Length(height)
	in.Height = k.LengthOr(pivotHeight, high)
	if k.Q.Named(thickness) != nil {
		k.Note("thickness is not needed for this: %s", k.Show(k.Length(thickness)))
	}
	in.To = k.AngleOr(angle, calc.RightAngle, "opened to 90°")
	var ok bool
	if in.DX, in.DY, ok = takeAxis(k); !ok {
		return
	}
	if k.Q.Named(axisX) == nil && k.Q.Named(axisY) == nil {
		k.Assume(ask.Given{Name: axisX.Name, Shown: say.Plain(k.Show(0))}, say.F("the pivot axis is plumb"))
	}
	if !takeRays(k, &in, arc, mid) {
		return
	}
	in.GapHeel = k.LengthOr(heelGap, in.GapLead)
	l, err := calc.LevelOf(in)
	if err != nil {
		refuseLevel(k, err)
		return
	}
	if l.Inward > 0 {
		k.Suppose("from the axis to the first reading as high as that", "level from the axis to the first reading")
	}
	tellLevel(k, &in, &l)
	if in.DX == 0 && in.DY == 0 && !in.Soffit { // else the foot rises and sinks as the leaf turns
		drawLevel(k, &in, &l)
	}
	k.Source("straight lines between the readings, the leaf a straight line that turns about its axis: plane geometry")
	if in.Soffit {
		k.General("soffit", "what was not read is not known: read every step, lamp and sprinkler over the arc; try the leaf by hand, slowly, before it is let go")
		return
	}
	k.General("level", "what was not read is not known: mark the arc on the floor and read every hump on it; try the leaf by hand, slowly, before it is let go, and keep feet out from under it")
}

// takeRays makes lines out from the axis of readings along arcs; false if they
// don't fit together.
func takeRays(k *ask.Inquiry, in *calc.LevelInput, arc, mid []calc.Length) bool {
	if len(arc) < 2 {
		k.Fail("one reading is no arc: read the floor at equal angles from closed to open, 30° apart at most")
		return false
	}
	if len(mid) > 0 && len(mid) != len(arc) {
		k.Fail("%s readings at the edge and %s halfway: read both at the same angles", len(arc), len(mid))
		return false
	}
	far := in.Width - in.Setback
	for i, z := range arc {
		ray := calc.FloorRay{At: in.To * calc.Angle(i) / calc.Angle(len(arc)-1)}
		if len(mid) > 0 {
			ray.Points = append(ray.Points, calc.FloorPoint{R: far / 2, Z: mid[i]})
		}
		ray.Points = append(ray.Points, calc.FloorPoint{R: far, Z: z})
		in.Rays = append(in.Rays, ray)
	}
	in.ZLead, in.ZHeel = arc[0], arc[0]
	if len(mid) > 0 {
		in.ZHeel = mid[0] // level from there to the axis
	}
	return true
}

// refuseLevel says why there is no answer.
func refuseLevel(k *ask.Inquiry, err error) {
	if need, ok := errors.AsType[*calc.NeedError](err); ok {
		k.Fail("%s: read the floor at more places along the arc", need.Why)
		return
	}
	k.Refuse(err)
}

// tellLevel tells the least gap.
func tellLevel(k *ask.Inquiry, in *calc.LevelInput, l *calc.Level) {
	least := l.Least.Down(calc.Millimetre / 10)
	k.Result("gap_least", calc.Dimension{Exact: l.Least, SetOut: least})
	k.Degrees("gap_least_angle", l.At.Tenth(), l.At)
	k.Result("bump", calc.Dimension{Exact: l.Bump, SetOut: l.Bump.Up(calc.Millimetre / 10)})
	switch {
	case least < 0 && in.Soffit:
		k.Headline("it strikes the soffit: %s too little at %s", k.Show(-least), lex.DegreeText(l.At.Tenth()))
	case in.Soffit:
		k.Headline("least gap over the leaf %s, at %s", k.Show(least), lex.DegreeText(l.At.Tenth()))
	case least < 0:
		k.Headline("it strikes the floor: %s too little at %s", k.Show(-least), lex.DegreeText(l.At.Tenth()))
	default:
		k.Headline("least gap under the leaf %s, at %s", k.Show(least), lex.DegreeText(l.At.Tenth()))
	}
	if in.Soffit {
		k.Working("closed %s over the leading end; the soffit comes %s below the line over the closed leaf", k.Show(in.GapLead), k.Show(l.Bump.Up(calc.Millimetre/10)))
	} else {
		k.Working("closed %s under the leading end; the floor rises %s above the line under the closed leaf", k.Show(in.GapLead), k.Show(l.Bump.Up(calc.Millimetre/10)))
	}
	if in.DX != 0 || in.DY != 0 {
		k.Working("the leaf's rise or sinking by the lean of its axis is in it")
	}
	for _, u := range l.Unread {
		switch {
		case in.Soffit && u.Heel:
			k.Mention("the soffit over the heel part was not read, from %s to %s", lex.DegreeText(u.From.Tenth()), lex.DegreeText(u.To.Tenth()))
		case in.Soffit:
			k.Mention("the soffit over the leading part was not read, from %s to %s", lex.DegreeText(u.From.Tenth()), lex.DegreeText(u.To.Tenth()))
		case u.Heel:
			k.Mention("the floor under the heel part was not read, from %s to %s", lex.DegreeText(u.From.Tenth()), lex.DegreeText(u.To.Tenth()))
		default:
			k.Mention("the floor under the leading part was not read, from %s to %s", lex.DegreeText(u.From.Tenth()), lex.DegreeText(u.To.Tenth()))
		}
	}
}

// drawLevel draws the floor under the leaf's path.
func drawLevel(k *ask.Inquiry, in *calc.LevelInput, l *calc.Level) {
	f := draw.Floor{At: l.At, Lead: !l.Heel && l.R > (in.Width-in.Setback)*3/4, Told: k.A.Headline}
	for _, ray := range in.Rays {
		r := draw.FloorReading{At: ray.At, Edge: k.Measure(ray.Points[len(ray.Points)-1].Z), Foot: in.ZLead + in.GapLead}
		if len(ray.Points) > 1 {
			r.Mid = k.Measure(ray.Points[0].Z)
		}
		f.Readings = append(f.Readings, r)
	}
	k.Draw(f)
}
