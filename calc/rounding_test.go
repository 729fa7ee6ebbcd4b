package calc_test

import (
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// side is to which side a result is rounded.
type side int

const (
	up side = iota
	down
	nearest
)

type rounded struct {
	name string
	side side
	calc.Dimension
}

// onSafeSide fails unless every result is a multiple of the step, on its side
// of the exact value and less than a step (half a step) from it.
func onSafeSide(t *rapid.T, step calc.Length, input any, results ...rounded) {
	t.Helper()
	for _, r := range results {
		over := r.SetOut - r.Exact
		ok := map[side]bool{
			up:      over >= 0 && over < step,
			down:    over <= 0 && -over < step,
			nearest: 2*over.Abs() <= step,
		}[r.side]
		if !ok || r.SetOut%step != 0 {
			t.Fatalf("%s: got %v for %v in steps of %v; input %+v", r.name, r.SetOut, r.Exact, step, input)
		}
	}
}

func TestTurnResultsRounding(t *testing.T) {
	answered := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		l, step := leaves.Draw(t, "leaf"), stepsOf.Draw(t, "step")
		clearance := length(0, 5*calc.Millimetre).Draw(t, "clearance")
		if g, err := calc.Gap(l, clearance, step); err == nil {
			answered["gap"]++
			onSafeSide(t, step, l, rounded{"heel_gap", up, g.HeelGap}, rounded{"lead_gap", up, g.LeadGap},
				rounded{"opening_width", up, g.OpeningWidth}, rounded{"even_gap", up, calc.Dimension{
					Exact: max(g.HeelGap.Exact, g.LeadGap.Exact), SetOut: g.EvenGap}})
		}
		in := openingOf(t, l)
		in.Step = step
		if c, err := calc.Clear(in); err == nil {
			answered["clear"]++
			onSafeSide(t, step, in, rounded{"clear_width", down, c.Clear}, rounded{"at 90°", down, c.AtRight},
				rounded{"lost_width", up, c.Lost}, rounded{"heel_side_width", down, c.HeelSide},
				rounded{"lead_radius", up, c.LeadRadius}, rounded{"heel_radius", up, c.HeelRadius})
		}
		l, gap, clearance := quarter(t)
		if s, err := calc.SetbackMin(l, gap, clearance, step); err == nil {
			answered["setback"]++
			onSafeSide(t, step, l, rounded{"setback_min", up, s})
		}
		if m, err := calc.ThicknessMax(l, gap, clearance, step); err == nil {
			answered["thickness"]++
			onSafeSide(t, step, l, rounded{"thickness_max", down, m})
		}
	})
	wantAnswered(t, answered, "gap", "clear", "setback", "thickness")
}

func TestSiteResultsRounding(t *testing.T) {
	answered := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		step := stepsOf.Draw(t, "step")
		draw := func(label string, from, to calc.Length) calc.Length { return length(from, to).Draw(t, label) }
		plate := calc.PlateInput{Setback: draw("setback", 0, 600*mm), Gap: draw("gap", 0, 30*mm), JambLean: draw("jamb_lean", 0, 20*mm),
			Lining: draw("lining", 0, 40*mm), Opening: draw("opening", 700*mm, 2000*mm), Step: step}
		if p, err := calc.Plate(plate); err == nil {
			answered["plate"]++
			centre := plate.Setback + plate.Gap + plate.JambLean
			if p.Centre.Exact != centre || p.Unlined.Exact != centre+plate.Lining || p.Far.Exact != plate.Opening-centre {
				t.Fatalf("got %+v, want a centre of %v; input %+v", p, centre, plate)
			}
			onSafeSide(t, step, plate, rounded{"plate_centre", nearest, p.Centre},
				rounded{"plate_centre_unlined", nearest, p.Unlined}, rounded{"plate_centre_far", nearest, p.Far})
		}
		thickness := draw("thickness", 5*mm, 300*mm)
		offset := calc.Offset{E: draw("offset", -200*mm, 200*mm), Signed: true}
		if line, err := calc.PlateLine(plate.Gap, thickness, offset, step); err == nil {
			answered["plate_line"]++
			agree(t, "plate_line", line.Exact, float64(plate.Gap+offset.E)+float64(thickness)/2, 0.5, 0.5, thickness)
			onSafeSide(t, step, thickness, rounded{"plate_line", nearest, line})
		}
		o := drawBuilt(t).survey()
		leaf := calc.LeafInput{Opening: o, GapHeel: plate.Gap, GapLead: plate.Gap, GapTop: plate.Gap, GapBottom: plate.Gap, Step: step}
		if l, err := calc.Leaf(leaf); err == nil {
			answered["leaf"]++
			onSafeSide(t, step, leaf, rounded{"leaf_width", down, l.Width}, rounded{"leaf_height", down, l.Height},
				rounded{"plumb_width", down, l.PlumbWidth})
		}
		if top, err := calc.TopGapMin(o.HeightHeel, thickness, plate.Lining, step); err == nil {
			answered["top_gap"]++
			onSafeSide(t, step, thickness, rounded{"top_gap_min", up, top})
		}
	})
	wantAnswered(t, answered, "plate", "plate_line", "leaf", "top_gap")
}

func TestDrillAndKeyRounding(t *testing.T) {
	answered := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		step := stepsOf.Draw(t, "step")
		draw := func(label string, from, to calc.Length) calc.Length { return length(from, to).Draw(t, label) }
		stop := calc.StopInput{Depth: draw("depth", 5*mm, 100*mm), Template: draw("template", 0, 20*mm), Covering: draw("covering", 0, 20*mm),
			Bit: draw("bit", mm, 40*mm), Point: calc.Angle(rapid.Float64Range(60, 180).Draw(t, "point")),
			FullBore: rapid.Bool().Draw(t, "full_bore"), HasCover: true, Cover: draw("cover", 80*mm, 400*mm),
			CoverTo:   rapid.SampledFrom([]calc.CoverTo{calc.UnsaidBelow, calc.Pipe, calc.Back}).Draw(t, "cover_to"),
			CoverFrom: rapid.SampledFrom([]calc.CoverFrom{calc.UnsaidAbove, calc.Surface, calc.OnCovering}).Draw(t, "cover_from"),
			Step:      step}
		if m, err := calc.StopDepth(stop); err == nil {
			answered["stop"]++
			mark := rounded{"stop_depth", down, m.Mark}
			if stop.FullBore {
				mark = rounded{"stop_depth_full_bore", up, m.Mark}
			}
			onSafeSide(t, step, stop, mark, rounded{"cover_left", down, m.CoverLeft})
			tip := m.Mark.SetOut - stop.Template - stop.Covering
			if !stop.FullBore && tip > stop.Depth || stop.FullBore && tip-m.Point < stop.Depth || m.Tip != tip {
				t.Fatalf("got tip %v, want %v, and no deeper than asked or at full bore no less; input %+v", m.Tip, tip, stop)
			}
			if left := stop.Cover - tip; m.CoverLeft.Exact > left || m.CoverLeft.Exact < m.Margin || m.Margin < 10*mm {
				t.Fatalf("got %v left and margin %v, want at most %v; input %+v", m.CoverLeft.Exact, m.Margin, left, stop)
			}
		}
		reach := calc.ReachInput{Setback: draw("setback", 200*mm, 600*mm), Key: draw("key", mm, 300*mm), Body: draw("body", mm, 200*mm),
			Stocks: []calc.Length{draw("stock", mm, 600*mm), draw("other stock", mm, 600*mm)}, Kerf: draw("kerf", 0, 5*mm),
			Second: draw("second", mm, 300*mm), Step: step}
		if r, err := calc.Reach(reach); err == nil && !r.Reaches {
			answered["reach"]++
			onSafeSide(t, step, reach, rounded{"over_by", up, r.OverBy}, rounded{"key_length", up, r.KeyLength},
				rounded{"tube_length", down, r.TubeLength}, rounded{"offcut", down, r.Offcut})
			agree(t, "tube_length", r.TubeLength.Exact, float64(reach.Setback)-float64(reach.Body)/2, 0.5, 0, reach)
			used := r.TubeLength.SetOut + r.Offcut.Exact
			if r.StockLength != 0 && (r.StockLength < used || r.StockLength > used+reach.Kerf) {
				t.Fatalf("got tube %v and offcut %v from %v; input %+v", r.TubeLength.SetOut, r.Offcut.Exact, r.StockLength, reach)
			}
			if r.SecondFits && r.Offcut.Exact < reach.Second {
				t.Fatalf("got a second piece of %v from %v; input %+v", reach.Second, r.Offcut.Exact, reach)
			}
		}
	})
	wantAnswered(t, answered, "stop", "reach")
}

// wantAnswered fails if a calculation refused most of its inputs.
func wantAnswered(t *testing.T, answered map[string]int, names ...string) {
	t.Helper()
	for _, name := range names {
		if answered[name] < 300 {
			t.Errorf("%s: got %d answers, want at least 300", name, answered[name])
		}
	}
}
