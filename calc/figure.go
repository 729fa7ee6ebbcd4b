package calc

import "math"

// Figure is a quantity as computed and as it is told: rounded once, to the
// safe side. A [Dimension] is the same for what is set out in lengths.
type Figure[T ~float64] struct{ Exact, Told T }

// slip is how far a multiple of a step may carry a rounding error, as a part
// of its value, and still count as that multiple.
const slip = 1e-9

// upTo rounds v up to a whole fraction of its unit, as a tenth for 10.
func upTo[T ~float64](v T, fraction float64) Figure[T] {
	x := float64(v) * fraction
	return Figure[T]{v, T(math.Ceil(x-math.Abs(x)*slip)/fraction) + 0} // + 0: no -0
}

// downTo rounds v down to a whole fraction of its unit.
func downTo[T ~float64](v T, fraction float64) Figure[T] {
	x := float64(v) * fraction
	return Figure[T]{v, T(math.Floor(x+math.Abs(x)*slip)/fraction) + 0}
}
