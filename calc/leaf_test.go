package calc_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// built is an opening as it stands, seen from the opening side: the heel
// jamb's foot is the origin, x runs level towards the leading jamb, z up. Each
// line has a middle that may stand off the straight.
type built struct{ heel, lead, floor, head [3]point }

// drawBuilt builds an opening with jambs out of plumb and bowed, a floor that
// falls and may rise in the middle, and a head that slopes and may sag.
func drawBuilt(t *rapid.T) built {
	nm := func(label string, from, to calc.Length) float64 { return float64(length(from, to).Draw(t, label)) }
	wide, high := nm("width", 700*mm, 3000*mm), nm("height", 1900*mm, 3500*mm)
	lean, fall := nm("lean", -30*mm, 30*mm), nm("fall", -20*mm, 20*mm)
	leadHead := point{wide + lean + nm("taper", -30*mm, 30*mm), high + nm("slope", -15*mm, 15*mm)}
	heelHead, leadFoot := point{lean, high}, point{wide, fall}
	line := func(a, b point, x, z float64) [3]point {
		return [3]point{a, {(a.x+b.x)/2 + x, (a.y+b.y)/2 + z}, b}
	}
	bow := func(label string) float64 {
		return nm(label, 0, 12*mm) * float64(rapid.IntRange(0, 1).Draw(t, label+" is bowed"))
	}
	b := built{heel: line(point{}, heelHead, bow("heel"), 0), lead: line(leadFoot, leadHead, -bow("lead"), 0)}
	hump, sag := bow("floor"), 0.0
	if hump == 0 {
		sag = bow("head")
	}
	b.floor, b.head = line(point{}, leadFoot, 0, hump), line(heelHead, leadHead, 0, -sag)
	return b
}

// along goes through points of a line.
func along(line [3]point, do func(point)) {
	const parts = 400
	for i := range 2 {
		for j := range parts + 1 {
			u := float64(j) / parts
			do(point{line[i].x + u*(line[i+1].x-line[i].x), line[i].y + u*(line[i+1].y-line[i].y)})
		}
	}
}

// upright is the largest upright rectangle between the lines, found by trial:
// its sides are pushed out until a point of a line stands in the way.
func (b built) upright() (width, height float64) {
	left, right, low, high := math.Inf(-1), math.Inf(1), math.Inf(-1), math.Inf(1)
	along(b.heel, func(p point) { left = max(left, p.x) })
	along(b.lead, func(p point) { right = min(right, p.x) })
	along(b.floor, func(p point) { low = max(low, p.y) })
	along(b.head, func(p point) { high = min(high, p.y) })
	return right - left, high - low
}

func distance(a, b point) calc.Length {
	return calc.Length(math.Round(math.Hypot(a.x-b.x, a.y-b.y)))
}

// survey takes all readings.
func (b built) survey() calc.Opening {
	nm := func(v float64) calc.Length { return calc.Length(math.Round(v)) }
	leanHeel, leanLead := nm(b.heel[2].x), nm(b.lead[0].x-b.lead[2].x)
	bow := nm(b.heel[1].x - b.heel[2].x/2)
	return calc.Opening{
		WidthBottom: nm(b.lead[0].x), WidthMiddle: nm(b.lead[1].x - b.heel[1].x), WidthTop: nm(b.lead[2].x - b.heel[2].x),
		HeightHeel: nm(b.heel[2].y), HeightMiddle: nm(b.head[1].y - b.floor[1].y), HeightLead: nm(b.lead[2].y - b.lead[0].y),
		Diagonal1: distance(b.heel[0], b.lead[2]), Diagonal2: distance(b.lead[0], b.heel[2]), DiagonalsNamed: true,
		LeanHeel: &leanHeel, LeanLead: &leanLead, BowHeel: &bow, Fall: calc.Fall{Rise: nm(b.lead[0].y), Read: calc.FallTo},
	}
}

// A few nm are what readings to the nearest nm leave in doubt, three or so to
// each of width.
const few = 10

// Whatever is left unread or unsaid, the leaf goes in; and with everything
// read there is no larger one.
func TestLeafAgainstUpright(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBuilt(t)
		widest, highest := b.upright()
		full := calc.LeafInput{Opening: b.survey(), Step: stepsOf.Draw(t, "step"),
			GapHeel: length(0, 20*mm).Draw(t, "gap_heel"), GapLead: length(0, 20*mm).Draw(t, "gap_lead"),
			GapTop: length(0, 20*mm).Draw(t, "gap_top"), GapBottom: length(0, 20*mm).Draw(t, "gap_bottom"),
			Finish: length(0, 60*mm).Draw(t, "finish")}
		gaps, heights := float64(full.GapHeel+full.GapLead), float64(full.GapTop+full.GapBottom+full.Finish)
		l, err := calc.Leaf(full)
		if err != nil {
			t.Fatalf("got error %q, want none; input %+v", err, full)
		}
		agree(t, "jamb_lean", l.Survey.Lean, b.heel[2].x, 1, 1, full)
		agree(t, "plumb_width", l.PlumbWidth.Exact, widest, few, few, full)
		agree(t, "leaf_width", l.Width.Exact, widest-gaps, few, few, full)
		low := 0.0
		along(b.heel, func(p point) { low = max(low, p.x) })
		agree(t, "furthest of the heel jamb", l.Survey.HeelIn, low, few, few, full)

		for _, unread := range []func(*calc.Opening){
			func(o *calc.Opening) {},
			func(o *calc.Opening) { o.LeanHeel = nil },
			func(o *calc.Opening) { o.LeanLead = nil },
			func(o *calc.Opening) { o.LeanHeel, o.LeanLead = nil, nil },
			func(o *calc.Opening) { o.LeanHeel, o.LeanLead, o.DiagonalsNamed = nil, nil, false },
			func(o *calc.Opening) { o.LeanHeel, o.LeanLead, o.Fall.Read = nil, nil, calc.FallEitherWay },
			func(o *calc.Opening) { o.BowHeel = nil },
			func(o *calc.Opening) { o.LeanHeel, o.BowHeel, o.Diagonal1, o.Diagonal2 = nil, nil, 0, 0 },
			func(o *calc.Opening) { o.Fall.Read, o.Fall.Rise = calc.FallEitherWay, -o.Fall.Rise },
		} {
			in := full
			unread(&in.Opening)
			l, err := calc.Leaf(in)
			if err != nil {
				continue // readings that other sides of a fall contradict
			}
			agree(t, "plumb_width", l.PlumbWidth.Exact, widest, widest, few, in)
			if float64(l.Width.SetOut)+gaps > widest+few || float64(l.Height.SetOut)+heights-float64(l.Survey.Hump) > highest+few && l.Survey.Hump > 0 {
				t.Fatalf("got a leaf of %v × %v, which does not go in; input %+v", l.Width, l.Height, in)
			}
			if b.floor[1].y <= b.floor[2].y/2 && float64(l.Height.SetOut)+heights > highest+few {
				t.Fatalf("got a leaf %v high, which does not go in; input %+v", l.Height, in)
			}
		}
		if b.floor[1].y <= b.floor[2].y/2 {
			agree(t, "leaf_height", l.Height.Exact, highest-heights, few, few, full)
		} else {
			agree(t, "leaf_height less the hump", l.Height.Exact-l.Survey.Hump, highest-heights, highest, few, full)
		}
	})
}

// A floor that the level shows level is out by a millimetre between the jambs
// at most: the leaf by diagonals goes in all the same.
func TestLeafOnLevelFloor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBuilt(t)
		fall := float64(length(-mm, mm).Draw(t, "within"))
		for _, line := range []*[3]point{&b.lead, &b.floor} {
			for i := range line {
				if line == &b.lead && i == 0 || line == &b.floor && i == 2 {
					line[i].y = fall
				}
			}
		}
		o := b.survey()
		o.LeanHeel, o.LeanLead, o.Fall = nil, nil, calc.Fall{Read: calc.LevelFloor}
		l, err := calc.Leaf(calc.LeafInput{Opening: o, Step: mm})
		if err != nil {
			t.Fatalf("got error %q, want none; input %+v", err, o)
		}
		widest, _ := b.upright()
		doubt := float64(mm) * float64(o.HeightHeel+o.HeightLead) / float64(o.WidthTop+o.WidthBottom)
		agree(t, "doubt", l.Survey.Doubt, doubt, 1, 1, o)
		agree(t, "plumb_width", l.PlumbWidth.Exact, widest, 2*doubt+few, few+1000, o)
	})
}

// A leaf lying on its bottom edge's corner is stood up in small steps.
func TestTopGapAgainstStandingUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, thick := length(300*mm, 10_000*mm).Draw(t, "height"), length(5*mm, 300*mm).Draw(t, "thickness")
		lift := length(0, 200*mm).Draw(t, "spindle_lift")
		got, err := calc.TopGapMin(h, thick, lift, stepsOf.Draw(t, "step"))
		if err != nil {
			t.Fatalf("got error %q, want none", err)
		}
		const parts = 4000
		highest := 0.0
		for i := range parts + 1 {
			sin, cos := math.Sincos(float64(i) / parts * math.Pi / 2)
			highest = max(highest, float64(h)*cos+float64(thick)*sin)
		}
		between := (float64(h) + float64(thick)) * math.Pow(math.Pi/2/parts, 2) / 8
		agree(t, "top_gap_min", got.Exact, float64(lift)+highest-float64(h), nm, nm+between, []calc.Length{h, thick, lift})
	})
}

// Approved Document M takes the clear width of a leaf hung at its edge as
// leaf + leading gap - stop - thickness - projecting furniture.
func TestClearOfAHungLeaf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		l.Thickness += l.Thickness % 2
		l.Setback, l.Offset, l.Angle = 0, calc.Offset{E: -l.Thickness / 2, Signed: true}, calc.RightAngle
		l.Heel, l.Lead = calc.Edge{}, calc.Edge{}
		l.Width = max(l.Width, 800*mm)
		in := openingOf(t, l)
		want := l.Width + in.GapLead - in.StopWidth - l.Thickness - in.Handle
		if got, err := calc.Clear(in); err != nil || got.Clear.Exact != want {
			t.Fatalf("got %v, %v, want %v; input %+v", got.Clear.Exact, err, want, in)
		}
	})
}

func TestClearChecks(t *testing.T) {
	for _, rule := range calc.ClearRules {
		for _, off := range []calc.Length{-1, 0, 1} {
			width, opening := calc.Dimension{Exact: rule.Limit + off, SetOut: (rule.Limit + off).Down(mm)}, 5000*mm
			if rule.OfOpening {
				width, opening = calc.Dimension{Exact: 1, SetOut: 1}, rule.Limit+off
			}
			found := 0
			for _, check := range calc.ClearChecks(width, opening, rule.Approach, false) {
				if check.Name != rule.Name {
					continue
				}
				found++
				if check.OK != (off >= 0) {
					t.Errorf("%s: got %v at %v off its limit, want %v", rule.Name, check.OK, off, off >= 0)
				}
			}
			if found != 1 {
				t.Errorf("%s: got %d checks for its approach, want 1", rule.Name, found)
			}
		}
	}
	for approach, want := range map[calc.Approach]int{calc.UnsaidApproach: 13, calc.DwellingHeadOn: 6, calc.StraightOn: 6, calc.PublicEntrance: 6} {
		if got := len(calc.ClearChecks(calc.Dimension{}, 0, approach, false)); got != want {
			t.Errorf("approach %v: got %d checks, want %d", approach, got, want)
		}
	}
}
