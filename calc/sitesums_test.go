package calc_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// What a tape shows for a length stands for that length, and a colder tape
// never for a longer one.
func TestTape_inverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := length(0, 30*calc.Metre).Draw(t, "length")
		at := calc.Temperature(rapid.Float64Range(-30, 60).Draw(t, "temperature"))
		α := calc.Expansion(rapid.Float64Range(0, 50e-6).Draw(t, "α"))
		reading, err := calc.TapeReading(l, at, α)
		if err != nil {
			t.Fatal(err)
		}
		got, err := calc.Tape(reading, at, α, calc.ClassII)
		if err != nil || (got.Length-l).Abs() > 1 || got.Correction != got.Length-reading {
			t.Fatalf("%v at %v reads %v and comes back as %+v, %v", l, at, reading, got, err)
		}
		if at > -29 {
			if cold, err := calc.Tape(reading, at-1, α, calc.ClassIII); err != nil || cold.Length > got.Length || cold.Uncertainty <= got.Uncertainty {
				t.Fatalf("a kelvin colder %+v, %v, before %+v", cold, err, got)
			}
		}
	})
	_, err := calc.Tape(2*calc.Metre, 20, calc.TapeSteel, 4)
	wantRange(t, err, "class")
}

// A parallelogram set out by its corners has the slope it was set out with.
func TestOutOfSquare_byCorners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := length(400*mm, 3000*mm).Draw(t, "width"), length(500*mm, 4000*mm).Draw(t, "height")
		lean := rapid.Float64Range(-0.05, 0.05).Draw(t, "lean") // of the sides, as a sine
		dx, up := float64(h)*lean, float64(h)*math.Sqrt(1-lean*lean)
		diagonal := func(x float64) calc.Length { return calc.Length(math.Round(math.Hypot(x, up))) }
		d1, d2 := diagonal(float64(w)+dx), diagonal(float64(w)-dx)
		got, err := calc.OutOfSquare(d1, d2, w, h)
		if err != nil || math.Abs(float64(got.Slope)-1000*lean) > 1e-4 || math.Abs(got.Over.MM()-dx/1e6) > 1e-3 ||
			math.Abs(float64(got.Corner)-math.Acos(lean)*180/math.Pi) > 1e-5 {
			t.Fatalf("%v × %v leaning %v: got %+v, %v", w, h, lean, got, err)
		}
		other, err := calc.OutOfSquare(d2, d1, w, h)
		if err != nil || other.Slope != -got.Slope || other.Over != -got.Over || !nearly(float64(other.Corner+got.Corner), 180, 9) {
			t.Fatalf("the other way round %+v, %v, before %+v", other, err, got)
		}
	})
}

// A screw turned for a travel travels it, in both systems of units.
func TestTurnsFor_inverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		travel := length(-50*mm, 50*mm).Draw(t, "travel")
		thread := rapid.SampledFrom(calc.Threads).Draw(t, "thread")
		a, err := calc.TurnsFor(travel, thread.Pitch)
		if err != nil {
			t.Fatal(err)
		}
		b, err := calc.TravelOf(a.Turns, thread.Pitch)
		if err != nil || (b.Travel-travel).Abs() > 1 || b.Flats != 6*a.Turns || b.Degrees != calc.Angle(360*a.Turns) || a.Travel != travel {
			t.Fatalf("%v on %s: got %+v, back %+v, %v", travel, thread.Name, a, b, err)
		}
	})
}

// ISO 261: the coarse pitches of a published chart, tap drill = d − P; ASME
// B1.1: threads an inch, from memory.
func TestThreads(t *testing.T) {
	drills := map[string][2]float64{"M3": {3, 2.5}, "M4": {4, 3.3}, "M5": {5, 4.2}, "M6": {6, 5}, "M10": {10, 8.5}, "M14": {14, 12}, "M16": {16, 14},
		"M18": {18, 15.5}, "M20": {20, 17.5}, "M22": {22, 19.5}, "M24": {24, 21}, "M27": {27, 24}, "M30": {30, 26.5}}
	for name, d := range drills {
		if thread, ok := calc.ThreadNamed(name); !ok || thread.Pitch != calc.MM(d[0]-d[1]) {
			t.Errorf("%s: got %v, want %v mm", name, thread.Pitch, d[0]-d[1])
		}
	}
	if thread, _ := calc.ThreadNamed("M12"); thread.Pitch != calc.MM(1.75) {
		t.Errorf("M12: got %v", thread.Pitch)
	}
	if thread, _ := calc.ThreadNamed("3/8-16"); 16*thread.Pitch != calc.Inch {
		t.Errorf("3/8-16: got %v", thread.Pitch)
	}
	if _, ok := calc.ThreadNamed("M13"); ok {
		t.Error("M13 is a thread")
	}
	seen := map[string]bool{}
	for _, thread := range calc.Threads {
		if seen[thread.Name] || thread.Pitch < 500*calc.Micrometre || thread.Pitch > 4*mm {
			t.Errorf("%+v", thread)
		}
		seen[thread.Name] = true
	}
}

// Once the lintel has moved back, the head pivot sits as it did.
func TestHeadEngagement_comesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := calc.HeadInput{Engagement: length(0, 40*mm).Draw(t, "engagement"), Least: length(0, 40*mm).Draw(t, "least"),
			GapTop: length(0, 20*mm).Draw(t, "gap"), Deflection: length(0, 20*mm).Draw(t, "deflection")}
		got, err := calc.HeadEngagement(in)
		if err != nil || got.Engagement+in.Deflection != in.Engagement || got.GapTop+in.Deflection != in.GapTop || got.Spare != got.Engagement-in.Least {
			t.Fatalf("%+v: got %+v, %v", in, got, err)
		}
	})
}
