package calc_test

import (
	"testing"

	"heelpost/calc"
)

var (
	benchMass = calc.MassInput{Width: 980 * mm, Height: 2250 * mm, Setback: 75 * mm, Step: mm,
		Layers:  []calc.Layer{{Thickness: 6 * mm, Density: 2500}, {Thickness: 38 * mm, Density: 710, Frame: 120 * mm}, {Thickness: 8 * mm, Density: 710, Later: true}},
		Cutouts: []calc.Cutout{{X: 300 * mm, Z: 900 * mm, Width: 200 * mm, Height: 600 * mm}}, Parts: []calc.Part{{Mass: 2.4, X: 910 * mm}}}
	benchLoad = calc.LoadInput{Mass: 95, Width: 980 * mm, Height: 2250 * mm, Setback: 75 * mm, CentreX: 490 * mm, PivotHeight: 2250 * mm, Wind: 14, Person: 700, Pressure: 12, Pins: 4}
	benchRWL  = calc.RWLInput{Load: 20, Ahead: 400 * mm, Height: 800 * mm, Origin: 400 * mm, Travel: 400 * mm, Asymmetry: 30, Often: 0.7, Coupling: calc.PoorCoupling}
	benchSun  = calc.SunInput{Expansion: 23e-6, Width: 980 * mm, Height: 2250 * mm, Thickness: 48 * mm, Through: 25, Warmer: 30, Step: mm}
	benchWood = []calc.Strip{{Width: 120 * mm, Swelling: 0.0036}, {Width: 120 * mm, Swelling: 0.0036}}
)

// closedForms are the calculations that are one formula each, on inputs that
// they answer.
var closedForms = map[string]func() error{
	"tip_angle": func() error { _, err := calc.TipAngle(2350*mm, 44*mm); return err },
	"tip_wind":  func() error { _, err := calc.TipWind(slab); return err },
	"prop_force": func() error {
		_, err := calc.PropForce(slab, calc.Prop{Height: 1500 * mm, Lean: 6, Wind: 8})
		return err
	},
	"mass":     func() error { _, err := calc.LeafMass(benchMass); return err },
	"weighed":  func() error { _, err := calc.TwoScales(52, 38, 840*mm, 60*mm, mm); return err },
	"bearing":  func() error { _, err := calc.FloorPressure(1430, 140*mm, 55*mm, calc.Megapascal); return err },
	"inertia":  func() error { _, err := calc.UniformInertia(95, 980*mm, 48*mm, 75*mm, 0); return err },
	"load":     func() error { _, err := calc.Loads(benchLoad); return err },
	"lift":     func() error { _, err := calc.HandLift(calc.HandlingInput{Mass: 20, Way: calc.FromWaist}); return err },
	"standing": func() error { _, err := calc.StandingHeight(2250*mm, 48*mm, mm); return err },
	"rwl":      func() error { _, err := calc.RecommendedWeight(benchRWL); return err },
	"closer":   func() error { _, err := calc.SizeForCloser(980*mm, 95, true); return err },
	"lever":    func() error { _, err := calc.LeverForce(47, 980*mm, 75*mm, 60*mm); return err },
	"closing":  func() error { _, err := calc.Closes(calc.ClosingInput{Inertia: 25, Time: 6, Fastest: 2}); return err },
	"life":     func() error { _, err := calc.LifeOf(200_000, 0, 110); return err },
	"sun":      func() error { _, err := calc.SunOn(benchSun); return err },
	"moisture": func() error { _, err := calc.MoistureMovement(benchWood, -4, 3*mm, mm); return err },
	"wood":     func() error { _, err := calc.WoodMoisture(20, 45); return err },
	"heated":   func() error { _, err := calc.HeatedHumidity(2, 85, 21); return err },
	"screed":   func() error { _, err := calc.ScreedReady(calc.ScreedInput{Thickness: 62 * mm}); return err },
	"tape":     func() error { _, err := calc.Tape(2250*mm, 4, calc.TapeSteel, calc.ClassII); return err },
	"square":   func() error { _, err := calc.OutOfSquare(2455*mm, 2453*mm, 980*mm, 2250*mm); return err },
	"turns":    func() error { _, err := calc.TurnsFor(3*mm, 1750*calc.Micrometre); return err },
}

func BenchmarkClosedForms(b *testing.B) {
	for name, work := range closedForms {
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

func BenchmarkCheckAccess(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := calc.CheckAccess(980*mm, 2500*mm, 48*mm, mm, calc.Access{RouteWidth: 1200 * mm, Corner: 900 * mm}); err != nil {
			b.Fatal(err)
		}
	}
}

// No closed form allocates.
func TestClosedForms_noAllocations(t *testing.T) {
	for name, work := range closedForms {
		if err := work(); err != nil {
			t.Fatalf("%s: got error %q, want none", name, err)
		}
		if got := testing.AllocsPerRun(100, func() { _ = work() }); got != 0 {
			t.Errorf("%s: got %v allocations, want 0", name, got)
		}
	}
}
