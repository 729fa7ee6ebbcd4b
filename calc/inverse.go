package calc

import "math"

// checkInverse returns what a gap leaves for the growth, or an error.
func checkInverse(t *Turn, gap, clearance, step Length) (k float64, err error) {
	if err := checkRunning(clearance, step); err != nil {
		return 0, err
	}
	if err := gapBounds.check(gap); err != nil {
		return 0, err
	}
	if gap <= clearance {
		return 0, &RangeError{Name: "gap", Value: gap, Bound: Above, Limit: clearance, Why: "the clearance alone takes that"}
	}
	if err := offsetBounds.check(t.Offset.E); err != nil {
		return 0, err
	}
	if t.Angle < RightAngle {
		return 0, &RangeError{Name: "angle", Value: t.Angle, Bound: AtLeast, Limit: RightAngle,
			Why: "worked for leaves that open by a quarter turn or more"}
	}
	return float64(gap - clearance), angleBounds.check(t.Angle)
}

// SetbackMin returns the least setback with which a leaf turns in a gap,
// rounded up to step. t.Setback is not read.
//
//	square     s = (T² - k²)/(2k)
//	rounded    s = r + ((T - r)² - k²)/(2k)
//	chamfered  the larger of ((T - a)² - k²)/(2k) and (T² + a² - k²)/(2(k + a))
//
// where k is the gap less the clearance, T the distance from the axis to the
// face that the heel corner comes round on, r the radius and a the size of
// the chamfer: [Gap] solved for s. It is 0 or more and never below a or r.
//
// SetbackMin returns a [*RangeError] if a value is outside its range, if the
// gap is not above the clearance, if the swing is below 90°, or if no
// setback within its range will do.
func SetbackMin(t Turn, gap, clearance, step Length) (Dimension, error) {
	k, err := checkInverse(&t, gap, clearance, step)
	if err != nil {
		return Dimension{}, err
	}
	if err := thicknessBounds.check(t.Thickness); err != nil {
		return Dimension{}, err
	}
	if err := t.Heel.check(t.Thickness, setbackBounds.max, ""); err != nil {
		return Dimension{}, err
	}
	face, _ := t.faces()
	s, size := 0.0, float64(t.Heel.Size)
	// A corner at or beyond the axis (y ≤ 0) only moves away.
	sagitta := func(y float64) float64 { y = max(y, 0); return (y*y - k*k) / (2 * k) }
	switch t.Heel.Form {
	case Square:
		s = sagitta(face)
	case Rounded:
		s = size + max(0, sagitta(face-size))
	case Chamfered:
		s = max(size, sagitta(face-size))
		if face > 0 {
			s = max(s, (face*face+size*size-k*k)/(2*(k+size)))
		}
	}
	exact := nearest(max(0, s))
	if err := setbackBounds.check(exact); err != nil {
		return Dimension{}, err
	}
	least := up(exact, step)
	return least, setbackBounds.check(least.SetOut)
}

// ThicknessMax returns the greatest thickness with which a leaf turns in a
// gap, rounded down to step. t.Thickness is not read.
//
//	t = 2(X - e)
//	square     X = √(k² + 2ks)
//	rounded    X = r + √(k² + 2k(s - r))
//	chamfered  X = the smaller of a + √(k² + 2ks) and √((s + k)² - (s - a)²)
//
// where k is the gap less the clearance, s the setback, e the offset (its
// size, unless the leaf opens one way and the side is known), r the radius
// and a the size of the chamfer: [Gap] solved for t.
//
// ThicknessMax returns a [*RangeError] if a value is outside its range, if
// the gap is not above the clearance, if the swing is below 90°, or if the
// thickness comes out outside its range or below twice the edge's size.
func ThicknessMax(t Turn, gap, clearance, step Length) (Dimension, error) {
	k, err := checkInverse(&t, gap, clearance, step)
	if err != nil {
		return Dimension{}, err
	}
	if err := setbackBounds.check(t.Setback); err != nil {
		return Dimension{}, err
	}
	if err := t.Heel.check(2*t.Heel.Size, t.Setback, "the setback"); err != nil {
		return Dimension{}, err
	}
	s, size := float64(t.Setback), float64(t.Heel.Size)
	x := math.Sqrt(k*k + 2*k*s)
	switch t.Heel.Form {
	case Rounded:
		x = size + math.Sqrt(k*k+2*k*(s-size))
	case Chamfered:
		x = min(size+x, math.Sqrt((s+k)*(s+k)-(s-size)*(s-size)))
	}
	e := float64(t.Offset.E)
	if t.Swing == BothWays || !t.Offset.Signed {
		e = math.Abs(e)
	}
	exact := nearest(2 * (x - e))
	if err := thicknessBounds.check(exact); err != nil {
		return Dimension{}, err
	}
	most := down(exact, step)
	if err := thicknessBounds.check(most.SetOut); err != nil {
		return Dimension{}, err
	}
	return most, t.Heel.check(most.SetOut, t.Setback, "the setback")
}
