package calc_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// wantRange wants a [*calc.RangeError] of a quantity.
func wantRange(t *testing.T, err error, name string) {
	t.Helper()
	if got, ok := errors.AsType[*calc.RangeError](err); !ok || got.Name != name {
		t.Errorf("got %v, want %s out of range", err, name)
	}
}

// The energy is that of the leaf's strips, each at its own speed.
func TestCloses_byStrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, w := rapid.Float64Range(20, 300).Draw(t, "mass"), length(500*mm, 2000*mm).Draw(t, "width")
		s := length(0, w/2).Draw(t, "setback")
		inertia, err := calc.UniformInertia(calc.Mass(m), w, 50*mm, s, 0)
		if err != nil {
			t.Fatal(err)
		}
		in := calc.ClosingInput{Inertia: inertia.Exact, Time: calc.Seconds(rapid.Float64Range(1, 20).Draw(t, "time"))}
		got, err := calc.Closes(in)
		if err != nil {
			t.Fatal(err)
		}
		const across, through = 400, 20
		mean, peak := 0.0, 0.0
		ω := 78 * math.Pi / 180 / float64(in.Time)
		for i := range across {
			for j := range through {
				x := (float64(i)+0.5)*w.MM()/1000/across - s.MM()/1000
				y := (float64(j)+0.5)*0.050/through - 0.025
				v2 := ω * ω * (x*x + y*y)
				mean += m / across / through / 2 * v2
				peak += m / across / through / 2 * v2 * 1.5 * 1.5
			}
		}
		if math.Abs(float64(got.MeanEnergy.Exact)/mean-1) > 1e-4 || math.Abs(float64(got.Energy.Exact)/peak-1) > 1e-4 {
			t.Fatalf("%+v: got %v and %v, strips %v and %v J", in, got.MeanEnergy, got.Energy, mean, peak)
		}
	})
}

// At its shortest time a leaf has the limit's energy, and so it has by the
// fastest 30° at theirs.
func TestCloses_inverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := calc.ClosingInput{Inertia: calc.Inertia(rapid.Float64Range(2, 300).Draw(t, "inertia")), Time: calc.Seconds(rapid.Float64Range(2, 15).Draw(t, "time"))}
		first, err := calc.Closes(in)
		if err != nil {
			t.Fatal(err)
		}
		in.Time = first.TimeMin.Exact
		if in.Time < 0.5 || in.Time > 60 {
			t.Skip("no time to close in")
		}
		again, err := calc.Closes(in)
		if err != nil || !nearly(float64(again.Energy.Exact), 1.69, 9) || !nearly(float64(again.TimeMin.Exact), float64(in.Time), 9) {
			t.Fatalf("%+v: got %+v, %v", in, again, err)
		}
		in.Time = first.TimeMin.Told
		if told, err := calc.Closes(in); err != nil || !told.OK {
			t.Fatalf("in the time told, %v: %+v, %v", in.Time, told, err)
		}
		in.Fastest = first.FastestMin.Exact
		in.Time = max(in.Time, in.Fastest*78/30+0.01)
		if in.Time > 60 {
			t.Skip("no time to close in")
		}
		timed, err := calc.Closes(in)
		if err != nil || !nearly(float64(timed.Energy.Exact), 1.69, 9) {
			t.Fatalf("%+v: got %+v, %v", in, timed, err)
		}
	})
}

// A leaf that takes at least the size it is given takes no smaller one.
func TestSizeForCloser_isTheSmallest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, m := length(200*mm, 1600*mm).Draw(t, "width"), calc.Mass(rapid.Float64Range(1, 160).Draw(t, "mass"))
		got, err := calc.SizeForCloser(w, m, false)
		if err != nil || got.Width < w || got.Mass < m {
			t.Fatalf("%v, %v: got %+v, %v", w, m, got, err)
		}
		if got.Size > 1 {
			if less := calc.CloserSizes[got.Size-2]; less.Width >= w && less.Mass >= m {
				t.Fatalf("%v, %v: got size %d, want %d", w, m, got.Size, less.Size)
			}
		}
	})
}

// EN 1154 table 1: every column rises, and the opening moment is the larger.
func TestCloserSizes(t *testing.T) {
	for i, s := range calc.CloserSizes {
		if s.Size != i+1 || s.ClosingMin >= s.ClosingMax || s.OpeningMax <= s.ClosingMin || s.ClosingAny >= s.Closing90 {
			t.Errorf("%+v", s)
		}
		if i > 0 {
			if p := calc.CloserSizes[i-1]; p.Width >= s.Width || p.Mass >= s.Mass || p.ClosingMax != s.ClosingMin || p.OpeningMax >= s.OpeningMax || p.Efficiency > s.Efficiency {
				t.Errorf("size %d doesn't continue size %d", s.Size, p.Size)
			}
		}
	}
}

// 5 lbf are 22.241 N (NIST SP 811 App. B); the standard prints 22.2.
func TestOpeningForceADA(t *testing.T) {
	if f := float64(calc.OpeningForceADA); math.Abs(f-22.241) > 0.0005 {
		t.Errorf("5 lbf are %v N", f)
	}
}

// The days told are used up by the cycles, and one more isn't there.
func TestLifeOf_usesUpTheCycles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cycles := calc.Number(rapid.IntRange(1, 5_000_000).Draw(t, "cycles"))
		done := calc.Number(rapid.IntRange(0, int(cycles)).Draw(t, "done"))
		perDay := calc.Number(rapid.IntRange(1, 5000).Draw(t, "per day"))
		l, err := calc.LifeOf(cycles, done, perDay)
		if err != nil || calc.Number(l.Days)*perDay > l.Cycles || calc.Number(l.Days+1)*perDay <= l.Cycles || l.Years != l.Days/365 || l.Cycles != cycles-done {
			t.Fatalf("%v less %v at %v a day: got %+v, %v", cycles, done, perDay, l, err)
		}
	})
}

func TestServiceInterval_Next(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	day := func(y, m, d int) time.Time { return time.Date(y, time.Month(m), d, 12, 0, 0, 0, berlin) }
	for _, tt := range []struct {
		name   string
		every  calc.ServiceInterval
		last   time.Time
		perDay calc.Number
		want   time.Time
	}{
		{"a year", calc.DefaultService, day(2027, 3, 14), 0, day(2028, 3, 14)},
		{"a year from the leap day", calc.DefaultService, day(2028, 2, 29), 0, day(2029, 2, 28)},
		{"a month from the 31st", calc.ServiceInterval{Months: 1}, day(2027, 1, 31), 0, day(2027, 2, 28)},
		{"over the change of the clocks", calc.ServiceInterval{Months: 1}, day(2027, 3, 14), 0, day(2027, 4, 14)},
		{"cycles", calc.ServiceInterval{Cycles: 10_000}, day(2027, 3, 14), 100, day(2027, 6, 22)},
		{"cycles first", calc.ServiceInterval{Cycles: 10_000, Months: 6}, day(2027, 3, 14), 100, day(2027, 6, 22)},
		{"months first", calc.ServiceInterval{Cycles: 10_000, Months: 6}, day(2027, 3, 14), 20, day(2027, 9, 14)},
		{"part of a day is none", calc.ServiceInterval{Cycles: 199}, day(2027, 3, 14), 100, day(2027, 3, 15)},
	} {
		if got, err := tt.every.Next(tt.last, tt.perDay); err != nil || !got.Equal(tt.want) {
			t.Errorf("%s: got %v, %v, want %v", tt.name, got, err, tt.want)
		}
	}
	for want, every := range map[string]calc.ServiceInterval{"service_interval": {}, "per_day": {Cycles: 100}} {
		_, err := every.Next(day(2027, 3, 14), 0)
		if got, ok := errors.AsType[*calc.NeedError](err); !ok || got.Name != want {
			t.Errorf("%+v: got %v, want %s needed", every, err, want)
		}
	}
	for want, every := range map[string]calc.ServiceInterval{"months": {Months: 241}, "cycles": {Cycles: -1}} {
		_, err := every.Next(day(2027, 3, 14), 10)
		wantRange(t, err, want)
	}
}

// Classes rise within their standard, and name it.
func TestCycleClasses(t *testing.T) {
	last := map[string]int{}
	for _, c := range calc.CycleClasses {
		if c.Standard == "" || c.Class == "" || c.Cycles <= last[c.Standard] {
			t.Errorf("%+v after %d", c, last[c.Standard])
		}
		last[c.Standard] = c.Cycles
	}
	if last["EN 12400"] != 1_000_000 || last["EN 1154"] != 500_000 { // from memory; a trade journal
		t.Errorf("highest classes: %v", last)
	}
}
