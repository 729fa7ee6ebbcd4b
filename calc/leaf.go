package calc

// Opening is an opening as surveyed, between finished jambs.
type Opening struct {
	WidthTop, WidthMiddle, WidthBottom   Length
	HeightHeel, HeightMiddle, HeightLead Length // 0: no heights, and no diagonals
	Diagonal1                            Length // heel jamb's foot to leading jamb's head; 0: not taken
	Diagonal2                            Length // leading jamb's foot to heel jamb's head
	DiagonalsNamed                       bool   // it is known which is which
}

// LeafInput is an opening and the gaps a leaf is to have in it.
type LeafInput struct {
	Opening                             Opening
	GapHeel, GapLead, GapTop, GapBottom Length
	Finish                              Length // finished floor still to come
	Step                                Length
}

// LeafSizes is the leaf to order.
type LeafSizes struct {
	Width              Dimension // down
	Height             Dimension // down; 0 without heights
	WidthTaper         Length    // top less bottom
	HeightTaper        Length    // leading less heel
	Plumbed            bool      // the diagonals were taken: the next three hold
	DiagonalDifference Length    // first less second; not named: the larger less the smaller
	JambLean           Length    // how far the heel jamb's head stands into the opening from its foot
	PlumbWidth         Dimension // down: the widest upright leaf that passes, gaps included
}

// Leaf returns the leaf that fits an opening.
//
//	a = [(D1² - D2² - (Hlead² - Hheel²))/(Wt + Wb) - (Wt - Wb)]/2
//	plumb width = min(Wb, a + Wt) - max(0, a), at most the middle width
//	leaf = plumb width - gaps       height = smallest height - top - bottom - finish
//
// where a is how far the heel jamb leans into the opening over its height,
// D1 and D2 the diagonals, H the heights and W the widths. With the heel
// jamb's foot at the origin its head is at (a, Hheel), the leading jamb's
// foot at (Wb, 0) and its head at (a + Wt, Hlead): D1² = (a + Wt)² + Hlead²
// and D2² = (Wb - a)² + Hheel², and their difference is solved for a. The
// smallest upright width is taken between the innermost points of the jambs.
// Of diagonals that are not named the worse order is taken.
//
// Leaf returns a [*RangeError] if a value is outside its range, if the
// diagonals can't belong to the other readings, or if no leaf is left.
func Leaf(in LeafInput) (LeafSizes, error) {
	var l LeafSizes
	if err := in.check(); err != nil {
		return l, err
	}
	o := &in.Opening
	least := min(o.WidthTop, o.WidthMiddle, o.WidthBottom)
	l.WidthTaper = o.WidthTop - o.WidthBottom
	l.HeightTaper = o.HeightLead - o.HeightHeel
	if o.Diagonal1 != 0 {
		l.Plumbed = true
		l.DiagonalDifference = o.Diagonal1 - o.Diagonal2
		var err error
		if l.JambLean, least, err = o.worstLean(); err != nil {
			return l, err
		}
		if !o.DiagonalsNamed {
			l.DiagonalDifference = l.DiagonalDifference.Abs()
		}
		l.PlumbWidth = down(least, in.Step)
	}
	l.Width = down(least-in.GapHeel-in.GapLead, in.Step)
	if err := widthBounds.named("leaf_width", l.Width.SetOut); err != nil {
		return l, err
	}
	if o.HeightHeel == 0 {
		return l, nil
	}
	height := min(o.HeightHeel, o.HeightMiddle, o.HeightLead)
	l.Height = down(height-in.GapTop-in.GapBottom-in.Finish, in.Step)
	return l, heightBounds.named("leaf_height", l.Height.SetOut)
}

// misfitMax is by how much a diagonal may miss the one that the other
// readings make, before one of them is taken for a slip.
const misfitMax = 20 * Millimetre

// worstLean returns the lean of the heel jamb and the plumb width, for the
// order of the diagonals that leaves less of it.
func (o *Opening) worstLean() (lean, width Length, err error) {
	lean, width, err = o.lean()
	if o.DiagonalsNamed {
		return lean, width, err
	}
	p := *o
	p.Diagonal1, p.Diagonal2 = o.Diagonal2, o.Diagonal1
	lean2, width2, err2 := p.lean()
	switch {
	case err != nil && err2 != nil:
		return 0, 0, err
	case err != nil, err2 == nil && (width2 < width || width2 == width && lean2 > lean):
		return lean2, width2, nil
	}
	return lean, width, nil
}

// lean returns the lean of the heel jamb and the plumb width.
func (o *Opening) lean() (lean, width Length, err error) {
	wt, wb := float64(o.WidthTop), float64(o.WidthBottom)
	d1, d2 := float64(o.Diagonal1), float64(o.Diagonal2)
	hl, hh := float64(o.HeightLead), float64(o.HeightHeel)
	a := ((d1*d1-d2*d2-(hl*hl-hh*hh))/(wt+wb) - (wt - wb)) / 2
	for _, d := range []struct {
		name  string
		value Length
		fits  float64
	}{
		{"diagonal_1", o.Diagonal1, hypot(a+wt, hl)},
		{"diagonal_2", o.Diagonal2, hypot(wb-a, hh)},
	} {
		fits := nearest(d.fits)
		if d.value < fits-misfitMax {
			return 0, 0, &RangeError{Name: d.name, Value: d.value, Bound: AtLeast, Limit: fits - misfitMax, Why: misfit}
		}
		if d.value > fits+misfitMax {
			return 0, 0, &RangeError{Name: d.name, Value: d.value, Bound: AtMost, Limit: fits + misfitMax, Why: misfit}
		}
	}
	lean = nearest(a)
	return lean, min(min(o.WidthBottom, lean+o.WidthTop)-max(0, lean), o.WidthMiddle), nil
}

const misfit Word = "with these widths and heights, measure again"

func (in *LeafInput) check() error {
	o := &in.Opening
	type named struct {
		b    *bounds[Length]
		name string
		v    Length
	}
	values := []named{
		{&openingBounds, "width_top", o.WidthTop}, {&openingBounds, "width_middle", o.WidthMiddle}, {&openingBounds, "width_bottom", o.WidthBottom},
		{&gapBounds, "gap_heel", in.GapHeel}, {&gapBounds, "gap_lead", in.GapLead},
		{&gapBounds, "gap_top", in.GapTop}, {&gapBounds, "gap_bottom", in.GapBottom},
		{&layerBounds, "finish", in.Finish}, {&stepBounds, "step", in.Step},
	}
	if o.HeightHeel != 0 || o.HeightMiddle != 0 || o.HeightLead != 0 {
		values = append(values, named{&heightBounds, "height_heel", o.HeightHeel},
			named{&heightBounds, "height_middle", o.HeightMiddle}, named{&heightBounds, "height_lead", o.HeightLead})
	}
	if o.Diagonal1 != 0 || o.Diagonal2 != 0 {
		values = append(values, named{&diagonalBounds, "diagonal_1", o.Diagonal1}, named{&diagonalBounds, "diagonal_2", o.Diagonal2})
	}
	for _, v := range values {
		if err := v.b.named(v.name, v.v); err != nil {
			return err
		}
	}
	if o.Diagonal1 != 0 && o.HeightHeel == 0 {
		return &NeedError{Name: "height", Why: "diagonals say nothing without it"}
	}
	return nil
}

// TopGapMin returns the least gap over a leaf of height h and thickness t
// that is stood up in place and lifted over a floor spindle, rounded up.
//
//	gap = lift + hypot(h, t) - h
//
// The second part is how much higher than h the leaf's far corner gets while
// it is tilted up: the sagitta of the chord 2t on the radius hypot(h, t)
// [S 1].
//
// TopGapMin returns a [*RangeError] if a value is outside its range.
func TopGapMin(h, t, lift, step Length) (Dimension, error) {
	for _, err := range []error{
		heightBounds.check(h), thicknessBounds.check(t), layerBounds.named("spindle_lift", lift), stepBounds.check(step),
	} {
		if err != nil {
			return Dimension{}, err
		}
	}
	return up(lift+nearest(hypot(float64(h), float64(t)))-h, step), nil
}
