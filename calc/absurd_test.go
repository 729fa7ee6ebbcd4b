package calc_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// absurd draws lengths of every kind: likely ones, none, and the ends of
// what a Length can hold.
var absurd = rapid.OneOf(
	length(0, 300*calc.Millimetre),
	length(-10*calc.Metre, 10*calc.Metre),
	rapid.SampledFrom([]calc.Length{0, 1, -1, calc.Millimetre, math.MaxInt64, math.MinInt64, math.MaxInt64 / 2, math.MinInt64/2 - 1}),
	length(math.MinInt64, math.MaxInt64),
)

var absurdAngle = rapid.Map(rapid.OneOf(
	rapid.Float64Range(0, 180),
	rapid.SampledFrom([]float64{0, 90, 180, -1, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, math.SmallestNonzeroFloat64}),
	rapid.Float64(),
), func(v float64) calc.Angle { return calc.Angle(v) })

// Whatever comes in, a calculation answers with lengths that a door can have
// or refuses with an error that names a quantity.
func TestAbsurdInput(t *testing.T) {
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		draw := func(label string) calc.Length { return absurd.Draw(t, label) }
		// likely keeps most quantities sensible, so that every bound is the
		// one that is broken at times.
		likely := func(label string, l calc.Length) calc.Length {
			if rapid.IntRange(0, 19).Draw(t, label+" absurd") == 0 {
				return draw(label)
			}
			return l
		}
		edge := func(label string) calc.Edge {
			return calc.Edge{Form: rapid.SampledFrom([]calc.EdgeForm{calc.Square, calc.Chamfered, calc.Rounded}).Draw(t, label), Size: likely(label, 3*mm)}
		}
		angle := func(label string, a calc.Angle) calc.Angle {
			if rapid.IntRange(0, 9).Draw(t, label+" absurd") == 0 {
				return absurdAngle.Draw(t, label)
			}
			return a
		}
		l := calc.Turn{Thickness: likely("thickness", 54*mm), Setback: likely("setback", 64*mm), Width: likely("width", 1110*mm),
			Offset: calc.Offset{E: likely("offset", 2*mm), Signed: rapid.Bool().Draw(t, "signed")}, Heel: edge("heel"), Lead: edge("lead"),
			Swing: calc.Swing(rapid.IntRange(0, 1).Draw(t, "swing")), Angle: angle("angle", 90)}
		clearance, step, gap := likely("clearance", 3*mm), likely("step", mm), likely("gap", 9*mm)
		clear := calc.ClearInput{Turn: l, Opening: likely("opening", 1130*mm), GapHeel: gap, GapLead: likely("gap_lead", 9*mm),
			StopWidth: likely("stop_width", 0), Handle: likely("handle", 0), HasReveal: rapid.Bool().Draw(t, "has_reveal"), Reveal: likely("reveal", 80*mm), Step: step}
		leaf := calc.LeafInput{Opening: calc.Opening{
			WidthTop: likely("width_top", 1130*mm), WidthMiddle: likely("width_middle", 1130*mm), WidthBottom: likely("width_bottom", 1130*mm),
			HeightHeel: likely("height_heel", 2410*mm), HeightMiddle: likely("height_middle", 2410*mm), HeightLead: likely("height_lead", 2410*mm),
			Diagonal1: likely("diagonal_1", 2662*mm), Diagonal2: likely("diagonal_2", 2662*mm), DiagonalsNamed: rapid.Bool().Draw(t, "named"),
			Fall: calc.Fall{Rise: likely("floor_fall", 2*mm), Read: calc.FallRead(rapid.IntRange(0, 3).Draw(t, "fall"))}},
			GapHeel: gap, GapLead: gap, GapTop: gap, GapBottom: likely("gap_bottom", gap), Finish: likely("finish", 0), Step: step}
		stop := calc.StopInput{Depth: likely("depth", 42*mm), Template: likely("template", 4*mm), Covering: likely("covering", 0), Bit: likely("bit", 11*mm),
			Point: angle("point", 130), FullBore: rapid.Bool().Draw(t, "full_bore"), HasCover: rapid.Bool().Draw(t, "has_cover"),
			Cover: likely("cover", 120*mm), Margin: likely("margin", 0), Step: step}
		reach := calc.ReachInput{Setback: likely("s", 310*mm), Key: likely("key", 250*mm), Body: likely("body", 84*mm),
			Stocks: []calc.Length{likely("stock", 900*mm)}, Kerf: likely("kerf", 3*mm), Second: likely("second", 0), Step: step}
		tol := calc.Tolerance{Thickness: likely("Δt", mm), Setback: likely("Δs", mm), Offset: likely("Δe", 0), Clearance: likely("Δc", 0)}

		lengths, angles, errs := runAll(l, clear, leaf, stop, reach, tol, clearance, gap, step)
		for name, v := range lengths {
			if v.Abs() > 20*calc.Metre || v == math.MinInt64 {
				t.Fatalf("%s: got %v, want a length that a door can have", name, v)
			}
		}
		for name, a := range angles {
			if !(a >= 0 && a <= calc.HalfTurn) {
				t.Fatalf("%s: got %v, want an angle", name, a)
			}
		}
		nan := math.IsNaN(float64(l.Angle)) || math.IsNaN(float64(stop.Point))
		for name, err := range errs {
			var outside *calc.RangeError
			var need *calc.NeedError
			switch {
			case err == nil:
				answered++
			case !errors.As(err, &outside) && !errors.As(err, &need):
				t.Fatalf("%s: got error %T %q, want one that names a quantity", name, err, err)
			case !nan && strings.Contains(err.Error(), "NaN"):
				t.Fatalf("%s: got error %q from input without NaN", name, err)
			}
		}
	})
	if answered < 2000 {
		t.Errorf("got %d answers, want at least 2000", answered)
	}
}

// runAll runs every calculation and returns the results of those that
// answered, and what each said.
func runAll(l calc.Turn, clear calc.ClearInput, leaf calc.LeafInput, stop calc.StopInput, reach calc.ReachInput,
	tol calc.Tolerance, clearance, gap, step calc.Length) (lengths map[string]calc.Length, angles map[string]calc.Angle, errs map[string]error) {
	lengths, angles, errs = map[string]calc.Length{}, map[string]calc.Angle{}, map[string]error{}
	put := func(name string, err error, results ...calc.Length) {
		errs[name] = err
		if err == nil {
			for _, r := range results {
				if r.Abs() >= lengths[name].Abs() {
					lengths[name] = r
				}
			}
		}
	}
	g, err := calc.Gap(l, clearance, step)
	put("gap", err, g.HeelGrowth, g.HeelGap.SetOut, g.LeadGrowth, g.LeadGap.SetOut, g.OpeningWidth.SetOut)
	even, err := calc.EvenGap(l, clear.Opening, clearance, step)
	put("even_gap", err, even)
	spread, err := calc.GapTolerance(l, clearance, tol)
	put("tolerance", err, spread.Worst, spread.Best, spread.RSS)
	s, err := calc.SetbackMin(l, gap, clearance, step)
	put("setback", err, s.SetOut)
	m, err := calc.ThicknessMax(l, gap, clearance, step)
	put("thickness", err, m.SetOut)
	p, err := calc.Plate(calc.PlateInput{Setback: l.Setback, Gap: gap, JambLean: tol.Offset, Lining: stop.Covering, Opening: clear.Opening, Length: stop.Cover, Step: step})
	put("plate", err, p.Centre.SetOut, p.Unlined.SetOut, p.Far.SetOut)
	line, err := calc.PlateLine(gap, l.Thickness, l.Offset, step)
	put("plate_line", err, line.SetOut)
	mark, err := calc.StopDepth(stop)
	put("stop", err, mark.Mark.SetOut, mark.Point, mark.Tip, mark.CoverLeft.SetOut, mark.Margin)
	point, err := calc.PointLength(stop.Bit, stop.Point)
	put("point_length", err, point)
	r, err := calc.Reach(reach)
	put("reach", err, r.OverBy.SetOut, r.KeyLength.SetOut, r.TubeLength.SetOut, r.StockLength, r.Offcut.SetOut)
	c, err := calc.Clear(clear)
	put("clear", err, c.Width, c.Clear.SetOut, c.AtRight.SetOut, c.Lost.SetOut, c.HeelSide.SetOut, c.LeadRadius.SetOut, c.HeelRadius.SetOut, c.HeelGrowth)
	if err == nil {
		angles["angle_max"] = c.AngleMax
	}
	lf, err := calc.Leaf(leaf)
	put("leaf", err, lf.Width.SetOut, lf.Height.SetOut, lf.WidthTaper, lf.HeightTaper, lf.Survey.DiagonalDifference, lf.Survey.Lean, lf.PlumbWidth.SetOut)
	top, err := calc.TopGapMin(leaf.Opening.HeightHeel, l.Thickness, stop.Template, step)
	put("top_gap", err, top.SetOut)
	return lengths, angles, errs
}
