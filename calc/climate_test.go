package calc_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// The bow is the sagitta of the arc whose outer face is longer by α·ΔT, and a
// leaf turned on its side bows across as it did over its height.
func TestSunOn_isAnArc(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := calc.SunInput{Expansion: calc.Expansion(rapid.Float64Range(1e-6, 80e-6).Draw(t, "α")), Width: length(200*mm, 3000*mm).Draw(t, "width"),
			Height: length(300*mm, 3000*mm).Draw(t, "height"), Thickness: length(30*mm, 100*mm).Draw(t, "thickness"),
			Through: calc.Kelvin(rapid.Float64Range(1, 60).Draw(t, "through")), Warmer: calc.Kelvin(rapid.Float64Range(-60, 60).Draw(t, "warmer")), Step: mm}
		got, err := calc.SunOn(in)
		if err != nil {
			t.Fatal(err)
		}
		radius := in.Thickness.MM() / (float64(in.Expansion) * float64(in.Through))
		half := in.Height.MM() / (2 * radius) // its angle; the arc is flatter than the parabola by a twelfth of its square
		if arc := radius * (1 - math.Cos(half)); math.Abs(got.Bow.Exact.MM()-arc) > half*half/11*arc+1e-6 {
			t.Fatalf("%+v: got %v, an arc of radius %v has %v mm", in, got.Bow.Exact, radius, arc)
		}
		side := in
		side.Width, side.Height = in.Height, in.Width
		other := in
		other.Through, other.Warmer = -in.Through, -in.Warmer
		turned, err := calc.SunOn(side)
		cold, err2 := calc.SunOn(other)
		if errors.Join(err, err2) != nil || turned.Bow != got.BowAcross || turned.Growth != got.GrowthHeight ||
			cold.Bow != got.Bow || cold.Growth.Exact != -got.Growth.Exact || cold.Growth.SetOut != -got.Growth.SetOut {
			t.Fatalf("%+v: got %+v, on its side %+v, in the cold %+v; %v, %v", in, got, turned, cold, err, err2)
		}
		if got.Growth.SetOut.Abs() < got.Growth.Exact.Abs() {
			t.Fatalf("%v is rounded towards 0", got.Growth)
		}
	})
}

func TestExpansions(t *testing.T) {
	for _, e := range calc.Expansions {
		if e.Name == "" || e.Source == "" || e.Expansion < 1e-6 || e.Expansion > 100e-6 {
			t.Errorf("%+v", e)
		}
	}
}

// A darker face is never cooler, and the south-west never than the north-east.
func TestFacadeTemperature_order(t *testing.T) {
	at := func(face calc.Colour, north bool) calc.Temperature {
		got, err := calc.FacadeTemperature(30, face, north)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	for face := calc.BrightFace; face <= calc.DarkFace; face++ {
		if at(face, false) < at(face, true) || face > 0 && (at(face, true) <= at(face-1, true) || at(face, false) <= at(face-1, false)) {
			t.Errorf("colour %d: %v in the south-west, %v in the north-east", face, at(face, false), at(face, true))
		}
	}
	_, err := calc.FacadeTemperature(30, 3, false)
	wantRange(t, err, "colour")
}

// Wood that is cut in two moves as it did whole, and comes back as it went.
func TestMoistureMovement_addsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := calc.Swelling(rapid.Float64Range(0, 0.005).Draw(t, "k"))
		a, b := length(0, 600*mm).Draw(t, "a"), length(0, 600*mm).Draw(t, "b")
		change := calc.Percent(rapid.Float64Range(-15, 15).Draw(t, "change"))
		cut, err := calc.MoistureMovement([]calc.Strip{{a, k}, {b, k}}, change, 3*mm, mm)
		whole, err2 := calc.MoistureMovement([]calc.Strip{{a + b, k}}, change, 3*mm, mm)
		back, err3 := calc.MoistureMovement([]calc.Strip{{a + b, k}}, -change, 3*mm, mm)
		if err := errors.Join(err, err2, err3); err != nil {
			t.Fatal(err)
		}
		if (cut.Movement.Exact-whole.Movement.Exact).Abs() > 1 || back.Movement.Exact != -whole.Movement.Exact || back.Movement.SetOut != -whole.Movement.SetOut {
			t.Fatalf("cut %v, whole %v, back %v", cut, whole, back)
		}
		if whole.Spare != 3*mm-whole.Movement.Exact {
			t.Fatalf("%+v leaves %v of 3 mm", whole.Movement, whole.Spare)
		}
	})
}

// Damper air makes damper wood, warmer air drier, and heating dries the air.
func TestWoodMoisture_monotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		temp, h := calc.Temperature(rapid.Float64Range(0, 60).Draw(t, "temperature")), calc.Percent(rapid.Float64Range(0, 98).Draw(t, "humidity"))
		m, err := calc.WoodMoisture(temp, h)
		damp, err2 := calc.WoodMoisture(temp, h+1)
		if errors.Join(err, err2) != nil || m < 0 || m > 30 || damp <= m {
			t.Fatalf("%v at %v: %v, a percent damper %v", h, temp, m, damp)
		}
		room := temp/2 + 30 // as warm or warmer
		in, err := calc.HeatedHumidity(temp, h, room)
		if err != nil || in > h || in < 0 || room > temp+1 && h > 1 && in >= h {
			t.Fatalf("%v at %v, heated to %v: %v, %v", h, temp, room, in, err)
		}
		// In two steps as in one.
		half, err := calc.HeatedHumidity(temp, h, (temp+room)/2)
		both, err2 := calc.HeatedHumidity((temp+room)/2, half, room)
		if errors.Join(err, err2) != nil || !nearly(float64(both), float64(in), 9) {
			t.Fatalf("in one step %v, in two %v", in, both)
		}
	})
}

func TestWoods(t *testing.T) {
	for _, w := range calc.Woods {
		if w.Radial <= 0 || w.Radial > w.Tangential || w.Tangential > 0.005 {
			t.Errorf("%+v", w)
		}
		if got, ok := calc.WoodNamed(w.Name); !ok || got != w {
			t.Errorf("%s: got %+v", w.Name, got)
		}
	}
	if _, ok := calc.WoodNamed("stone"); ok {
		t.Error("stone is a wood")
	}
}

// Thicker takes longer, by one or two days a millimetre; a reading above the
// limit is never ready, and the dates are the days after the laying.
func TestScreedReady_monotone(t *testing.T) {
	laid := time.Date(2027, 1, 4, 0, 0, 0, 0, time.UTC)
	rapid.Check(t, func(t *rapid.T) {
		in := calc.ScreedInput{Kind: calc.ScreedKind(rapid.IntRange(0, 1).Draw(t, "kind")), Thickness: length(10*mm, 299*mm).Draw(t, "thickness"),
			Heated: rapid.Bool().Draw(t, "heated"), NewerLimit: rapid.Bool().Draw(t, "newer"), Read: rapid.Bool().Draw(t, "read"),
			Reading: calc.Percent(rapid.Float64Range(0, 4).Draw(t, "reading"))}
		s, err := calc.ScreedReady(in)
		thicker := in
		thicker.Thickness += mm
		u, err2 := calc.ScreedReady(thicker)
		if d := u.Days - s.Days; errors.Join(err, err2) != nil || d < 1 || d > 2 {
			t.Fatalf("%v: %d days, a mm more %d; %v, %v", in.Thickness, s.Days, u.Days, err, err2)
		}
		if s.Ready != (in.Read && in.Reading <= s.Limit) || in.Heated != (s.HeatingDays > 0) {
			t.Fatalf("%+v: got %+v", in, s)
		}
		dry, heating := s.On(laid)
		if dry.Sub(laid) != time.Duration(s.Days)*24*time.Hour || heating.IsZero() == in.Heated || in.Heated && heating.Sub(laid) != time.Duration(s.HeatingDays)*24*time.Hour {
			t.Fatalf("%+v laid on %v: dry on %v, heated on %v", s, laid, dry, heating)
		}
	})
	_, err := calc.ScreedReady(calc.ScreedInput{Kind: 2, Thickness: 65 * mm})
	wantRange(t, err, "screed_kind")
}
