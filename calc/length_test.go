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
