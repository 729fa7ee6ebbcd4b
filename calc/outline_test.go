package calc_test

import (
	"errors"
	"flag"
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// TestMain asks for thousands of random leaves; -rapid.checks still rules. A
// failure prints the seed that repeats it and leaves no file behind.
func TestMain(m *testing.M) {
	if err := errors.Join(flag.Set("rapid.checks", "2000"), flag.Set("rapid.nofailfile", "true")); err != nil {
		panic(err)
	}
	flag.Parse()
	if checks := flag.Lookup("rapid.checks").Value; testing.Short() && checks.String() == "2000" {
		if err := checks.Set("10000"); err != nil { // of which rapid runs a fifth then
			panic(err)
		}
	}
	os.Exit(m.Run())
}

// The checks below know nothing but the shape of a leaf in plan and the
// rotation of the plane: x' = x cos θ - y sin θ, y' = x sin θ + y cos θ.

// point is in nanometres from the pivot axis, leaf closed.
type point struct{ x, y float64 }

// arcParts is into how many chords the quarter turn of a rounding is cut.
const arcParts = 48

// outline returns the outline of a leaf whose axis lies e away from the
// mid-plane, seen from the face that it opens towards.
func outline(t calc.Turn, e calc.Length) []point {
	var points []point
	left, right := -float64(t.Setback), float64(t.Width-t.Setback)
	open, other := float64(t.Thickness)/2+float64(e), float64(e)-float64(t.Thickness)/2
	for _, c := range []struct {
		at     point
		edge   calc.Edge
		dx, dy float64 // towards the inside of the leaf
	}{
		{point{left, open}, t.Heel, 1, -1}, {point{left, other}, t.Heel, 1, 1},
		{point{right, open}, t.Lead, -1, -1}, {point{right, other}, t.Lead, -1, 1},
	} {
		size := float64(c.edge.Size)
		switch c.edge.Form {
		case calc.Square:
			points = append(points, c.at)
		case calc.Chamfered:
			points = append(points, point{c.at.x + c.dx*size, c.at.y}, point{c.at.x, c.at.y + c.dy*size})
		case calc.Rounded:
			for i := range arcParts + 1 {
				sin, cos := math.Sincos(float64(i) / arcParts * math.Pi / 2)
				points = append(points, point{c.at.x + c.dx*size*(1-cos), c.at.y + c.dy*size*(1-sin)})
			}
		}
	}
	return points
}

// extent returns the smallest and largest x of points turned by an angle.
func extent(points []point, sin, cos float64) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		x := p.x*cos - p.y*sin
		least, most = min(least, x), max(most, x)
	}
	return least, most
}

// offsets returns the offsets that a leaf may have.
func offsets(o calc.Offset) []calc.Length {
	if o.Signed {
		return []calc.Length{o.E}
	}
	return []calc.Length{o.E, -o.E}
}

// steps is into how many steps a turn is cut.
const steps = 500

// sweep turns a leaf in small steps to the angle it opens to, 90° at most,
// and to both sides if it swings so. It returns how far the leaf gets
// towards either jamb beyond where it stands when closed.
func sweep(t calc.Turn) (heel, lead float64) {
	turn := min(t.Angle, calc.RightAngle).Radians()
	for _, e := range offsets(t.Offset) {
		points := outline(t, e)
		for i := range steps + 1 {
			sin, cos := math.Sincos(turn * float64(i) / steps)
			least, most := extent(points, sin, cos)
			if t.Swing == calc.BothWays {
				back, far := extent(points, -sin, cos)
				least, most = min(least, back), max(most, far)
			}
			heel = max(heel, -least-float64(t.Setback))
			lead = max(lead, most-float64(t.Width-t.Setback))
		}
	}
	return heel, lead
}

// missed returns how much less than the truth a sweep may find for a point
// at the radius r: between two steps the point gets further by r(1 - cos δ/2)
// at most, which is less than rδ²/8, and an arc by as much beyond its chord.
func missed(t calc.Turn, r float64, e calc.Edge) float64 {
	const arc = math.Pi / 2 / arcParts
	step := min(t.Angle, calc.RightAngle).Radians() / steps
	m := r * step * step / 8
	if e.Form == calc.Rounded {
		m += float64(e.Size) * arc * arc / 8
	}
	return m
}

// Generators.

func length(from, to calc.Length) *rapid.Generator[calc.Length] {
	return rapid.Map(rapid.Int64Range(int64(from), int64(to)), func(nm int64) calc.Length { return calc.Length(nm) })
}

func anEdge(t *rapid.T, most calc.Length, label string) calc.Edge {
	form := rapid.SampledFrom([]calc.EdgeForm{calc.Square, calc.Chamfered, calc.Rounded}).Draw(t, label)
	if form == calc.Square {
		return calc.Edge{}
	}
	return calc.Edge{Form: form, Size: length(0, most).Draw(t, label+" size")}
}

// leaves draws leaves that make sense, of every form and swing.
var leaves = rapid.Custom(func(t *rapid.T) calc.Turn {
	var l calc.Turn
	l.Thickness = rapid.OneOf(length(30*mm, 80*mm), length(5*mm, 300*mm)).Draw(t, "thickness")
	l.Width = rapid.OneOf(length(600*mm, 1500*mm), length(200*mm, 6000*mm)).Draw(t, "width")
	l.Setback = rapid.OneOf(length(0, min(300*mm, l.Width/2)), length(0, l.Width/2)).Draw(t, "setback")
	reach := min(l.Thickness, 300*mm)
	l.Offset.E = rapid.OneOf(rapid.Just(calc.Length(0)), length(-reach, reach)).Draw(t, "offset")
	l.Offset.Signed = rapid.Bool().Draw(t, "signed")
	l.Heel = anEdge(t, min(l.Thickness/2, l.Setback), "heel")
	l.Lead = anEdge(t, min(l.Thickness/2, l.Width-l.Setback), "lead")
	l.Swing = rapid.SampledFrom([]calc.Swing{calc.BothWays, calc.OneWay}).Draw(t, "swing")
	l.Angle = calc.Angle(rapid.OneOf(rapid.Just(90.0), rapid.Float64Range(0, 45), rapid.Float64Range(0, 180)).Draw(t, "angle"))
	return l
})

// stepsOf draws steps to round to.
var stepsOf = rapid.OneOf(rapid.SampledFrom([]calc.Length{
	calc.Millimetre, calc.Millimetre / 10, calc.Millimetre / 2, 5 * calc.Millimetre, calc.Inch / 32,
}), length(calc.Millimetre/10, 10*calc.Millimetre))

// agree fails if got is not within less below and more above want.
func agree(t *rapid.T, name string, got calc.Length, want, less, more float64, input any) {
	t.Helper()
	if d := float64(got) - want; !(d >= -less && d <= more) {
		t.Fatalf("%s: got %v, want %.6f mm (%.6f less to %.6f more); input %+v", name, got, want/1e6, less/1e6, more/1e6, input)
	}
}
