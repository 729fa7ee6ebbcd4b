package calc

import "math"

// DefaultSingle is the mass one person may lift where nothing else is
// said: the lower of the two waist-height values of the guideline filter
// [S 9], from memory.
const DefaultSingle Mass = 16

var (
	massBounds    = bounds[Mass]{"mass", 0.1, 3000}
	singleBounds  = bounds[Mass]{"single", 1, 25}
	densityBounds = bounds[Density]{"density", 200, 2800}
)

// Lift says how many people a hand lift takes.
type Lift struct {
	People int  // 1 to 3, or 0 if only lifting gear will do
	Share  Mass // each one's equal part, up to the next 0.1 kg; 0 with gear
	Limit  Mass // what that team may lift, or the largest team; down to 0.1 kg
}

// Team returns the smallest team that may lift a leaf of mass m by hand
// where one person may lift the mass single.
//
//	L₁ = single,  L₂ = 2/3 · 2·single,  L₃ = 1/2 · 3·single
//
// where Lₙ is the limit of n people: two may lift two thirds of the sum of
// what they may lift alone, three a half [S 9]; each limit is rounded down
// before the leaf is held against it. Larger teams have no
// published factor and are not answered: above L₃ the leaf needs lifting
// gear. The rule is for compact loads near the body; a tall leaf is worse.
//
// Team returns a [*RangeError] if m or single is out of bounds; single is
// at most 25 kg, the guideline's largest value.
func Team(m, single Mass) (Lift, error) {
	if err := massBounds.check(m); err != nil {
		return Lift{}, err
	}
	if err := singleBounds.check(single); err != nil {
		return Lift{}, err
	}
	limits := TeamLimits(single)
	for i, limit := range limits {
		if m <= limit {
			return Lift{People: i + 1, Share: tenthUp(m / Mass(i+1)), Limit: limit}, nil
		}
	}
	return Lift{Limit: limits[len(limits)-1]}, nil
}

// TeamLimits returns what one, two and three people may lift together where
// one may lift the mass single, each rounded down to 0.1 kg, by the factors
// of [Team].
func TeamLimits(single Mass) [3]Mass {
	return [3]Mass{tenthDown(single), tenthDown(2 * single * 2 / 3), tenthDown(3 * single / 2)}
}

// One part in 10^9 keeps a multiple of a tenth that carries a rounding error.
func tenthDown(m Mass) Mass { return Mass(math.Floor(float64(m)*10*(1+1e-9)) / 10) }
func tenthUp(m Mass) Mass   { return Mass(math.Ceil(float64(m)*10*(1-1e-9)) / 10) }

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
