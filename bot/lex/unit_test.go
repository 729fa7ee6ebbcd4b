package lex

import (
	"math"
	"strings"
	"testing"

	"heelpost/calc"
)

// No name stands for two units.
func TestUnits(t *testing.T) {
	seen := map[string]bool{}
	for _, u := range units {
		for _, name := range strings.Fields(u.names) {
			if seen[name] || name != strings.ToLower(name) {
				t.Errorf("%s stands there twice, or is not lower case", name)
			}
			seen[name] = true
		}
	}
}

// The pound is 0.45359237 kg and the inch 25.4 mm exactly: NIST SP 811 (2008),
// appendix B.8.
func TestWhole(t *testing.T) {
	for text, want := range map[string]float64{"88": 88, "88 kg": 88, "88kgs": 88, "100 lb": 45.359237, "1 pound": 0.45359237,
		"": math.NaN(), "88 stone": math.NaN(), "88 kg or so": math.NaN(), "88 mm": math.NaN(), "1,200": math.NaN(), "88 ± 1": math.NaN(), "kg": math.NaN()} {
		got, ok := WholeMass(text)
		if ok == math.IsNaN(want) || ok && math.Abs(float64(got)-want) > 1e-9 {
			t.Errorf("mass %q: got %v, %v, want %v", text, got, ok, want)
		}
	}
	for text, want := range map[string]calc.Length{"65": 65 * calc.Millimetre, "2.5 in": 63_500_000, "1 in": calc.Inch, `2-1/2"`: 63_500_000, "-3": -3 * calc.Millimetre,
		"": -1, "65 mm or so": -1, "1,200": -1, "90°": -1, "65 ± 1": -1, "3/4": -1} {
		n, ok := WholeLength(text)
		if ok != (want != -1) || ok && n.Length != want {
			t.Errorf("length %q: got %v, %v, want %v", text, n.Length, ok, want)
		}
	}
}

func TestReadingUnit(t *testing.T) {
	for word, want := range map[string]string{"C": "°C", "newtons": "N", "m/s": "m/s", "Sec": "s", "second": "s", "kg": "", "knots": "", "mph": "m/s", "lbf": "N", "F": "°C", "days": ""} {
		if unit, ok := ReadingUnit(word); !ok || unit != want {
			t.Errorf("%s: got %q, %v", word, unit, ok)
		}
	}
	// 1 mph is 0.44704 m/s, 1 lbf 4.4482216 N and 50 °F are 10 °C: NIST SP 811,
	// appendix B.8, from memory.
	for word, want := range map[string]float64{"mph": 50 * 0.44704, "km/h": 50 / 3.6, "lbf": 50 * 4.4482216, "f": 10, "n": 50} {
		if got := InReadingUnit(50, word); math.Abs(got-want) > 1e-5 {
			t.Errorf("50 %s: got %v, want %v", word, got, want)
		}
	}
	for _, word := range []string{"in", "mm", "corner", ""} {
		if _, ok := ReadingUnit(word); ok {
			t.Errorf("%q is no unit behind a reading", word)
		}
	}
}
