package calc

import "math"

// ClearInput is an opening with its leaf turned.
type ClearInput struct {
	Turn      Turn   // Width is not read; Angle is how far the leaf stands open
	Opening   Length // between finished jambs
	GapHeel   Length
	GapLead   Length
	StopWidth Length // of the stop at the leading jamb, on the face the leaf shuts against
	Handle    Length // how far the handles stick out of a face
	HasReveal bool
	Reveal    Length // how far the axis lies behind the reveal's edge on the opening side
	Step      Length
}

// ClearWidths is the free width that an open leaf leaves.
type ClearWidths struct {
	Width      Length    // of the leaf: the opening less its gaps
	Clear      Dimension // on the leading side, rounded down
	AtRight    Dimension // Clear with the leaf at 90°, where rules measure
	Lost       Dimension // opening less Clear, rounded up
	HeelSide   Dimension // on the heel side, rounded down, never added to Clear
	AngleMax   Angle     // where the face meets the reveal's edge, 180° if nowhere; 0 without the reveal
	LeadRadius Dimension // sweep of the leading edge, rounded up
	HeelRadius Dimension // sweep of the heel edge, rounded up
	HeelGrowth Length    // what the heel edge needs of its gap in the turn
	LeadGrowth Length    // what the leading edge needs of its
}

// Clear returns the free width left by a leaf that stands open.
//
//	clear = W - s - gap - max x' - stop - handle
//	x' = x cos θ - y sin θ   over the four corners of the leaf
//
// where W is the opening, s the setback, gap the heel gap, θ the angle and
// (x, y) the leaf's corners from the axis, leaf closed: plane geometry.
// On the heel side min x' takes the place of max x'. An offset whose side
// is not known is taken on the worse face, and a handle counts in full at
// every angle.
//
// Above 90° the face can meet the edge of the reveal. With A = s + gap, d how
// far the axis lies behind that edge and T = t/2 + e,
//
//	angle_max = 180° - asin(T/hypot(A, d)) - atan2(d, A)
//
// The line of the face stands at T from the axis, and the angle is where it
// passes through the edge; 180° if it does not get there in a half turn, as
// when the whole leaf lies on the far side of the axis.
//
// Clear returns a [*RangeError] if a value is outside its range, if the leaf
// would be opened past angle_max, or if nothing is left free.
func Clear(in ClearInput) (ClearWidths, error) {
	var c ClearWidths
	t := in.Turn
	t.Width = in.Opening - in.GapHeel - in.GapLead
	if err := in.check(&t); err != nil {
		return c, err
	}
	c.Width = t.Width
	a := in.axis()
	free := in.Opening - a - in.StopWidth - in.Handle
	sin, cos := t.Angle.sincos()
	back, far := t.extremes(sin, cos)
	_, square := t.extremes(RightAngle.sincos())
	c.Clear = down(free-far, in.Step)
	c.AtRight = down(free-square, in.Step)
	if c.Clear.Exact <= 0 {
		return c, &RangeError{Name: "clear_width", Value: c.Clear.Exact, Bound: Above, Limit: Length(0), Why: "nothing is left free"}
	}
	c.Lost = up(in.Opening-c.Clear.Exact, in.Step)
	c.HeelSide = down(max(0, a+back-in.Handle), in.Step)
	half := float64(t.Thickness)/2 + math.Abs(float64(t.Offset.E))
	c.LeadRadius = up(nearest(hypot(float64(t.Width-t.Setback), half)), in.Step)
	c.HeelRadius = up(nearest(hypot(float64(t.Setback), half)), in.Step)
	heel, lead := t.faces()
	grow, _ := growth(float64(t.Setback), heel, t.Heel, sin, max(cos, 0))
	c.HeelGrowth = nearest(grow)
	grow, _ = growth(float64(t.Width-t.Setback), lead, t.Lead, sin, max(cos, 0))
	c.LeadGrowth = nearest(grow)
	return c, in.reveal(&t, &c)
}

// axis returns the distance from the heel jamb to the pivot axis.
func (in *ClearInput) axis() Length { return in.Turn.Setback + in.GapHeel }

// extremes returns the smallest and largest x of the leaf's corners when it
// is turned by an angle of the given sine and cosine; on the worse face each,
// if the side of the offset is not known.
func (t *Turn) extremes(sin, cos float64) (back, far Length) {
	heel, lead := -float64(t.Setback)*cos, float64(t.Width-t.Setback)*cos
	half, e := float64(t.Thickness)/2, float64(t.Offset.E)
	open, other := half+e, half-e
	if !t.Offset.Signed {
		open = half + math.Abs(e)
		other = open
	}
	return nearest(min(heel, lead) - open*sin), nearest(max(heel, lead) + other*sin)
}

// reveal works out how far the leaf can be opened and refuses more.
func (in *ClearInput) reveal(t *Turn, c *ClearWidths) error {
	if !in.HasReveal {
		return nil
	}
	e := float64(t.Offset.E)
	if !t.Offset.Signed {
		e = math.Abs(e)
	}
	face := float64(t.Thickness)/2 + e
	a, d := float64(in.axis()), float64(in.Reveal)
	r := hypot(a, d)
	if face > r {
		return &RangeError{Name: "reveal", Value: in.Reveal, Bound: AtLeast,
			Limit: nearest(math.Sqrt(face*face - a*a)), Why: "the reveal's edge would stand inside the leaf"}
	}
	c.AngleMax = HalfTurn
	if face > -r {
		c.AngleMax = min(HalfTurn, HalfTurn-degrees(math.Asin(face/r))-degrees(math.Atan2(d, a)))
	}
	if t.Angle > c.AngleMax {
		return &RangeError{Name: "angle", Value: t.Angle, Bound: AtMost, Limit: c.AngleMax.Tenth(),
			Why: "there the leaf's face meets the edge of the reveal"}
	}
	return nil
}

func (in *ClearInput) check(t *Turn) error {
	if err := openingBounds.check(in.Opening); err != nil {
		return err
	}
	if err := gapBounds.named("gap_heel", in.GapHeel); err != nil {
		return err
	}
	if err := gapBounds.named("gap_lead", in.GapLead); err != nil {
		return err
	}
	if err := layerBounds.named("stop_width", in.StopWidth); err != nil {
		return err
	}
	if err := layerBounds.named("handle", in.Handle); err != nil {
		return err
	}
	if err := faceBounds.named("reveal", in.Reveal); err != nil {
		return err
	}
	if err := stepBounds.check(in.Step); err != nil {
		return err
	}
	return t.check()
}
