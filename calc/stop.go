package calc

import "cmp"

// CoverTo is what a cover is measured down to.
type CoverTo int

// What lies below. Where it is not said, the larger margin is kept.
const (
	UnsaidBelow CoverTo = iota
	Pipe                // a pipe, cable, tendon or membrane
	Back                // the back face, which a drill can break through
)

// CoverFrom is what a cover is measured down from.
type CoverFrom int

// Where a cover starts. Where it is not said, it is taken as measured from
// the top of the covering, which leaves less.
const (
	UnsaidAbove CoverFrom = iota
	Surface               // the surface that the hole depth is measured from
	OnCovering            // the top of the covering left in place
)

// Margins kept between the tip of a drill and what must not be hit, from
// memory: no published source was at hand.
const (
	pipeMargin = 10 * Millimetre
	backMargin = 30 * Millimetre // or twice the drill, if that is more
)

// StopInput is a hole to be drilled to a depth.
type StopInput struct {
	Depth     Length // of the hole, from the surface
	Template  Length // the drilling jig's thickness
	Covering  Length // a covering left in place, drilled through
	Bit       Length // diameter; 0: not given
	Point     Angle  // included angle of the drill's point; 0: not given
	FullBore  bool   // Depth is to be reached at full diameter
	HasCover  bool
	Cover     Length // from the surface to the nearest thing not to be hit
	CoverTo   CoverTo
	CoverFrom CoverFrom
	Margin    Length // to keep below the tip; 0: the margin for CoverTo
	Locator   Length // uncertainty of what located a pipe, kept besides; 0: 5 mm
	Aside     bool   // Sideways is known
	Sideways  Length // from the hole's centre to the pipe's edge, in plan
	Step      Length
}

// StopMark is where the depth mark goes on the bit, from the drill's tip.
type StopMark struct {
	Mark      Dimension // full bore: rounded up; else down
	Point     Length    // length of the drill's point; 0 if bit and angle are not given
	Tip       Length    // how deep the tip goes below the surface
	CoverLeft Dimension // what the tip leaves of the cover, rounded down
	Margin    Length    // what was kept
	Deducted  bool      // the covering was taken off the cover
	Beside    bool      // the hole passes beside the pipe, which needs no cover then
}

// StopDepth returns the distance from the drill's tip to its depth mark.
//
//	mark = depth + template + covering
//	full bore: + point length       tip = mark - template - covering
//	cover left = cover - tip
//
// The mark is rounded down, so that the tip is never deeper than asked; for
// a full bore it is rounded up, and the tip goes that much deeper. The
// covering is taken off a cover that was measured from its top, or may have
// been.
//
// StopDepth returns a [*RangeError] if a value is outside its range or if
// the tip leaves less than the margin: 10 mm over pipes and the locator's
// uncertainty, the larger of 30 mm and two diameters before the back face (all
// from memory), the larger of all where it is not said what lies below. Where
// the hole passes a pipe sideways by that margin and half a diameter, the pipe
// needs no cover. It returns a [*NeedError] if a
// full bore lacks the diameter or the point angle, or a margin the diameter.
func StopDepth(in StopInput) (StopMark, error) {
	var m StopMark
	if err := in.check(); err != nil {
		return m, err
	}
	if in.Bit > 0 && in.Point > 0 {
		point, err := PointLength(in.Bit, in.Point)
		if err != nil {
			return m, err
		}
		m.Point = point
	}
	exact := in.Depth + in.Template + in.Covering
	m.Mark = down(exact, in.Step)
	if in.FullBore {
		if in.Bit == 0 {
			return m, &NeedError{Name: "bit", Why: "the point of a full bore grows with the drill's diameter"}
		}
		if in.Point == 0 {
			return m, &NeedError{Name: "point", Why: "a full bore goes deeper by the drill's point, and points differ"}
		}
		m.Mark = up(exact+m.Point, in.Step)
	}
	m.Tip = m.Mark.SetOut - in.Template - in.Covering
	if m.Tip <= 0 {
		return m, &RangeError{Name: "tip_depth", Value: m.Tip, Bound: Above, Limit: Length(0), Why: "nothing is left of the depth after rounding"}
	}
	if in.Aside {
		if in.Bit == 0 {
			return m, &NeedError{Name: "bit", Why: "what is left beside a pipe goes by the drill's diameter"}
		}
		keep := in.overPipe()
		m.Beside = in.Sideways-(in.Bit+1)/2 >= keep
		if !m.Beside && !in.HasCover {
			return m, &RangeError{Name: "sideways", Value: in.Sideways, Bound: AtLeast, Limit: keep + (in.Bit+1)/2, Why: "the margin to keep beside a pipe, without a cover over it"}
		}
	}
	if !in.HasCover || m.Beside && in.CoverTo == Pipe {
		return m, nil
	}
	return m, m.leave(in)
}

// overPipe returns what is kept over a pipe and beside it.
func (in *StopInput) overPipe() Length {
	return cmp.Or(in.Margin, pipeMargin) + cmp.Or(in.Locator, LocatorUnsaid)
}

// leave works out what is left of the cover and refuses too little of it.
func (m *StopMark) leave(in StopInput) error {
	if in.Margin == 0 && in.CoverTo != Pipe && in.Bit == 0 {
		return &NeedError{Name: "bit", Why: "how much to leave before the back face goes by the drill's diameter"}
	}
	switch back := cmp.Or(in.Margin, max(backMargin, 2*in.Bit)); {
	case in.CoverTo == Back, m.Beside:
		m.Margin = back
	case in.CoverTo == Pipe:
		m.Margin = in.overPipe()
	default:
		m.Margin = max(back, in.overPipe())
	}
	cover := in.Cover
	if in.CoverFrom != Surface && in.Covering > 0 {
		cover -= in.Covering
		m.Deducted = true
	}
	m.CoverLeft = down(cover-m.Tip, in.Step)
	if m.CoverLeft.Exact < m.Margin {
		return &RangeError{Name: "cover_left", Value: m.CoverLeft.Exact, Bound: AtLeast, Limit: m.Margin, Why: "the margin to keep below the drill's tip"}
	}
	return nil
}

func (in *StopInput) check() error {
	for _, err := range []error{
		depthBounds.check(in.Depth),
		layerBounds.check(in.Template),
		layerBounds.named("covering", in.Covering),
		stepBounds.check(in.Step),
	} {
		if err != nil {
			return err
		}
	}
	if in.Bit != 0 {
		if err := depthBounds.named("bit", in.Bit); err != nil {
			return err
		}
	}
	if in.Point != 0 {
		if err := pointBounds.check(in.Point); err != nil {
			return err
		}
	}
	for _, err := range []error{layerBounds.named("locator", in.Locator), coverBounds.named("sideways", in.Sideways)} {
		if err != nil {
			return err
		}
	}
	if !in.HasCover {
		return nil
	}
	if err := coverBounds.check(in.Cover); err != nil {
		return err
	}
	if in.Margin != 0 {
		return marginBounds.check(in.Margin)
	}
	return nil
}

// PointLength returns the length of a twist drill's point.
//
//	L = (D/2) / tan(A/2)
//
// where D is the diameter and A the included angle of the point [S 2].
//
// It returns a [*RangeError] if D is outside 1 to 500 mm or A outside 60° to
// 180° (flat).
func PointLength(diameter Length, angle Angle) (Length, error) {
	if err := depthBounds.named("bit", diameter); err != nil {
		return 0, err
	}
	if err := pointBounds.check(angle); err != nil {
		return 0, err
	}
	sin, cos := angle.sincos()
	// 1/tan(A/2) = (1 + cos A)/sin A, and 0 for a flat point.
	if angle == HalfTurn {
		return 0, nil
	}
	return nearest(float64(diameter) / 2 * (1 + cos) / sin), nil
}
