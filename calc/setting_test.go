package calc_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

func drawPinch(t *rapid.T) calc.PinchInput {
	in := calc.PinchInput{
		Thickness: length(20*mm, 100*mm).Draw(t, "thickness"), Setback: length(10*mm, 400*mm).Draw(t, "setback"),
		Width: 1100 * mm, GapHeel: length(2*mm, 40*mm).Draw(t, "gap"), GapLead: length(2*mm, 40*mm).Draw(t, "gap_lead"),
		Angle: calc.Angle(rapid.Float64Range(1, 180).Draw(t, "angle")),
	}
	in.Offset = length(-in.Thickness/2, in.Thickness/2).Draw(t, "offset")
	return in
}

// Stepping along the swing finds the same tightest gap, and the same traps.
func TestPinchOf_stepped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawPinch(t)
		p, err := calc.PinchOf(in)
		if err != nil {
			t.Skip("can't turn")
		}
		half, e := in.Thickness.MM()/2, in.Offset.MM()
		s, r := in.Setback.MM(), (in.Width - in.Setback).MM()
		for _, c := range []struct {
			name    string
			x, y, g float64
			got     calc.Nip
		}{
			{"heel round", s, half + e, in.GapHeel.MM(), p.HeelRound}, {"heel other", s, e - half, in.GapHeel.MM(), p.HeelOther},
			{"lead round", r, half - e, in.GapLead.MM(), p.LeadRound}, {"lead other", r, -e - half, in.GapLead.MM(), p.LeadOther},
		} {
			tightest := math.Inf(1)
			const steps = 3000
			for i := range steps + 1 {
				a := min(float64(in.Angle), float64(in.Angle)*float64(i)/steps)
				sin, cos := math.Sincos(a * math.Pi / 180)
				gap := c.x + c.g - c.x*cos - c.y*sin
				tightest = min(tightest, gap)
				for _, z := range []struct {
					spans     [2]calc.AngleSpan
					low, high float64
				}{{c.got.Trap, 8, 25}, {c.got.Child, 4, 8}} {
					const edge = 1e-6 // mm, where a step falls on the end of a span
					in := holds(z.spans, calc.Angle(a))
					if gap > z.low+edge && gap < z.high-edge && !in || (gap < z.low-edge || gap > z.high+edge) && in {
						t.Fatalf("%s: at %v° the gap is %v, in %v to %v: got spans %v", c.name, a, gap, z.low, z.high, z.spans)
					}
				}
			}
			if d := tightest - c.got.Tightest.MM(); d < -1e-6 || d > 0.01 {
				t.Fatalf("%s: got tightest %v, stepping finds %v", c.name, c.got.Tightest, tightest)
			}
		}
	})
}

func holds(spans [2]calc.AngleSpan, a calc.Angle) bool {
	for _, s := range spans {
		if s.From != s.To && a >= s.From && a <= s.To {
			return true
		}
	}
	return false
}

func drawLean(t *rapid.T) calc.LeanInput {
	return calc.LeanInput{
		DX: length(-6*mm, 6*mm).Draw(t, "dx"), DY: length(-6*mm, 6*mm).Draw(t, "dy"), Height: length(1800*mm, 4000*mm).Draw(t, "h"),
		Width: 1200 * mm, Setback: length(0, 600*mm).Draw(t, "s"), Offset: length(-20*mm, 20*mm).Draw(t, "e"),
		Mass: calc.Mass(rapid.Float64Range(20, 400).Draw(t, "m")), CentreX: length(400*mm, 800*mm).Draw(t, "c"),
		Angle: calc.Angle(rapid.Float64Range(0, 180).Draw(t, "θ")),
	}
}

// The torque is the slope of the weight's height over the angle: a leaf turned
// about an axis in space, point by point.
func TestLeanOf_energy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawLean(t)
		l, err := calc.LeanOf(in)
		if err != nil {
			t.Fatal(err)
		}
		const step = 1e-4 // rad
		at := in.Angle.Radians()
		x, y := (in.CentreX-in.Setback).MM()/1000, in.Offset.MM()/1000
		slope := (weightHeight(in, x, y, at+step) - weightHeight(in, x, y, at-step)) / (2 * step)
		torque := float64(in.Mass) * 9.80665 * slope // positive: downhill is back to closed
		got := float64(l.Torque.Exact)
		if !l.Closes {
			got = -got
		}
		if math.Abs(got-torque) > 1e-5+1e-4*math.Abs(torque) {
			t.Fatalf("got %v N·m, the height's slope gives %v", got, torque)
		}
		if l.Torque.Told < l.Torque.Exact {
			t.Fatalf("got %v told for %v", l.Torque.Told, l.Torque.Exact)
		}
		// A tilted axis carries the leading edge a little less than δ/h says.
		r := (in.Width - in.Setback).MM()
		rise := weightHeight(in, r, 0, at) - weightHeight(in, r, 0, 0)
		if math.Abs(l.Rise.MM()-rise) > 1e-4*r {
			t.Fatalf("got rise %v, turning in space gives %v", l.Rise, rise)
		}
	})
}

// weightHeight returns the height of a point of the leaf, at (x, y) from the axis
// closed, turned by an angle about the leaning axis.
func weightHeight(in calc.LeanInput, x, y, angle float64) float64 {
	k := [3]float64{in.DX.MM(), in.DY.MM(), in.Height.MM()}
	n := math.Sqrt(k[0]*k[0] + k[1]*k[1] + k[2]*k[2])
	for i := range k {
		k[i] /= n
	}
	// The further a point lies the way that the axis leans, the lower it hangs.
	sin, cos := math.Sincos(angle)
	px, py := x*cos-y*sin, x*sin+y*cos
	return -(k[0]*px + k[1]*py)
}
