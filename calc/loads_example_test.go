package calc_test

import (
	"fmt"
	"time"

	"heelpost/calc"
)

// A leaf of a frame of oak behind glass, and cladding that comes later. The
// densities are those of EN 572-1 and DIN 68364, from memory.
func ExampleLeafMass() {
	glass, _ := calc.MaterialNamed("glass")
	oak, _ := calc.MaterialNamed("oak")
	m, err := calc.LeafMass(calc.MassInput{
		Width: 980 * mm, Height: 2250 * mm, Setback: 75 * mm, Step: mm,
		Layers: []calc.Layer{
			{Thickness: 6 * mm, Density: glass.Density},
			{Thickness: 38 * mm, Density: oak.Density, Frame: 120 * mm},
			{Thickness: 8 * mm, Density: oak.Density, Later: true},
		},
		Parts: []calc.Part{{Mass: 2.4, X: 910 * mm}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("hung", m.Hung.Told, "in the end", m.Mass.Told)
	fmt.Println("centre", m.CentreX.SetOut, "from the heel edge")
	fmt.Println("inertia", m.Inertia.Told)
	// Output:
	// hung 54.9 kg in the end 67.4 kg
	// centre 505 mm from the heel edge
	// inertia 19.47 kg·m²
}

func ExampleTwoScales() {
	w, err := calc.TwoScales(52.5, 38.1, 840*mm, 60*mm, mm)
	fmt.Println(w.Mass.Told, "at", w.CentreX.SetOut, err)
	// Output: 90.6 kg at 414 mm <nil>
}

// Standard physics, from memory as a textbook's example: a solid door of 23.0
// kg and 0.870 m about its hinges has 5.80 kg·m².
func ExampleUniformInertia() {
	i, err := calc.UniformInertia(23, 870*mm, 5*mm, 0, 0)
	fmt.Printf("%.2f kg·m² %v\n", float64(i.Exact), err)
	// Output: 5.80 kg·m² <nil>
}

// EN 572-1, from memory: 2500 kg/m³, so 25 kg/m² at 10 mm.
func ExampleSheetMass() {
	m, err := calc.SheetMass(1200*mm, 2400*mm, 10*mm, 2500)
	fmt.Println(m, err)
	// Output: 72 kg <nil>
}

func ExampleFloorPressure() {
	b, err := calc.FloorPressure(1430, 140*mm, 55*mm, 5*calc.Megapascal)
	fmt.Println(b.Pressure.Told, b.OK, err)
	// Output: 0.19 N/mm² true <nil>
}

// Computed independently from the stagnation pressure of EN 1991-1-4, 4.5: 25
// m/s on 1.2 × 2.4 m with the axis 0.3 m in, the force off the middle by a
// quarter of the width.
func ExampleLoads() {
	l, err := calc.Loads(calc.LoadInput{Mass: 150, Width: 1200 * mm, Height: 2400 * mm, Setback: 300 * mm, CentreX: 600 * mm, PivotHeight: 2400 * mm, Wind: 25, Pins: 4})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("wind", l.WindForce.Told, l.WindMoment.Told, "held by", l.HoldForce.Told)
	fmt.Println("each pivot", l.PivotHorizontal.Told, "each pin", l.PinShear.Told, "from the weight alone", l.Horizontal.Told)
	// Output:
	// wind 2025 N 1215 N·m held by 1350 N
	// each pivot 1030 N each pin 258 N from the weight alone 184 N
}

// Computed independently: the same pressure all over gives 337.5 N·m.
func ExamplePressureDifference() {
	m, f, err := calc.PressureDifference(390.625, 2400*mm, 1200*mm, 300*mm, 0)
	fmt.Println(m.Told, f.Told, err)
	// Output: 337.5 N·m 375 N <nil>
}

func ExampleHeadEngagement() {
	h, err := calc.HeadEngagement(calc.HeadInput{Engagement: 16 * mm, Least: 11 * mm, GapTop: 4 * mm, Deflection: 5 * mm})
	fmt.Println("engaged", h.Engagement, "spare", h.Spare, "gap", h.GapTop, err)
	// Output: engaged 11 mm spare 0 mm gap -1 mm <nil>
}

// UK HSE, L23, para 120, as a rail infrastructure safety page works it: two of
// 20 kg each lift 26.6 kg.
func ExampleHandLift() {
	r, err := calc.HandLift(calc.HandlingInput{Mass: 24, Single: 20, Way: calc.FromWaist})
	fmt.Println(r.People, "may lift", r.Limit, "each", r.Share.Told, err)
	// Output: 2 may lift 26.6 kg each 12 kg <nil>
}

func ExampleHandLift_gear() {
	r, err := calc.HandLift(calc.HandlingInput{Mass: 93, Estimated: true})
	fmt.Println(r.People, r.Limit, "gear for", r.Gear.Told, err)
	// Output: 0 10.5 kg gear for 112.6 kg <nil>
}

func ExampleCheckAccess() {
	a, err := calc.CheckAccess(980*mm, 2500*mm, 48*mm, mm, calc.Access{
		Room: 2520 * mm, RouteHeight: 2050 * mm, RouteWidth: 1200 * mm, Corner: 900 * mm,
		HoistHeight: 2400 * mm, HoistDepth: 2500 * mm, HoistWidth: 1300 * mm,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("stood up", a.StandingHeight.SetOut, "spare", a.RoomSpare.Short())
	fmt.Println("on its edge", a.Route == calc.OnEdge, a.Corner == calc.OnEdge, a.Hoist == calc.OnEdge)
	// Output:
	// stood up 2501 mm spare 19.54 mm
	// on its edge true true true
}

// NIOSH 94-110, example 4 (p. 44-46): 34.9 lb as printed, 34.8 at full
// precision.
func ExampleRecommendedWeight() {
	r, err := calc.RecommendedWeight(calc.RWLInput{
		Load: 26 * calc.Pound, Ahead: 10 * calc.Inch, Height: 22 * calc.Inch, Origin: 22 * calc.Inch, Travel: 37 * calc.Inch,
		Often: 3, Duration: calc.ShortLifting, Coupling: calc.FairCoupling, Inches: true,
	})
	fmt.Printf("%.1f lb %v\n", float64(r.Limit.Exact/calc.Pound), err)
	// Output: 34.8 lb <nil>
}

// NIOSH 94-110, p. 16: ten a minute for eight of fifteen minutes.
func ExampleLiftsAMinute() {
	f, err := calc.LiftsAMinute(10, 8*time.Minute)
	fmt.Println(f, err)
	// Output: 5.33 a minute <nil>
}

// NIOSH 94-110, p. 14: two hours stay moderate with 36 minutes of recovery.
func ExampleDurationOfLifting() {
	with, _ := calc.DurationOfLifting(2*time.Hour, 36*time.Minute)
	without, _ := calc.DurationOfLifting(2*time.Hour, 35*time.Minute)
	fmt.Println(with == calc.ModerateLifting, without == calc.LongLifting)
	// Output: true true
}

// EN 1154:1996 + A1:2002, table 1, second hand: 1100 mm is size 4, 95 kg size
// 5.
func ExampleSizeForCloser() {
	c, err := calc.SizeForCloser(1100*mm, 95, false)
	fmt.Println(c.Size, err)
	// Output: 5 <nil>
}

// Computed independently, no published source: the largest opening moment of
// size 3 at 0.89 m.
func ExampleLeverForce() {
	f, err := calc.LeverForce(47, 970*mm, 60*mm, 20*mm)
	fmt.Printf("%.1f N %v\n", float64(f.Exact), err)
	// Output: 52.8 N <nil>
}

// Computed independently, no published source: 5 s are enough for the time
// rule and not for the energy.
func ExampleCloses() {
	i, _ := calc.UniformInertia(95, 1100*mm, 54*mm, 60*mm, 0)
	c, err := calc.Closes(calc.ClosingInput{Inertia: i.Exact, Time: 5})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f J, shortest %.2f s; by the mean speed %.2f J, %.2f s\n", float64(c.Energy.Exact), float64(c.TimeMin.Exact), float64(c.MeanEnergy.Exact), float64(c.MeanTimeMin.Exact))
	fmt.Println(c.InTime, c.OK)
	// Output:
	// 2.70 J, shortest 6.32 s; by the mean speed 1.20 J, 4.22 s
	// true false
}

// Common practice, no published source: a million at twenty a day.
func ExampleLifeOf() {
	l, err := calc.LifeOf(1_000_000, 0, 20)
	fmt.Println(l.Years, "years", err)
	// Output: 136 years <nil>
}

func ExampleServiceInterval_Next() {
	last := time.Date(2027, 5, 3, 9, 0, 0, 0, time.UTC)
	next, err := calc.ServiceInterval{Cycles: 20_000, Months: 12}.Next(last, 110)
	fmt.Println(next.Format(time.DateOnly), err)
	// Output: 2027-10-31 <nil>
}

// Computed independently: aluminium of 23·10⁻⁶/K (EN 1999-1-1, from memory),
// 30 K through 54 mm over 2400 mm.
func ExampleSunOn() {
	through, warmer, err := calc.Warming(60, 30, 15)
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := calc.SunOn(calc.SunInput{Expansion: 23e-6, Width: 1100 * mm, Height: 2400 * mm, Thickness: 54 * mm, Through: through, Warmer: warmer, Step: mm})
	fmt.Println("bow", s.Bow.Exact.Nearest(mm/10), "growth", s.Growth.SetOut, err)
	// Output: bow 9.2 mm growth 1 mm <nil>
}

// EN 1991-1-5:2003, table 5.2, from memory: a dark face to the south-west adds
// 42 K.
func ExampleFacadeTemperature() {
	t, err := calc.FacadeTemperature(34, calc.DarkFace, false)
	fmt.Println(t, err)
	// Output: 76 °C <nil>
}

// Computed independently: 1100 mm across the grain by 0.25 % a percent and 2 %.
func ExampleMoistureMovement() {
	m, err := calc.MoistureMovement([]calc.Strip{{Width: 1100 * mm, Swelling: 0.0025}}, 2, 3*mm, mm)
	fmt.Println(m.Movement.Exact, "spare", m.Spare, err)
	// Output: 5.5 mm spare -2.5 mm <nil>
}

// An encyclopedia works 140 °F at 55 % to 8.4 %.
func ExampleWoodMoisture() {
	m, err := calc.WoodMoisture(60, 55)
	fmt.Printf("%.1f %% %v\n", float64(m), err)
	// Output: 8.4 % <nil>
}

// The first heating season: from a site at 60 % to a heated room.
func ExampleHeatedHumidity() {
	h, err := calc.HeatedHumidity(2, 85, 21)
	if err != nil {
		fmt.Println(err)
		return
	}
	before, _ := calc.WoodMoisture(15, 60)
	after, _ := calc.WoodMoisture(21, h)
	fmt.Printf("%.0f %% of humidity, wood from %.1f to %.1f %%\n", float64(h), float64(before), float64(after))
	// Output: 24 % of humidity, wood from 11.1 to 5.2 %
}

// The slower of the published rules (BS 5385-3:2014 and others), and the limit
// of EN 1264-4:2021, table 2.
func ExampleScreedReady() {
	s, err := calc.ScreedReady(calc.ScreedInput{Kind: calc.CementScreed, Thickness: 65 * mm, Heated: true, Read: true, Reading: 1.7})
	fmt.Println(s.Days, "days, heating after", s.HeatingDays, "limit", s.Limit, s.Ready, err)
	// Output: 90 days, heating after 21 limit 1.8 % true <nil>
}

// Computed independently: a steel tape (JCGM 100:2008, H.1: 11.5·10⁻⁶/K) at
// 0 °C.
func ExampleTape() {
	t, err := calc.Tape(2400*mm, 0, calc.TapeSteel, calc.ClassII)
	fmt.Println(t.Correction, "±", t.Uncertainty, err)
	// Output: -0.552 mm ± 0.9 mm <nil>
}

// Computed independently by the law of cosines.
func ExampleOutOfSquare() {
	s, err := calc.OutOfSquare(2686*mm, 2680*mm, 1200*mm, 2400*mm)
	fmt.Println(s.Slope, err)
	// Output: 2.79 mm/m <nil>
}

// ISO 261: M12 coarse has a pitch of 1.75 mm.
func ExampleTurnsFor() {
	m12, _ := calc.ThreadNamed("M12")
	t, err := calc.TurnsFor(calc.MM(2.5), m12.Pitch)
	fmt.Println(t.Turns, err)
	// Output: 1.43 <nil>
}

// ISO 261: one flat of an M16 screw.
func ExampleTravelOf() {
	m16, _ := calc.ThreadNamed("M16")
	t, err := calc.TravelOf(1./6, m16.Pitch)
	fmt.Println(t.Travel.Nearest(calc.Micrometre), t.Degrees, err)
	// Output: 0.333 mm 60° <nil>
}

// Standard gravity of the 3rd CGPM (1901).
func ExampleMass_Weight() {
	fmt.Println(calc.Mass(100).Weight())
	// Output: 980.7 N
}
