package jobs

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// leaning draws an untested door whose jambs lean, in inches or mm.
func leaning(rt *rapid.T, sheet *Sheet, inch bool) *Door {
	unit := 1 * mm
	if inch {
		unit = calc.Inch / 32
	}
	draw := func(name string, least, most calc.Length) calc.Length {
		return calc.Length(rapid.Int64Range(int64(least/unit), int64(most/unit)).Draw(rt, name)) * unit
	}
	s := a101()
	s.Inches, s.Lining = inch, 0
	s.Width, s.Height = draw("width", 900*mm, 1100*mm), draw("height", 2000*mm, 2400*mm)
	heel, lead := draw("lean heel", -8*mm, 8*mm), draw("lean lead", -8*mm, 8*mm)
	level := calc.Length(0)
	s.LeanHeel, s.LeanLead, s.FloorFall = &heel, &lead, &level
	s.OpeningWidth = s.Width + draw("gaps", 34*mm, 44*mm)
	s.OpeningHeight = s.Height + 40*mm
	numbers, err := SetOut(&s, sheet)
	if err != nil {
		rt.Fatal(err)
	}
	return &Door{Spec: s, Numbers: numbers, Items: map[string]ItemState{}}
}

var shownInches = regexp.MustCompile(`([\d./-]+) in \(([\d.]+) mm\)`)

// inInches returns the length of a figure of inches, as 2-29/32 or 0.118.
func inInches(t *rapid.T, figure string) calc.Length {
	sum := 0.0
	for part := range strings.SplitSeq(figure, "-") {
		num, den, whole := strings.Cut(part, "/")
		n, err := strconv.ParseFloat(num, 64)
		if err != nil {
			t.Fatal(err)
		}
		if whole {
			d, err := strconv.ParseFloat(den, 64)
			if err != nil {
				t.Fatal(err)
			}
			n /= d
		}
		sum += n
	}
	return calc.MM(sum * 25.4)
}

// TestLimits_shown checks what people read of an inch door's limits: a reading
// that keeps an end as it is shown, in inches or mm, is never judged out, and one
// that breaks the end in mm is never judged in. That an inch is 25.4 mm: NIST SP
// 811, App. B, from memory.
func TestLimits_shown(t *testing.T) {
	sheet := newBench(t, "quarry").sheet
	rapid.Check(t, func(rt *rapid.T) {
		d := leaning(rt, sheet, true)
		for _, it := range Checklist(d, sheet) {
			if it.Unit != inches || it.Unknown != "" {
				continue
			}
			shown := shownInches.FindAllStringSubmatch(it.Limits.String(), -1)
			if len(shown) == 0 {
				rt.Fatalf("%s: %s is not in inches first", it.ID, it.Limits)
			}
			for _, figures := range shown {
				millimetres, err := strconv.ParseFloat(figures[2], 64)
				if err != nil {
					rt.Fatal(err)
				}
				for _, l := range []calc.Length{inInches(rt, figures[1]), calc.MM(millimetres)} {
					if it.Judge(Measure{int64(l), inches}) == Out {
						rt.Errorf("%s: %s as shown is judged out of %s", it.ID, l, it.Limits)
					}
				}
			}
			if it.Most != nil && it.Judge(Measure{it.Most.Micro + 1, inches}) != Out || it.Least != nil && it.Judge(Measure{it.Least.Micro - 1, inches}) != Out {
				rt.Errorf("%s: past %s is judged in", it.ID, it.Limits)
			}
			need := sheet.Head.Depth + max(30*mm, 2*sheet.Head.Pilot) // 30 mm before a back face: from memory
			if it.ID == "head-services" && it.Least.Length() < need {
				rt.Errorf("%s: %s, but the holes need %s", it.ID, it.Limits, need)
			}
		}
	})
}

// TestLimits_corners checks that a leaf that hangs exactly where the set-out puts
// it is judged out at no corner: its edges are plumb, and the jambs are straight
// lines from their feet to their heads, by plane geometry alone.
func TestLimits_corners(t *testing.T) {
	sheet := newBench(t, "orchard").sheet
	rapid.Check(t, func(rt *rapid.T) {
		d := leaning(rt, sheet, rapid.Bool().Draw(rt, "inches"))
		s := &d.Spec
		plate, ok := d.Number("plate_centre")
		if !ok {
			rt.Fatal("no plate centre")
		}
		heel := plate.Value.Length() - s.Setback
		lead := s.OpeningWidth - heel - s.Width
		gaps := map[string]calc.Length{"heel-bottom": heel, "heel-top": heel - *s.LeanHeel,
			"lead-bottom": lead, "lead-top": lead - *s.LeanLead}
		for _, it := range Checklist(d, sheet) {
			if gap, ok := gaps[it.ID]; ok && it.Judge(s.Measure(gap)) == Out {
				rt.Errorf("lean heel %s, lean lead %s: %s hangs at %s as told, judged out of %s", *s.LeanHeel, *s.LeanLead, it.ID, gap, it.Limits)
			}
		}
	})
}

// The tick on the limits is the bot's: a mass that is over them opens it, and one
// that is within them makes it again; what a person took back it does not make.
func TestLimits_again(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.toFloor()
	b.bond()
	b.must("ana", &ReadItem{Item: "head-services", None: true, Note: "detector, whole lintel"})
	b.must("ana", tick("head-dry-fit", "head-drilled", "head-fixed")...)
	limits := func(mass calc.Mass, want int) {
		t.Helper()
		s := b.door.Spec
		s.Mass = mass
		b.must("mo", &Correction{Spec: s, Why: "weighed"})
		if got := b.settled("limits"); len(got) != want {
			t.Errorf("at %v: settled %v, want %d", mass, got, want)
		}
	}
	limits(90, 1)
	limits(300, 0)
	limits(95, 1)
	b.must("ana", &Untick{"limits", "I doubt it"})
	limits(90, 0)
}
