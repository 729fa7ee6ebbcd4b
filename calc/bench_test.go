package calc_test

import (
	"testing"

	"heelpost/calc"
)

var (
	benchLeaf = calc.Turn{Thickness: 58 * mm, Setback: 85 * mm, Width: 1240 * mm,
		Offset: calc.Offset{E: 4 * mm}, Heel: calc.Edge{Form: calc.Chamfered, Size: 3 * mm}, Angle: calc.RightAngle}
	benchOpening = calc.ClearInput{Turn: calc.Turn{Thickness: 58 * mm, Setback: 85 * mm, Offset: calc.Offset{E: 4 * mm}, Angle: 97},
		Opening: 1256 * mm, GapHeel: 8 * mm, GapLead: 8 * mm, StopWidth: 15 * mm, Step: mm}
)

func BenchmarkGap(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := calc.Gap(benchLeaf, 3*mm, mm); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkClear(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := calc.Clear(benchOpening); err != nil {
			b.Fatal(err)
		}
	}
}

func withReveal() calc.ClearInput {
	in := benchOpening
	in.HasReveal, in.Reveal = true, 120*mm
	return in
}

// The edge of the reveal costs two inverse functions more.
func BenchmarkClear_reveal(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := calc.Clear(withReveal()); err != nil {
			b.Fatal(err)
		}
	}
}

// A gap and a clear width are worked without allocating.
func TestNoAllocations(t *testing.T) {
	for name, work := range map[string]func() error{
		"gap":    func() error { _, err := calc.Gap(benchLeaf, 3*mm, mm); return err },
		"clear":  func() error { _, err := calc.Clear(benchOpening); return err },
		"reveal": func() error { _, err := calc.Clear(withReveal()); return err },
	} {
		if err := work(); err != nil {
			t.Fatalf("%s: got error %q, want none", name, err)
		}
		if got := testing.AllocsPerRun(100, func() { _ = work() }); got != 0 {
			t.Errorf("%s: got %v allocations, want 0", name, got)
		}
	}
}
