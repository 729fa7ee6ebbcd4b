package calc_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// corners are the four corners of an opening seen from the opening side,
// origin at the heel jamb's foot, x towards the leading jamb, z up.
type corners struct{ heelHead, leadFoot, leadHead point }

func drawCorners(t *rapid.T) corners {
	nm := func(label string, from, to calc.Length) float64 { return float64(length(from, to).Draw(t, label)) }
	width, height := nm("width", 700*mm, 3000*mm), nm("height", 1900*mm, 3500*mm)
	lean := nm("lean", -30*mm, 30*mm)
	return corners{
		heelHead: point{lean, height},
		leadFoot: point{width, 0},
		leadHead: point{lean + width + nm("taper", -30*mm, 30*mm), height + nm("slope", -15*mm, 15*mm)},
	}
}

func distance(a, b point) calc.Length {
	return calc.Length(math.Round(math.Hypot(a.x-b.x, a.y-b.y)))
}

// survey takes the readings of an opening.
func (c corners) survey() calc.Opening {
	foot := point{}
	o := calc.Opening{
		WidthBottom: calc.Length(c.leadFoot.x), WidthTop: calc.Length(c.leadHead.x - c.heelHead.x),
		HeightHeel: calc.Length(c.heelHead.y), HeightLead: calc.Length(c.leadHead.y),
		Diagonal1: distance(foot, c.leadHead), Diagonal2: distance(c.leadFoot, c.heelHead), DiagonalsNamed: true,
	}
	o.WidthMiddle = (o.WidthTop + o.WidthBottom + 1) / 2
	o.HeightMiddle = min(o.HeightHeel, o.HeightLead)
	return o
}

// upright slides an upright between the jambs: it finds by trial how far the
// heel jamb stands in at the most, and the leading jamb at the least.
func (c corners) upright() float64 {
	heel, lead := math.Inf(-1), math.Inf(1)
	for i := range 201 {
		part := float64(i) / 200
		heel = max(heel, part*c.heelHead.x)
		lead = min(lead, c.leadFoot.x+part*(c.leadHead.x-c.leadFoot.x))
	}
	return lead - heel
}

func TestLeafAgainstUpright(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCorners(t)
		in := calc.LeafInput{Opening: c.survey(), Step: stepsOf.Draw(t, "step"),
			GapHeel: length(0, 20*mm).Draw(t, "gap_heel"), GapLead: length(0, 20*mm).Draw(t, "gap_lead"),
			GapTop: length(0, 20*mm).Draw(t, "gap_top"), GapBottom: length(0, 20*mm).Draw(t, "gap_bottom"),
			Finish: length(0, 60*mm).Draw(t, "finish")}
		l, err := calc.Leaf(in)
		if err != nil {
			t.Fatalf("got error %q, want none; input %+v", err, in)
		}
		// Diagonals to the nearest nm, three or so to each of width, leave the
		// lean good to a few nm.
		const few = 8
		plumb := min(c.upright(), float64(in.Opening.WidthMiddle))
		agree(t, "jamb_lean", l.JambLean, c.heelHead.x, few, few, in)
		agree(t, "plumb_width", l.PlumbWidth.Exact, plumb, few, few, in)
		agree(t, "leaf_width", l.Width.Exact, plumb-float64(in.GapHeel+in.GapLead), few, few, in)
		low := min(c.heelHead.y, c.leadHead.y)
		agree(t, "leaf_height", l.Height.Exact, low-float64(in.GapTop+in.GapBottom+in.Finish), nm, nm, in)
		if want := in.Opening.Diagonal1 - in.Opening.Diagonal2; l.DiagonalDifference != want || !l.Plumbed {
			t.Fatalf("got difference %v (%v), want %v; input %+v", l.DiagonalDifference, l.Plumbed, want, in)
		}

		named := in
		named.Opening.Diagonal1, named.Opening.Diagonal2 = in.Opening.Diagonal2, in.Opening.Diagonal1
		other, err := calc.Leaf(named)
		want := l.PlumbWidth
		if err == nil && other.PlumbWidth.Exact < want.Exact {
			want = other.PlumbWidth
		}
		for _, unnamed := range []calc.LeafInput{in, named} {
			unnamed.Opening.DiagonalsNamed = false
			if got, err := calc.Leaf(unnamed); err != nil || got.PlumbWidth != want {
				t.Fatalf("not named: got %v, %v, want the worse case %v; input %+v", got.PlumbWidth, err, want, unnamed)
			}
		}
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
			for _, check := range calc.ClearChecks(width, opening, rule.Approach) {
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
	for approach, want := range map[calc.Approach]int{calc.UnsaidApproach: 9, calc.StraightOn: 6, calc.PublicEntrance: 6} {
		if got := len(calc.ClearChecks(calc.Dimension{}, 0, approach)); got != want {
			t.Errorf("approach %v: got %d checks, want %d", approach, got, want)
		}
	}
}
