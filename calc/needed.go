package calc

import "math"

// OpeningNeeded returns the opening between finished jambs that leaves a clear
// width with the leaf at 90°, rounded up.
//
//	opening = clear + s + gap + T + stop + handle
//
// where s is the setback, gap the heel gap and T the distance from the axis to
// the face on the leading side: t/2 - e, or t/2 + |e| where the side of the
// offset e is not known. It is [Clear] solved for the opening. in.Opening and
// in.Turn.Angle are not read; c is the same leaf in that opening.
//
// OpeningNeeded returns a [*RangeError] if the clear width or another value is
// outside its range.
func OpeningNeeded(in ClearInput, clear Length) (needed Dimension, c ClearWidths, err error) {
	if err := clearBounds.check(clear); err != nil {
		return Dimension{}, c, err
	}
	in.Turn.Width, in.Turn.Angle = 0, RightAngle
	if err := in.Turn.check(); err != nil {
		return Dimension{}, c, err
	}
	if err := eachWithin(named{&gapBounds, "gap_heel", in.GapHeel}, named{&layerBounds, "stop_width", in.StopWidth}, named{&layerBounds, "handle", in.Handle}, named{&stepBounds, "step", in.Step}); err != nil {
		return Dimension{}, c, err
	}
	half, e := float64(in.Turn.Thickness)/2, float64(in.Turn.Offset.E)
	face := half - e
	if !in.Turn.Offset.Signed {
		face = half + math.Abs(e)
	}
	needed = up(clear+in.axis()+nearest(face)+in.StopWidth+in.Handle, in.Step)
	in.Opening = needed.SetOut
	c, err = Clear(in)
	return needed, c, err
}

// EvenGapFor returns the gap that a leaf needs on both sides when it is made
// to fill the opening that leaves a clear width, rounded up to the step. The
// gaps of in are not read. It returns the errors of [OpeningNeeded].
func EvenGapFor(in ClearInput, clear, clearance Length) (Length, error) {
	in.Turn.Width = 0
	g, err := Gap(in.Turn, clearance, in.Step)
	// As in EvenGap: a wider gap makes a narrower leaf.
	for even := Length(-1); err == nil && even != g.EvenGap; {
		even = g.EvenGap
		in.GapHeel, in.GapLead = even, even
		var c ClearWidths
		if _, c, err = OpeningNeeded(in, clear); err != nil {
			return 0, err
		}
		t := in.Turn
		t.Width = c.Width
		g, err = Gap(t, clearance, in.Step)
	}
	return g.EvenGap, err
}

// OpeningFor returns the opening that a leaf of a width needs with its gaps,
// rounded up; over a height likewise.
//
//	opening = w + gap + gap
//
// It is a sum along one line, and returns a [*RangeError] if a value is outside
// its range.
func OpeningFor(width, heel, lead, step Length) (Dimension, error) {
	if err := eachWithin(named{&widthBounds, "width", width}, named{&gapBounds, "gap_heel", heel}, named{&gapBounds, "gap_lead", lead}, named{&stepBounds, "step", step}); err != nil {
		return Dimension{}, err
	}
	return up(width+heel+lead, step), nil
}

// HeightFor returns the height between floor and head that a leaf needs with the
// gaps over and under it and a floor still to come, rounded up: their sum. It
// returns a [*RangeError] if a value is outside its range.
func HeightFor(height, top, bottom, finish, step Length) (Dimension, error) {
	if err := eachWithin(named{&heightBounds, "height", height}, named{&gapBounds, "gap_top", top}, named{&gapBounds, "gap_bottom", bottom},
		named{&layerBounds, "finish", finish}, named{&stepBounds, "step", step}); err != nil {
		return Dimension{}, err
	}
	return up(height+top+bottom+finish, step), nil
}

// DepthReached returns how deep below the surface a drill's tip goes with its
// mark at a distance from the tip, rounded up.
//
//	depth = mark - template - covering
//
// It is [StopDepth] solved for the depth, and returns a [*RangeError] if a value
// is outside its range or nothing is left.
func DepthReached(mark, template, covering, step Length) (Dimension, error) {
	if err := eachWithin(named{&markBounds, "mark", mark}, named{&layerBounds, "template", template}, named{&layerBounds, "covering", covering}, named{&stepBounds, "step", step}); err != nil {
		return Dimension{}, err
	}
	exact := mark - template - covering
	if exact <= 0 {
		return Dimension{}, &RangeError{Name: "mark", Value: mark, Bound: Above, Limit: template + covering, Why: "template and covering alone take that"}
	}
	return up(exact, step), nil
}

// Fit tells whether a leaf turns in a gap.
type Fit struct {
	Fits   bool
	Need   Length // growth and clearance, not rounded
	Spare  Length // gap less Need: below 0 it is missing
	Growth Length
}

// GapFits reports whether a gap is enough for a leaf's heel edge to turn, and
// what is spare or missing.
//
//	spare = gap - (growth + c)
//
// with the growth of [Gap]. It returns the errors of [Gap], and a [*RangeError]
// if the gap is outside its range. t.Width is not read.
func GapFits(t Turn, gap, clearance Length) (Fit, error) {
	if err := gapBounds.check(gap); err != nil {
		return Fit{}, err
	}
	t.Width = 0
	g, err := Gap(t, clearance, Millimetre)
	if err != nil {
		return Fit{}, err
	}
	need := g.HeelGap.Exact
	return Fit{Fits: gap >= need, Need: need, Spare: gap - need, Growth: g.HeelGrowth}, nil
}
