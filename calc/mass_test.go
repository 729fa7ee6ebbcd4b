package calc_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

const pixel = 40 * mm

// grid draws a whole number of pixels.
func grid(t *rapid.T, from, to int, label string) calc.Length {
	return pixel * calc.Length(rapid.IntRange(from, to).Draw(t, label))
}

// laminated draws a leaf of layers, cut-outs and parts whose edges lie on the
// grid.
var laminated = rapid.Custom(func(t *rapid.T) calc.MassInput {
	in := calc.MassInput{Width: grid(t, 10, 40, "width"), Height: grid(t, 20, 70, "height"), Step: mm,
		Offset: calc.Offset{E: length(-20*mm, 20*mm).Draw(t, "offset"), Signed: rapid.Bool().Draw(t, "signed")}}
	in.Setback = length(0, in.Width/2).Draw(t, "setback")
	for range rapid.IntRange(1, 4).Draw(t, "layers") {
		l := calc.Layer{Thickness: length(5*mm, 60*mm).Draw(t, "thickness"), Density: calc.Density(rapid.Float64Range(20, 3000).Draw(t, "density")),
			Later: rapid.Bool().Draw(t, "later")}
		if rapid.Bool().Draw(t, "framed") {
			l.Frame = grid(t, 1, 5, "frame")
		}
		in.Layers = append(in.Layers, l)
	}
	if rapid.Bool().Draw(t, "cut") { // one on either side of the middle
		half, high := in.Width/pixel/2*pixel, int(in.Height/pixel)
		z := rapid.IntRange(0, high-1).Draw(t, "z")
		tall := grid(t, 1, high-z, "tall")
		in.Cutouts = []calc.Cutout{
			{X: pixel, Z: pixel * calc.Length(z), Width: half - pixel, Height: tall},
			{X: half, Z: 0, Width: in.Width - half, Height: pixel},
		}
	}
	for range rapid.IntRange(0, 2).Draw(t, "parts") {
		in.Parts = append(in.Parts, calc.Part{Mass: calc.Mass(rapid.Float64Range(0, 20).Draw(t, "part")), X: length(0, in.Width).Draw(t, "x"),
			Y: length(-80*mm, 80*mm).Draw(t, "y"), Later: rapid.Bool().Draw(t, "part later")})
	}
	return in
})

// covered says whether a layer is there at a pixel's middle.
func covered(in calc.MassInput, l calc.Layer, x, z calc.Length) bool {
	for _, c := range in.Cutouts {
		if x > c.X && x < c.X+c.Width && z > c.Z && z < c.Z+c.Height {
			return false
		}
	}
	return l.Frame == 0 || min(x, z, in.Width-x, in.Height-z) < l.Frame
}

// bySums is a leaf weighed pixel by pixel, its inertia with the axis on the
// side of the mid-plane that sign says.
func bySums(in calc.MassInput, sign float64) (m, hung, sx, sy, inertia float64) {
	thick := 0.0
	for _, l := range in.Layers {
		thick += l.Thickness.MM() / 1000
	}
	axis, e := in.Setback.MM()/1000, sign*in.Offset.E.MM()/1000
	add := func(dm, x, y float64, later bool) {
		m, sx, sy = m+dm, sx+dm*x, sy+dm*y
		inertia += dm * ((x-axis)*(x-axis) + (y+e)*(y+e))
		if !later {
			hung += dm
		}
	}
	top := thick / 2
	const side = float64(pixel) / float64(calc.Metre)
	for _, l := range in.Layers {
		t := l.Thickness.MM() / 1000
		dm := float64(l.Density) * side * side * t
		for x := pixel / 2; x < in.Width; x += pixel {
			for z := pixel / 2; z < in.Height; z += pixel {
				if covered(in, l, x, z) {
					add(dm, x.MM()/1000, top-t/2, l.Later)
					inertia += dm * (side*side + t*t) / 12
				}
			}
		}
		top -= t
	}
	for _, p := range in.Parts {
		add(float64(p.Mass), p.X.MM()/1000, p.Y.MM()/1000, p.Later)
	}
	return m, hung, sx, sy, inertia
}

func TestLeafMass_pixelByPixel(t *testing.T) {
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		in := laminated.Draw(t, "leaf")
		got, err := calc.LeafMass(in)
		if err != nil {
			t.Skip(err)
		}
		answered++
		m, hung, sx, sy, inertia := bySums(in, 1)
		if !in.Offset.Signed {
			_, _, _, _, other := bySums(in, -1)
			inertia = max(inertia, other)
		}
		if !nearly(float64(got.Mass.Exact), m, 9) || !nearly(float64(got.Hung.Exact), hung, 9) || !nearly(float64(got.Inertia.Exact), inertia, 9) ||
			!nearly(got.CentreX.Exact.MM(), 1000*sx/m, 5) || !nearly(got.CentreY.MM(), 1000*sy/m, 5) {
			t.Fatalf("%+v: got %+v, want %v kg, %v kg hung, centre %v, %v mm, %v kg·m²", in, got, m, hung, 1000*sx/m, 1000*sy/m, inertia)
		}
	})
	if answered < 50 {
		t.Errorf("got %d answers, want at least 50", answered)
	}
}

// A leaf of one layer is a uniform one, and one seen from the other edge has
// its centre as far from it.
func TestLeafMass_uniform(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := length(200*mm, 2000*mm).Draw(t, "width")
		in := calc.MassInput{Width: w, Height: length(300*mm, 3000*mm).Draw(t, "height"), Setback: length(0, w/2).Draw(t, "setback"), Step: mm,
			Offset: calc.Offset{E: length(-30*mm, 30*mm).Draw(t, "offset"), Signed: true},
			Layers: []calc.Layer{{Thickness: length(20*mm, 80*mm).Draw(t, "thickness"), Density: 600}}}
		got, err := calc.LeafMass(in)
		if err != nil {
			t.Fatal(err)
		}
		pane, err := calc.SheetMass(w, in.Height, got.Thickness, 600)
		if err != nil || !nearly(float64(pane), float64(got.Mass.Exact), 12) {
			t.Fatalf("as a sheet %v, %v, as a leaf %v", pane, err, got.Mass.Exact)
		}
		want, err := calc.UniformInertia(pane, w, got.Thickness, in.Setback, in.Offset.E)
		if err != nil || !nearly(float64(got.Inertia.Exact), float64(want.Exact), 9) {
			t.Fatalf("got %v, want %v, %v", got.Inertia, want, err)
		}
		lock := calc.Part{Mass: 4, X: length(0, w).Draw(t, "x")}
		in.Parts = []calc.Part{lock}
		a, _ := calc.LeafMass(in)
		in.Parts[0].X = w - lock.X
		b, err := calc.LeafMass(in)
		if err != nil || (a.CentreX.Exact+b.CentreX.Exact-w).Abs() > 2 {
			t.Fatalf("lock at %v: centre at %v, seen from the other edge %v, %v", lock.X, a.CentreX.Exact, b.CentreX.Exact, err)
		}
	})
}

// What two supports carry of a leaf tells its mass and its centre.
func TestTwoScales_inverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.Float64Range(1, 1000).Draw(t, "mass")
		span, heel := length(200*mm, 3000*mm).Draw(t, "span"), length(-100*mm, 500*mm).Draw(t, "heel")
		centre := heel + length(0, span).Draw(t, "centre")
		b := m * float64(centre-heel) / float64(span)
		got, err := calc.TwoScales(calc.Mass(max(0, m-b)), calc.Mass(b), span, heel, mm)
		if err != nil || (got.CentreX.Exact-centre).Abs() > 2 || !nearly(float64(got.Mass.Exact), m, 9) {
			t.Fatalf("%v kg at %v: got %+v, %v", m, centre, got, err)
		}
	})
}

// A floor that carries a pressure carries it on any plate of the same area,
// and none that is a hundredth smaller.
func TestFloorPressure_atTheLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := length(20*mm, 500*mm).Draw(t, "a"), length(20*mm, 500*mm).Draw(t, "b")
		carries := calc.Pressure(rapid.Float64Range(0.02, 10).Draw(t, "carries")) * calc.Megapascal
		v := calc.Force(min(99_000, float64(carries)*a.MM()*b.MM()/1e6))
		carries = calc.Pressure(float64(v) / (a.MM() * b.MM() / 1e6))
		if carries < calc.Megapascal/50 {
			t.Skip("too light")
		}
		for factor, want := range map[calc.Pressure]bool{1.000001: true, 0.99: false} {
			got, err := calc.FloorPressure(v, a, b, carries*factor)
			swapped, _ := calc.FloorPressure(v, b, a, carries*factor)
			if err != nil || !got.Compared || got.OK != want || got != swapped {
				t.Fatalf("%v on %v × %v where %v is carried: %+v, %v, other way round %+v", v, a, b, carries*factor, got, err, swapped)
			}
			if got.Pressure.Told < got.Pressure.Exact*(1-1e-8) || got.Pressure.Told-got.Pressure.Exact > calc.Megapascal/100 {
				t.Fatalf("got %v, want the hundredth above", got.Pressure)
			}
		}
	})
}

// The table is whole: every material can be a layer, names its source and has
// a name of its own. Its EN 1991-1-1 values are the weights of the standard.
func TestMaterials(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range calc.Materials {
		if seen[m.Name] || m.Source == "" || m.Density < 200 || m.Density > 12_000 {
			t.Errorf("%+v", m)
		}
		seen[m.Name] = true
		if got, ok := calc.MaterialNamed(m.Name); !ok || got != m {
			t.Errorf("%s: got %+v", m.Name, got)
		}
	}
	for name, kN := range map[string]float64{"steel": 78.5, "aluminium": 27, "MDF": 8, "concrete": 25, "mortar": 23} { // EN 1991-1-1:2002 annex A
		if m, _ := calc.MaterialNamed(name); !nearly(float64(m.Density)*metreG/1000, kN, 12) {
			t.Errorf("%s: got %v, want %v kN/m³", name, m.Density, kN)
		}
	}
	for name, want := range map[string]calc.Density{"C24": 420, "D30": 640, "D70": 1080, "glass": 2500} { // BS EN 338 means; EN 572-1
		if m, _ := calc.MaterialNamed(name); m.Density != want {
			t.Errorf("%s: got %v, want %v", name, m.Density, want)
		}
	}
	if _, ok := calc.MaterialNamed("cheese"); ok {
		t.Error("cheese is a material")
	}
}

func TestFigure_String(t *testing.T) {
	for _, tt := range []struct {
		q    calc.Quantity
		want string
	}{
		{calc.Torque(337.54), "337.5 N·m"}, {calc.Energy(1.694), "1.69 J"}, {calc.Seconds(5), "5 s"}, {calc.Inertia(32.414), "32.41 kg·m²"},
		{calc.AreaMass(25.04), "25 kg/m²"}, {calc.Pressure(337.54), "337.5 Pa"}, {25 * calc.Megapascal, "25 N/mm²"}, {calc.Slope(2.794), "2.79 mm/m"},
		{calc.Percent(1.8), "1.8 %"}, {calc.Frequency(5.333), "5.33 a minute"}, {calc.Number(20), "20"}, {calc.Expansion(23e-6), "23·10⁻⁶/K"},
		{calc.Swelling(0.0025), "0.25 % a percent"}, {calc.Kelvin(-30), "-30 K"}, {calc.Torque(math.NaN()), "NaN N·m"},
	} {
		if got := tt.q.String(); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}
