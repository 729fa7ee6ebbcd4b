package calc_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// By the words of the three roundings, looked up among the multiples of the
// step on either side.
func TestLengthRounding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := rapid.OneOf(length(-20, 20), length(-10*calc.Metre, 10*calc.Metre)).Draw(t, "length")
		step := rapid.OneOf(length(1, 9), stepsOf).Draw(t, "step")
		below := step * calc.Length(math.Floor(float64(l)/float64(step)))
		above, near := below+step, below
		if l == below {
			above = below
		}
		if 2*(l-below) >= step {
			near = above
		}
		if l.Down(step) != below || l.Up(step) != above || l.Nearest(step) != near {
			t.Fatalf("%v in steps of %v: got %v, %v, %v down, up, nearest, want %v, %v, %v",
				l, step, l.Down(step), l.Up(step), l.Nearest(step), below, above, near)
		}
		for _, none := range []calc.Length{0, -step} {
			if l.Down(none) != l || l.Up(none) != l || l.Nearest(none) != l {
				t.Fatalf("%v in steps of %v: got %v, %v, %v, want it unchanged", l, none, l.Down(none), l.Up(none), l.Nearest(none))
			}
		}
	})
}

// Fractions where a length is whole 64ths, decimals elsewhere; the millimetres
// beside them by 1 in = 25.4 mm (NIST SP 811 App. B, from memory).
func TestLength_InInches(t *testing.T) {
	for l, want := range map[calc.Length]string{
		0:                                  "0 in (0 mm)",
		calc.Inch:                          "1 in (25.4 mm)",
		calc.Inch / 64:                     "1/64 in (0.4 mm)",
		2*calc.Inch + calc.Inch*29/32:      "2-29/32 in (73.82 mm)",
		-(3*calc.Inch + calc.Inch/2):       "-3-1/2 in (-88.9 mm)",
		2 * calc.Millimetre:                "0.079 in (2 mm)",
		calc.Nanometre:                     "0 in (0 mm)",
		-calc.Nanometre:                    "0 in (0 mm)",
		41*calc.Inch + 3*calc.Inch/8 + 100: "41-3/8 in (1050.93 mm)",
	} {
		if got := l.InInches(); got != want {
			t.Errorf("%v: got %s, want %s", l, got, want)
		}
	}
}
