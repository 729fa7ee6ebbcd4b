package calc_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// hung is a leaf whose head pivot stands plumb and whose heel gap is wider at
// the top.
func hung() calc.MarginsInput {
	far := calc.Adjuster{Back: 20 * mm, Forth: 20 * mm}
	return calc.MarginsInput{
		Width: 1100 * mm, Setback: 60 * mm, Height: 2400 * mm,
		Top: calc.EdgeGaps{Heel: 12 * mm, Lead: 4 * mm}, Bottom: calc.EdgeGaps{Heel: 8 * mm, Lead: 8 * mm}, ZTop: 2400 * mm,
		Target:     calc.EdgeGaps{Heel: 8 * mm, Lead: 8 * mm},
		PlumbLimit: 3 * mm, FloorScrew: calc.Adjuster{Back: mm / 2, Forth: mm / 2}, HeadScrew: far, HeightScrew: far,
	}
}

// drawHung draws readings and ranges in tenths of a millimetre.
func drawHung(t *rapid.T) calc.MarginsInput {
	tenths := func(label string, low, high int) calc.Length {
		return calc.Length(rapid.IntRange(low, high).Draw(t, label)) * mm / 10
	}
	in := hung()
	in.Top = calc.EdgeGaps{Heel: tenths("heel top", 20, 150), Lead: tenths("lead top", 20, 150)}
	in.Bottom = calc.EdgeGaps{Heel: tenths("heel bottom", 20, 150), Lead: tenths("lead bottom", 20, 150)}
	in.ZBottom, in.ZTop = 1000*tenths("z bottom", 0, 2), 2400*mm-1000*tenths("z top", 0, 2)
	in.Need = calc.EdgeGaps{Heel: tenths("need heel", 0, 50), Lead: tenths("need lead", 0, 30)}
	in.FloorScrew = calc.Adjuster{Back: tenths("floor back", 0, 40), Forth: tenths("floor forth", 0, 40)}
	in.HeadScrew = calc.Adjuster{Back: tenths("head back", 0, 40), Forth: tenths("head forth", 0, 40)}
	in.HeightScrew = calc.Adjuster{Back: tenths("down", 0, 30), Forth: tenths("up", 0, 30)}
	in.DX, in.DY = tenths("dx", -20, 20), tenths("dy", -15, 15)
	if rapid.Bool().Draw(t, "foot") {
		in.Foot = calc.EndGaps{Read: true, Heel: tenths("foot heel", 40, 120), Lead: tenths("foot lead", 40, 120)}
		in.NeedFoot = tenths("need foot", 20, 60)
	}
	if rapid.Bool().Draw(t, "head") {
		in.Head = calc.EndGaps{Read: true, Heel: tenths("head heel", 40, 120), Lead: tenths("head lead", 40, 120)}
		in.NeedHead = tenths("need head", 20, 60)
	}
	if rapid.Bool().Draw(t, "engaged") {
		in.Engagement, in.EngagementLeast = tenths("engagement", 100, 200), tenths("least", 90, 180)
	}
	return in
}

// allowed works out a move for itself: the worst difference, and whether all
// limits are kept but for a slip.
func allowed(in *calc.MarginsInput, f, p, v, slip float64) (worst float64, ok bool) {
	in2 := func(l calc.Length) float64 { return l.MM() }
	h, s, w := in2(in.Height), in2(in.Setback), in2(in.Width)
	phi := (p - f) / h
	ok = -in2(in.FloorScrew.Back)-slip <= f && f <= in2(in.FloorScrew.Forth)+slip &&
		-in2(in.HeadScrew.Back)-slip <= p && p <= in2(in.HeadScrew.Forth)+slip &&
		-in2(in.HeightScrew.Back)-slip <= v && v <= in2(in.HeightScrew.Forth)+slip &&
		math.Hypot(in2(in.DX)+p-f, in2(in.DY)) <= in2(in.PlumbLimit)+slip
	for _, r := range []struct {
		g calc.EdgeGaps
		z calc.Length
	}{{in.Top, in.ZTop}, {in.Bottom, in.ZBottom}} {
		x := f + phi*in2(r.z)
		heel, lead := in2(r.g.Heel)+x, in2(r.g.Lead)-x
		ok = ok && heel >= in2(in.Need.Heel)-slip && lead >= in2(in.Need.Lead)-slip
		worst = max(worst, math.Abs(heel-in2(in.Target.Heel)), math.Abs(lead-in2(in.Target.Lead)))
	}
	if in.Foot.Read {
		ok = ok && in2(in.Foot.Lead)+v-phi*(w-s) >= in2(in.NeedFoot)-slip && in2(in.Foot.Heel)+v+phi*s >= in2(in.NeedFoot)-slip
	}
	if in.Head.Read {
		ok = ok && in2(in.Head.Lead)-v+phi*(w-s) >= in2(in.NeedHead)-slip && in2(in.Head.Heel)-v-phi*s >= in2(in.NeedHead)-slip
	}
	if in.Engagement > 0 {
		ok = ok && in2(in.Engagement)-math.Abs(v) >= in2(in.EngagementLeast)-slip
	}
	return worst, ok
}

// bruteMoves returns the least worst difference among moves of whole steps.
func bruteMoves(in *calc.MarginsInput, step float64) (best, sum float64) {
	best, sum = math.Inf(1), math.Inf(1)
	around := func(a calc.Adjuster, f func(float64)) {
		for v := -a.Back.MM(); v <= a.Forth.MM()+1e-9; v += step {
			f(v)
		}
	}
	around(in.FloorScrew, func(f float64) {
		around(in.HeadScrew, func(p float64) {
			around(in.HeightScrew, func(v float64) {
				worst, ok := allowed(in, f, p, v, 1e-9)
				if s := math.Abs(f) + math.Abs(p) + math.Abs(v); ok && (worst < best-1e-9 || worst < best+1e-9 && s < sum) {
					best, sum = worst, s
				}
			})
		})
	})
	return best, sum
}

// No move of a brute grid is better, none that is told breaks a limit, and
// what is refused has no move on the grid.
func TestMarginsOf_grid(t *testing.T) {
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		in := drawHung(t)
		m, err := calc.MarginsOf(in)
		best, sum := bruteMoves(&in, 0.25)
		if err != nil {
			var outside *calc.RangeError
			if !errors.As(err, &outside) {
				t.Fatalf("got error %v, want a RangeError", err)
			}
			if !math.IsInf(best, 1) {
				t.Fatalf("refused although the grid has a move that leaves %v: %v", best, err)
			}
			return
		}
		answered++
		worst, ok := allowed(&in, m.Floor.By.MM(), m.Head.By.MM(), m.Height.By.MM(), 2e-3) // moves are rounded to a micrometre
		if !ok {
			t.Fatalf("got moves %v %v %v that break a limit", m.Floor.By, m.Head.By, m.Height.By)
		}
		if math.Abs(worst-m.WorstAfter.MM()) > 1e-5 {
			t.Fatalf("got worst %v, the moves leave %v", m.WorstAfter, worst)
		}
		told := (m.Floor.By.Abs() + m.Head.By.Abs() + m.Height.By.Abs()).MM()
		if best < worst-0.005 || best < worst+1e-6 && sum < told-0.02 {
			t.Fatalf("got worst %v by %v, the grid has %v by %v", worst, told, best, sum)
		}
		if (m.WorstAfter > mm/1000) != (len(m.Why) > 0) {
			t.Fatalf("got worst %v because of %v", m.WorstAfter, m.Why)
		}
	})
	if answered < 20 {
		t.Errorf("got %d answers, want at least 20", answered)
	}
}

func BenchmarkMarginsOf(b *testing.B) {
	in := hung()
	in.Foot = calc.EndGaps{Read: true, Heel: 8 * mm, Lead: 7 * mm}
	in.Head = calc.EndGaps{Read: true, Heel: 6 * mm, Lead: 6 * mm}
	in.NeedFoot, in.NeedHead = 6*mm, 5*mm
	b.ReportAllocs()
	for b.Loop() {
		if _, err := calc.MarginsOf(in); err != nil {
			b.Fatal(err)
		}
	}
}
