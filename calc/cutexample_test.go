package calc_test

import (
	"fmt"

	"heelpost/calc"
)

func ExampleCut() {
	in := calc.CutInput{
		Pieces: []calc.CutPiece{{Length: 1240 * mm, Count: 3}, {Length: 615 * mm, Count: 4}},
		Stocks: []calc.CutStock{{Length: 2500 * mm}, {Length: 3000 * mm, Count: 1}},
		Kerf:   3 * mm,
	}
	plan, err := calc.Cut(in)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range plan.Patterns {
		fmt.Println(p.Bars, "of", p.Stock, p.Pieces, "leaves", p.Offcut)
	}
	fmt.Println(plan.Size, "proven", plan.Proven)
	fmt.Println("the proof says", plan.Check(in))
	// Output:
	// 1 of 2500 mm [{1240 mm 2}] leaves 14 mm
	// 1 of 2500 mm [{1240 mm 1} {615 mm 2}] leaves 21 mm
	// 1 of 2500 mm [{615 mm 2}] leaves 1264 mm
	// {7500 mm 3} proven true
	// the proof says <nil>
}

// The paper rolls of the encyclopedia article "Cutting stock problem": 73
// rolls, waste 0.401 %.
func ExampleCut_rolls() {
	plan, err := calc.Cut(rolls)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(plan.Size.Bars, "rolls, bound", plan.Bound.Bars)
	fmt.Printf("waste %.3f %%\n", 100*plan.Waste.MM()/plan.Size.Length.MM())
	// Output:
	// 73 rolls, bound 73
	// waste 0.401 %
}
