package calc_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

func drawPins(t *rapid.T) calc.PinsInput {
	n := func(label string, low, high int) calc.Length {
		return calc.Length(rapid.IntRange(low, high).Draw(t, label)) * mm
	}
	in := calc.PinsInput{Point: calc.Angle(rapid.SampledFrom([]float64{118, 130, 180}).Draw(t, "point")), Step: mm,
		Recess: n("recess", 0, 12), Allowance: n("allowance", 0, 5),
		HasPipe: rapid.Bool().Draw(t, "has_pipe"), HasBack: rapid.Bool().Draw(t, "has_back"), Locator: n("locator", 0, 8), Margin: n("margin", 0, 15)}
	for range rapid.IntRange(1, 4).Draw(t, "layers") {
		in.Layers = append(in.Layers, calc.FloorLayer{Thickness: n("layer", 5, 80), Sound: rapid.Bool().Draw(t, "sound")})
	}
	if in.HasPipe {
		in.Pipe = n("pipe", 20, 120)
		in.Aside = rapid.Bool().Draw(t, "aside")
		in.Sideways = n("sideways", 0, 60)
	}
	if in.HasBack {
		in.Back = n("back", 60, 250)
	}
	in.Edge, in.Joint, in.Spacing = n("edge", 20, 100), n("joint", 20, 100), n("spacing", 20, 100)
	for range rapid.IntRange(1, 4).Draw(t, "pins") {
		p := calc.Pin{Length: n("length", 20, 90), Count: 2, Hole: n("hole", 8, 20), Embedment: n("least", 5, 50),
			Edge: n("edge least", 0, 60), Joint: n("joint least", 0, 60), Spacing: n("spacing least", 0, 60)}
		if rapid.Bool().Draw(t, "cuts") {
			p.CutTo = min(p.Length, n("cut to", 10, 60))
		}
		in.Pins = append(in.Pins, p)
	}
	return in
}

// does says by itself whether a pin at a length will do: distances, the tip of
// a full bore, and sound material millimetre by millimetre.
func does(in *calc.PinsInput, p *calc.Pin, length calc.Length) (embedment int, ok bool) {
	tip := math.Ceil((in.Recess + length + in.Allowance).MM() + p.Hole.MM()/2/math.Tan(in.Point.Radians()/2) - 1e-6)
	at := func(depth float64) *calc.FloorLayer {
		for i := range in.Layers {
			if depth -= in.Layers[i].Thickness.MM(); depth < 0 {
				return &in.Layers[i]
			}
		}
		return nil
	}
	for d := in.Recess.MM(); d < (in.Recess + length).MM(); d++ {
		if l := at(d + 0.5); l != nil && l.Sound {
			embedment++
		}
	}
	margin, locator := in.Margin.MM(), in.Locator.MM()
	if margin == 0 {
		margin = 10
	}
	if locator == 0 {
		locator = 5
	}
	clear := in.Aside && in.Sideways.MM()-p.Hole.MM()/2 >= margin+locator
	ok = at(tip-0.5) != nil && float64(embedment) >= p.Embedment.MM() && in.Edge >= p.Edge && in.Joint >= p.Joint && in.Spacing >= p.Spacing
	if in.HasPipe && !clear {
		ok = ok && in.Pipe.MM()-tip >= margin+locator
	}
	if in.HasBack {
		ok = ok && in.Back.MM()-tip >= max(30, 2*p.Hole.MM())
	}
	return embedment, ok
}

// Trying every pin at every whole length finds none that holds better.
func TestPinsFor_enumerated(t *testing.T) {
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		in := drawPins(t)
		got, err := calc.PinsFor(in)
		if err != nil {
			t.Fatalf("got error %v, want none", err)
		}
		best := -1
		for i := range in.Pins {
			p := &in.Pins[i]
			for length := p.Length; length == p.Length || p.CutTo > 0 && length >= p.CutTo; length -= mm {
				if e, ok := does(&in, p, length); ok {
					best = max(best, e)
				}
			}
		}
		if got.Found != (best >= 0) || len(got.Rejected) > len(in.Pins) {
			t.Fatalf("got %+v, trying all finds %d", got, best)
		}
		for _, r := range got.Rejected {
			if r.Reason == calc.PinFits || r.Value >= r.Limit {
				t.Fatalf("got rejected %+v without a reason", r)
			}
		}
		if !got.Found {
			return
		}
		found++
		c := got.Choice
		e, ok := does(&in, &in.Pins[c.Pin], c.Length)
		if !ok || c.Embedment != calc.Length(e)*mm || e != best {
			t.Fatalf("got %+v, embedment %d, will do %v, trying all finds %d", c, e, ok, best)
		}
		if c.Hole.SetOut < c.Hole.Exact || c.CoverLeft.SetOut > c.CoverLeft.Exact {
			t.Fatalf("got %+v, rounded to the wrong side", c)
		}
	})
	if found < 20 {
		t.Errorf("got %d pins, want at least 20", found)
	}
}

// Cover 45, pin 30, allowance 3, a drill of 12 with a point of 130°: 9.20 is
// left, 9 by the rounded mark. Common practice, no published source.
func ExamplePinsFor() {
	in := calc.PinsInput{Layers: []calc.FloorLayer{{Thickness: 80 * mm, Sound: true}}, Allowance: 3 * mm, Point: 130,
		HasPipe: true, Pipe: 45 * mm, Step: mm,
		Pins: []calc.Pin{{Length: 30 * mm, Count: 2, Hole: 12 * mm, Embedment: 20 * mm, CutTo: 20 * mm}}}
	r, err := calc.PinsFor(in)
	fmt.Println("cut to", r.Choice.Length, "hole", r.Choice.Hole.SetOut, "left", r.Choice.CoverLeft.SetOut, err)
	in.Pins[0].CutTo = 0
	r, err = calc.PinsFor(in)
	fmt.Println(r.Found, err)
	c := r.Rejected[0]
	fmt.Printf("%.2f mm, %v of %v\n", c.CoverLeft.Exact.MM(), c.Value, c.Limit)
	// Output:
	// cut to 24 mm hole 30 mm left 15 mm <nil>
	// false <nil>
	// 9.20 mm, 9 mm of 15 mm
}

// Four holes of 12 with pins of 10, 40 and 35 deep, a point of 130°: the
// volumes of ring, cylinder and cone, worked by hand.
func ExampleGlueFor() {
	door := calc.GlueDoor{Holes: 4, Hole: 12 * mm, Pin: 10 * mm, HoleDepth: 40 * mm, PinDepth: 35 * mm, Point: 130}
	g, err := calc.GlueFor(calc.GlueInput{Doors: []calc.GlueDoor{door}})
	fmt.Printf("%.2f ml, %v %v\n", float64(g.Holes.Exact), g.Holes.Told, err)
	door.FilmArea, door.FilmThickness, door.Nozzles = 200*60, 2*mm, 1
	g, err = calc.GlueFor(calc.GlueInput{Doors: []calc.GlueDoor{door, door}, Waste: 10, PerNozzle: 12, Cartridge: 80})
	fmt.Println(g.Total.Told, g.Cartridges, err)
	// Output:
	// 7.52 ml, 7.6 ml <nil>
	// 93.4 ml 2 <nil>
}

// The volume by discs of the hole less the pin is that of the formula.
func TestGlueFor_discs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := calc.GlueDoor{Holes: rapid.IntRange(1, 6).Draw(t, "holes"), Hole: length(8*mm, 30*mm).Draw(t, "D"), HoleDepth: length(20*mm, 90*mm).Draw(t, "hole"),
			Point: calc.Angle(rapid.Float64Range(80, 179).Draw(t, "point"))}
		d.Pin, d.PinDepth = length(1*mm, d.Hole).Draw(t, "d"), length(1*mm, d.HoleDepth).Draw(t, "pin")
		g, err := calc.GlueFor(calc.GlueInput{Doors: []calc.GlueDoor{d}})
		if err != nil {
			t.Fatal(err)
		}
		point := d.Hole.MM() / 2 / math.Tan(d.Point.Radians()/2)
		sum := 0.0
		const steps = 4000
		dz := (d.HoleDepth.MM() + point) / steps
		for i := range steps {
			z := (float64(i) + 0.5) * dz
			r := d.Hole.MM() / 2
			if over := z - d.HoleDepth.MM(); over > 0 {
				r *= 1 - over/point
			}
			sum += math.Pi * r * r * dz
		}
		sum -= math.Pi / 4 * d.Pin.MM() * d.Pin.MM() * d.PinDepth.MM()
		want := sum * float64(d.Holes) / 1000
		if got := float64(g.Holes.Exact); math.Abs(got-want) > 2e-3*float64(d.Holes)*d.Hole.MM()*d.Hole.MM()/100 {
			t.Fatalf("got %v, discs give %v", got, want)
		}
		if g.Holes.Told < g.Holes.Exact {
			t.Fatalf("got %v told for %v", g.Holes.Told, g.Holes.Exact)
		}
	})
}
