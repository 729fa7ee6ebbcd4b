package calc

import "math"

// Stretch is a time at one temperature.
type Stretch struct {
	For Hours
	T   Temperature
}

var (
	stretchBounds = bounds[Hours]{"hours", 0, 100_000}
	datumBounds   = bounds[Temperature]{"datum", -20, 10}
)

func (s *Stretch) check() error {
	if err := stretchBounds.check(s.For); err != nil {
		return err
	}
	return warmthBounds.check(s.T)
}

// NurseSaul returns the maturity of a cement material, in °C·h.
//
//	M = Σ max(0, Ta − T0)·Δt
//
// where Ta is the temperature of a stretch, T0 the datum below which nothing
// counts and Δt its length: ASTM C1074. Leaving out what is below the datum is
// from memory. It is for cement materials only, not for resins.
//
// NurseSaul returns a [*RangeError] if a value is out of bounds.
func NurseSaul(at []Stretch, datum Temperature) (Number, error) {
	if err := datumBounds.check(datum); err != nil {
		return 0, err
	}
	var sum Number
	for _, s := range at {
		if err := s.check(); err != nil {
			return 0, err
		}
		sum += Number(max(0, s.T-datum)) * Number(s.For)
	}
	return sum, nil
}

// EquivalentAge returns the age of a cement material at a reference
// temperature that is worth the stretches it had.
//
//	te = Σ exp(−Q·(1/Ta − 1/Ts))·Δt,  Q = 5000 K
//
// where Ta is the temperature of a stretch and Ts the reference, in kelvin:
// ASTM C1074, the value of Q from memory. It is for cement materials only, not
// for resins.
//
// EquivalentAge returns a [*RangeError] if a value is out of bounds.
func EquivalentAge(at []Stretch, reference Temperature) (Hours, error) {
	if err := warmthBounds.named("reference", reference); err != nil {
		return 0, err
	}
	const q, zero = 5000, 273.15
	var sum Hours
	for _, s := range at {
		if err := s.check(); err != nil {
			return 0, err
		}
		sum += s.For * Hours(math.Exp(-q*(1/(float64(s.T)+zero)-1/(float64(reference)+zero))))
	}
	return sum, nil
}
