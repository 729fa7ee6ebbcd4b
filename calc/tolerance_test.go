package calc_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// term is a sensitivity and the uncertainty that it multiplies.
type term struct{ c, u float64 }

// combined is the law of propagation of uncertainty for independent values,
// JCGM 100:2008 (GUM) 5.1.2.
func combined(terms ...term) float64 {
	var sum float64
	for _, t := range terms {
		sum += t.c * t.c * t.u * t.u
	}
	return math.Sqrt(sum)
}

// JCGM 100:2008 H.1: an end gauge of 50 mm compared with a standard.
// l = ls + d - ls(δα·θ + αs·δθ), combined standard uncertainty 32 nm.
func TestCombinedAgainstGUM(t *testing.T) {
	const ls, alphaS, theta = 50.000623e6, 11.5e-6, -0.1 // nm, 1/°C, °C
	got := combined(
		term{1, 25},                // ls
		term{1, 9.7},               // d
		term{-ls * theta, 0.58e-6}, // δα
		term{0, 0.41},              // θ, as δα is 0
		term{0, 1.2e-6},            // αs, as δθ is 0
		term{-ls * alphaS, 0.029},  // δθ
	)
	if math.Round(got) != 32 {
		t.Errorf("got %.2f nm, want 32 nm (JCGM 100:2008 H.1)", got)
	}
}

// The root-sum-square of GapTolerance is that law with the slopes of Gap
// itself, taken as differences.
func TestGapToleranceAgainstSlopes(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		l.Width = 0
		if l.Offset.E.Abs() < 0.1*1e6 && (l.Swing == calc.BothWays || !l.Offset.Signed) {
			l.Offset.E = mm // at 0 the size of the offset has no slope
		}
		drawTol := func(label string) calc.Length { return length(0, 2*mm).Draw(t, label) }
		tol := calc.Tolerance{Thickness: drawTol("Δt"), Setback: drawTol("Δs"), Offset: drawTol("Δe"), Clearance: drawTol("Δc")}
		got, err := calc.GapTolerance(l, 3*mm, tol)
		if err != nil {
			t.Skip(err)
		}
		const h = mm / 50
		var terms []term
		for _, d := range []struct {
			u      calc.Length
			change func(*calc.Turn, calc.Length)
		}{
			{tol.Thickness, func(l *calc.Turn, h calc.Length) { l.Thickness += h }},
			{tol.Setback, func(l *calc.Turn, h calc.Length) { l.Setback += h }},
			{tol.Offset, func(l *calc.Turn, h calc.Length) { l.Offset.E += h }},
		} {
			at := func(h calc.Length) float64 {
				changed := l
				d.change(&changed, h)
				g, ok := growth(changed)
				if !ok {
					t.Skip("too near a bound for a slope")
				}
				return float64(g)
			}
			up, down := (at(h)-at(0))/float64(h), (at(0)-at(-h))/float64(h)
			if math.Abs(up-down) > 0.002 {
				t.Skip("a corner of the curve, or too tight a bend")
			}
			terms = append(terms, term{(up + down) / 2, float64(d.u)})
		}
		compared++
		g, _ := growth(l)
		want := float64(g+3*mm) + combined(append(terms, term{1, float64(tol.Clearance)})...)
		// A slope from whole nanometres is good to 1/h, a bend is let pass to
		// 0.002: on 2 mm each that is 4 µm, and there are three.
		agree(t, "rss", got.RSS, want, 12_000, 12_000, l)
	})
	if compared < 500 {
		t.Errorf("got %d leaves compared, want at least 500", compared)
	}
}

// No leaf within the tolerance needs more than the worst gap or less than the
// best, and there are leaves that need just these.
func TestGapToleranceExtremes(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		l.Width = 0
		drawTol := func(label string) calc.Length { return length(0, 2*mm).Draw(t, label) }
		tol := calc.Tolerance{Thickness: drawTol("Δt"), Setback: drawTol("Δs"), Offset: drawTol("Δe"), Clearance: drawTol("Δc")}
		spread, err := calc.GapTolerance(l, 3*mm, tol)
		if err != nil {
			t.Skip(err)
		}
		compared++
		need := func(dt, ds, de, dc calc.Length) calc.Length {
			changed := l
			changed.Thickness += dt
			changed.Setback += ds
			changed.Offset.E += de
			g, err := calc.Gap(changed, 3*mm+dc, mm)
			if err != nil {
				t.Fatalf("got error %q, want none within the tolerance; input %+v", err, changed)
			}
			return g.HeelGap.Exact
		}
		nominal := need(0, 0, 0, 0)
		if spread.Best > nominal || nominal > spread.RSS || spread.RSS > spread.Worst+1 {
			t.Fatalf("got best %v, rss %v, worst %v, want them in order round %v; input %+v %+v", spread.Best, spread.RSS, spread.Worst, nominal, l, tol)
		}
		for range 8 {
			within := func(d calc.Length, label string) calc.Length { return length(-d, d).Draw(t, label) }
			got := need(within(tol.Thickness, "dt"), within(tol.Setback, "ds"), within(tol.Offset, "de"), within(tol.Clearance, "dc"))
			if got < spread.Best-1 || got > spread.Worst+1 {
				t.Fatalf("got %v within the tolerance, want %v to %v; input %+v %+v", got, spread.Best, spread.Worst, l, tol)
			}
		}
		most, least := nominal, nominal
		for _, de := range []calc.Length{-tol.Offset, tol.Offset, -min(tol.Offset, max(-tol.Offset, l.Offset.E))} {
			most = max(most, need(tol.Thickness, -tol.Setback, de, tol.Clearance))
			least = min(least, need(-tol.Thickness, tol.Setback, de, -tol.Clearance))
		}
		if (most-spread.Worst).Abs() > 1 || (least-spread.Best).Abs() > 1 {
			t.Fatalf("got worst %v and best %v, want %v and %v; input %+v %+v", spread.Worst, spread.Best, most, least, l, tol)
		}
	})
	if compared < 500 {
		t.Errorf("got %d leaves compared, want at least 500", compared)
	}
}
