package calc

// LeafInput is an opening and the gaps a leaf is to have in it.
type LeafInput struct {
	Opening                             Opening
	GapHeel, GapLead, GapTop, GapBottom Length
	Finish                              Length // finished floor still to come
	Step                                Length
}

// LeafSizes is the leaf to order.
type LeafSizes struct {
	Width       Dimension // down
	Height      Dimension // down; 0 without heights
	WidthTaper  Length    // top less bottom
	HeightTaper Length    // leading less heel
	Survey      Survey
	PlumbWidth  Dimension // down: the widest upright leaf that passes, gaps included
}

// Leaf returns the leaf that fits an opening.
//
//	leaf = plumb width - gaps
//	height = plumb height - top - bottom - finish
//
// where the plumb width and height are those of the widest and the highest
// upright leaf that the opening lets through, of [Opening.Survey].
//
// Leaf returns a [*RangeError] if a value is outside its range, if readings
// contradict each other, or if no leaf is left, and a [*NeedError] for what
// the diagonals say nothing without.
func Leaf(in LeafInput) (LeafSizes, error) {
	var l LeafSizes
	if err := eachWithin(named{&gapBounds, "gap_heel", in.GapHeel}, named{&gapBounds, "gap_lead", in.GapLead},
		named{&gapBounds, "gap_top", in.GapTop}, named{&gapBounds, "gap_bottom", in.GapBottom},
		named{&layerBounds, "finish", in.Finish}, named{&stepBounds, "step", in.Step}); err != nil {
		return l, err
	}
	o := &in.Opening
	var err error
	if l.Survey, err = o.Survey(); err != nil {
		return l, err
	}
	l.WidthTaper = o.WidthTop - o.WidthBottom
	l.HeightTaper = o.HeightLead - o.HeightHeel
	l.PlumbWidth = down(l.Survey.Width, in.Step)
	l.Width = down(l.Survey.Width-in.GapHeel-in.GapLead, in.Step)
	if err := widthBounds.named("leaf_width", l.Width.SetOut); err != nil {
		return l, err
	}
	if o.HeightHeel == 0 {
		return l, nil
	}
	l.Height = down(l.Survey.Height-in.GapTop-in.GapBottom-in.Finish, in.Step)
	return l, heightBounds.named("leaf_height", l.Height.SetOut)
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
