package calc_test

import (
	"math/rand/v2"
	"testing"

	"heelpost/calc"
)

// rolls is the paper-roll example with 13 widths of the encyclopedia article
// "Cutting stock problem": 73 rolls of 5600, at least 10 patterns.
var rolls = calc.CutInput{
	Pieces: []calc.CutPiece{{1380 * mm, 22}, {1520 * mm, 25}, {1560 * mm, 12}, {1710 * mm, 14}, {1820 * mm, 18}, {1880 * mm, 18}, {1930 * mm, 20},
		{2000 * mm, 10}, {2050 * mm, 12}, {2100 * mm, 14}, {2140 * mm, 16}, {2150 * mm, 18}, {2200 * mm, 20}},
	Stocks: []calc.CutStock{{Length: 5600 * mm}},
}

func BenchmarkCut_rolls(b *testing.B) {
	for b.Loop() {
		if plan, err := calc.Cut(rolls); err != nil || plan.Size.Bars != 73 || !plan.Proven {
			b.Fatal(plan.Size, plan.Bound, err)
		}
	}
}

func BenchmarkCut_triplets501(b *testing.B) {
	lengths, stock := triplets(501, rand.New(rand.NewPCG(1, 501)))
	in := calc.CutInput{Pieces: pieces(lengths), Stocks: []calc.CutStock{{Length: calc.Length(stock) * mm}}}
	for b.Loop() {
		if plan, err := calc.Cut(in); err != nil || !plan.Proven {
			b.Fatal(plan.Size, plan.Bound, err)
		}
	}
}

func BenchmarkCut_thirds501(b *testing.B) {
	lengths, stock := thirds(501, rand.New(rand.NewPCG(1, 501)))
	in := calc.CutInput{Pieces: pieces(lengths), Stocks: []calc.CutStock{{Length: calc.Length(stock) * mm}}}
	for b.Loop() {
		if plan, err := calc.Cut(in); err != nil || !plan.Proven {
			b.Fatal(plan.Size, plan.Bound, err)
		}
	}
}
