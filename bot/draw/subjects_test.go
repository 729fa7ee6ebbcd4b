package draw

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"heelpost/bot/say"
	"heelpost/calc"
)

var update = flag.Bool("update", false, "rewrite golden files")

// examples are a drawing of each kind, values our own.
func examples() map[string]Subject {
	short := example()
	short.Width, short.Opening, short.GapLead = Measure{}, Measure{}, Measure{}
	wide := example()
	wide.Angle, wide.Clear, wide.Stop, wide.Plate = 120, mm(930), calc.MM(12), mm(68)
	wide.Heel = calc.Edge{Form: calc.Rounded, Size: calc.MM(6)}
	far := say.Plain("2.5 mm")
	return map[string]Subject{
		"plan": example(), "plan-heel": short, "plan-wide": wide,
		"plate": Plan{Setback: mm(60), GapHeel: mm(8), Plate: mm(68), Far: mm(988)},
		"elevation": Elevation{Read: Corners{mm(9), mm(6), mm(4), mm(7)}, After: Corners{mm(7), mm(6), mm(6), mm(7)}, Targets: say.F("wanted: %s", "6 mm"),
			Head: Shift{false, say.F("head pivot %s towards the heel jamb", far)}, Floor: Shift{true, say.F("floor pivot %s towards the leading jamb", "0.5 mm")},
			Height: Shift{true, say.F("leaf %s up", "1 mm")}},
		"drill": Drill{Above: []Layer{{mm(8), say.Name("template"), false}, {mm(10), say.Name("covering"), false}}, Tip: mm(42), Mark: mm(60), Bit: calc.MM(12), Pipe: mm(70), Left: mm(28)},
		"pin":   Drill{Floor: []Layer{{mm(9), say.Name("weak_layer"), true}, {mm(70), say.Name("sound_layer"), false}}, Tip: mm(48), Pin: mm(45), Bit: calc.MM(12), Point: calc.MM(3), Pipe: mm(75), Back: true, Left: mm(27)},
		"bars":  Bars{Kerf: mm(3), Bars: []Bar{{2, mm(3000), []Measure{mm(1150), mm(720), mm(720), mm(400)}, mm(1)}, {1, mm(2500), []Measure{mm(1150), mm(20)}, mm(1324)}}},
		"cure": Cure{Reference: say.Plain("21 °C"), Base: say.Plain("18 h"), Counted: say.Plain("8.9 h"), Share: 0.49, End: say.F("%s more if it stays at %s or above", "16 h", "13 °C"),
			Stretches: []Stretch{{4, 0.93, say.Plain("20 °C"), say.Plain("4 h"), false}, {9, 0.57, say.Plain("13 °C"), say.Plain("9 h"), false}, {16, 0.57, say.Plain("13 °C"), say.Plain("16 h"), true}}},
		"floor": Floor{Readings: []FloorReading{{At: 0, Edge: mm(0), Mid: mm(0), Foot: calc.MM(6)}, {At: 45, Edge: mm(4), Mid: mm(2), Foot: calc.MM(6)}, {At: 90, Edge: mm(1), Mid: mm(0), Foot: calc.MM(6)}},
			At: 45, Lead: true, Told: say.F("least gap under the leaf %s, at %s", "2 mm", "45°")},
		"site": Strip{Site: "Orchard House", Stages: []StripStage{{say.Name("survey"), []StripDoor{{"A-101", false, false}, {"A-102", true, false}}, 2},
			{say.Name("hang"), []StripDoor{{"B-1", false, true}, {"B-2", true, true}, {"B-3-north", false, false}, {"B-4", false, false}, {"B-5", false, false}}, 9}}},
	}
}

// TestExamples holds a drawing of each kind against the one that was looked at
// last, by geometry: every mark where it was to half a unit, every word the same.
func TestExamples(t *testing.T) {
	for name, subject := range examples() {
		d := subject.Drawing()
		tidy(t, 0, d, nil)
		var b strings.Builder
		fmt.Fprintf(&b, "%s\n", d.Alt())
		for _, m := range d.sheet(nil).marks {
			b.WriteString(m.String() + "\n")
		}
		path := filepath.Join("../../testdata/drawings", name+".txt")
		if *update {
			if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		got, kept := strings.Split(b.String(), "\n"), strings.Split(string(want), "\n")
		if len(got) != len(kept) {
			t.Errorf("%s: %d marks, want %d: look at it, then run with -update", name, len(got), len(kept))
			continue
		}
		for i := range got {
			if !near(got[i], kept[i]) {
				t.Errorf("%s: got %s, want %s: look at it, then run with -update", name, got[i], kept[i])
			}
		}
	}
}

// String tells a mark as the goldens have it.
func (m mark) String() string {
	text := fmt.Sprintf("%s %s", [...]string{"line", "arc", "polygon", "label"}[m.shape], [...]string{"paper", "tint", "hatch", "thin", "solid", "alarm"}[m.ink])
	if m.dashed {
		text += " dashed"
	}
	for _, p := range m.points {
		text += fmt.Sprintf(" %.1f %.1f", p.x, p.y)
	}
	if m.shape == arc {
		text += fmt.Sprintf(" radius %.1f from %.1f to %.1f", m.r, m.from, m.to)
	}
	if m.shape == label {
		text += fmt.Sprintf(" size %.1f %q", m.size, m.text)
	}
	return text
}

// near reports whether two lines have the same words, and numbers that are half
// a unit apart at most.
func near(a, b string) bool {
	return slices.EqualFunc(strings.Fields(a), strings.Fields(b), func(x, y string) bool {
		p, err := strconv.ParseFloat(x, 64)
		q, err2 := strconv.ParseFloat(y, 64)
		return x == y || err == nil && err2 == nil && math.Abs(p-q) <= 0.5
	})
}

// Of the other kinds, too, whatever is drawn: no label on another or outside.
func TestLabels_others(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for i := range 200 {
		m := mm
		if r.IntN(3) == 0 {
			m = inches
		}
		upTo := func(n float64) Measure { return m(1 + r.Float64()*n) }
		far := upTo(4)
		tidy(t, i, Elevation{Read: Corners{upTo(14), upTo(14), upTo(14), upTo(14)}, After: Corners{upTo(14), upTo(14), upTo(14), upTo(14)}, Targets: say.F("wanted: %s", upTo(9).Told),
			Head: Shift{r.IntN(2) == 0, say.F("head pivot %s towards the leading jamb", far.Told)}, Floor: Shift{r.IntN(2) == 0, say.F("floor pivot %s towards the heel jamb", far.Told)},
			Height: Shift{r.IntN(2) == 0, say.F("leaf %s down", far.Told)}}.Drawing(), nil)
		drill := Drill{Tip: upTo(150), Mark: upTo(200), Bit: upTo(30).Length, Pipe: upTo(250), Back: r.IntN(2) == 0, Left: upTo(90)}
		for range r.IntN(3) {
			drill.Above = append(drill.Above, Layer{upTo(20), say.Name("template"), false})
		}
		for range r.IntN(4) {
			drill.Floor = append(drill.Floor, Layer{upTo(120), say.Name("sound_layer"), r.IntN(2) == 0})
		}
		tidy(t, i, drill.Drawing(), nil)
		bars, clock, floor := Bars{Kerf: upTo(4)}, Cure{Reference: say.Plain("21 °C"), Base: say.Plain("18 h"), End: say.Plain("16 h")}, Floor{At: 30, Told: say.Plain("2 mm")}
		for range 1 + r.IntN(20) {
			bars.Bars = append(bars.Bars, Bar{1 + r.IntN(9), m(6000), []Measure{upTo(3000), upTo(900), upTo(900)}, upTo(900)})
		}
		for k := range 2 + r.IntN(24) {
			clock.Stretches = append(clock.Stretches, Stretch{1 + r.Float64()*20, r.Float64(), say.Plain("12.5 °C"), say.Plain("3 h 20 min"), r.IntN(2) == 0})
			floor.Readings = append(floor.Readings, FloorReading{At: calc.Angle(5 * k), Edge: upTo(9), Mid: upTo(9), Foot: upTo(9).Length})
		}
		tidy(t, i, bars.Drawing(), nil)
		tidy(t, i, clock.Drawing(), nil)
		tidy(t, i, floor.Drawing(), nil)
		strip := Strip{Site: "Orchard House"}
		for range 1 + r.IntN(7) {
			s := StripStage{Name: say.Name("survey"), Total: r.IntN(30)}
			for range min(s.Total, r.IntN(12)) {
				s.Doors = append(s.Doors, StripDoor{strings.Repeat("B", 1+r.IntN(30)), r.IntN(3) == 0, r.IntN(3) == 0})
			}
			strip.Stages = append(strip.Stages, s)
		}
		tidy(t, i, strip.Drawing(), nil)
	}
}
