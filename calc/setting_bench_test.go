package calc_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// settings are the closed forms of setting a door, each with the error it ended in.
var settings = map[string]func() error{
	"lean": func() error {
		_, err := calc.LeanOf(calc.LeanInput{DX: 2 * mm, DY: mm, Height: 2430 * mm, Width: 1240 * mm, Setback: 85 * mm, Mass: 140, CentreX: 600 * mm, Angle: 70})
		return err
	},
	"pinch": func() error {
		_, err := calc.PinchOf(calc.PinchInput{Thickness: 58 * mm, Setback: 85 * mm, Width: 1240 * mm, GapHeel: 9 * mm, GapLead: 7 * mm, Angle: 105})
		return err
	},
	"flush": func() error {
		_, err := calc.FlushOf(calc.FlushInput{Width: 1240 * mm, Height: 2430 * mm, ZTop: 2400 * mm, PlumbLimit: 3 * mm, Top: calc.EdgeGaps{Lead: 3 * mm},
			FloorScrew: calc.Adjuster{Back: 5 * mm, Forth: 5 * mm}, HeadScrew: calc.Adjuster{Back: 5 * mm, Forth: 5 * mm}})
		return err
	},
	"flatness": func() error { _, err := calc.FlatnessLimit(calc.FinishedFloor, 1700*mm); return err },
	"hours at": func() error { _, err := resin.HoursAt(11); return err },
}

func BenchmarkSettings(b *testing.B) {
	for name, work := range settings {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := work(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

var glueLine = calc.GlueInput{Doors: []calc.GlueDoor{{Holes: 4, Hole: 14 * mm, Pin: 12 * mm, HoleDepth: 45 * mm, PinDepth: 42 * mm, Point: 130}}, Waste: 10}

func BenchmarkGlueFor(b *testing.B) {
	for b.Loop() {
		if _, err := calc.GlueFor(glueLine); err != nil {
			b.Fatal(err)
		}
	}
}

func TestSettings_noAllocations(t *testing.T) {
	for name, work := range settings {
		if err := work(); err != nil {
			t.Fatalf("%s: got error %q, want none", name, err)
		}
		if got := testing.AllocsPerRun(100, func() { _ = work() }); got != 0 {
			t.Errorf("%s: got %v allocations, want 0", name, got)
		}
	}
}

// Whatever comes in, a calculation answers with quantities or refuses with an
// error that names one.
func TestSettings_absurdInput(t *testing.T) {
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		likely := func(label string, l calc.Length) calc.Length {
			if rapid.IntRange(0, 19).Draw(t, label+" absurd") == 0 {
				return absurd.Draw(t, label)
			}
			return l
		}
		angle := func(label string, a calc.Angle) calc.Angle {
			if rapid.IntRange(0, 9).Draw(t, label+" absurd") == 0 {
				return absurdAngle.Draw(t, label)
			}
			return a
		}
		number := func(label string, v float64) float64 {
			if rapid.IntRange(0, 9).Draw(t, label+" absurd") == 0 {
				return float64(absurdAngle.Draw(t, label))
			}
			return v
		}
		screw := calc.Adjuster{Back: likely("back", 3*mm), Forth: likely("forth", 3*mm), Pitch: likely("pitch", mm)}
		gaps := func(label string) calc.EdgeGaps {
			return calc.EdgeGaps{Heel: likely(label+" heel", 9*mm), Lead: likely(label+" lead", 7*mm)}
		}
		errs, values := map[string]error{}, []float64{}
		lean, err := calc.LeanOf(calc.LeanInput{DX: likely("dx", 2*mm), DY: likely("dy", mm), Height: likely("h", 2430*mm), Sheet: likely("sheet", 0),
			Width: likely("w", 1240*mm), Setback: likely("s", 85*mm), Offset: likely("e", 0), Mass: calc.Mass(number("m", 140)), CentreX: likely("c", 600*mm), Angle: angle("θ", 70)})
		errs["lean"], values = err, append(values, lean.Rise.MM(), float64(lean.RestAngle), float64(lean.Torque.Told))
		pinch, err := calc.PinchOf(calc.PinchInput{Thickness: likely("t", 58*mm), Setback: likely("s", 85*mm), Width: likely("w", 1240*mm), Offset: likely("e", 0),
			GapHeel: likely("g", 9*mm), GapLead: likely("gl", 7*mm), GapBottom: likely("gb", 8*mm), Angle: angle("to", 105)})
		errs["pinch"], values = err, append(values, pinch.HeelRound.Tightest.MM(), float64(pinch.HeelRound.Trap[0].To), pinch.Passage.MM())
		flush, err := calc.FlushOf(calc.FlushInput{Width: likely("w", 1240*mm), Setback: likely("s", 85*mm), Height: likely("h", 2430*mm), Top: gaps("top"), Bottom: gaps("bottom"),
			ZTop: likely("z", 2300*mm), ZBottom: likely("zb", 100*mm), PlumbLimit: likely("limit", 3*mm), FloorScrew: screw, HeadScrew: screw})
		errs["flush"], values = err, append(values, float64(flush.RestAngle), flush.Twist.MM(), flush.Head.By.MM(), float64(flush.Head.Turns))
		in := hung()
		in.Width, in.Top, in.Bottom, in.ZTop, in.FloorScrew, in.Engagement = likely("w", in.Width), gaps("top"), gaps("bottom"), likely("z", in.ZTop), screw, likely("engagement", 15*mm)
		in.Limited, in.LimitsTop, in.LimitsBottom = rapid.Bool().Draw(t, "limited"), calc.EdgeLimits{Least: gaps("least"), Most: calc.EdgeGaps{Heel: 12 * mm, Lead: likely("most", 12*mm)}}, calc.EdgeLimits{Most: gaps("most")}
		in.Bow, in.Spare = calc.EdgeGaps{Heel: likely("bow", mm)}, likely("spare", 0)
		margins, err := calc.MarginsOf(in)
		errs["margins"], values = err, append(values, margins.WorstAfter.MM(), margins.Head.By.MM(), float64(margins.Floor.Turns))
		pins := calc.PinsInput{Layers: []calc.FloorLayer{{Thickness: likely("layer", 80*mm), Sound: true}}, Recess: likely("recess", 0), Allowance: likely("allowance", 3*mm),
			Point: angle("point", 130), HasPipe: true, Pipe: likely("cover", 60*mm), HasBack: true, Back: likely("back face", 160*mm), Locator: likely("locator", 0), Step: likely("step", mm),
			Pins: []calc.Pin{{Length: likely("pin", 35*mm), Count: 2, Hole: likely("D", 12*mm), Embedment: likely("embedment", 25*mm), CutTo: likely("cut to", 25*mm)}}}
		pin, err := calc.PinsFor(pins)
		errs["pins"], values = err, append(values, pin.Choice.Hole.SetOut.MM(), pin.Choice.CoverLeft.SetOut.MM())
		glue := calc.GlueInput{Waste: calc.Percent(number("waste", 10)), PerNozzle: calc.Volume(number("nozzle", 10)), Cartridge: calc.Volume(number("cartridge", 80)),
			Doors: []calc.GlueDoor{{Holes: 4, Hole: likely("D", 12*mm), Pin: likely("d", 10*mm), HoleDepth: likely("hole", 40*mm), PinDepth: likely("pin depth", 35*mm), Point: angle("point", 130), FilmArea: calc.Area(number("area", 9000)), FilmThickness: likely("film", 2*mm)}}}
		g, err := calc.GlueFor(glue)
		errs["glue"], values = err, append(values, float64(g.Total.Told), float64(g.Cartridges))
		hours, err := resin.HoursAt(calc.Temperature(number("temperature", 15)))
		errs["hours"], values = err, append(values, float64(hours))
		for name, err := range errs {
			var outside *calc.RangeError
			var need *calc.NeedError
			if err == nil {
				answered++
			} else if !errors.As(err, &outside) && !errors.As(err, &need) {
				t.Fatalf("%s: got error %T %q, want one that names a quantity", name, err, err)
			}
		}
		for _, v := range values {
			if math.IsNaN(v) || math.Abs(v) > 1e7 {
				t.Fatalf("got %v among %v", v, values)
			}
		}
	})
	if answered < 300 {
		t.Errorf("got %d answers, want at least 300", answered)
	}
}

// A log of a thousand hours is added up in one go.
func BenchmarkCure(b *testing.B) {
	var log []calc.Warmth
	for i := range 1000 {
		log = append(log, calc.Warmth{At: glued.Add(time.Duration(i) * time.Hour), T: 15})
	}
	for b.Loop() {
		if _, err := resin.Cure(glued, log, nil, glued.Add(1000*time.Hour)); err != nil {
			b.Fatal(err)
		}
	}
}
