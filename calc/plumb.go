package calc

var plumbBounds = bounds[Length]{"plumb_limit", Millimetre / 10, 10 * Millimetre}

// PlumbLimit returns how far the head pivot's centre may stand from the
// plumb line through the floor pivot's.
//
//	limit = sheet, or else min(1.5 mm/m · h, 3 mm)
//
// where sheet is the hardware sheet's own limit, 0 if it has none, and h
// the height between the pivots. 1.5 mm/m and at most 3 mm is the
// installation tolerance of [S 10].
//
// PlumbLimit returns a [*RangeError] if h is out of bounds, or sheet is
// given and not within 0.1 to 10 mm.
func PlumbLimit(h, sheet Length) (Length, error) {
	if err := heightBounds.check(h); err != nil {
		return 0, err
	}
	if sheet == 0 {
		return min(h*3/2000, 3*Millimetre), nil
	}
	return sheet, plumbBounds.check(sheet)
}
