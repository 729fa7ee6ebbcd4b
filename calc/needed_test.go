package calc_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

func ExampleOpeningNeeded() {
	leaf := calc.Turn{Thickness: 58 * mm, Setback: 85 * mm, Offset: calc.Offset{Signed: true}}
	opening, in, err := calc.OpeningNeeded(calc.ClearInput{Turn: leaf, GapHeel: 8 * mm, GapLead: 8 * mm, Handle: 55 * mm, Step: mm}, 850*mm)
	fmt.Println(opening.SetOut, "for a leaf of", in.Width, err)
	// Output: 1027 mm for a leaf of 1011 mm <nil>
}

func ExampleEvenGapFor() {
	leaf := calc.Turn{Thickness: 58 * mm, Setback: 85 * mm, Offset: calc.Offset{Signed: true}, Angle: calc.RightAngle}
	gap, err := calc.EvenGapFor(calc.ClearInput{Turn: leaf, Step: mm}, 850*mm, 3*mm)
	fmt.Println(gap, err)
	// Output: 8 mm <nil>
}

func ExampleOpeningFor() {
	fmt.Println(calc.OpeningFor(1240*mm, 9*mm, 6*mm, mm))
	// Output: {1255 mm 1255 mm} <nil>
}

func ExampleHeightFor() {
	fmt.Println(calc.HeightFor(2380*mm, 5*mm, 9*mm, 12*mm, mm))
	// Output: {2406 mm 2406 mm} <nil>
}

func ExampleDepthReached() {
	fmt.Println(calc.DepthReached(51*mm, 6*mm, 8*mm, mm))
	// Output: {37 mm 37 mm} <nil>
}

func ExampleGapFits() {
	f, err := calc.GapFits(calc.Turn{Thickness: 58 * mm, Setback: 85 * mm, Angle: calc.RightAngle}, 7*mm, 3*mm)
	fmt.Println(f.Fits, f.Spare, err)
	// Output: false -0.810912 mm <nil>
}

// The opening is the least whose open leaf, turned corner by corner, leaves the
// clear width; and Clear says the same of it.
func TestOpeningNeededAgainstTurning(t *testing.T) {
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		l.Heel, l.Lead, l.Angle = calc.Edge{}, calc.Edge{}, calc.RightAngle
		in := openingOf(t, l)
		want := length(200*mm, 3000*mm).Draw(t, "clear")
		needed, leaf, err := calc.OpeningNeeded(in, want)
		if err != nil {
			t.Skip(err)
		}
		answered++
		onSafeSide(t, in.Step, in, rounded{"opening_needed", up, needed})
		l.Width = leaf.Width
		most := math.Inf(-1)
		for _, e := range offsets(l.Offset) {
			_, far := extent(outline(l, e), 1, 0)
			most = max(most, far)
		}
		left := float64(needed.Exact-in.StopWidth-in.Handle-in.GapHeel-l.Setback) - most
		agree(t, "clear width left", calc.Length(math.Round(left)), float64(want), 2, 2, in)
		for off, enough := range map[calc.Length]bool{0: true, -1: false, 1: true} {
			in.Opening, in.Turn.Angle = needed.Exact+off, calc.RightAngle
			if c, err := calc.Clear(in); err == nil && (c.Clear.Exact >= want) != enough {
				t.Fatalf("an opening %v off: got %v clear, want %v; input %+v", off, c.Clear.Exact, want, in)
			}
		}
	})
	if answered < 500 {
		t.Errorf("got %d openings, want at least 500", answered)
	}
}

// The even gap turns in the opening that it leads to, and is what EvenGap says
// of that opening or less: rounding the opening up may leave room for more.
func TestEvenGapFor(t *testing.T) {
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		l.Angle = calc.RightAngle
		in, c := openingOf(t, l), length(0, 5*mm).Draw(t, "clearance")
		want := length(300*mm, 1500*mm).Draw(t, "clear")
		even, err := calc.EvenGapFor(in, want, c)
		if err != nil {
			t.Skip(err)
		}
		in.GapHeel, in.GapLead = even, even
		_, leaf, err := calc.OpeningNeeded(in, want)
		if err != nil {
			t.Fatal(err)
		}
		answered++
		l.Width = leaf.Width
		heel, lead := sweep(l)
		if over := max(heel, lead) + float64(c) - float64(even); over > 2 {
			t.Fatalf("got a gap of %v, swept %.6f mm more; input %+v", even, over/1e6, in)
		}
	})
	if answered < 500 {
		t.Errorf("got %d gaps, want at least 500", answered)
	}
}

// The depth that a mark reaches is the depth whose mark it is.
func TestDepthReachedBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		template, covering := length(0, 60*mm).Draw(t, "template"), length(0, 60*mm).Draw(t, "covering")
		depth, step := length(mm, 400*mm).Draw(t, "depth"), stepsOf.Draw(t, "step")
		got, err := calc.DepthReached(depth+template+covering, template, covering, step)
		if err != nil || got.Exact != depth {
			t.Fatalf("got %v, %v, want %v", got.Exact, err, depth)
		}
		onSafeSide(t, step, depth, rounded{"depth_reached", up, got})
		m, err := calc.StopDepth(calc.StopInput{Depth: got.Exact, Template: template, Covering: covering, Step: calc.Millimetre / 10})
		if err == nil && m.Mark.Exact != depth+template+covering {
			t.Fatalf("the mark for %v is %v, want %v", got.Exact, m.Mark.Exact, depth+template+covering)
		}
	})
}

// A gap fits where a leaf swept step by step stays the clearance away from it.
func TestGapFitsAgainstTurning(t *testing.T) {
	answered := map[bool]int{}
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		gap, c := length(0, 60*mm).Draw(t, "gap"), length(0, 5*mm).Draw(t, "clearance")
		f, err := calc.GapFits(l, gap, c)
		if err != nil {
			t.Skip(err)
		}
		answered[f.Fits]++
		heel, _ := sweep(l)
		radius := math.Hypot(float64(l.Setback), float64(l.Thickness)/2+math.Abs(float64(l.Offset.E)))
		agree(t, "spare", f.Spare, float64(gap-c)-heel, missed(l, radius, l.Heel)+2, 2, l)
		if f.Fits != (f.Spare >= 0) {
			t.Fatalf("got %v with %v spare", f.Fits, f.Spare)
		}
	})
	if answered[true] < 300 || answered[false] < 300 {
		t.Errorf("got %v, want 300 of each", answered)
	}
}
