package calc_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// The height of a leaf that is stood up is the highest its far corner gets.
func TestStandingHeight_isTheHighestCorner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, thick := length(300*mm, 10*calc.Metre).Draw(t, "height"), length(5*mm, 300*mm).Draw(t, "thickness")
		got, err := calc.StandingHeight(h, thick, mm)
		if err != nil {
			t.Fatal(err)
		}
		highest := 0.0
		const steps = 500
		for i := range steps + 1 {
			sin, cos := math.Sincos(math.Pi / 2 * float64(i) / steps)
			highest = max(highest, h.MM()*sin+thick.MM()*cos)
		}
		if d := got.Exact.MM() - highest; d < -1e-5 || d > 1e-4*got.Exact.MM() || got.SetOut != got.Exact.Up(mm) {
			t.Fatalf("%v × %v: got %v, want %v mm", h, thick, got, highest)
		}
	})
}

// goesRound says whether a plate of some length and thickness, its ends on the
// outer walls, stays clear of the inner corner at every angle.
func goesRound(a, b, thick, long float64) bool {
	const steps = 1000
	for i := 1; i < steps; i++ {
		sin, cos := math.Sincos(math.Pi / 2 * float64(i) / steps)
		// The inner corner stands at (a, b) from the outer one; the plate's
		// inner face runs thick away from the line between its ends.
		if a*cos+b*sin < long*sin*cos+thick {
			return false
		}
	}
	return true
}

func TestCheckAccess_corner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		way := calc.Access{RouteWidth: length(400*mm, 3000*mm).Draw(t, "a"), Corner: length(400*mm, 3000*mm).Draw(t, "b")}
		thick := length(5*mm, 300*mm).Draw(t, "thickness")
		r, err := calc.CheckAccess(900*mm, 2400*mm, thick, mm, way)
		if err != nil {
			t.Fatal(err)
		}
		a, b, d, long := way.RouteWidth.MM(), way.Corner.MM(), thick.MM(), r.CornerLength.MM()
		if !goesRound(a, b, d, long-0.01) || goesRound(a, b, d, long*1.001) {
			t.Fatalf("%v, %v, thickness %v: got %v", way.RouteWidth, way.Corner, thick, r.CornerLength)
		}
		swapped, err := calc.CheckAccess(900*mm, 2400*mm, thick, mm, calc.Access{RouteWidth: way.Corner, Corner: way.RouteWidth})
		if err != nil || (swapped.CornerLength-r.CornerLength).Abs() > calc.Micrometre {
			t.Fatalf("one way %v, the other %v, %v", r.CornerLength, swapped.CornerLength, err)
		}
	})
}

// fitsTurned says whether a rectangle fits into another at some angle.
func fitsTurned(p, q, a, b float64) bool {
	const steps = 2000
	for i := range steps + 1 {
		sin, cos := math.Sincos(math.Pi / 2 * float64(i) / steps)
		if p*cos+q*sin <= a && p*sin+q*cos <= b {
			return true
		}
	}
	return false
}

// A low car that is wide enough takes a leaf on its face or nearly so: by hand,
// 1500 ≤ 3000 along the depth, and 1400 ≤ 2000 across.
func TestCheckAccess_lowCar(t *testing.T) {
	r, err := calc.CheckAccess(1400*mm, 1500*mm, 54*mm, mm, calc.Access{HoistHeight: 1000 * mm, HoistDepth: 3000 * mm, HoistWidth: 2000 * mm})
	if err != nil || r.Hoist != calc.LeantBack {
		t.Errorf("got %v, %v", r.Hoist, err)
	}
}

func TestCheckAccess_hoistByTurning(t *testing.T) {
	seen := map[calc.Passage]int{}
	rapid.Check(t, func(t *rapid.T) {
		w, h := length(600*mm, 1500*mm).Draw(t, "w"), length(1500*mm, 3000*mm).Draw(t, "h")
		way := calc.Access{HoistHeight: length(1000*mm, 3000*mm).Draw(t, "high"), HoistDepth: length(1000*mm, 3000*mm).Draw(t, "deep"), HoistWidth: length(700*mm, 2000*mm).Draw(t, "wide")}
		r, err := calc.CheckAccess(w, h, 54*mm, mm, way)
		if err != nil {
			t.Fatal(err)
		}
		seen[r.Hoist]++
		// A side of the leaf lies along a side of the car's floor, and the other two
		// are turned in what is left. Angles come in steps, so the edge of what fits
		// is blurred.
		fits := func(by float64) bool {
			sides, floor, high := [3]float64{by * w.MM(), by * h.MM(), by * 54}, [2]float64{way.HoistDepth.MM(), way.HoistWidth.MM()}, way.HoistHeight.MM()
			for i, side := range sides {
				for k := range floor {
					if side <= floor[k] && fitsTurned(sides[(i+1)%3], sides[(i+2)%3], floor[1-k], high) {
						return true
					}
				}
			}
			return false
		}
		if r.Hoist == calc.NoWay && fits(1.001) || r.Hoist != calc.NoWay && !fits(0.999) {
			t.Fatalf("%v × %v in %v × %v × %v: got %v", w, h, way.HoistDepth, way.HoistWidth, way.HoistHeight, r.Hoist)
		}
	})
	if seen[calc.NoWay] == 0 || seen[calc.Upright] == 0 || seen[calc.LeantBack] == 0 {
		t.Errorf("got %v, want leaves that fit and leaves that don't", seen)
	}
}
