package calc

import "strconv"

// Mass is a mass in kilograms.
type Mass float64

// Kilogram is the unit of mass.
const Kilogram Mass = 1

// Counted returns the mass that stands against a limit: m itself if it was
// weighed, a tenth more if it was estimated. The tenth is the project's
// own allowance.
func (m Mass) Counted(estimated bool) Mass {
	if estimated {
		return m + m/10
	}
	return m
}

// String returns m in kilograms with at most two decimals, as "95 kg".
func (m Mass) String() string { return decimals(float64(m), 2) + " kg" }

// Pound is the avoirdupois pound, exactly this many kilograms by the yard and
// pound agreement of 1959.
const Pound Mass = 0.45359237

// InPounds returns m in kilograms, and in pounds up to a tenth beside them, as
// "88 kg (194 lb)".
func (m Mass) InPounds() string {
	return m.String() + " (" + decimals(float64(upTo(m/Pound, 10).Told), 1) + " lb)"
}

// Temperature is a temperature in degrees Celsius.
type Temperature float64

// String returns t with at most one decimal, as "6.5 °C".
func (t Temperature) String() string { return decimals(float64(t), 1) + " °C" }

// Hours is a length of time in hours.
type Hours float64

// String returns h with at most two decimals, as "48 h".
func (h Hours) String() string { return decimals(float64(h), 2) + " h" }

// Force is a force in newtons.
type Force float64

// String returns f with at most one decimal, as "35 N".
func (f Force) String() string { return decimals(float64(f), 1) + " N" }

// Speed is a speed in metres per second.
type Speed float64

// String returns v with at most one decimal, as "8 m/s".
func (v Speed) String() string { return decimals(float64(v), 1) + " m/s" }

// Density is a mass per volume in kilograms per cubic metre.
type Density float64

// String returns d without decimals, as "666 kg/m³".
func (d Density) String() string { return decimals(float64(d), 0) + " kg/m³" }

func (Mass) quantity()        {}
func (Temperature) quantity() {}
func (Hours) quantity()       {}
func (Force) quantity()       {}
func (Speed) quantity()       {}
func (Density) quantity()     {}

// decimals formats v with at most n decimals.
func decimals(v float64, n int) string {
	s := strconv.FormatFloat(v, 'f', n, 64)
	r, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return s // an infinity or no number: nothing to shorten
	}
	if r == 0 {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// measured is a quantity that can have bounds.
type measured interface {
	Quantity
	~int64 | ~float64
}
