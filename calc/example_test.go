package calc_test

import (
	"fmt"

	"heelpost/calc"
)

const mm = calc.Millimetre

func ExampleGap() {
	leaf := calc.Turn{Thickness: 58 * mm, Setback: 85 * mm, Width: 1240 * mm, Angle: calc.RightAngle}
	g, err := calc.Gap(leaf, 3*mm, mm)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("heel", g.HeelGap.SetOut, "for", g.HeelGap.Exact)
	fmt.Println("leading edge", g.LeadGap.SetOut)
	fmt.Println("opening", g.OpeningWidth.SetOut)
	// Output:
	// heel 8 mm for 7.810912 mm
	// leading edge 4 mm
	// opening 1256 mm
}

// In inches the gap is the next 1/32 above the exact value.
func ExampleGap_inches() {
	leaf := calc.Turn{Thickness: 9 * calc.Inch / 4, Setback: 4 * calc.Inch, Angle: calc.RightAngle}
	g, err := calc.Gap(leaf, calc.Inch/16, calc.Inch/32)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(int64(g.HeelGap.SetOut/(calc.Inch/32)), "thirty-seconds")
	// Output: 7 thirty-seconds
}

func ExampleGap_refused() {
	_, err := calc.Gap(calc.Turn{Thickness: 58 * mm, Setback: 900 * mm, Width: 1240 * mm, Angle: 90}, 3*mm, mm)
	fmt.Println(err)
	// Output: setback is 900 mm, must be at most 620 mm: that is more than half of the leaf, is it measured from the wrong edge?
}

func ExampleEvenGap() {
	leaf := calc.Turn{Thickness: 58 * mm, Setback: 85 * mm, Angle: calc.RightAngle}
	gap, err := calc.EvenGap(leaf, 1300*mm, 3*mm, mm)
	fmt.Println(gap, err)
	// Output: 8 mm <nil>
}

func ExampleGapTolerance() {
	leaf := calc.Turn{Thickness: 58 * mm, Setback: 85 * mm, Angle: calc.RightAngle}
	s, err := calc.GapTolerance(leaf, 3*mm, calc.Tolerance{Thickness: mm, Setback: 2 * mm})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("worst", s.Worst)
	fmt.Println("likely", s.RSS)
	fmt.Println("best", s.Best)
	// Output:
	// worst 8.086605 mm
	// likely 8.004675 mm
	// best 7.549167 mm
}

func ExampleSetbackMin() {
	s, err := calc.SetbackMin(calc.Turn{Thickness: 58 * mm, Angle: calc.RightAngle}, 7*mm, 3*mm, mm)
	fmt.Println(s.SetOut, "for", s.Exact, err)
	// Output: 104 mm for 103.125 mm <nil>
}

func ExampleThicknessMax() {
	t, err := calc.ThicknessMax(calc.Turn{Setback: 85 * mm, Angle: calc.RightAngle}, 7*mm, 3*mm, mm)
	fmt.Println(t.SetOut, "for", t.Exact, err)
	// Output: 52 mm for 52.763624 mm <nil>
}

func ExamplePlate() {
	p, err := calc.Plate(calc.PlateInput{Setback: 85 * mm, Gap: 8 * mm, JambLean: 4 * mm, Lining: 21 * mm, Opening: 1256 * mm, Step: mm})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("from the jamb", p.Centre.SetOut)
	fmt.Println("before it is lined", p.Unlined.SetOut)
	fmt.Println("from the other jamb", p.Far.SetOut)
	// Output:
	// from the jamb 97 mm
	// before it is lined 118 mm
	// from the other jamb 1159 mm
}

func ExamplePlateLine() {
	line, err := calc.PlateLine(15*mm, 58*mm, calc.Offset{E: 6 * mm, Signed: true}, mm)
	fmt.Println(line.SetOut, err)
	// Output: 50 mm <nil>
}

func ExampleStopDepth() {
	m, err := calc.StopDepth(calc.StopInput{Depth: 35 * mm, Template: 6 * mm, Bit: 14 * mm, Point: 130, FullBore: true,
		HasCover: true, Cover: 62 * mm, CoverTo: calc.Pipe, CoverFrom: calc.Surface, Step: mm})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("mark at", m.Mark.SetOut, "for", m.Mark.Exact)
	fmt.Println("tip at", m.Tip)
	fmt.Println("cover left", m.CoverLeft.SetOut)
	// Output:
	// mark at 45 mm for 44.264154 mm
	// tip at 39 mm
	// cover left 23 mm
}

// An unknown point angle is not assumed.
func ExampleStopDepth_needed() {
	_, err := calc.StopDepth(calc.StopInput{Depth: 35 * mm, Bit: 14 * mm, FullBore: true, Step: mm})
	fmt.Println(err)
	// Output: point is needed: a full bore goes deeper by the drill's point, and points differ
}

func ExamplePointLength() {
	l, err := calc.PointLength(14*mm, 130)
	fmt.Println(l, err)
	// Output: 3.264154 mm <nil>
}

func ExampleReach() {
	r, err := calc.Reach(calc.ReachInput{Setback: 325 * mm, Key: 280 * mm, Body: 110 * mm,
		Stocks: []calc.Length{1200 * mm, 650 * mm}, Kerf: 2 * mm, Step: mm})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("reaches", r.Reaches, "short by", r.OverBy.SetOut)
	fmt.Println("key tube", r.TubeLength.SetOut, "from", r.StockLength, "leaves", r.Offcut.SetOut)
	// Output:
	// reaches false short by 45 mm
	// key tube 270 mm from 650 mm leaves 378 mm
}

func ExampleClear() {
	c, err := calc.Clear(calc.ClearInput{Turn: calc.Turn{Thickness: 58 * mm, Setback: 85 * mm, Angle: 90},
		Opening: 1256 * mm, GapHeel: 8 * mm, GapLead: 8 * mm, StopWidth: 15 * mm, HasReveal: true, Reveal: 120 * mm, Step: mm})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("clear", c.Clear.SetOut)
	fmt.Println("beside the heel", c.HeelSide.SetOut)
	fmt.Println("opens to", c.AngleMax.Tenth())
	fmt.Println("sweeps", c.LeadRadius.SetOut, "and", c.HeelRadius.SetOut)
	// Output:
	// clear 1119 mm
	// beside the heel 64 mm
	// opens to 116.7°
	// sweeps 1156 mm and 90 mm
}

func ExampleClearChecks() {
	width := calc.Dimension{Exact: 818 * mm, SetOut: 818 * mm}
	for _, c := range calc.ClearChecks(width, 955*mm, calc.RightAngle1200, false) {
		fmt.Println(c.Name, c.Value, c.Limit, c.OK)
	}
	// Output:
	// ADA 404.2.3 818 mm 815 mm true
	// IBC 1010.1.1 818 mm 813 mm true
	// England right angle 1200 818 mm 825 mm false
	// DIN 18040-1 818 mm 900 mm false
	// Spain between jambs 955 mm 800 mm true
	// Spain leaf open 818 mm 780 mm true
}

func ExampleLeaf() {
	l, err := calc.Leaf(calc.LeafInput{
		Opening: calc.Opening{WidthTop: 1318 * mm, WidthMiddle: 1317 * mm, WidthBottom: 1316 * mm,
			HeightHeel: 2610 * mm, HeightMiddle: 2609 * mm, HeightLead: 2611 * mm,
			Diagonal1: 2928 * mm, Diagonal2: 2922 * mm, DiagonalsNamed: true, Fall: calc.Fall{Read: calc.FallTo}},
		GapHeel: 8 * mm, GapLead: 8 * mm, GapTop: 5 * mm, GapBottom: 9 * mm, Step: mm,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("leaf", l.Width.SetOut, "by", l.Height.SetOut)
	fmt.Println("heel jamb leans in by", l.Survey.Lean, "and leaves", l.PlumbWidth.SetOut)
	// Output:
	// leaf 1295 mm by 2595 mm
	// heel jamb leans in by 4.671792 mm and leaves 1311 mm
}

func ExampleTopGapMin() {
	gap, err := calc.TopGapMin(2595*mm, 58*mm, 10*mm, mm)
	fmt.Println(gap.SetOut, "for", gap.Exact, err)
	// Output: 11 mm for 10.648089 mm <nil>
}

func ExamplePlumbLimit() {
	short, err := calc.PlumbLimit(1900*mm, 0)
	fmt.Println(short, err)
	sheet, err := calc.PlumbLimit(2600*mm, 2*mm)
	fmt.Println(sheet, err)
	// Output:
	// 2.85 mm <nil>
	// 2 mm <nil>
}

func ExampleImpliedDensity() {
	d, err := calc.ImpliedDensity(128, 1240*mm, 2595*mm, 58*mm)
	fmt.Println(d, err)
	_, err = calc.ImpliedDensity(12.8, 1240*mm, 2595*mm, 58*mm)
	fmt.Println(err)
	// Output:
	// 686 kg/m³ <nil>
	// density is 69 kg/m³, must be at least 200 kg/m³
}

func ExampleMass_Counted() {
	fmt.Println(calc.Mass(128).Counted(true), calc.Mass(128).Counted(false))
	// Output: 140.8 kg 128 kg
}

func ExampleAdhesive_Rate() {
	resin := calc.Adhesive{Base: 18, Ref: 20, Lowest: 5}
	fmt.Println(resin.Rate(4), resin.Rate(10), resin.Rate(20), resin.Rate(30))
	// Output: 0 0.5 1 1
}

func ExampleLength_Up() {
	gap := calc.MM(6.2)
	fmt.Println(gap.Up(mm), gap.Up(mm/2), gap.Up(calc.Inch/32))
	// Output: 7 mm 6.5 mm 6.35 mm
}

func ExampleLength_Down() {
	clear := calc.MM(818.9)
	fmt.Println(clear.Down(mm), clear.Down(calc.Inch/32))
	// Output: 818 mm 818.35625 mm
}

func ExampleLength_Nearest() {
	centre := calc.MM(96.5)
	fmt.Println(centre.Nearest(mm), centre.Nearest(5*mm))
	// Output: 97 mm 95 mm
}
