package lex

import (
	"math"
	"testing"
)

// What units are worth: NIST SP 811, App. B, from memory. 1 lbf is 4.4482216 N,
// 1 psi 6894.7573 Pa, 1 mile an hour 0.44704 m/s and 1 lb 0.45359237 kg.
func TestQuantities(t *testing.T) {
	for text, want := range map[string]struct {
		unit  Unit
		value float64
	}{
		"25 m/s": {MetresASecond, 25}, "25m/s": {MetresASecond, 25}, "72 km/h": {MetresASecond, 20}, "72km/h": {MetresASecond, 20}, "10 mph": {MetresASecond, 4.4704}, "36 kph": {MetresASecond, 10},
		"800 N": {Newtons, 800}, "0.8 kN": {Newtons, 800}, "10 lbf": {Newtons, 44.482216}, "40 Pa": {Pascals, 40}, "5 N/mm²": {Pascals, 5e6}, "5 N/mm2": {Pascals, 5e6}, "5 MPa": {Pascals, 5e6}, "2 kN/m²": {Pascals, 2000}, "10 psi": {Pascals, 68947.573},
		"5 s": {Seconds, 5}, "5s": {Seconds, 5}, "5 seconds": {Seconds, 5}, "1.8 %": {Percents, 1.8}, "1.8%": {Percents, 1.8}, "1.8 CM-%": {Percents, 1.8}, "2 percent": {Percents, 2}, "30 K": {Kelvins, 30},
		"640 kg/m³": {KilogramsACubicMetre, 640}, "640 kg": {Kilograms, 640}, "100 lb": {Kilograms, 45.359237}, "21 °C": {Celsius, 21}, "18 h": {Hours, 18}, "1/2 h": {Hours, 0.5},
		"2 m": {metres, 2}, "54 s 60": {Bare, 54}, "54 n=60": {Bare, 54}, "3 m square": {metres, 3}, "5 N/mm²x": {Newtons, 5},
	} {
		tokens := Quantities(text, Lex(text, nil))
		n := tokens[0].Num
		if n.Unit != want.unit || math.Abs(n.Plain-want.value) > 1e-6*want.value {
			t.Errorf("%q is %v in unit %d, want %v in %d", text, n.Plain, n.Unit, want.value, want.unit)
		}
		if n.Raw != text[:n.End] {
			t.Errorf("%q is kept as %q", text, n.Raw)
		}
	}
}
