package calc

import (
	"cmp"
	"math"
	"slices"
)

// Adjuster is a screw that moves a pivot, from where it stands now.
type Adjuster struct {
	Back, Forth Length // how far it can still move the leaf, each way, as lengths of 0 and more
	Pitch       Length // of its thread; 0: not known, and no turns
	Clockwise   bool   // turned clockwise, as seen from the side that the sheet states, it moves the leaf forth
}

// EdgeGaps are the gaps read at one height.
type EdgeGaps struct{ Heel, Lead Length }

// EndGaps are the gaps under or over the leaf, read at its ends.
type EndGaps struct {
	Read       bool
	Heel, Lead Length
}

// MarginsInput is a hung leaf with its gaps as read, and what can be adjusted.
// Moves are forth towards the leading jamb, and up.
type MarginsInput struct {
	Width, Setback  Length
	Height          Length // between the pivots
	Top, Bottom     EdgeGaps
	ZTop, ZBottom   Length // where they were read, above the floor pivot
	Foot, Head      EndGaps
	TargetTop       EdgeGaps // the gaps wanted: where a jamb leans they differ along an edge
	TargetBottom    EdgeGaps
	Limited         bool // the gaps have limits of their own, as in a door's list
	LimitsTop       EdgeLimits
	LimitsBottom    EdgeLimits
	Spare           Length   // how far inside of those they are kept, if that can be: what a reading may be wrong
	Need            EdgeGaps // the growth of the swing: no gap may be less
	Bow             EdgeGaps // how much less a gap is half way between the readings than a straight jamb would make it
	NeedFoot        Length
	NeedHead        Length
	DX, DY          Length // how far the head pivot stands out of plumb, as in [LeanInput]
	PlumbDoubt      Length // how much further out it may stand, which way is not known
	PlumbLimit      Length // as from [PlumbLimit]
	FloorScrew      Adjuster
	HeadScrew       Adjuster
	HeightScrew     Adjuster
	Engagement      Length // of the head pivot now; 0: not known
	EngagementLeast Length
}

// MarginLimit is what keeps the margins from getting better.
type MarginLimit int

// The limits of moves. SumOfGaps is none of them: the gaps of both edges
// together are too much or too little, and no move changes that.
const (
	SumOfGaps MarginLimit = iota
	FloorRange
	HeadRange
	HeightRange
	PlumbKept
	SwingNeed
	FootNeed
	HeadNeed
	EngagementKept
	ListKept
)

// Move is how a screw is turned.
type Move struct {
	By        Length
	Turns     Number // never below 0; 0 without the pitch
	Clockwise bool   // as seen from the side that the sheet states
}

// Margins is how to set a leaf in its opening.
type Margins struct {
	Floor, Head, Height Move
	WorstBefore         Length // the largest difference from the target
	WorstAfter          Length
	Outside             Length        // by how much a gap is outside its limits after the moves, at worst; 0: all are within
	Top, Bottom         EdgeGaps      // as they become
	Why                 []MarginLimit // what keeps WorstAfter from 0
	Broken              []MarginLimit // what is not kept as the leaf hangs, before any move
	EngagementLeft      Length        // 0 if not known
	Lean                Length        // how far the head pivot then stands out of plumb, at most
}

var (
	screwRangeBounds = bounds[Length]{"range", 0, 100 * Millimetre}
	edgeGapBounds    = bounds[Length]{"gap", -50 * Millimetre, 200 * Millimetre}
	readAtBounds     = bounds[Length]{"z", -1000 * Millimetre, 11_000 * Millimetre}
	engageBounds     = bounds[Length]{"engagement", 0, 200 * Millimetre}
)

// readApart is how far apart in height two readings must be to say how a leaf
// leans, by the project's own bound.
const readApart = 100 * Millimetre

// marginSlack is how exactly the optimum is met, in nanometres: far below any
// reading, far above the rounding of floating point.
const marginSlack = 10.0

// MarginsOf returns the moves of floor pivot, head pivot and height that bring
// the gaps at the edges nearest to the target.
//
//	x(z) = F + (P − F)·z/h        φ = (P − F)/h
//	heel gap + x, leading gap − x
//	foot gap + V − φ·(w − s) at the leading end, + V + φ·s at the heel
//	head gap − V + φ·(w − s),                   − V − φ·s
//
// where F and P are the moves of floor and head pivot towards the leading
// jamb, V the move up, h the height between the pivots, z the height of a
// reading, w the width and s the setback: a plane figure turned by a small
// angle. The worst difference of the four gaps from what is wanted there is made
// as small as it can be; among equals the smallest sum of moves is taken, then
// the fewest screws. Where the gaps have limits, those come first: they are kept,
// by Spare if that can be, and where no move keeps them all, they are missed by as
// little as can be. Every gap keeps what the swing needs, the head pivot the
// plumb limit and its engagement, of which a move of the height counts as lost
// whichever way it goes: a pivot that reaches down into the leaf loses it as
// the leaf sinks, one that the leaf is hung from as it rises, and which of them
// it is no input says. Foot and head gaps are limits only.
//
// It is a linear program in F and P, for V follows from φ: the worst
// difference is halved in upon, each time by cutting the polygon of what is
// allowed, and the moves are found among its corners and rounded to the
// micrometre.
//
// MarginsOf returns a [*RangeError] if a value is out of bounds, or if no move
// keeps all limits: it then names one that is broken now.
func MarginsOf(in MarginsInput) (Margins, error) {
	if err := in.check(); err != nil {
		return Margins{}, err
	}
	var p marginPlane
	p.limits(&in)
	var m Margins
	m.WorstBefore, m.Broken = nearest(p.worst(&in, 0, 0)), p.broken()
	if !p.allowed() {
		return Margins{}, in.broken()
	}
	var out []MarginLimit
	if in.Limited {
		m.Outside, out = p.keepList(&in)
	}
	free, high := in.unmoved(), p.reach(&in)
	low := free
	worst := low
	if !p.within(&in, low) {
		for high-low > marginSlack/4 {
			if mid := (low + high) / 2; p.within(&in, mid) {
				high = mid
			} else {
				low = mid
			}
		}
		worst = high
	}
	f, h := p.least(&in, worst+marginSlack/2)
	v := p.height((h - f) / float64(in.Height))
	m.Floor, m.Head, m.Height = in.FloorScrew.move(f), in.HeadScrew.move(h), in.HeightScrew.move(v)
	m.Top, m.Bottom = in.after(in.Top, in.ZTop, m.Floor.By, m.Head.By), in.after(in.Bottom, in.ZBottom, m.Floor.By, m.Head.By)
	m.WorstAfter = max(m.Top.off(in.TargetTop), m.Bottom.off(in.TargetBottom))
	m.Lean = nearest(hypot(float64(in.DX+m.Head.By-m.Floor.By), float64(in.DY))) + in.PlumbDoubt
	if in.Engagement > 0 {
		m.EngagementLeft = in.Engagement - m.Height.By.Abs()
	}
	if m.Outside > 0 {
		m.Why = out
	} else if m.WorstAfter > coarse {
		if worst <= free+marginSlack {
			m.Why = []MarginLimit{SumOfGaps}
		} else {
			m.Why = p.active(f, h)
		}
	}
	return m, nil
}

// coarse is what moves are rounded to, a tenth of what a screw can be set to.
const coarse = Micrometre

// unmoved returns the worst difference that no move changes: half of what the
// gaps of both edges are too much or too little together.
func (in *MarginsInput) unmoved() float64 {
	both := func(g, want EdgeGaps) Length { return (g.Heel + g.Lead - want.Heel - want.Lead).Abs() }
	return float64(max(both(in.Top, in.TargetTop), both(in.Bottom, in.TargetBottom))) / 2
}

// after returns the gaps at a height after the moves.
func (in *MarginsInput) after(g EdgeGaps, z, f, p Length) EdgeGaps {
	x := nearest(float64(f) + float64(p-f)*float64(z)/float64(in.Height))
	return EdgeGaps{g.Heel + x, g.Lead - x}
}

// off returns the larger difference from the target.
func (g EdgeGaps) off(target EdgeGaps) Length {
	return max((g.Heel - target.Heel).Abs(), (g.Lead - target.Lead).Abs())
}

// move says how to turn the screw for a move.
func (a *Adjuster) move(by float64) Move {
	m := Move{By: nearest(by).Nearest(coarse)}
	if a.Pitch > 0 {
		m.Turns = Number(math.Abs(float64(m.By)) / float64(a.Pitch))
	}
	m.Clockwise = m.By != 0 && (m.By > 0) == a.Clockwise
	return m
}

// halfPlane is what keeps a·F + b·P ≤ c.
type halfPlane struct {
	a, b, c float64
	why     MarginLimit
}

// marginPlane is the plane of the moves F and P and what is allowed in it.
type marginPlane struct {
	lines [48]halfPlane
	n     int
	// V is at least f·φ + c of every low, at most that of every high.
	low, high   [4]halfPlane // a: factor of φ, c: constant
	lows, highs int
	h           float64
	poly, other [64][2]float64
	corners     int
	kept        [64][2]float64 // what the limits that stand leave of it
	keptCorners int
}

// add adds a limit, a nanometre wider than it is: limits that leave one move
// only must not lose it to rounding.
func (p *marginPlane) add(a, b, c float64, why MarginLimit) {
	p.lines[p.n] = halfPlane{a, b, c + 1, why}
	p.n++
}

// limits writes down what is allowed.
func (p *marginPlane) limits(in *MarginsInput) {
	p.h = float64(in.Height)
	p.add(1, 0, float64(in.FloorScrew.Forth), FloorRange)
	p.add(-1, 0, float64(in.FloorScrew.Back), FloorRange)
	p.add(0, 1, float64(in.HeadScrew.Forth), HeadRange)
	p.add(0, -1, float64(in.HeadScrew.Back), HeadRange)
	limit, dy := float64(in.PlumbLimit-in.PlumbDoubt), float64(in.DY)
	reach := math.Sqrt(max(0, limit*limit-dy*dy))
	p.add(-1, 1, reach-float64(in.DX), PlumbKept)
	p.add(1, -1, reach+float64(in.DX), PlumbKept)
	p.add(0, 0, limit-math.Abs(dy), PlumbKept) // across the wall no move mends it
	for _, r := range in.readings() {
		u := float64(r.z) / p.h
		p.add(1-u, u, float64(r.g.Lead-in.Need.Lead), SwingNeed)
		p.add(u-1, -u, float64(r.g.Heel-in.Need.Heel), SwingNeed)
	}
	half, u := in.halfWay(), float64(in.ZTop+in.ZBottom)/2/p.h
	p.add(1-u, u, float64(half.Lead-in.Need.Lead), SwingNeed)
	p.add(u-1, -u, float64(half.Heel-in.Need.Heel), SwingNeed)
	p.heights(in)
	for i := range p.lows {
		for j := range p.highs {
			l, h := p.low[i], p.high[j] // l.a·φ + l.c ≤ h.a·φ + h.c, φ = (P − F)/h
			k := (l.a - h.a) / p.h
			why := l.why
			if why == HeightRange {
				why = h.why
			}
			p.add(-k, k, h.c-l.c, why)
		}
	}
}

// heights writes down what is allowed of V.
func (p *marginPlane) heights(in *MarginsInput) {
	s, r := float64(in.Setback), float64(in.Width-in.Setback)
	atLeast := func(a, c float64, why MarginLimit) {
		p.low[p.lows] = halfPlane{a: a, c: c, why: why}
		p.lows++
	}
	atMost := func(a, c float64, why MarginLimit) {
		p.high[p.highs] = halfPlane{a: a, c: c, why: why}
		p.highs++
	}
	atLeast(0, -float64(in.HeightScrew.Back), HeightRange)
	atMost(0, float64(in.HeightScrew.Forth), HeightRange)
	if in.Foot.Read {
		atLeast(r, float64(in.NeedFoot-in.Foot.Lead), FootNeed)
		atLeast(-s, float64(in.NeedFoot-in.Foot.Heel), FootNeed)
	}
	if in.Head.Read {
		atMost(r, float64(in.Head.Lead-in.NeedHead), HeadNeed)
		atMost(-s, float64(in.Head.Heel-in.NeedHead), HeadNeed)
	}
	if in.Engagement > 0 {
		spare := float64(in.Engagement - in.EngagementLeast)
		atLeast(0, -spare, EngagementKept)
		atMost(0, spare, EngagementKept)
	}
}

// height returns the smallest move of the height that is allowed at φ.
func (p *marginPlane) height(phi float64) float64 {
	low, high := math.Inf(-1), math.Inf(1)
	for _, l := range p.low[:p.lows] {
		low = max(low, l.a*phi+l.c)
	}
	for _, l := range p.high[:p.highs] {
		high = min(high, l.a*phi+l.c)
	}
	return max(min(0, high), low)
}

// broken returns the limits that no move at all does not keep.
func (p *marginPlane) broken() (limits []MarginLimit) {
	add := func(why MarginLimit, by float64) {
		if by > marginSlack && !slices.Contains(limits, why) {
			limits = append(limits, why)
		}
	}
	for _, l := range p.lines[:p.n] {
		add(l.why, -l.c)
	}
	for _, l := range p.low[:p.lows] {
		add(l.why, l.c)
	}
	for _, l := range p.high[:p.highs] {
		add(l.why, -l.c)
	}
	return limits
}

// worst returns the worst difference from the target after moves.
func (p *marginPlane) worst(in *MarginsInput, f, h float64) float64 {
	worst := 0.0
	for _, r := range in.readings() {
		x := f + (h-f)*float64(r.z)/p.h
		worst = max(worst, math.Abs(float64(r.g.Heel-r.target.Heel)+x), math.Abs(float64(r.g.Lead-r.target.Lead)-x))
	}
	return worst
}

// reach returns a difference that some allowed move keeps: that of a corner of
// the polygon just cut.
func (p *marginPlane) reach(in *MarginsInput) float64 {
	return p.worst(in, p.poly[0][0], p.poly[0][1])
}

// within says whether an allowed move keeps the worst difference w.
func (p *marginPlane) within(in *MarginsInput, w float64) bool {
	n := p.aim(in, w+1) // a nanometre more, for the rounding
	p.restore()
	return p.cut(p.lines[p.n:n])
}

// aim writes the worst difference behind the limits.
func (p *marginPlane) aim(in *MarginsInput, w float64) (n int) {
	n = p.n
	for _, r := range in.readings() {
		u := float64(r.z) / p.h
		heel, lead := float64(r.g.Heel-r.target.Heel), float64(r.g.Lead-r.target.Lead)
		p.lines[n] = halfPlane{1 - u, u, min(w-heel, w+lead), SumOfGaps}
		p.lines[n+1] = halfPlane{u - 1, -u, min(w+heel, w-lead), SumOfGaps}
		n += 2
	}
	return n
}

// allowed cuts a polygon by the limits, keeps it, and says whether anything is
// left.
func (p *marginPlane) allowed() bool {
	const far = 1e9 // a metre: further than any screw
	p.poly = [64][2]float64{{-far, -far}, {far, -far}, {far, far}, {-far, far}}
	p.corners = 4
	left := p.cut(p.lines[:p.n])
	p.keep()
	return left
}

// keep keeps the polygon as it is now, which restore brings back.
func (p *marginPlane) keep() {
	p.keptCorners = p.corners
	copy(p.kept[:p.corners], p.poly[:p.corners])
}

func (p *marginPlane) restore() {
	p.corners = p.keptCorners
	copy(p.poly[:p.corners], p.kept[:p.corners])
}

// cut cuts the polygon by the lines and says whether anything is left.
func (p *marginPlane) cut(lines []halfPlane) bool {
	for i := range lines {
		l := &lines[i]
		n := 0
		for k := range p.corners {
			a, b := p.poly[k], p.poly[(k+1)%p.corners]
			da, db := l.a*a[0]+l.b*a[1]-l.c, l.a*b[0]+l.b*b[1]-l.c
			if da <= 0 {
				p.other[n] = a
				n++
			}
			if da < 0 && db > 0 || da > 0 && db < 0 {
				t := da / (da - db)
				p.other[n] = [2]float64{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}
				n++
			}
		}
		if n == 0 {
			return false
		}
		p.corners = n
		copy(p.poly[:n], p.other[:n])
	}
	return true
}

// least returns the moves with the smallest sum, then the fewest screws, that
// keep the worst difference w. The sum is bent only where a move is 0, so it is
// least in a corner of the polygon or where such a line meets its edge.
func (p *marginPlane) least(in *MarginsInput, w float64) (f, h float64) {
	p.restore()
	p.cut(p.lines[p.n:p.aim(in, w)])
	best, screws := math.Inf(1), 0
	try := func(x, y float64) {
		v := p.height((y - x) / p.h)
		sum, n := 0.0, 0
		for _, m := range [3]float64{x, y, v} {
			if m = math.Abs(m); m > marginSlack {
				n++
			}
			sum += math.Abs(m)
		}
		if sum < best-marginSlack || sum < best+marginSlack && n < screws {
			best, screws, f, h = sum, n, x, y
		}
	}
	// Where a move is 0: F, P, and V by each of its limits.
	bends := [10]halfPlane{{1, 0, 0, 0}, {0, 1, 0, 0}}
	n := 2
	for _, l := range append(p.low[:p.lows:p.lows], p.high[:p.highs]...) {
		if l.a != 0 {
			bends[n] = halfPlane{-l.a / p.h, l.a / p.h, -l.c, 0}
			n++
		}
	}
	for i, a := range bends[:n] {
		for _, b := range bends[:i] {
			if d := a.a*b.b - a.b*b.a; d != 0 {
				if x, y := (a.c*b.b-a.b*b.c)/d, (a.a*b.c-a.c*b.a)/d; p.holds(in, w, x, y) {
					try(x, y)
				}
			}
		}
	}
	for k := range p.corners {
		a, b := p.poly[k], p.poly[(k+1)%p.corners]
		try(a[0], a[1])
		for _, l := range bends[:n] {
			da, db := l.a*a[0]+l.b*a[1]-l.c, l.a*b[0]+l.b*b[1]-l.c
			if da < 0 && db > 0 || da > 0 && db < 0 {
				t := da / (da - db)
				try(a[0]+t*(b[0]-a[0]), a[1]+t*(b[1]-a[1]))
			}
		}
	}
	return f, h
}

// least returns the smaller of the gaps, or what is needed if none was read.
func (g *EndGaps) least(need Length) Length {
	if !g.Read {
		return need
	}
	return min(g.Heel, g.Lead)
}

// holds says whether a move is allowed and keeps the worst difference w.
func (p *marginPlane) holds(in *MarginsInput, w, f, h float64) bool {
	for _, l := range p.lines[:p.aim(in, w)] {
		if l.a*f+l.b*h > l.c {
			return false
		}
	}
	return true
}

// active returns what keeps the moves from going on.
func (p *marginPlane) active(f, h float64) (why []MarginLimit) {
	var seen [ListKept + 1]bool
	for _, l := range p.lines[:p.n] {
		if l.a*f+l.b*h > l.c-2*marginSlack && !seen[l.why] {
			seen[l.why] = true
			why = append(why, l.why)
		}
	}
	return why
}

// broken returns a limit that is broken as the leaf hangs. If none were, not to
// move would be allowed.
func (in *MarginsInput) broken() error {
	lean := nearest(hypot(float64(in.DX), float64(in.DY))) + in.PlumbDoubt
	least := func(name string, v, limit Length, why Word) error {
		if v < limit {
			return &RangeError{Name: name, Value: v, Bound: AtLeast, Limit: limit, Why: why}
		}
		return nil
	}
	const swing, beyond = "the growth of the swing, and no move that is allowed mends it", "no move that is allowed mends it"
	for _, err := range []error{
		least("gap_heel", min(in.Top.Heel, in.Bottom.Heel, in.halfWay().Heel), in.Need.Heel, swing),
		least("gap_lead", min(in.Top.Lead, in.Bottom.Lead, in.halfWay().Lead), in.Need.Lead, swing),
		least("gap_bottom", in.Foot.least(in.NeedFoot), in.NeedFoot, beyond),
		least("gap_top", in.Head.least(in.NeedHead), in.NeedHead, beyond),
		least("engagement", cmp.Or(in.Engagement, in.EngagementLeast), in.EngagementLeast, beyond),
	} {
		if err != nil {
			return err
		}
	}
	return &RangeError{Name: "lean", Value: lean, Bound: AtMost, Limit: in.PlumbLimit, Why: beyond}
}

func (in *MarginsInput) check() error {
	if err := heightBounds.check(in.Height); err != nil {
		return err
	}
	if err := setbackBounds.check(in.Setback); err != nil {
		return err
	}
	if err := checkWidth(in.Width, in.Setback); err != nil {
		return err
	}
	if err := plumbBounds.check(in.PlumbLimit); err != nil {
		return err
	}
	if err := eachWithin(
		named{&edgeGapBounds, "gap_heel", in.Top.Heel}, named{&edgeGapBounds, "gap_lead", in.Top.Lead},
		named{&edgeGapBounds, "gap_heel", in.Bottom.Heel}, named{&edgeGapBounds, "gap_lead", in.Bottom.Lead},
		named{&edgeGapBounds, "gap_bottom", in.Foot.Heel}, named{&edgeGapBounds, "gap_bottom", in.Foot.Lead},
		named{&edgeGapBounds, "gap_top", in.Head.Heel}, named{&edgeGapBounds, "gap_top", in.Head.Lead},
		named{&gapBounds, "target", in.TargetTop.Heel}, named{&gapBounds, "target", in.TargetTop.Lead},
		named{&gapBounds, "target", in.TargetBottom.Heel}, named{&gapBounds, "target", in.TargetBottom.Lead},
		named{&gapBounds, "bow", in.Bow.Heel}, named{&gapBounds, "bow", in.Bow.Lead}, named{&gapBounds, "spare", in.Spare},
		named{&gapBounds, "need", in.Need.Heel}, named{&gapBounds, "need", in.Need.Lead},
		named{&gapBounds, "need", in.NeedFoot}, named{&gapBounds, "need", in.NeedHead},
		named{&axisBounds, "dx", in.DX}, named{&axisBounds, "dy", in.DY}, named{&gapBounds, "plumb_doubt", in.PlumbDoubt},
		named{&screwRangeBounds, "range", in.FloorScrew.Back}, named{&screwRangeBounds, "range", in.FloorScrew.Forth},
		named{&screwRangeBounds, "range", in.HeadScrew.Back}, named{&screwRangeBounds, "range", in.HeadScrew.Forth},
		named{&screwRangeBounds, "range", in.HeightScrew.Back}, named{&screwRangeBounds, "range", in.HeightScrew.Forth},
		named{&engageBounds, "engagement", in.Engagement}, named{&engageBounds, "engagement", in.EngagementLeast},
		named{&readAtBounds, "z", in.ZTop}, named{&readAtBounds, "z", in.ZBottom},
	); err != nil {
		return err
	}
	if in.ZTop-in.ZBottom < readApart {
		return &RangeError{Name: "z_top", Value: in.ZTop, Bound: AtLeast, Limit: in.ZBottom + readApart, Why: "100 mm above the lower reading"}
	}
	if err := in.checkLimits(); err != nil {
		return err
	}
	for _, a := range [...]*Adjuster{&in.FloorScrew, &in.HeadScrew, &in.HeightScrew} {
		if a.Pitch != 0 {
			if err := pitchBounds.check(a.Pitch); err != nil {
				return err
			}
		}
	}
	return nil
}
