package calc

import "math"

var (
	massBounds    = bounds[Mass]{"mass", 0.1, 3000}
	singleBounds  = bounds[Mass]{"single", 1, 25}
	densityBounds = bounds[Density]{"density", 200, 2800}
)

// TeamLimits returns what one, two and three people may lift together where
// one may lift the mass single, each rounded down to 0.1 kg, by the factors
// of [HandLift].
func TeamLimits(single Mass) [3]Mass {
	return [3]Mass{tenthDown(single), tenthDown(2 * single * 2 / 3), tenthDown(3 * single / 2)}
}

// One part in 10^9 keeps a multiple of a tenth that carries a rounding error.
func tenthDown(m Mass) Mass { return Mass(math.Floor(float64(m)*10*(1+1e-9)) / 10) }

// ImpliedDensity returns the mean density of a leaf.
//
//	ρ = m / (w·H·t)
//
// where m is the leaf's mass, w, H and t its width, height and thickness.
// The answer is a check for slips of the tongue: no leaf is lighter than a
// light hollow core or heavier than stone, by the project's own bounds.
//
// ImpliedDensity returns a [*RangeError] for a density outside 200 to
// 2,800 kg/m³ (the density is returned with it) and for a mass, width,
// height or thickness out of bounds.
func ImpliedDensity(m Mass, w, h, t Length) (Density, error) {
	if err := massBounds.check(m); err != nil {
		return 0, err
	}
	if err := widthBounds.check(w); err != nil {
		return 0, err
	}
	if err := heightBounds.check(h); err != nil {
		return 0, err
	}
	if err := thicknessBounds.check(t); err != nil {
		return 0, err
	}
	d := Density(float64(m) / (metres(w) * metres(h) * metres(t)))
	return d, densityBounds.check(d)
}

// metres returns l in metres.
func metres(l Length) float64 { return float64(l) / float64(Metre) }
