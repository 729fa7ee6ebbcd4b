package calc_test

import (
	"fmt"

	"heelpost/calc"
)

// The heel gap is 12 at the top and 8 at the bottom, the floor pivot can be
// moved half a millimetre, the head must stay within 3 mm of plumb. Worked by
// hand: the head goes back 3 mm beyond the floor's half.
func ExampleMarginsOf() {
	in := hung()
	m, err := calc.MarginsOf(in)
	fmt.Println("floor", m.Floor.By, "head", m.Head.By, "left", m.WorstAfter, err)
	in.ZBottom, in.ZTop = 100*mm, 2300*mm
	m, err = calc.MarginsOf(in)
	fmt.Println("read 100 from the ends:", m.WorstAfter, err)
	// Output:
	// floor -0.5 mm head -3.5 mm left 0.5 mm <nil>
	// read 100 from the ends: 0.625 mm <nil>
}

// 3 mm in 2400 under 150 kg on an arm of 0.3 m, and the leading edge 1040 mm
// from the axis: common practice, no published source; statics worked by hand.
func ExampleLeanOf() {
	l, err := calc.LeanOf(calc.LeanInput{DX: 3 * mm, Height: 2400 * mm, Width: 1100 * mm, Setback: 60 * mm,
		Mass: 150, CentreX: 360 * mm, Angle: 90})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f N·m towards closed %v, at rest at %v\n", float64(l.Torque.Exact), l.Closes, l.RestAngle)
	fmt.Println("leading edge rises", l.Rise, "heel edge", l.HeelRise, "within", l.Within)
	// Output:
	// 0.552 N·m towards closed true, at rest at 0°
	// leading edge rises 1.3 mm heel edge -0.075 mm within true
}

// Setback 60, thickness 54, gap 8: common practice, no published source.
func ExamplePinchOf() {
	p, err := calc.PinchOf(calc.PinchInput{Thickness: 54 * mm, Setback: 60 * mm, GapHeel: 8 * mm, GapLead: 8 * mm, Angle: 90})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("tightest %.2f mm at %.1f°\n", p.HeelRound.Tightest.MM(), float64(p.HeelRound.At))
	fmt.Printf("a trap from %.1f° to %.1f°\n", float64(p.HeelRound.Trap[0].From), float64(p.HeelRound.Trap[0].To))
	fmt.Printf("the other face to %.1f°\n", float64(p.HeelOther.Trap[0].To))
	p, err = calc.PinchOf(calc.PinchInput{Thickness: 54 * mm, Setback: 300 * mm, GapHeel: 8 * mm, GapLead: 8 * mm, Angle: 90})
	fmt.Println("passage", p.Passage, p.CatchesBody, err)
	// Output:
	// tightest 2.20 mm at 24.2°
	// a trap from 48.5° to 73.4°
	// the other face to 25.0°
	// passage 281 mm true <nil>
}

// A leaf that stands 2 mm proud along its leading edge and is twisted by 2 mm:
// worked by hand from the plane through the readings.
func ExampleFlushOf() {
	f, err := calc.FlushOf(calc.FlushInput{Width: 1000 * mm, Height: 2400 * mm, ZTop: 2400 * mm, PlumbLimit: 3 * mm,
		Top: calc.EdgeGaps{Heel: 0, Lead: 3 * mm}, Bottom: calc.EdgeGaps{Heel: 0, Lead: mm}, TurnBack: 1, TurnForth: 1,
		FloorScrew: calc.Adjuster{Back: 2 * mm, Forth: 2 * mm}, HeadScrew: calc.Adjuster{Back: 2 * mm, Forth: 2 * mm, Pitch: 1250 * calc.Micrometre}})
	fmt.Printf("turned %.3f°, twist %v, %v left\n", float64(f.RestAngle), f.Twist, f.Left)
	fmt.Printf("floor %v, head %v: %.2f turns %v %v\n", f.Floor.By, f.Head.By, float64(f.Head.Turns), f.Why, err)
	// Output:
	// turned 0.115°, twist 2 mm, 0.5 mm left
	// floor 0.5 mm, head -0.5 mm: 0.40 turns [] <nil>
}

// The grid method of DIN 18202: h4 less the mean of h3 and h5.
func ExampleFlatnessByGrid() {
	f, err := calc.FlatnessByGrid(calc.FinishedFloor, 1250*mm, []calc.Length{0, 1 * mm, 5 * mm, 2 * mm, 1 * mm})
	fmt.Println(f.Deviation, f.Limit, f.Over, err)
	// Output:
	// 3.5 mm 7 mm 2500 mm <nil>
}
