package calc

import "strconv"

// Torque is a moment of force in newton metres.
type Torque float64

// Energy is an energy in joules.
type Energy float64

// Seconds is a length of time in seconds.
type Seconds float64

// Inertia is a moment of inertia in kg·m².
type Inertia float64

// AreaMass is a mass per area in kg/m².
type AreaMass float64

// Pressure is a pressure in pascals.
type Pressure float64

// Megapascal is the unit that the strength of a screed is stated in.
const Megapascal Pressure = 1e6

// Kelvin is a difference in temperature.
type Kelvin float64

// Slope is a difference in height or plumb per length, in mm/m.
type Slope float64

// Percent is a part of a hundred.
type Percent float64

// Frequency is a number a minute.
type Frequency float64

// Number is a plain number: of turns, of cycles, of one thing over another.
type Number float64

// Expansion is a coefficient of linear thermal expansion, in 1/K.
type Expansion float64

// Swelling is how much of its length a piece of wood gains with each percent
// of moisture content.
type Swelling float64

// String returns m with at most one decimal, as "337.5 N·m".
func (m Torque) String() string { return decimals(float64(m), 1) + " N·m" }

// String returns e with at most two decimals, as "1.69 J".
func (e Energy) String() string { return decimals(float64(e), 2) + " J" }

// String returns s with at most two decimals, as "5 s".
func (s Seconds) String() string { return decimals(float64(s), 2) + " s" }

// String returns i with at most two decimals, as "32.41 kg·m²".
func (i Inertia) String() string { return decimals(float64(i), 2) + " kg·m²" }

// String returns m with at most one decimal, as "25 kg/m²".
func (m AreaMass) String() string { return decimals(float64(m), 1) + " kg/m²" }

// String returns p as it is stated on site: below 10 kPa in pascals with at
// most one decimal, else in N/mm² with at most two.
func (p Pressure) String() string {
	if p < Megapascal/100 {
		return decimals(float64(p), 1) + " Pa"
	}
	return decimals(float64(p/Megapascal), 2) + " N/mm²"
}

// String returns k with at most one decimal, as "30 K".
func (k Kelvin) String() string { return decimals(float64(k), 1) + " K" }

// String returns s with at most two decimals, as "2.79 mm/m".
func (s Slope) String() string { return decimals(float64(s), 2) + " mm/m" }

// String returns p with at most two decimals, as "1.8 %".
func (p Percent) String() string { return decimals(float64(p), 2) + " %" }

// String returns f with at most two decimals, as "5.33 a minute".
func (f Frequency) String() string { return f.text().String() }

// Sentence returns what String does, with the words as a key.
func (f Frequency) Sentence() (key string, args []any) { return f.text().Sentence() }

func (f Frequency) text() Text { return F("%s a minute", decimals(float64(f), 2)) }

// String returns n with at most two decimals, as "20".
func (n Number) String() string { return decimals(float64(n), 2) }

// String returns a as "23·10⁻⁶/K".
func (a Expansion) String() string { return decimals(float64(a)*1e6, 2) + "·10⁻⁶/K" }

// String returns k as "0.25 % a percent".
func (k Swelling) String() string { return k.text().String() }

// Sentence returns what String does, with the words as a key.
func (k Swelling) Sentence() (key string, args []any) { return k.text().Sentence() }

func (k Swelling) text() Text {
	return F("%s a percent", strconv.FormatFloat(float64(k)*100, 'g', 4, 64)+" %")
}

func (Torque) quantity()    {}
func (Energy) quantity()    {}
func (Seconds) quantity()   {}
func (Inertia) quantity()   {}
func (AreaMass) quantity()  {}
func (Pressure) quantity()  {}
func (Kelvin) quantity()    {}
func (Slope) quantity()     {}
func (Percent) quantity()   {}
func (Frequency) quantity() {}
func (Number) quantity()    {}
func (Expansion) quantity() {}
func (Swelling) quantity()  {}
