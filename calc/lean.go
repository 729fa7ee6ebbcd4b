package calc

import "math"

// LeanInput is a pivot axis out of plumb and the leaf that hangs on it.
type LeanInput struct {
	DX      Length // how far the head pivot's centre stands from the plumb line through the floor pivot's, towards the leading jamb
	DY      Length // the same, towards the side the leaf opens to
	Height  Length // between the pivots
	Sheet   Length // the hardware sheet's own limit; 0: none
	Width   Length // 0: not known, and no rise
	Setback Length
	Offset  Length // of the axis from the mid-plane, towards the face away from the opening side
	Mass    Mass   // 0: not known, and no torque
	CentreX Length // of gravity, from the heel edge
	Angle   Angle  // for which torque and rise are asked
}

// Lean is what a pivot axis out of plumb does.
type Lean struct {
	Limit     Length // that the lean must keep
	Within    bool
	Lean      Length
	Direction Angle // from the closed leaf towards the opening side
	LeanAngle Angle // from plumb
	Taper     Length
	RestAngle Angle          // where the leaf comes to rest by itself, above -180° and to 180°
	Torque    Figure[Torque] // by its own weight, towards the rest angle, rounded up
	Closes    bool           // that is towards closed
	Rise      Length         // of the leading edge, from closed to Angle
	HeelRise  Length         // of the heel edge
}

var (
	axisBounds   = bounds[Length]{"lean", -200 * Millimetre, 200 * Millimetre}
	centreBounds = bounds[Length]{"centre_x", 0, 6000 * Millimetre}
)

// LeanOf returns what a pivot axis out of plumb does to a leaf.
//
//	δ = hypot(dx, dy)   ψ = atan2(dy, dx)
//	rest = ψ + atan2(−e, c − s)   arm = hypot(c − s, e)
//	torque = m·g·arm·sin(atan(δ/h))·sin(θ − rest)
//	rise = r·(δ/h)·(cos ψ − cos(θ − ψ))   taper = dx
//
// where dx and dy say how far the head pivot's centre stands from the plumb
// line through the floor pivot's, h is the height between the pivots, m the
// mass, c the distance of the centre of gravity from the heel edge, s the
// setback, e the offset of the axis from the mid-plane, θ the angle of the
// leaf and r the distance from the axis: w − s for the leading edge, −s for
// the heel edge. The leaf's weight turns it to where the axis leans, as a
// pendulum on a tilted axis: plane statics, small δ/h. The limit is that of
// [PlumbLimit].
//
// LeanOf returns a [*RangeError] if a value is out of bounds.
func LeanOf(in LeanInput) (Lean, error) {
	limit, err := in.check()
	if err != nil {
		return Lean{}, err
	}
	dx, dy, h := float64(in.DX), float64(in.DY), float64(in.Height)
	lean := hypot(dx, dy)
	l := Lean{Limit: limit, Lean: nearest(lean), Taper: in.DX, LeanAngle: degrees(math.Atan(lean / h))}
	l.Within = l.Lean <= limit
	if in.DX == 0 && in.DY == 0 {
		return l, nil
	}
	l.Direction = degrees(math.Atan2(dy, dx))
	if in.Width != 0 {
		l.Rise = in.rise(in.Width - in.Setback)
		l.HeelRise = in.rise(-in.Setback)
	}
	arm, e := float64(in.CentreX-in.Setback), float64(in.Offset)
	if in.Mass == 0 || arm == 0 && e == 0 {
		return l, nil
	}
	l.RestAngle = turned(l.Direction + degrees(math.Atan2(-e, arm)))
	sin, _ := (in.Angle - l.RestAngle).sincos()
	torque := float64(in.Mass) * gravity * hypot(arm, e) / float64(Metre) * lean / hypot(lean, h) * sin
	l.Torque, l.Closes = upTo(Torque(math.Abs(torque)), 10), torque > 0
	return l, nil
}

// rise returns by how much a point at the distance r from the axis, towards
// the leading edge, is higher at the angle than closed.
func (in *LeanInput) rise(r Length) Length {
	// δ·cos ψ is dx, and δ·cos(θ − ψ) is dx·cos θ + dy·sin θ.
	sin, cos := in.Angle.sincos()
	dx, dy := float64(in.DX), float64(in.DY)
	return nearest(float64(r) / float64(in.Height) * (dx - dx*cos - dy*sin))
}

// turned returns a as an angle above -180° and to 180°.
func turned(a Angle) Angle {
	for a > HalfTurn {
		a -= 2 * HalfTurn
	}
	for a <= -HalfTurn {
		a += 2 * HalfTurn
	}
	return a
}

func (in *LeanInput) check() (Length, error) {
	limit, err := PlumbLimit(in.Height, in.Sheet)
	if err != nil {
		return 0, err
	}
	if err := axisBounds.check(in.DX); err != nil {
		return 0, err
	}
	if err := axisBounds.check(in.DY); err != nil {
		return 0, err
	}
	if err := setbackBounds.check(in.Setback); err != nil {
		return 0, err
	}
	if in.Width != 0 {
		if err := checkWidth(in.Width, in.Setback); err != nil {
			return 0, err
		}
	}
	if err := offsetBounds.check(in.Offset); err != nil {
		return 0, err
	}
	if err := angleBounds.check(in.Angle); err != nil {
		return 0, err
	}
	if in.Mass == 0 {
		return limit, nil
	}
	if err := massBounds.check(in.Mass); err != nil {
		return 0, err
	}
	if in.CentreX > in.Width {
		return 0, &RangeError{Name: "centre_x", Value: in.CentreX, Bound: AtMost, Limit: in.Width, Why: "the leaf's width"}
	}
	return limit, centreBounds.check(in.CentreX)
}
