package calc_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// nm is what rounding to the nearest nanometre may change.
const nm = 0.5 + 1e-3

func TestGapAgainstTurning(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		clearance := length(0, 100*calc.Millimetre).Draw(t, "clearance")
		g, err := calc.Gap(l, clearance, calc.Millimetre)
		if err != nil {
			t.Fatalf("got error %q, want none; input %+v", err, l)
		}
		heel, lead := sweep(l)
		across := float64(l.Thickness) + math.Abs(float64(l.Offset.E))
		agree(t, "heel_growth", g.HeelGrowth, heel, nm, nm+missed(l, float64(l.Setback)+across, l.Heel), l)
		agree(t, "lead_growth", g.LeadGrowth, lead, nm, nm+missed(l, float64(l.Width-l.Setback)+across, l.Lead), l)
		if g.HeelGap.Exact != g.HeelGrowth+clearance || g.LeadGap.Exact != g.LeadGrowth+clearance {
			t.Fatalf("got gaps %v and %v, want growth and clearance %v; input %+v", g.HeelGap.Exact, g.LeadGap.Exact, clearance, l)
		}
		if even := max(g.HeelGap.SetOut, g.LeadGap.SetOut); g.EvenGap != even || g.OpeningWidth.Exact != l.Width+2*even {
			t.Fatalf("got even gap %v and opening %v, want %v and twice that with the leaf; input %+v", g.EvenGap, g.OpeningWidth.Exact, even, l)
		}
		l.Width = 0
		alone, err := calc.Gap(l, clearance, calc.Millimetre)
		if err != nil || alone.HeelGap != g.HeelGap || alone.EvenGap != g.HeelGap.SetOut {
			t.Fatalf("without the width: got %+v, %v, want the same heel; input %+v", alone, err, l)
		}
	})
}

// A leaf made with the even gap on both sides turns, and with one step less
// it does not, by the gaps that the turning above has proved.
func TestEvenGapIsTheLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		step := stepsOf.Draw(t, "step")
		clearance := length(0, 10*calc.Millimetre).Draw(t, "clearance")
		opening := l.Width + length(0, 20*calc.Millimetre).Draw(t, "room")
		even, err := calc.EvenGap(l, opening, clearance, step)
		if err != nil {
			t.Skip(err)
		}
		for _, gap := range []calc.Length{even, even - step} {
			l.Width = opening - 2*gap
			g, err := calc.Gap(l, clearance, step)
			if err != nil && gap < even {
				continue // a leaf so much wider is out of bounds
			}
			if err != nil {
				t.Fatalf("got error %q, want none beside %v; input %+v", err, gap, l)
			}
			if turns := g.EvenGap <= gap; turns != (gap == even) {
				t.Fatalf("got %v, but beside %v the leaf needs %v; input %+v opening %v", even, gap, g.EvenGap, l, opening)
			}
		}
	})
}

// openingOf draws an opening round a leaf.
func openingOf(t *rapid.T, l calc.Turn) calc.ClearInput {
	in := calc.ClearInput{Turn: l, Step: stepsOf.Draw(t, "step")}
	in.GapHeel, in.GapLead = length(0, 60*mm).Draw(t, "gap_heel"), length(0, 60*mm).Draw(t, "gap_lead")
	in.Opening = l.Width + in.GapHeel + in.GapLead
	in.StopWidth = rapid.OneOf(rapid.Just(0*mm), length(0, 60*mm)).Draw(t, "stop_width")
	in.Handle = rapid.OneOf(rapid.Just(0*mm), length(0, 120*mm)).Draw(t, "handle")
	return in
}

func TestClearAgainstTurning(t *testing.T) {
	refused := 0
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		l.Heel, l.Lead = calc.Edge{}, calc.Edge{}
		in := openingOf(t, l)
		least, most := math.Inf(1), math.Inf(-1)
		right, lead, heel := math.Inf(-1), 0.0, 0.0
		for _, e := range offsets(l.Offset) {
			points := outline(l, e)
			sin, cos := math.Sincos(l.Angle.Radians())
			back, far := extent(points, sin, cos)
			least, most = min(least, back), max(most, far)
			_, far = extent(points, 1, 0)
			right = max(right, far)
			for _, p := range points {
				if r := math.Hypot(p.x, p.y); p.x > 0 {
					lead = max(lead, r)
				} else {
					heel = max(heel, r)
				}
			}
		}
		axis := float64(in.GapHeel + l.Setback)
		end := float64(in.Opening - in.StopWidth - in.Handle)
		c, err := calc.Clear(in)
		if err != nil {
			refused++
			if end-axis-most > nm {
				t.Fatalf("got error %q, want %.6f mm; input %+v", err, (end-axis-most)/1e6, in)
			}
			return
		}
		agree(t, "clear_width", c.Clear.Exact, end-axis-most, nm, nm, in)
		agree(t, "at 90°", c.AtRight.Exact, end-axis-right, nm, nm, in)
		agree(t, "lost_width", c.Lost.Exact, float64(in.Opening)-(end-axis-most), nm, nm, in)
		agree(t, "heel_side_width", c.HeelSide.Exact, max(0, axis+least-float64(in.Handle)), nm, nm, in)
		agree(t, "lead_radius", c.LeadRadius.Exact, lead, nm, nm, in)
		agree(t, "heel_radius", c.HeelRadius.Exact, heel, nm, nm, in)
		if g, err := calc.Gap(l, 0, calc.Millimetre); err != nil || c.HeelGrowth != g.HeelGrowth {
			t.Fatalf("heel growth: got %v, want %v as proved above (%v); input %+v", c.HeelGrowth, g.HeelGrowth, err, in)
		}
	})
	if refused > 1500 {
		t.Errorf("got %d of 2000 openings refused, want most of them answered", refused)
	}
}

// strikes returns the angle in degrees at which the edge of the reveal, at
// (-axis, behind) from the pivot axis, comes to lie inside a leaf that turns
// towards it, and false if it never does in a half turn.
func strikes(l calc.Turn, e calc.Length, axis, behind float64) (float64, bool) {
	half := float64(l.Thickness) / 2
	inside := func(degrees float64) bool {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		x, y := -axis*cos+behind*sin, axis*sin+behind*cos // turned back
		return x >= -float64(l.Setback) && x <= float64(l.Width-l.Setback) && math.Abs(y-float64(e)) <= half
	}
	const parts = 9000 // a point 6 m away moves 2 mm in each, less than any leaf is thick
	for i := range parts + 1 {
		hit := float64(i) * 180 / parts
		if !inside(hit) {
			continue
		}
		free := max(0, hit-180.0/parts)
		for range 40 {
			if mid := (free + hit) / 2; inside(mid) {
				hit = mid
			} else {
				free = mid
			}
		}
		return hit, true
	}
	return 180, false
}

func TestAngleMaxAgainstTurning(t *testing.T) {
	met := 0
	rapid.Check(t, func(t *rapid.T) {
		l := leaves.Draw(t, "leaf")
		l.Heel, l.Lead, l.Angle = calc.Edge{}, calc.Edge{}, 0
		l.Width = max(l.Width, 1000*mm)
		l.Setback = min(l.Setback, l.Width/4)
		in := openingOf(t, l)
		// The heel edge turns free of the jamb, and the leaf is long enough to
		// meet the reveal's edge with its face.
		radius := math.Hypot(float64(l.Setback), float64(l.Thickness)/2+math.Abs(float64(l.Offset.E)))
		in.GapHeel = calc.Length(radius) - l.Setback + length(1*mm, 20*mm).Draw(t, "room")
		in.GapLead, in.StopWidth, in.Handle = 5*mm, 0, 0
		in.Opening = l.Width + in.GapHeel + in.GapLead
		axis, end := float64(in.GapHeel+l.Setback), float64(l.Width-l.Setback)
		if in.GapHeel > 200*mm || in.Opening > 6400*mm || axis >= end-1e6 {
			t.Skip("no such opening")
		}
		in.HasReveal = true
		in.Reveal = length(0, min(1000*mm, calc.Length(math.Sqrt((end-1e6)*(end-1e6)-axis*axis)))).Draw(t, "reveal")
		c, err := calc.Clear(in)
		if err != nil {
			t.Fatalf("got error %q, want none; input %+v", err, in)
		}
		want := 180.0
		for _, e := range offsets(l.Offset) {
			if at, ok := strikes(l, e, axis, float64(in.Reveal)); ok {
				want = min(want, at)
				met++
			}
		}
		if got := float64(c.AngleMax); !(math.Abs(got-want) < 1e-5) {
			t.Fatalf("angle_max: got %v°, want %v°; input %+v", got, want, in)
		}
		if tenth := c.AngleMax.Tenth(); tenth > c.AngleMax+1e-9 || c.AngleMax-tenth > 0.1 {
			t.Fatalf("tenth: got %v of %v, want the one below", tenth, c.AngleMax)
		}
		in.Turn.Angle = c.AngleMax + 0.01
		if _, err := calc.Clear(in); err == nil {
			t.Fatalf("got no error at %v, want one past %v; input %+v", in.Turn.Angle, c.AngleMax, in)
		}
	})
	if met < 500 {
		t.Errorf("got %d leaves that met the edge, want at least 500", met)
	}
}

// A tenth worked from other tenths, 180° - 50.4°, is not lost to the rounding
// of binary fractions, and what is short of a tenth is cut.
func TestAngleTenth(t *testing.T) {
	for i := range 1801 {
		want := calc.Angle(i) / 10
		if got := (calc.HalfTurn - calc.Angle(1800-i)/10).Tenth(); math.Abs(float64(got-want)) > 1e-12 {
			t.Errorf("got %v, want %v", got, want)
		}
		if got := (want + 0.0999999).Tenth(); math.Abs(float64(got-want)) > 1e-12 {
			t.Errorf("of %v: got %v, want %v", want+0.0999999, got, want)
		}
		if got := (calc.HalfTurn - calc.Angle(1800-i)/10).TenthUp(); math.Abs(float64(got-want)) > 1e-12 {
			t.Errorf("up: got %v, want %v", got, want)
		}
		if got := (want - 0.0999999).TenthUp(); math.Abs(float64(got-want)) > 1e-12 {
			t.Errorf("up of %v: got %v, want %v", want-0.0999999, got, want)
		}
	}
}

// Plane geometry: the axis e away from the mid-plane has the faces at t/2 + e
// and t/2 - e, and the worse of them comes round where either may.
func TestFaces(t *testing.T) {
	for _, tt := range []struct {
		e, heel, lead calc.Length
		signed        bool
		swing         calc.Swing
	}{
		{e: 6 * mm, signed: true, swing: calc.OneWay, heel: 35 * mm, lead: 23 * mm},
		{e: -6 * mm, signed: true, swing: calc.OneWay, heel: 23 * mm, lead: 35 * mm},
		{e: -6 * mm, swing: calc.OneWay, heel: 35 * mm, lead: 35 * mm},
		{e: -6 * mm, signed: true, heel: 35 * mm, lead: 35 * mm},
	} {
		l := calc.Turn{Thickness: 58 * mm, Offset: calc.Offset{E: tt.e, Signed: tt.signed}, Swing: tt.swing}
		if heel, lead := l.Faces(); heel != tt.heel || lead != tt.lead {
			t.Errorf("got %v and %v, want %v and %v; input %+v", heel, lead, tt.heel, tt.lead, l)
		}
	}
}
