package calc_test

import (
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// growth returns the growth of a leaf's heel, and false if Gap refuses it.
func growth(l calc.Turn) (calc.Length, bool) {
	l.Width = 0
	g, err := calc.Gap(l, 0, calc.Millimetre)
	return g.HeelGrowth, err == nil
}

// quarter draws a leaf that opens by a quarter turn or more, and a gap for it.
func quarter(t *rapid.T) (l calc.Turn, gap, clearance calc.Length) {
	l = leaves.Draw(t, "leaf")
	l.Width, l.Lead = 0, calc.Edge{}
	l.Angle = calc.Angle(rapid.OneOf(rapid.Just(90.0), rapid.Float64Range(90, 180)).Draw(t, "opens"))
	clearance = length(0, 5*mm).Draw(t, "clearance")
	gap = clearance + rapid.OneOf(length(mm/2, 15*mm), length(mm/2, 150*mm)).Draw(t, "k")
	return l, gap, clearance
}

// SetbackMin turns in the gap, and a hair less does not, unless there is no
// less: 0, or the edge's own size.
func TestSetbackMinTurns(t *testing.T) {
	turned := 0
	rapid.Check(t, func(t *rapid.T) {
		l, gap, clearance := quarter(t)
		k := gap - clearance
		s, err := calc.SetbackMin(l, gap, clearance, stepsOf.Draw(t, "step"))
		if err != nil {
			t.Skip(err)
		}
		for _, setback := range []calc.Length{s.Exact, s.SetOut} {
			l.Setback = setback
			if g, ok := growth(l); !ok || g > k+1 {
				t.Fatalf("at setback %v: got growth %v (%v), want %v or less; input %+v", setback, g, ok, k, l)
			}
		}
		// Near the answer a change of the setback changes the growth by the
		// k-th part of s + k at least: 4 nm are enough to see.
		l.Setback = s.Exact - calc.Millimetre/100 - 4*(s.Exact+k)/k
		if l.Setback < 0 || l.Heel.Form != calc.Square && l.Setback < l.Heel.Size {
			return
		}
		turned++
		if g, ok := growth(l); !ok || g <= k {
			t.Fatalf("at setback %v, less than %v: got growth %v (%v), want more than %v; input %+v", l.Setback, s.Exact, g, ok, k, l)
		}
	})
	if turned < 500 {
		t.Errorf("got %d setbacks that could be less, want at least 500", turned)
	}
}

// ThicknessMax turns in the gap, and a hundredth of a millimetre more does
// not, unless no leaf is so thick.
func TestThicknessMaxTurns(t *testing.T) {
	turned := 0
	rapid.Check(t, func(t *rapid.T) {
		l, gap, clearance := quarter(t)
		k := gap - clearance
		most, err := calc.ThicknessMax(l, gap, clearance, stepsOf.Draw(t, "step"))
		if err != nil {
			t.Skip(err)
		}
		for _, thickness := range []calc.Length{most.Exact, most.SetOut} {
			l.Thickness = thickness
			if g, ok := growth(l); !ok || g > k+1 {
				t.Fatalf("at thickness %v: got growth %v (%v), want %v or less; input %+v", thickness, g, ok, k, l)
			}
		}
		l.Thickness = most.Exact + calc.Millimetre/100
		if l.Thickness > 300*calc.Millimetre {
			return
		}
		turned++
		if g, ok := growth(l); !ok || g <= k {
			t.Fatalf("at thickness %v, more than %v: got growth %v (%v), want more than %v; input %+v", l.Thickness, most.Exact, g, ok, k, l)
		}
	})
	if turned < 300 {
		t.Errorf("got %d thicknesses that could be more, want at least 300", turned)
	}
}

// The gap of a leaf leads back to its setback and its thickness where the
// growth tells one from another.
func TestInversesOfGap(t *testing.T) {
	back := 0
	rapid.Check(t, func(t *rapid.T) {
		l, _, clearance := quarter(t)
		k, ok := growth(l)
		if !ok || k < calc.Millimetre/10 || k > 100*calc.Millimetre {
			t.Skip("no growth to speak of")
		}
		back++
		s, err := calc.SetbackMin(l, k+clearance, clearance, calc.Millimetre)
		// The growth is to the nearest nanometre: the setback is as good as
		// (s + k)/k of that.
		if slack := (l.Setback+k)/k + 2; err != nil || s.Exact > l.Setback+slack {
			t.Fatalf("setback: got %v, %v, want at most %v; input %+v", s.Exact, err, l.Setback, l)
		} else if s.Exact < l.Setback-slack && (l.Heel.Form == calc.Square || s.Exact != l.Heel.Size) {
			t.Fatalf("setback: got %v, want %v; input %+v", s.Exact, l.Setback, l)
		}
		m, err := calc.ThicknessMax(l, k+clearance, clearance, calc.Millimetre/10)
		if err != nil {
			return // the next tenth below is too thin for its edge
		}
		// With T the face's distance, growth changes by T/(s + k), and T² is
		// at least 2ks + k².
		if slack := (l.Setback+k)/k + 4; (m.Exact - l.Thickness).Abs() > slack {
			t.Fatalf("thickness: got %v, want %v; input %+v", m.Exact, l.Thickness, l)
		}
	})
	if back < 500 {
		t.Errorf("got %d leaves with a growth, want at least 500", back)
	}
}

// What makes a gap larger never makes it smaller.
func TestGapMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		l.Width = 0
		g, ok := growth(l)
		more := length(1, 20*calc.Millimetre).Draw(t, "more")
		for name, change := range map[string]func(*calc.Turn){
			"thicker":           func(l *calc.Turn) { l.Thickness += more },
			"less setback":      func(l *calc.Turn) { l.Setback -= more },
			"opens further":     func(l *calc.Turn) { l.Angle += calc.Angle(more) / 1e6 },
			"both ways":         func(l *calc.Turn) { l.Swing = calc.BothWays },
			"side not known":    func(l *calc.Turn) { l.Offset.Signed = false },
			"square edge":       func(l *calc.Turn) { l.Heel = calc.Edge{} },
			"smaller edge":      func(l *calc.Turn) { l.Heel.Size = max(0, l.Heel.Size-more) },
			"chamfer for round": func(l *calc.Turn) { l.Heel = squarer(l.Heel) },
			"towards the axis": func(l *calc.Turn) {
				if l.Swing == calc.OneWay && l.Offset.Signed || l.Offset.E > 0 {
					l.Offset.E += more
				}
			},
		} {
			changed := l
			change(&changed)
			if got, fits := growth(changed); ok && fits && got < g {
				t.Fatalf("%s: got growth %v, want at least %v; input %+v changed to %+v", name, got, g, l, changed)
			}
		}
	})
}

// squarer returns a chamfer so small that the rounding lies within it: at 45°
// a rounding r cuts r(√2 - 1) off the corner and a chamfer a/√2.
func squarer(e calc.Edge) calc.Edge {
	if e.Form != calc.Rounded {
		return e
	}
	return calc.Edge{Form: calc.Chamfered, Size: calc.Length(float64(e.Size) * 0.5857)} // 2 - √2 and no more
}
