package calc_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

var loaded = rapid.Custom(func(t *rapid.T) calc.LoadInput {
	w := length(400*mm, 3000*mm).Draw(t, "width")
	h := length(1000*mm, 4000*mm).Draw(t, "height")
	return calc.LoadInput{
		Mass: calc.Mass(rapid.Float64Range(10, 800).Draw(t, "mass")), Estimated: rapid.Bool().Draw(t, "estimated"), Width: w, Height: h,
		Setback: length(0, w/2).Draw(t, "setback"), CentreX: length(0, w).Draw(t, "centre"), PivotHeight: h,
		Wind: calc.Speed(rapid.Float64Range(0, 40).Draw(t, "wind")), Person: calc.Force(rapid.Float64Range(0, 1500).Draw(t, "person")),
		Pressure: calc.Pressure(rapid.Float64Range(0, 200).Draw(t, "pressure")), Pins: rapid.IntRange(1, 4).Draw(t, "pins"),
	}
})

// What the pivots do to the leaf balances what acts on it.
func TestLoads_balance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := loaded.Draw(t, "leaf")
		l, err := calc.Loads(in)
		if err != nil {
			t.Fatal(err)
		}
		m := float64(in.Mass)
		if in.Estimated {
			m *= 1.1
		}
		// Moments in the leaf's plane about the floor pivot, in N·m, with and
		// without the person.
		weight := m * metreG * (in.CentreX - in.Setback).MM() / 1000
		person := float64(in.Person) * (in.Width - in.Setback).MM() / 1000
		want := max(math.Abs(weight), math.Abs(weight+person))
		if got := float64(l.Horizontal.Exact) * in.PivotHeight.MM() / 1000; !nearly(got, want, 9) {
			t.Fatalf("%+v: the head pivot holds %v N·m, want %v", in, got, want)
		}
		if got := float64(l.Vertical.Exact); !nearly(got, m*metreG+float64(in.Person), 9) {
			t.Fatalf("%+v: vertical %v", in, got)
		}
		held := float64(l.HoldForce.Exact) * (in.Width - in.Setback).MM() / 1000
		if !nearly(held, float64(l.WindMoment.Exact), 9) {
			t.Fatalf("%+v: %v N·m held of %v", in, held, l.WindMoment.Exact)
		}
		if sq := func(f calc.Force) float64 { return float64(f * f) }; !nearly(sq(l.PivotHorizontal.Exact), sq(l.Horizontal.Exact)+sq(l.WindForce.Exact/2), 9) {
			t.Fatalf("%+v: got %+v", in, l)
		}
		if got := float64(l.PinShear.Exact) * float64(in.Pins); !nearly(got, float64(l.PivotHorizontal.Exact), 9) {
			t.Fatalf("%+v: the pins carry %v of %v", in, got, l.PivotHorizontal.Exact)
		}
	})
}

// The moment of a pressure is that of its strips, and those of a wind never
// less; both grow with their cause and don't depend on the mass.
func TestLoads_byStrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := loaded.Draw(t, "leaf")
		in.Pressure = calc.Pressure(0.625 * 1.8 * float64(in.Wind) * float64(in.Wind))
		if in.Pressure > 2000 {
			t.Skip("more than a difference in pressure can be")
		}
		l, err := calc.Loads(in)
		if err != nil {
			t.Fatal(err)
		}
		const strips = 1000
		w, s, h := in.Width.MM()/1000, in.Setback.MM()/1000, in.Height.MM()/1000
		moment := 0.0
		for i := range strips {
			moment += float64(in.Pressure) * h * w / strips * ((float64(i)+0.5)*w/strips - s)
		}
		if !nearly(float64(l.PressureMoment.Exact), moment, 8) || float64(l.WindMoment.Exact) < moment*(1-1e-9) {
			t.Fatalf("%+v: pressure %v, wind %v, strips %v N·m", in, l.PressureMoment.Exact, l.WindMoment.Exact, moment)
		}
		m, f, err := calc.PressureDifference(in.Pressure, in.Height, in.Width, in.Setback, in.HandleInset)
		if err != nil || m != l.PressureMoment || f != l.PressureForce {
			t.Fatalf("alone %v, %v, %v, in the load %v, %v", m, f, err, l.PressureMoment, l.PressureForce)
		}
		more := in
		more.Wind, more.Mass = in.Wind+1, in.Mass+10
		if r, err := calc.Loads(more); err != nil || r.WindMoment.Exact <= l.WindMoment.Exact || r.PressureMoment != l.PressureMoment || r.Vertical.Exact <= l.Vertical.Exact {
			t.Fatalf("a gust more: %+v, %v, before %+v", r, err, l)
		}
	})
}

// A lever carries the moment that it was asked about, in mm as in inches.
func TestLeverForce_carriesTheMoment(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := loaded.Draw(t, "leaf")
		inset := length(0, (in.Width-in.Setback)/2).Draw(t, "inset")
		m := calc.Torque(rapid.Float64Range(0, 300).Draw(t, "moment"))
		f, err := calc.LeverForce(m, in.Width, in.Setback, inset)
		if err != nil || !nearly(float64(f.Exact)*(in.Width-in.Setback-inset).MM()/1000, float64(m), 9) {
			t.Fatalf("%+v: got %v, %v", in, f, err)
		}
		if float64(f.Told) < float64(f.Exact)*(1-1e-9) || f.Told-f.Exact > 1 {
			t.Fatalf("got %v, want the newton above", f)
		}
	})
}

// A team that lifts a mass lifts a lighter one, and what it is told may be
// lifted never exceeds the published factors.
func TestHandLift_heavierNeedsNoFewer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := calc.HandlingInput{Mass: calc.Mass(rapid.Float64Range(0.1, 60).Draw(t, "mass")), Estimated: rapid.Bool().Draw(t, "estimated"),
			Single: calc.Mass(rapid.Float64Range(1, 25).Draw(t, "single")), Way: rapid.SampledFrom([]calc.Handling{calc.StandingUp, calc.FromWaist, calc.OnStairs}).Draw(t, "way")}
		a, err := calc.HandLift(in)
		if err != nil {
			t.Fatal(err)
		}
		more := in
		more.Mass += 5
		b, err := calc.HandLift(more)
		if err != nil || a.People == 0 && b.People != 0 || b.People != 0 && b.People < a.People {
			t.Fatalf("%v takes %d, %v takes %d, %v", in.Mass, a.People, more.Mass, b.People, err)
		}
		for i, factor := range []calc.Mass{1, 4. / 3, 1.5} { // UK HSE L23 para 120
			if l := a.Limits[i]; l > in.Single*factor*(1+1e-9) || l < in.Single*factor-0.1-1e-9 {
				t.Fatalf("%d of %v each may lift %v", i+1, in.Single, l)
			}
		}
		if a.People > 0 && (a.Counted > a.Limit || a.Limit != a.Limits[a.People-1]) || a.People == 0 && a.Counted <= a.Limits[2] {
			t.Fatalf("%+v: got %+v", in, a)
		}
		if shared := in.Way == calc.FromWaist && a.People > 0; shared != (a.Share.Told > 0) || shared && float64(a.Share.Told)*float64(a.People) < float64(a.Counted)*(1-1e-9) {
			t.Fatalf("%+v: got %+v", in, a)
		}
		if float64(a.Gear.Exact) < 1.1*float64(in.Mass)*(1-1e-9) {
			t.Fatalf("gear for %v is good for %v", in.Mass, a.Gear)
		}
	})
}

// The smallest value of the filter holds for what passes every height.
func TestHandLift_singleByWay(t *testing.T) {
	for way, want := range map[calc.Handling]calc.Mass{calc.StandingUp: 7, calc.FromWaist: 16, calc.OnStairs: 7} {
		if r, err := calc.HandLift(calc.HandlingInput{Mass: 5, Way: way}); err != nil || r.Single != want {
			t.Errorf("way %d: got %v, %v, want %v", way, r.Single, err, want)
		}
	}
}
