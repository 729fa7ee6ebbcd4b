package calc

// EdgeLimits are what the gaps at one height have to keep between, ends
// included.
type EdgeLimits struct{ Least, Most EdgeGaps }

// outside returns by how much a gap is beyond its limits, less than 0 where both
// are within.
func (l *EdgeLimits) outside(g EdgeGaps) Length {
	return max(l.Least.Heel-g.Heel, g.Heel-l.Most.Heel, l.Least.Lead-g.Lead, g.Lead-l.Most.Lead)
}

// marginReading is what is known of the gaps at one height.
type marginReading struct {
	g, target EdgeGaps
	z         Length
	limits    *EdgeLimits
}

func (in *MarginsInput) readings() [2]marginReading {
	return [2]marginReading{{in.Top, in.TargetTop, in.ZTop, &in.LimitsTop}, {in.Bottom, in.TargetBottom, in.ZBottom, &in.LimitsBottom}}
}

// halfWay returns the gaps half way between the readings, where a bowed jamb
// stands furthest in.
func (in *MarginsInput) halfWay() EdgeGaps {
	return EdgeGaps{(in.Top.Heel+in.Bottom.Heel)/2 - in.Bow.Heel, (in.Top.Lead+in.Bottom.Lead)/2 - in.Bow.Lead}
}

// keepList narrows what is allowed to the moves that leave the gaps furthest
// inside their limits, Spare at most, or least outside of them. It returns by how
// much they stay outside, and why.
func (p *marginPlane) keepList(in *MarginsInput) (outside Length, why []MarginLimit) {
	own := p.n
	low, high := -float64(in.Spare), p.worstOutside(in)
	if high > low && !p.listed(in, own, low) {
		for high-low > marginSlack/4 {
			if mid := (low + high) / 2; p.listed(in, own, mid) {
				high = mid
			} else {
				low = mid
			}
		}
		low = high
	}
	p.listed(in, own, low+marginSlack/2)
	p.keep()
	if outside = nearest(low).Down(coarse); outside <= 0 {
		return 0, nil
	}
	if low <= in.listUnmoved()+marginSlack {
		return outside, []MarginLimit{SumOfGaps}
	}
	x, y := p.poly[0][0], p.poly[0][1] // what is left is no wider than the slack
	for _, l := range p.active(x, y) {
		if l != ListKept {
			why = append(why, l)
		}
	}
	return outside, why
}

// listed writes the limits, wider by w, behind the first lines and says whether
// an allowed move keeps them.
func (p *marginPlane) listed(in *MarginsInput, first int, w float64) bool {
	p.n = first
	p.restore()
	for _, r := range in.readings() {
		u := float64(r.z) / p.h
		p.add(1-u, u, w+float64(min(r.limits.Most.Heel-r.g.Heel, r.g.Lead-r.limits.Least.Lead)), ListKept)
		p.add(u-1, -u, w+float64(min(r.g.Heel-r.limits.Least.Heel, r.limits.Most.Lead-r.g.Lead)), ListKept)
	}
	return p.cut(p.lines[first:p.n])
}

// worstOutside returns a difference from the limits that some allowed move
// keeps: that of a corner of the polygon just cut.
func (p *marginPlane) worstOutside(in *MarginsInput) float64 {
	f, h := p.poly[0][0], p.poly[0][1]
	worst := -float64(in.Spare)
	for _, r := range in.readings() {
		x := nearest(f + (h-f)*float64(r.z)/p.h)
		worst = max(worst, float64(r.limits.outside(EdgeGaps{r.g.Heel + x, r.g.Lead - x}))+1)
	}
	return worst
}

// listUnmoved returns by how much some gap stays outside its limits whatever is
// moved, for both gaps together are too much or too little.
func (in *MarginsInput) listUnmoved() float64 {
	var worst Length
	for _, r := range in.readings() {
		both := r.g.Heel + r.g.Lead
		worst = max(worst, r.limits.Least.Heel+r.limits.Least.Lead-both, both-r.limits.Most.Heel-r.limits.Most.Lead)
	}
	return float64(worst) / 2
}

// checkLimits refuses limits of which the least is more than the most.
func (in *MarginsInput) checkLimits() error {
	if !in.Limited {
		return nil
	}
	for _, l := range [2]*EdgeLimits{&in.LimitsTop, &in.LimitsBottom} {
		if err := eachWithin(
			named{&gapBounds, "least", l.Least.Heel}, named{&gapBounds, "least", l.Least.Lead},
			named{&gapBounds, "most", l.Most.Heel}, named{&gapBounds, "most", l.Most.Lead},
		); err != nil {
			return err
		}
		if l.Most.Heel < l.Least.Heel {
			return &RangeError{Name: "most", Value: l.Most.Heel, Bound: AtLeast, Limit: l.Least.Heel}
		}
		if l.Most.Lead < l.Least.Lead {
			return &RangeError{Name: "most", Value: l.Most.Lead, Bound: AtLeast, Limit: l.Least.Lead}
		}
	}
	return nil
}
