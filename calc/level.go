package calc

import (
	"cmp"
	"math"
	"slices"
)

// FloorPoint is a reading of the floor, or of the soffit.
type FloorPoint struct {
	R Length // from the pivot axis
	Z Length // height over any one level line
}

// FloorRay is a line of readings out from the pivot axis, nearest first.
type FloorRay struct {
	At     Angle // from the closed leaf towards the opening side, above -180° and to 180°
	Points []FloorPoint
}

// LevelInput is a floor as read, and the leaf that sweeps it.
type LevelInput struct {
	Width, Setback Length
	Height         Length // between the pivots
	DX, DY         Length // as in [LeanInput]
	GapLead        Length // closed, at the leading end
	GapHeel        Length // closed, at the heel end
	ZLead          Length // the floor where they were measured, over the same level line
	ZHeel          Length
	Rays           []FloorRay // in ascending order of angle
	From, To       Angle      // the swing: 0 to 90, or -90 to 90 both ways
	Soffit         bool       // it is the gap over the leaf
}

// UnreadSpan is a stretch of the swing for which the floor under a part of the
// leaf was not read.
type UnreadSpan struct {
	Heel bool // under the heel part, else under the leading part
	AngleSpan
}

// Level is the least gap of a swing.
type Level struct {
	Least  Length // may be below 0: the leaf strikes
	At     Angle  // of the leaf
	Heel   bool   // under its heel part
	R      Length // from the axis
	Bump   Length // how far the highest floor under the sweep stands above the line of the feet, never below 0
	Inward Length // within this of the axis nothing was read: the floor there is taken as high as the nearest reading on its line
	Unread []UnreadSpan
}

var (
	floorHeightBounds = bounds[Length]{"floor", -500 * Millimetre, 500 * Millimetre}
	radiusBounds      = bounds[Length]{"radius", 0, 7000 * Millimetre}
	swingBounds       = bounds[Angle]{"swing", -HalfTurn, HalfTurn}
)

// Between two lines of readings the floor is taken as straight if they are no
// further apart than this; the outermost reading may fall short of the end of
// the leaf by so much. Both are the project's own.
const (
	rayApart   Angle = 30
	readingOff       = 50 * Millimetre
)

// LevelOf returns the least gap under a leaf in its swing.
//
//	gap(θ, r) = foot(r) + r·(cos ψ − cos(θ − ψ))·δ/h − floor(θ, r)
//
// foot(r) is the straight line through the heights of the leaf's foot closed,
// the gap there and the floor under it; the second term the rise of [LeanOf];
// r counts from the axis towards the leading edge, and for the heel part, which
// stands over the floor at θ + 180°, it is below 0. Between readings the floor
// is taken as straight, along each line out from the axis and round it. The gap
// is then straight in r between readings, and along the swing it is least at a
// line of readings or where sin(θ − ψ)·r·δ/h equals the floor's slope; all such
// places are looked at. Stretches between lines more than 30° apart, and lines
// that end more than 50 mm before the leaf does, are unread: nothing is said of
// them. From the axis to the first reading of a line the floor is taken as high
// as that, and Inward says how far that goes. Over the leaf the same holds with the heights turned round.
//
// LevelOf returns a [*RangeError] if a value is out of bounds or the lines are
// out of order, and a [*NeedError] if nothing of the sweep was read.
func LevelOf(in LevelInput) (Level, error) {
	if err := in.check(); err != nil {
		return Level{}, err
	}
	s := sweep{in: &in, least: Level{Least: math.MaxInt64, Bump: math.MinInt64}}
	s.part(false, in.Width-in.Setback, in.From, in.To)
	s.part(true, in.Setback, in.From, in.To)
	if s.least.Least == math.MaxInt64 {
		return Level{}, &NeedError{Name: "floor", Why: "no two lines of readings lie under the sweep, 30° apart or less"}
	}
	s.least.Bump = max(0, s.least.Bump)
	return s.least, nil
}

// sweep goes over the floor under a leaf.
type sweep struct {
	in    *LevelInput
	least Level
}

// part looks at the leading or the heel part of the leaf, of a length.
func (s *sweep) part(heel bool, length Length, from, to Angle) {
	if length == 0 {
		return
	}
	var over Angle
	if heel {
		over = HalfTurn
	}
	unread := func(a, b Angle) {
		if a = max(a, from); b > a {
			s.least.Unread = append(s.least.Unread, UnreadSpan{heel, AngleSpan{a, min(b, to)}})
		}
	}
	rays := s.under(over, from, to)
	last := from
	for i := range rays[:max(0, len(rays)-1)] {
		a, b := &rays[i], &rays[i+1]
		if b.At <= from || a.At >= to {
			continue
		}
		if b.At-a.At > rayApart || !a.reaches(length) || !b.reaches(length) {
			continue
		}
		unread(last, a.At)
		s.least.Inward = max(s.least.Inward, a.Points[0].R, b.Points[0].R)
		s.between(heel, a, b, max(from, a.At), min(to, b.At), length)
		last = b.At
	}
	unread(last, to)
}

// under returns the rays by the angle of the leaf when its part stands over
// them, those of a whole turn on either side of the swing among them.
func (s *sweep) under(over, from, to Angle) (rays []FloorRay) {
	for _, turn := range [3]Angle{-2 * HalfTurn, 0, 2 * HalfTurn} {
		for _, r := range s.in.Rays {
			if at := r.At + turn - over; at >= from-rayApart && at <= to+rayApart {
				rays = append(rays, FloorRay{at, r.Points})
			}
		}
	}
	slices.SortStableFunc(rays, func(a, b FloorRay) int { return cmp.Compare(a.At, b.At) })
	return rays
}

// reaches says whether the readings go as far as the leaf.
func (r *FloorRay) reaches(length Length) bool {
	return len(r.Points) > 0 && r.Points[len(r.Points)-1].R >= length-readingOff
}

// at returns the floor's height on a ray, straight between readings and level
// before the first and after the last.
func (r *FloorRay) at(radius float64) float64 {
	p := r.Points
	i, found := slices.BinarySearchFunc(p, radius, func(p FloorPoint, r float64) int { return cmp.Compare(float64(p.R), r) })
	switch {
	case found || i == 0:
		return float64(p[i].Z)
	case i == len(p):
		return float64(p[i-1].Z)
	}
	a, b := p[i-1], p[i]
	return float64(a.Z) + float64(b.Z-a.Z)*(radius-float64(a.R))/float64(b.R-a.R)
}

// between looks at the floor between two rays, for the leaf from one angle to
// another.
func (s *sweep) between(heel bool, a, b *FloorRay, from, to Angle, length Length) {
	look := func(r Length) {
		if r <= length {
			s.along(heel, a, b, from, to, float64(r))
		}
	}
	for _, ray := range [2]*FloorRay{a, b} {
		for _, p := range ray.Points {
			look(p.R)
		}
	}
	look(0)
	look(length)
}

// along looks at one radius between two rays.
func (s *sweep) along(heel bool, a, b *FloorRay, from, to Angle, r float64) {
	za, zb := a.at(r), b.at(r)
	slope := (zb - za) / (b.At - a.At).Radians()
	try := func(at Angle) {
		if at < from || at > to {
			return
		}
		s.try(heel, at, r, za+slope*(at-a.At).Radians())
	}
	try(from)
	try(to)
	dx, dy := float64(s.in.DX), float64(s.in.DY)
	lean := r * hypot(dx, dy) / float64(s.in.Height)
	if heel {
		lean = -lean
	}
	sin := slope / lean
	if lean == 0 || math.Abs(sin) > 1 {
		return
	}
	psi, turn := degrees(math.Atan2(dy, dx)), degrees(math.Asin(sin))
	for _, whole := range [3]Angle{-2 * HalfTurn, 0, 2 * HalfTurn} {
		try(psi + turn + whole)
		try(psi + HalfTurn - turn + whole)
	}
}

// try works out the gap at one place.
func (s *sweep) try(heel bool, at Angle, r, z float64) {
	in := s.in
	signed := r
	if heel {
		signed = -r
	}
	sign := 1.0
	if in.Soffit {
		sign = -1
	}
	// The foot, or head, closed, as a straight line from heel to leading end.
	part := (signed + float64(in.Setback)) / float64(in.Width)
	heelEnd, leadEnd := float64(in.ZHeel)+sign*float64(in.GapHeel), float64(in.ZLead)+sign*float64(in.GapLead)
	sin, cos := at.sincos()
	dx, dy := float64(in.DX), float64(in.DY)
	rise := signed / float64(in.Height) * (dx - dx*cos - dy*sin)
	gap := sign * (heelEnd + (leadEnd-heelEnd)*part + rise - z)
	if g := Length(math.Floor(gap)); g < s.least.Least {
		s.least.Least, s.least.At, s.least.Heel, s.least.R = g, at, heel, Length(r)
	}
	// The line of the feet goes on level across the wall.
	along := (signed*cos + float64(in.Setback)) / float64(in.Width)
	feet := float64(in.ZHeel) + float64(in.ZLead-in.ZHeel)*along
	s.least.Bump = max(s.least.Bump, nearest(sign*(z-feet)))
}

func (in *LevelInput) check() error {
	if err := setbackBounds.check(in.Setback); err != nil {
		return err
	}
	if err := checkWidth(in.Width, in.Setback); err != nil {
		return err
	}
	if err := heightBounds.check(in.Height); err != nil {
		return err
	}
	if err := eachWithin(
		named{&axisBounds, "dx", in.DX}, named{&axisBounds, "dy", in.DY}, named{&gapBounds, "gap_lead", in.GapLead}, named{&gapBounds, "gap_heel", in.GapHeel},
		named{&floorHeightBounds, "floor", in.ZLead}, named{&floorHeightBounds, "floor", in.ZHeel},
	); err != nil {
		return err
	}
	if err := swingBounds.check(in.From); err != nil {
		return err
	}
	if err := swingBounds.check(in.To); err != nil {
		return err
	}
	if in.From >= in.To {
		return &RangeError{Name: "swing", Value: in.To, Bound: Above, Limit: in.From, Why: "where it begins"}
	}
	return in.checkRays()
}

func (in *LevelInput) checkRays() error {
	for i := range in.Rays {
		r := &in.Rays[i]
		if err := swingBounds.check(r.At); err != nil {
			return err
		}
		if r.At == -HalfTurn { // the direction of HalfTurn
			return &RangeError{Name: "swing", Value: r.At, Bound: Above, Limit: -HalfTurn}
		}
		if i > 0 && r.At <= in.Rays[i-1].At {
			return &RangeError{Name: "ray", Value: r.At, Bound: Above, Limit: in.Rays[i-1].At, Why: "the one before"}
		}
		for k, p := range r.Points {
			if err := radiusBounds.check(p.R); err != nil {
				return err
			}
			if err := floorHeightBounds.check(p.Z); err != nil {
				return err
			}
			if k > 0 && p.R <= r.Points[k-1].R {
				return &RangeError{Name: "radius", Value: p.R, Bound: Above, Limit: r.Points[k-1].R, Why: "the one before"}
			}
		}
	}
	return nil
}
