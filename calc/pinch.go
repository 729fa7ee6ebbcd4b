package calc

import "math"

// The safety distances of power-operated doors for fingers (EN 16005, from
// memory), here a yardstick only: between them a finger goes in and is
// crushed. The least for a child's finger is the project's own. Toes and body
// are those of ISO 13854, from memory.
const (
	childGap  = 4 * Millimetre
	fingerGap = 8 * Millimetre
	freeGap   = 25 * Millimetre
	toesGap   = 50 * Millimetre
	bodyGap   = 500 * Millimetre
)

// PinchInput is a leaf, its gaps, and how far it opens.
type PinchInput struct {
	Thickness Length
	Setback   Length
	Width     Length // 0: not known, and the leading edge is not looked at
	Offset    Length // of the axis from the mid-plane, towards the face away from the opening side
	GapHeel   Length
	GapLead   Length
	GapBottom Length // 0: not known
	Angle     Angle  // how far it opens
}

// AngleSpan is a stretch of a swing; empty if From is To.
type AngleSpan struct{ From, To Angle }

// Nip is the gap between an edge and its jamb along a swing, on one face of
// the leaf.
type Nip struct {
	Tightest Length
	At       Angle        // where it is tightest
	Trap     [2]AngleSpan // where fingers are caught: 8 to 25 mm
	Child    [2]AngleSpan // where a child's may be: 4 to 8 mm
}

// Pinch is where a leaf can catch somebody.
type Pinch struct {
	HeelRound   Nip // heel edge, on the face it comes round on
	HeelOther   Nip // heel edge, on the other face
	LeadRound   Nip // leading edge likewise; zero without the width
	LeadOther   Nip
	Toes        bool   // the gap under the leaf lets toes in and is less than 50 mm
	Passage     Length // between the heel jamb and the leaf at 90°, rounded down to the nanometre
	CatchesBody bool   // the passage is one for fingers and more, and less than 500 mm
}

// PinchOf returns where fingers, toes or a body can be caught.
//
//	gap(θ) = s + g − (s·cos θ + T·sin θ)
//
// for the heel corner that comes round on the face at T = t/2 + e, and with
// −(t/2 − e) in place of T for that of the other face; at the leading edge
// with w − s in place of s and −e in place of e. s is the setback, g the gap,
// t the thickness, e the offset of the axis. The corner goes along R·cos(θ −
// φ), R = hypot(s, T), φ = atan2(T, s), so a gap v is met where cos(θ − φ) =
// (s + g − v)/R. The passage is s + g − T at 90°. Edges are taken as square.
//
// The distances are those of power-operated doors (EN 16005) and of ISO
// 13854, from memory: a yardstick for a leaf pushed by hand.
//
// PinchOf returns a [*RangeError] if a value is out of bounds or the leaf can't
// turn in its gaps.
func PinchOf(in PinchInput) (Pinch, error) {
	if err := in.check(); err != nil {
		return Pinch{}, err
	}
	half, e := float64(in.Thickness)/2, float64(in.Offset)
	s, g := float64(in.Setback), float64(in.GapHeel)
	p := Pinch{
		HeelRound: nip(s, half+e, g, in.Angle),
		HeelOther: nip(s, e-half, g, in.Angle),
		Toes:      in.GapBottom >= fingerGap && in.GapBottom < toesGap,
		Passage:   Length(math.Floor(s + g - half - e)),
	}
	p.CatchesBody = p.Passage >= freeGap && p.Passage < bodyGap
	if in.Width != 0 {
		r, g := float64(in.Width-in.Setback), float64(in.GapLead)
		p.LeadRound = nip(r, half-e, g, in.Angle)
		p.LeadOther = nip(r, -e-half, g, in.Angle)
	}
	for _, n := range [2]*Nip{&p.HeelRound, &p.LeadRound} {
		if n.Tightest < 0 {
			name := "gap_heel"
			gap := in.GapHeel
			if n == &p.LeadRound {
				name, gap = "gap_lead", in.GapLead
			}
			return Pinch{}, &RangeError{Name: name, Value: gap, Bound: AtLeast, Limit: gap - n.Tightest, Why: "the leaf can't turn in less"}
		}
	}
	return p, nil
}

// nip follows the gap of a corner at the distance x from the axis towards the
// jamb and y towards the face it comes round on, behind the gap g.
func nip(x, y, g float64, to Angle) Nip {
	r, top := hypot(x, y), math.Atan2(y, x) // where the corner is nearest to the jamb
	n := Nip{At: min(max(0, degrees(top)), to)}
	n.Tightest = nearest(x + g - cornerAt(x, y, n.At))
	child, finger, free := halfWidth(r, x+g, childGap), halfWidth(r, x+g, fingerGap), halfWidth(r, x+g, freeGap)
	n.Trap, n.Child = within(top, finger, free, to), within(top, child, finger, to)
	return n
}

// cornerAt returns how near to its jamb the corner is.
func cornerAt(x, y float64, at Angle) float64 {
	sin, cos := at.sincos()
	return x*cos + y*sin
}

// within returns where in a swing the gap is between two, from how far the corner is
// from its nearest there: on the way in and on the way out.
func within(top, inner, outer float64, to Angle) (spans [2]AngleSpan) {
	clip := func(from, until float64) AngleSpan {
		a, b := max(0, degrees(from)), min(to, degrees(until))
		if a >= b {
			return AngleSpan{}
		}
		return AngleSpan{a, b}
	}
	spans[0], spans[1] = clip(top-outer, top-inner), clip(top+inner, top+outer)
	if spans[0] == (AngleSpan{}) {
		// Where it is nearest before the swing begins, it may come near again at its end.
		spans[0], spans[1] = spans[1], clip(top+2*math.Pi-outer, top+2*math.Pi-inner)
	}
	if inner == 0 && spans[1] != (AngleSpan{}) && spans[0].To >= spans[1].From {
		spans[0].To, spans[1] = spans[1].To, AngleSpan{}
	}
	return spans
}

// halfWidth returns how far from its nearest a corner at the distance r from the axis
// is where the gap is v, and the jamb at the distance at.
func halfWidth(r, at float64, v Length) float64 {
	if r == 0 { // the corner is the axis and stays where it is
		if at < float64(v) {
			return math.Pi
		}
		return 0
	}
	return math.Acos(min(1, max(-1, (at-float64(v))/r)))
}

func (in *PinchInput) check() error {
	if err := thicknessBounds.check(in.Thickness); err != nil {
		return err
	}
	if err := setbackBounds.check(in.Setback); err != nil {
		return err
	}
	if err := offsetBounds.check(in.Offset); err != nil {
		return err
	}
	if in.Offset.Abs() > in.Thickness/2 {
		return &RangeError{Name: "offset", Value: in.Offset.Abs(), Bound: AtMost, Limit: in.Thickness / 2, Why: "half the thickness"}
	}
	if err := gapBounds.named("gap_heel", in.GapHeel); err != nil {
		return err
	}
	if err := gapBounds.named("gap_lead", in.GapLead); err != nil {
		return err
	}
	if err := gapBounds.named("gap_bottom", in.GapBottom); err != nil {
		return err
	}
	if err := angleBounds.check(in.Angle); err != nil {
		return err
	}
	if in.Width == 0 {
		return nil
	}
	return checkWidth(in.Width, in.Setback)
}
