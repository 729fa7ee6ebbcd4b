package calc

import "math"

// Squareness is how far a rectangle is out of square.
type Squareness struct {
	Slope  Slope  // how far a side leans against the other; above 0 if diagonal_1 is the longer
	Corner Angle  // at both ends of diagonal_1
	Over   Length // what the lean makes over the height
}

// diagonalSlip is how much the two diagonals together may contradict the
// sides before something was read wrongly; the project's own.
const diagonalSlip = 10 * Millimetre

// OutOfSquare returns how far an opening is out of square by its diagonals.
//
//	slope = (D₁² − D₂²)/(4·w·h)
//
// where D₁ and D₂ are the diagonals, w and h the sides. By the law of cosines
// D₁² − D₂² = 4·w·h·cos γ in a parallelogram, γ the corner that D₁ begins and
// ends in. It tells how an opening stands to its own floor, not plumb. The sides are taken
// as parallel in pairs.
//
// OutOfSquare returns a [*RangeError] if a value is out of bounds, or √((D₁² +
// D₂²)/2) and hypot(w, h), the same in a parallelogram, differ by more than 10
// mm, or a diagonal is longer than both sides or shorter than their
// difference.
func OutOfSquare(d1, d2, w, h Length) (Squareness, error) {
	if err := openingBounds.named("width", w); err != nil {
		return Squareness{}, err
	}
	if err := heightBounds.check(h); err != nil {
		return Squareness{}, err
	}
	if err := diagonalBounds.named("diagonal_1", d1); err != nil {
		return Squareness{}, err
	}
	if err := diagonalBounds.named("diagonal_2", d2); err != nil {
		return Squareness{}, err
	}
	const why Word = "the diagonals contradict the sides: read again"
	read, sides := nearest(hypot(float64(d1), float64(d2))/math.Sqrt2), nearest(hypot(float64(w), float64(h)))
	if read > sides+diagonalSlip {
		return Squareness{}, &RangeError{Name: "diagonals", Value: read, Bound: AtMost, Limit: sides + diagonalSlip, Why: why}
	}
	if read < sides-diagonalSlip {
		return Squareness{}, &RangeError{Name: "diagonals", Value: read, Bound: AtLeast, Limit: sides - diagonalSlip, Why: why}
	}
	flat := bounds[Length]{"diagonal_1", (w - h).Abs(), w + h}
	if err := flat.check(d1); err != nil {
		return Squareness{}, err
	}
	if err := flat.named("diagonal_2", d2); err != nil {
		return Squareness{}, err
	}
	lean := float64(d1+d2) * float64(d1-d2) / (4 * float64(w) * float64(h))
	return Squareness{
		Slope:  Slope(1000 * lean),
		Corner: degrees(math.Acos(lean)),
		Over:   nearest(lean * float64(h)),
	}, nil
}
