package calc_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// drawLevel draws readings on lines 10° apart, all round, at equal radii.
func drawLevel(t *rapid.T) calc.LevelInput {
	in := calc.LevelInput{Width: 1100 * mm, Setback: length(0, 400*mm).Draw(t, "s"), Height: 2400 * mm,
		DX: length(-4*mm, 4*mm).Draw(t, "dx"), DY: length(-4*mm, 4*mm).Draw(t, "dy"),
		GapLead: length(3*mm, 15*mm).Draw(t, "lead"), GapHeel: length(3*mm, 15*mm).Draw(t, "heel"),
		ZLead: length(-3*mm, 3*mm).Draw(t, "z lead"), ZHeel: length(-3*mm, 3*mm).Draw(t, "z heel"), Soffit: rapid.Bool().Draw(t, "soffit")}
	in.To = calc.Angle(rapid.IntRange(10, 180).Draw(t, "to"))
	if rapid.Bool().Draw(t, "both") {
		in.From = -in.To
	}
	for at := calc.Angle(-170); at <= 180; at += 10 {
		ray := calc.FloorRay{At: at}
		for _, r := range []calc.Length{100, 400, 700, 1120} {
			ray.Points = append(ray.Points, calc.FloorPoint{R: r * mm, Z: length(-4*mm, 4*mm).Draw(t, "z")})
		}
		in.Rays = append(in.Rays, ray)
	}
	return in
}

// floorAt reads a floor of drawLevel by itself.
func floorAt(in *calc.LevelInput, deg, r float64) float64 {
	for deg <= -170 {
		deg += 360
	}
	for deg > 190 {
		deg -= 360
	}
	i := int(math.Floor((deg + 170) / 10))
	along := func(ray calc.FloorRay) float64 {
		p := ray.Points
		if r <= p[0].R.MM() {
			return p[0].Z.MM()
		}
		for k := range p[1:] {
			if a, b := p[k], p[k+1]; r <= b.R.MM() {
				return a.Z.MM() + (b.Z-a.Z).MM()*(r-a.R.MM())/(b.R-a.R).MM()
			}
		}
		return p[len(p)-1].Z.MM()
	}
	f := (deg+170)/10 - float64(i)
	return along(in.Rays[i%36])*(1-f) + along(in.Rays[(i+1)%36])*f
}

// Stepping through the swing finds no smaller gap, and one nearly as small.
func TestLevelOf_stepped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawLevel(t)
		got, err := calc.LevelOf(in)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Unread) > 0 {
			t.Fatalf("got unread %v, want all read", got.Unread)
		}
		least, s, w := math.Inf(1), in.Setback.MM(), in.Width.MM()
		sign := 1.0
		if in.Soffit {
			sign = -1
		}
		foot := func(x float64) float64 { // x from the heel edge
			heel, lead := in.ZHeel.MM()+sign*in.GapHeel.MM(), in.ZLead.MM()+sign*in.GapLead.MM()
			return heel + (lead-heel)*x/w
		}
		for deg := float64(in.From); deg <= float64(in.To); deg++ {
			sin, cos := math.Sincos(deg * math.Pi / 180)
			for x := 0.0; x <= w; x += 25 {
				r := x - s
				rise := r / in.Height.MM() * (in.DX.MM()*(1-cos) - in.DY.MM()*sin)
				at := deg
				if r < 0 {
					at += 180
				}
				least = min(least, sign*(foot(x)+rise-floorAt(&in, at, math.Abs(r))))
			}
		}
		if d := least - got.Least.MM(); d < -1e-5 || d > 0.6 {
			t.Fatalf("got %v at %v, stepping finds %v", got.Least, got.At, least)
		}
	})
}

// The head stands 3 mm towards the heel jamb in 2400, the floor is level: the
// leading end sinks 1.30 by 90° and 2.60 by 180° (common practice, no published
// source; the rise of a leaning axis).
func ExampleLevelOf() {
	in := calc.LevelInput{Width: 1100 * mm, Setback: 60 * mm, Height: 2400 * mm, DX: -3 * mm, GapLead: 8 * mm, GapHeel: 8 * mm}
	for at := calc.Angle(-150); at <= 180; at += 30 {
		in.Rays = append(in.Rays, calc.FloorRay{At: at, Points: []calc.FloorPoint{{R: 100 * mm}, {R: 1040 * mm}}})
	}
	for _, in.To = range []calc.Angle{90, 180} {
		l, err := calc.LevelOf(in)
		fmt.Println(l.Least, "at", l.At, l.Unread, err)
	}
	in.Rays = in.Rays[5:9] // 0° to 90°: nothing was read under the heel part
	in.To = 120
	l, err := calc.LevelOf(in)
	fmt.Println(l.Least, "at", l.At, l.Unread, err)
	// Output:
	// 6.7 mm at 90° [] <nil>
	// 5.4 mm at 180° [] <nil>
	// 6.7 mm at 90° [{false {90° 120°}} {true {0° 120°}}] <nil>
}

func TestLevelOf_refused(t *testing.T) {
	in := calc.LevelInput{Width: 1100 * mm, Setback: 60 * mm, Height: 2400 * mm, GapLead: 8 * mm, GapHeel: 8 * mm, To: 90}
	var need *calc.NeedError
	if _, err := calc.LevelOf(in); !errors.As(err, &need) {
		t.Errorf("got error %v without readings, want a NeedError", err)
	}
	for name, rays := range map[string][]calc.FloorRay{
		"ray":   {{At: 10}, {At: 10}},
		"swing": {{At: -calc.HalfTurn}, {At: calc.HalfTurn}}, // one direction
	} {
		in.Rays = rays
		var outside *calc.RangeError
		if _, err := calc.LevelOf(in); !errors.As(err, &outside) || outside.Name != name {
			t.Errorf("got error %v for lines at %v, want a RangeError of %s", err, rays, name)
		}
	}
}
