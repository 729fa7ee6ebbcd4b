package calc_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

const metreG = 9.80665 // m/s², NIST SP 811 App. B

var slab = calc.StandingLeaf{Mass: 88, Width: 1050 * mm, Height: 2350 * mm, Thickness: 44 * mm}

// Computed independently, no published source: atan(44/2350).
func ExampleTipAngle() {
	a, err := calc.TipAngle(2350*mm, 44*mm)
	fmt.Printf("%v, exact %.2f°, %v\n", a.Told, float64(a.Exact), err)
	// Output: 1°, exact 1.07°, <nil>
}

// Computed independently from the stagnation pressure of EN 1991-1-4, 4.5,
// and a force coefficient from memory.
func ExampleTipWind() {
	v, err := calc.TipWind(slab)
	fmt.Printf("%v, exact %.2f m/s, %v\n", v.Told, float64(v.Exact), err)
	// Output: 2.4 m/s, exact 2.41 m/s, <nil>
}

// Computed independently, no published source: the prop at two thirds of the
// height.
func ExamplePropForce() {
	p, err := calc.PropForce(slab, calc.Prop{Height: 2350 * mm * 2 / 3, Lean: 10})
	fmt.Printf("%v, exact %.0f N, %v\n", p.Force.Told, float64(p.Force.Exact), err)
	// Output: 101 N, exact 100 N, <nil>
}

func drawStanding(t *rapid.T) calc.StandingLeaf {
	return calc.StandingLeaf{
		Mass: calc.Mass(rapid.Float64Range(1, 3000).Draw(t, "mass")), Estimated: rapid.Bool().Draw(t, "estimated"),
		Width: length(200*mm, 6*calc.Metre).Draw(t, "width"), Height: length(300*mm, 10*calc.Metre).Draw(t, "height"),
		Thickness: length(5*mm, 300*mm).Draw(t, "thickness"),
	}
}

// nearly says whether two values agree to a part of 10^p.
func nearly(a, b float64, p int) bool {
	return math.Abs(a-b) <= math.Pow10(-p)*max(math.Abs(a), math.Abs(b), 1)
}

// heightOfCentre is the height of the centre of gravity of a leaf that leans
// by β on the edge of its foot, in m: the independent way to both the tipping
// angle, where it is greatest, and the moment, which is its slope.
func heightOfCentre(l calc.StandingLeaf, β float64) float64 {
	return l.Height.MM()/2000*math.Cos(β) + l.Thickness.MM()/2000*math.Sin(β)
}

func TestTipAngle_isTheHighestPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawStanding(t)
		a, err := calc.TipAngle(l.Height, l.Thickness)
		if err != nil {
			t.Fatal(err)
		}
		lo, hi := 0.0, math.Pi/2 // golden section would do; thirds are plainer
		for range 200 {
			x, y := lo+(hi-lo)/3, hi-(hi-lo)/3
			if heightOfCentre(l, x) < heightOfCentre(l, y) {
				lo = x
			} else {
				hi = y
			}
		}
		if want := lo * 180 / math.Pi; !nearly(float64(a.Exact), want, 5) || a.Told > a.Exact || a.Exact-a.Told >= 0.1 {
			t.Fatalf("%v × %v: got %v, want %v", l.Height, l.Thickness, a, want)
		}
	})
}

// The gust that tips a leaf gives, summed over strips of its height, the
// moment that its weight holds against.
func TestTipWind_balancesTheWeight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawStanding(t)
		v, err := calc.TipWind(l)
		if err != nil {
			t.Fatal(err)
		}
		const strips = 1000
		h, w := l.Height.MM()/1000, l.Width.MM()/1000
		q := 0.625 * float64(v.Exact) * float64(v.Exact)
		overturns := 0.0
		for i := range strips {
			overturns += 1.8 * q * w * h / strips * (float64(i) + 0.5) * h / strips
		}
		m := float64(l.Mass)
		if l.Estimated {
			m *= 0.9
		}
		if holds := m * metreG * l.Thickness.MM() / 2000; !nearly(overturns, holds, 9) {
			t.Fatalf("%+v: %v N·m tips, %v N·m holds", l, overturns, holds)
		}
		if v.Told > v.Exact*(1+1e-9) || v.Exact-v.Told >= 0.1+1e-9 {
			t.Fatalf("got %v, want the tenth below", v)
		}
		l.Thickness = min(l.Thickness*2, 300*mm)
		if thicker, err := calc.TipWind(l); err != nil || thicker.Exact < v.Exact {
			t.Fatalf("a thicker leaf stands in %v, %v, the thinner in %v", thicker, err, v)
		}
	})
}

func TestPropForce_isTheSlopeOfTheHeight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawStanding(t)
		p := calc.Prop{Lean: calc.Angle(rapid.Float64Range(0, 60).Draw(t, "lean")), Height: l.Height / 2 * 9 / 10,
			Wind: calc.Speed(rapid.Float64Range(0, 60).Draw(t, "wind"))}
		load, err := calc.PropForce(l, p)
		if err != nil {
			t.Fatal(err)
		}
		m := float64(l.Mass)
		if l.Estimated {
			m *= 1.1
		}
		β, d := float64(p.Lean)*math.Pi/180, 1e-5
		falls := (heightOfCentre(l, β-d) - heightOfCentre(l, β+d)) / (2 * d)
		want := max(0, m*metreG*falls/(p.Height.MM()/1000))
		if !nearly(float64(load.Gravity), want, 5) {
			t.Fatalf("%+v, %+v: gravity %v, want %v", l, p, load.Gravity, want)
		}
		if tip, _ := calc.TipAngle(l.Height, l.Thickness); p.Lean < tip.Exact && load.Gravity != 0 {
			t.Fatalf("%v leans less than its tipping angle %v and presses with %v", p.Lean, tip.Exact, load.Gravity)
		}
		if sum := load.Gravity + load.Wind; load.Force.Exact != sum || float64(load.Force.Told) < float64(sum)*(1-1e-9) || load.Force.Told-sum > 1 {
			t.Fatalf("got %v, want the newton above %v", load.Force, sum)
		}
		higher := p
		higher.Height += mm
		if less, err := calc.PropForce(l, higher); err != nil || less.Force.Exact > load.Force.Exact {
			t.Fatalf("a higher prop carries %v, %v, the lower %v", less.Force, err, load.Force)
		}
	})
}

// At the speed that tips it, the gust on an upright leaf loads the prop with
// the moment of its weight.
func TestPropForce_atTheTippingWind(t *testing.T) {
	v, err := calc.TipWind(slab)
	if err != nil {
		t.Fatal(err)
	}
	load, err := calc.PropForce(slab, calc.Prop{Height: 2 * calc.Metre, Wind: v.Exact})
	if want := 88 * metreG * 0.022 / 2; err != nil || !nearly(float64(load.Force.Exact), want, 12) {
		t.Errorf("got %v, %v, want %v N", load.Force, err, want)
	}
}

func TestStand_refuses(t *testing.T) {
	good := calc.Prop{Height: 1500 * mm, Lean: 5, Wind: 8}
	for _, tt := range []struct {
		name string
		edit func(*calc.StandingLeaf, *calc.Prop)
		want calc.RangeError
	}{
		{"mass", func(l *calc.StandingLeaf, _ *calc.Prop) { l.Mass = 3001 }, calc.RangeError{Value: calc.Mass(3001), Bound: calc.AtMost, Limit: calc.Mass(3000)}},
		{"width", func(l *calc.StandingLeaf, _ *calc.Prop) { l.Width = 0 }, calc.RangeError{Value: 0 * mm, Bound: calc.AtLeast, Limit: 200 * mm}},
		{"height", func(l *calc.StandingLeaf, _ *calc.Prop) { l.Height = 20 * calc.Metre }, calc.RangeError{Value: 20 * calc.Metre, Bound: calc.AtMost, Limit: 10 * calc.Metre}},
		{"thickness", func(l *calc.StandingLeaf, _ *calc.Prop) { l.Thickness = 4 * mm }, calc.RangeError{Value: 4 * mm, Bound: calc.AtLeast, Limit: 5 * mm}},
		{"wind", func(_ *calc.StandingLeaf, p *calc.Prop) { p.Wind = 61 }, calc.RangeError{Value: calc.Speed(61), Bound: calc.AtMost, Limit: calc.Speed(60)}},
		{"wind", func(_ *calc.StandingLeaf, p *calc.Prop) { p.Wind = -1 }, calc.RangeError{Value: calc.Speed(-1), Bound: calc.AtLeast, Limit: calc.Speed(0)}},
		{"lean", func(_ *calc.StandingLeaf, p *calc.Prop) { p.Lean = 61 }, calc.RangeError{Value: calc.Angle(61), Bound: calc.AtMost, Limit: calc.Angle(60)}},
		{"prop_height", func(_ *calc.StandingLeaf, p *calc.Prop) { p.Height = 99 * mm }, calc.RangeError{Value: 99 * mm, Bound: calc.AtLeast, Limit: 100 * mm}},
		{"prop_height", func(_ *calc.StandingLeaf, p *calc.Prop) { p.Height, p.Lean = 1176*mm, 60 }, calc.RangeError{Value: 1176 * mm, Bound: calc.AtMost, Limit: 1175 * mm, Why: "that is the top of the leaf as it leans"}},
	} {
		l, p := slab, good
		tt.edit(&l, &p)
		tt.want.Name = tt.name
		_, err := calc.PropForce(l, p)
		if got, ok := errors.AsType[*calc.RangeError](err); !ok || *got != tt.want {
			t.Errorf("got %v, want %v", err, &tt.want)
		}
	}
	for _, err := range []error{
		func() error { _, err := calc.TipAngle(0, 44*mm); return err }(),
		func() error { _, err := calc.TipWind(calc.StandingLeaf{Mass: calc.Mass(math.NaN())}); return err }(),
	} {
		if _, ok := errors.AsType[*calc.RangeError](err); !ok {
			t.Errorf("got %v, want a range error", err)
		}
	}
}
