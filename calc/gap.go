package calc

// Gaps is what a leaf needs on either side to turn.
type Gaps struct {
	HeelGrowth   Length    // how much nearer the heel edge gets to its jamb
	HeelGap      Dimension // growth and clearance, rounded up
	LeadGrowth   Length    // 0 without the width, like LeadGap and OpeningWidth
	LeadGap      Dimension
	EvenGap      Length    // the larger of the two rounded gaps
	OpeningWidth Dimension // the leaf with EvenGap on both sides, rounded up
}

// Gap returns the gaps a leaf needs beside it to turn.
//
//	growth = hypot(s, T) - s        gap = growth + c
//
// where s is the setback, T the distance from the axis to the face that the
// corner comes round on (t/2 + |e| both ways, t/2 + e one way; at the
// leading edge w - s and t/2 - e) and c the clearance. The growth is the
// sagitta of the chord 2T on the radius hypot(s, T) [S 1]. Chamfered and
// rounded edges, and leaves that stop before the corner has come round, are
// the same rule for other points of the edge. Gaps are rounded up to step;
// the opening is worked from the rounded gap.
//
// Without t.Width only the heel is answered. Gap returns a [*RangeError] if
// a value is outside its range, if the setback is more than half the width,
// or if an edge is larger than half the thickness or than its distance from
// the axis.
func Gap(t Turn, clearance, step Length) (Gaps, error) {
	var g Gaps
	if err := t.check(); err != nil {
		return g, err
	}
	if err := checkRunning(clearance, step); err != nil {
		return g, err
	}
	heelFace, leadFace := t.faces()
	sin, cos := min(t.Angle, RightAngle).sincos()
	grow, _ := growth(float64(t.Setback), heelFace, t.Heel, sin, cos)
	g.HeelGrowth = nearest(grow)
	g.HeelGap = up(g.HeelGrowth+clearance, step)
	g.EvenGap = g.HeelGap.SetOut
	if t.Width == 0 {
		return g, nil
	}
	grow, _ = growth(float64(t.Width-t.Setback), leadFace, t.Lead, sin, cos)
	g.LeadGrowth = nearest(grow)
	g.LeadGap = up(g.LeadGrowth+clearance, step)
	g.EvenGap = max(g.HeelGap.SetOut, g.LeadGap.SetOut)
	g.OpeningWidth = up(t.Width+2*g.EvenGap, step)
	return g, nil
}

func checkRunning(clearance, step Length) error {
	if err := clearanceBounds.check(clearance); err != nil {
		return err
	}
	return stepBounds.check(step)
}

// EvenGap returns the gap that a leaf needs on both sides when it is made to
// fill an opening between jambs, rounded up to step. t.Width is not read:
// it is what the gaps leave. It returns the errors of [Gap].
func EvenGap(t Turn, opening, clearance, step Length) (Length, error) {
	t.Width = 0
	g, err := Gap(t, clearance, step)
	// A wider gap makes a narrower leaf, whose leading edge needs more: the
	// gap only grows, by whole steps, so this ends.
	for even := Length(-1); err == nil && even != g.EvenGap; {
		even = g.EvenGap
		t.Width = opening - 2*even
		if t.Width < widthBounds.min {
			return 0, widthBounds.check(t.Width)
		}
		g, err = Gap(t, clearance, step)
	}
	return g.EvenGap, err
}

// Tolerance is how far each dimension may be off, either way.
type Tolerance struct{ Thickness, Setback, Offset, Clearance Length }

// GapSpread is the heel gap needed by leaves within a tolerance: whole,
// unrounded gaps.
type GapSpread struct{ Worst, Best, RSS Length }

// GapTolerance returns the heel gap that leaves within a tolerance need.
//
//	rss = gap + √Σ(∂·Δ)²    ∂t = sin φ/2, ∂s = cos φ - 1, ∂e = sin φ, ∂c = 1
//
// where φ is the direction from the axis to the corner where it is nearest
// to the jamb, so sin φ = T/R and cos φ = s/R for a square edge. Worst and
// best come from the extremes: the gap grows with t, e and c and shrinks
// with s. The root-sum-square is the law of propagation of uncertainty
// [S 8] for independent values.
//
// It returns the errors of [Gap], also for the extremes, and a [*RangeError]
// if a tolerance is below 0.
func GapTolerance(t Turn, clearance Length, tol Tolerance) (GapSpread, error) {
	if err := tol.check(); err != nil {
		return GapSpread{}, err
	}
	t.Width = 0
	worst, best, nominal := t, t, t
	worst.Thickness += tol.Thickness
	best.Thickness -= tol.Thickness
	worst.Setback -= tol.Setback
	best.Setback += tol.Setback
	worst.Offset, best.Offset = t.spread(tol.Offset)
	for _, x := range []*Turn{&nominal, &worst, &best} {
		if err := x.check(); err != nil {
			return GapSpread{}, err
		}
	}
	if tol.Clearance > clearance {
		return GapSpread{}, &RangeError{Name: "clearance", Value: clearance - tol.Clearance, Bound: AtLeast, Limit: Length(0)}
	}
	if err := clearanceBounds.check(clearance + tol.Clearance); err != nil {
		return GapSpread{}, err
	}
	grow, at := nominal.heelGrowth()
	most, _ := worst.heelGrowth()
	least, _ := best.heelGrowth()
	spread := hypot(
		hypot(at.sin/2*float64(tol.Thickness), (at.cos-1)*float64(tol.Setback)),
		hypot(at.sin*float64(tol.Offset), float64(tol.Clearance)))
	return GapSpread{
		Worst: nearest(most) + clearance + tol.Clearance,
		Best:  nearest(least) + clearance - tol.Clearance,
		RSS:   nearest(grow+spread) + clearance,
	}, nil
}

func (tol *Tolerance) check() error {
	for _, v := range []struct {
		name string
		l    Length
	}{
		{"thickness_tolerance", tol.Thickness}, {"setback_tolerance", tol.Setback},
		{"offset_tolerance", tol.Offset}, {"clearance_tolerance", tol.Clearance},
	} {
		if v.l < 0 {
			return &RangeError{Name: v.name, Value: v.l, Bound: AtLeast, Limit: Length(0)}
		}
	}
	return nil
}

func (t *Turn) heelGrowth() (float64, corner) {
	face, _ := t.faces()
	sin, cos := min(t.Angle, RightAngle).sincos()
	return growth(float64(t.Setback), face, t.Heel, sin, cos)
}

// spread returns the offsets that need the most and the least gap at the
// heel. Where only the size of the offset counts, an offset that may be 0
// is 0 at best.
func (t *Turn) spread(tol Length) (worst, best Offset) {
	worst, best = t.Offset, t.Offset
	if t.Swing == OneWay && t.Offset.Signed {
		worst.E += tol
		best.E -= tol
		return worst, best
	}
	worst.E = t.Offset.E.Abs() + tol
	best.E = max(0, t.Offset.E.Abs()-tol)
	return worst, best
}
