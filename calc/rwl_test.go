package calc_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"heelpost/calc"
)

var lifts = rapid.Custom(func(t *rapid.T) calc.RWLInput {
	return calc.RWLInput{
		Load: calc.Mass(rapid.Float64Range(1, 40).Draw(t, "load")), Ahead: length(0, 630*mm).Draw(t, "ahead"),
		Height: length(0, 1750*mm).Draw(t, "height"), Origin: length(0, 1750*mm).Draw(t, "origin"), Travel: length(0, 1750*mm).Draw(t, "travel"),
		Asymmetry: calc.Angle(rapid.Float64Range(0, 135).Draw(t, "asymmetry")), Often: calc.Frequency(rapid.Float64Range(0, 8).Draw(t, "often")),
		Duration: calc.LiftDuration(rapid.IntRange(0, 2).Draw(t, "duration")), Coupling: calc.Coupling(rapid.IntRange(0, 2).Draw(t, "coupling")),
		Inches: rapid.Bool().Draw(t, "inches"),
	}
})

func limitOf(t *rapid.T, in calc.RWLInput) calc.Mass {
	r, err := calc.RecommendedWeight(in)
	if err != nil {
		t.Fatalf("%+v: %v", in, err)
	}
	if r.Limit.Exact <= 0 || r.Limit.Exact > 51*calc.Pound || r.Limit.Told > r.Limit.Exact*(1+1e-8) ||
		!nearly(float64(r.Index.Exact)*float64(r.Limit.Exact), float64(in.Load), 9) || float64(r.Index.Told) < float64(r.Index.Exact)*(1-1e-8) {
		t.Fatalf("%+v: got %+v", in, r)
	}
	return r.Limit.Exact
}

// Whatever makes a lift worse never raises its limit.
func TestRecommendedWeight_worseIsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := lifts.Draw(t, "lift")
		limit := limitOf(t, in)
		waist := 750 * mm
		if in.Inches {
			waist = 30 * calc.Inch
		}
		for name, worsen := range map[string]func(*calc.RWLInput){
			"further ahead":      func(r *calc.RWLInput) { r.Ahead = min(r.Ahead+50*mm, 630*mm) },
			"further to move":    func(r *calc.RWLInput) { r.Travel = min(r.Travel+50*mm, 1750*mm) },
			"more to the side":   func(r *calc.RWLInput) { r.Asymmetry = min(r.Asymmetry+10, 135) },
			"more often":         func(r *calc.RWLInput) { r.Often = min(r.Often+0.3, 8) },
			"a worse hold":       func(r *calc.RWLInput) { r.Coupling = calc.PoorCoupling },
			"longer":             func(r *calc.RWLInput) { r.Duration = calc.LongLifting },
			"further from waist": func(r *calc.RWLInput) { r.Height = awayFrom(r.Height, waist) },
		} {
			worse := in
			worsen(&worse)
			if got := limitOf(t, worse); got > limit*(1+1e-9) {
				t.Fatalf("%s: %v, before %v; %+v", name, got, limit, in)
			}
		}
	})
}

// awayFrom moves a height 50 mm away from the waist, on the same side of it.
func awayFrom(h, waist calc.Length) calc.Length {
	if h < waist {
		return max(0, h-50*mm)
	}
	return min(h+50*mm, 1750*mm)
}

// The equation's two systems of units are rounded apart: LC by 0.6 %, H by
// 1.6 %, V by 1.6 % of a term, D by 1.6 % of another.
func TestRecommendedWeight_units(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := lifts.Draw(t, "lift")
		in.Height, in.Origin = in.Height+10*mm, in.Origin+12*mm // the waist is 750 or 762 mm
		for _, v := range []*calc.Length{&in.Height, &in.Origin} {
			if *v >= 750*mm && *v < 762*mm || *v > 1750*mm {
				*v = 800 * mm
			}
		}
		in.Inches = false
		metric := limitOf(t, in)
		in.Inches = true
		if inches := limitOf(t, in); inches < metric*0.95 || inches > metric*1.06 {
			t.Fatalf("%+v: %v by the metric constants, %v by the others", in, metric, inches)
		}
	})
}

// A row of table 5 is itself, and what lies between two rows lies between
// their multipliers.
func TestRecommendedWeight_betweenRows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := lifts.Draw(t, "lift")
		row := rapid.IntRange(1, 7).Draw(t, "row")
		at := func(f calc.Frequency) float64 {
			in.Often = f
			r, err := calc.RecommendedWeight(in)
			if err != nil {
				t.Fatal(err)
			}
			return r.Frequency
		}
		a, b := at(calc.Frequency(row)), at(calc.Frequency(row+1))
		part := rapid.Float64Range(0, 1).Draw(t, "part")
		if got := at(calc.Frequency(float64(row) + part)); !nearly(got, a+part*(b-a), 9) {
			t.Fatalf("row %d and %v of the next: got %v, want %v", row, part, got, a+part*(b-a))
		}
	})
}

func TestRecommendedWeight_refusesUnknownWords(t *testing.T) {
	good := calc.RWLInput{Load: 20, Ahead: 400 * mm, Height: 800 * mm, Origin: 700 * mm, Travel: 300 * mm}
	for name, edit := range map[string]func(*calc.RWLInput){
		"duration": func(in *calc.RWLInput) { in.Duration = 3 },
		"coupling": func(in *calc.RWLInput) { in.Coupling = -1 },
	} {
		in := good
		edit(&in)
		_, err := calc.RecommendedWeight(in)
		wantRange(t, err, name)
	}
}

// More recovery never makes a duration longer, more work never shorter.
func TestDurationOfLifting_monotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		work := time.Duration(rapid.IntRange(0, 479).Draw(t, "work")) * time.Minute
		rest := time.Duration(rapid.IntRange(0, 300).Draw(t, "recovery")) * time.Minute
		d, err := calc.DurationOfLifting(work, rest)
		if err != nil {
			t.Fatal(err)
		}
		if more, _ := calc.DurationOfLifting(work, rest+time.Minute); more > d {
			t.Fatalf("%v with %v: %v, with a minute more %v", work, rest, d, more)
		}
		if more, _ := calc.DurationOfLifting(work+time.Minute, rest); more < d {
			t.Fatalf("%v with %v: %v, a minute longer %v", work, rest, d, more)
		}
	})
}
