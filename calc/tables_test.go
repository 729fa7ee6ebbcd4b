package calc_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"heelpost/calc"
)

func TestGapTable(t *testing.T) {
	eachRow(t, "gap", func(r row) {
		clearance := r.length("clearance")
		g, err := calc.Gap(r.turn(), clearance, r.stepLength())
		r.ok(err)
		r.exact("heel_growth", g.HeelGrowth)
		r.exact("heel_gap_min", g.HeelGap.Exact)
		r.setOut("heel_gap", g.HeelGap.SetOut)
		r.exact("lead_growth", g.LeadGrowth)
		r.exact("lead_gap_min", g.LeadGap.Exact)
		r.setOut("lead_gap", g.LeadGap.SetOut)
		r.setOut("even_gap", g.EvenGap)
		r.setOut("opening_width", g.OpeningWidth.SetOut)
	})
}

func TestEvenGapTable(t *testing.T) {
	eachRow(t, "even_gap", func(r row) {
		got, err := calc.EvenGap(r.turn(), r.length("opening"), r.length("clearance"), r.stepLength())
		r.ok(err)
		r.setOut("even_gap", got)
	})
}

func TestGapToleranceTable(t *testing.T) {
	eachRow(t, "tolerance", func(r row) {
		got, err := calc.GapTolerance(r.turn(), r.length("clearance"), r.tolerance())
		r.ok(err)
		r.exact("worst", got.Worst)
		r.exact("best", got.Best)
		r.exact("rss", got.RSS)
	})
}

func TestSetbackMinTable(t *testing.T) {
	eachRow(t, "setback", func(r row) {
		got, err := calc.SetbackMin(r.turn(), r.length("gap"), r.length("clearance"), r.stepLength())
		r.ok(err)
		r.exact("exact", got.Exact)
		r.setOut("setback_min", got.SetOut)
	})
}

func TestThicknessMaxTable(t *testing.T) {
	eachRow(t, "thickness", func(r row) {
		got, err := calc.ThicknessMax(r.turn(), r.length("gap"), r.length("clearance"), r.stepLength())
		r.ok(err)
		r.exact("exact", got.Exact)
		r.setOut("thickness_max", got.SetOut)
	})
}

func TestPlateTable(t *testing.T) {
	eachRow(t, "plate", func(r row) {
		got, err := calc.Plate(r.plate())
		r.ok(err)
		r.setOut("plate_centre", got.Centre.SetOut)
		r.setOut("plate_centre_unlined", got.Unlined.SetOut)
		r.setOut("plate_centre_far", got.Far.SetOut)
		r.yes("under_jamb", got.UnderJamb)
	})
}

func TestPlateLineTable(t *testing.T) {
	eachRow(t, "plate_line", func(r row) {
		got, err := calc.PlateLine(r.length("face"), r.length("thickness"), r.offset(), r.stepLength())
		r.ok(err)
		r.setOut("plate_line", got.SetOut)
	})
}

func TestStopDepthTable(t *testing.T) {
	eachRow(t, "stop", func(r row) {
		got, err := calc.StopDepth(r.stop())
		r.ok(err)
		r.setOut("stop_depth", got.Mark.SetOut)
		r.exact("stop_depth_exact", got.Mark.Exact)
		r.exact("point_length", got.Point)
		r.setOut("tip_depth", got.Tip)
		r.setOut("cover_left", got.CoverLeft.SetOut)
		r.setOut("margin_kept", got.Margin)
		r.yes("deducted", got.Deducted)
		r.yes("beside", got.Beside)
	})
}

func TestPointLengthTable(t *testing.T) {
	eachRow(t, "point_length", func(r row) {
		got, err := calc.PointLength(r.length("bit"), r.angle("point", 0))
		r.ok(err)
		r.exact("point_length", got)
	})
}

func TestReachTable(t *testing.T) {
	eachRow(t, "reach", func(r row) {
		got, err := calc.Reach(r.reach())
		r.ok(err)
		r.yes("reaches", got.Reaches)
		r.setOut("over_by", got.OverBy.SetOut)
		r.setOut("key_length", got.KeyLength.SetOut)
		r.setOut("tube_length", got.TubeLength.SetOut)
		r.setOut("stock_length", got.StockLength)
		r.setOut("offcut", got.Offcut.SetOut)
		r.yes("second_fits", got.SecondFits)
	})
}

func TestClearTable(t *testing.T) {
	eachRow(t, "clear", func(r row) {
		got, err := calc.Clear(r.clear())
		r.ok(err)
		r.exact("clear_exact", got.Clear.Exact)
		r.setOut("clear_width", got.Clear.SetOut)
		r.setOut("at_right", got.AtRight.SetOut)
		r.setOut("lost_width", got.Lost.SetOut)
		r.setOut("heel_side_width", got.HeelSide.SetOut)
		r.setOut("lead_radius", got.LeadRadius.SetOut)
		r.setOut("heel_radius", got.HeelRadius.SetOut)
		r.exact("lead_radius_exact", got.LeadRadius.Exact)
		r.exact("heel_radius_exact", got.HeelRadius.Exact)
		r.exact("heel_growth", got.HeelGrowth)
	})
}

func TestAngleMaxTable(t *testing.T) {
	eachRow(t, "angle_max", func(r row) {
		got, err := calc.Clear(r.clear())
		r.ok(err)
		// Written so that NaN fails.
		if want := r.angle("angle_max", 0); !(math.Abs(float64(got.AngleMax-want)) <= 0.00005) {
			r.Errorf("got %v, want %v; input %s", got.AngleMax, want, r.inputs())
		}
		if want := r.angle("tenth", 0); got.AngleMax.Tenth() != want {
			r.Errorf("tenth: got %v, want %v; input %s", got.AngleMax.Tenth(), want, r.inputs())
		}
	})
}

func TestLeafTable(t *testing.T) {
	eachRow(t, "leaf", func(r row) {
		got, err := calc.Leaf(r.leaf())
		r.ok(err)
		r.setOut("leaf_width", got.Width.SetOut)
		r.setOut("leaf_height", got.Height.SetOut)
		r.setOut("width_taper", got.WidthTaper)
		r.setOut("height_taper", got.HeightTaper)
		r.yes("plumbed", got.Survey.LeanRead)
		r.setOut("diagonal_difference", got.Survey.DiagonalDifference)
		r.exact("jamb_lean", got.Survey.Lean)
		r.exact("plumb_width_exact", got.PlumbWidth.Exact)
		r.setOut("plumb_width", got.PlumbWidth.SetOut)
	})
}

func TestTopGapMinTable(t *testing.T) {
	eachRow(t, "top_gap", func(r row) {
		got, err := calc.TopGapMin(r.length("height"), r.length("thickness"), r.length("spindle_lift"), r.stepLength())
		r.ok(err)
		r.exact("exact", got.Exact)
		r.setOut("top_gap_min", got.SetOut)
	})
}

// The chord of a segment is a thickness and its height the growth: the
// handbook's formulas for height, radius and chord are Gap, SetbackMin and
// ThicknessMax.
func TestSegmentTable(t *testing.T) {
	eachRow(t, "segment", func(r row) {
		radius, height, chord := r.length("radius"), r.length("height"), r.length("chord")
		leaf := calc.Turn{Thickness: chord, Setback: radius - height, Angle: calc.RightAngle}
		g, err := calc.Gap(leaf, 0, calc.Millimetre)
		r.ok(err)
		// A chord given to the nearest nm moves height and radius by a few nm.
		if (g.HeelGrowth - height).Abs() > 10 {
			r.Errorf("height: got %v, want %v; input %s", g.HeelGrowth, height, r.inputs())
		}
		s, err := calc.SetbackMin(leaf, height, 0, calc.Millimetre)
		r.ok(err)
		if got := s.Exact + height; (got - radius).Abs() > 10 {
			r.Errorf("radius: got %v, want %v; input %s", got, radius, r.inputs())
		}
		c, err := calc.ThicknessMax(leaf, height, 0, calc.Millimetre)
		r.ok(err)
		if (c.Exact - chord).Abs() > 10 {
			r.Errorf("chord: got %v, want %v; input %s", c.Exact, chord, r.inputs())
		}
		if printed := r.length("chord_printed"); printed != 0 && c.Exact.Down(mm/100) != printed {
			r.Errorf("the book prints %v, got %v; input %s", printed, c.Exact, r.inputs())
		}
	})
}

func TestUnitsTable(t *testing.T) {
	units := map[string]calc.Length{"in": calc.Inch, "ft": calc.Foot}
	eachRow(t, "units", func(r row) {
		count, _ := strconv.Atoi(r.text("count"))
		parts, _ := strconv.Atoi(r.text("parts"))
		whole := calc.Length(count) * units[r.text("unit")]
		if whole%calc.Length(parts) != 0 {
			r.Errorf("not a whole number of nanometres; input %s", r.inputs())
		}
		got := whole / calc.Length(parts)
		if want := r.text("mm") + " mm"; got.String() != want {
			r.Errorf("got %v, want %s; input %s", got, want, r.inputs())
		}
		r.setOut("mm", got)
	})
}

var approaches = map[string]calc.Approach{
	"": calc.UnsaidApproach, "straight on": calc.StraightOn, "right angle 1500": calc.RightAngle1500,
	"right angle 1200": calc.RightAngle1200, "public entrance": calc.PublicEntrance, "dwelling head-on": calc.DwellingHeadOn, "dwelling 1200": calc.Dwelling1200, "dwelling 1050": calc.Dwelling1050, "dwelling 900": calc.Dwelling900,
}

func TestClearRulesTable(t *testing.T) {
	var want []calc.Rule
	eachRow(t, "clear_rules", func(r row) {
		want = append(want, calc.Rule{Name: r.text("name"), Limit: r.length("limit"), Inches: r.length("inches"),
			Approach: approaches[r.text("approach")], OfOpening: r.text("of_opening") == "yes",
			Code: r.text("code"), Counts: r.text("counts") == "yes"})
	})
	var got []calc.Rule
	for _, rule := range calc.ClearRules {
		if rule.Source == "" {
			t.Errorf("%s: no source", rule.Name)
		}
		rule.Source, rule.Note = "", ""
		got = append(got, rule)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("rules differ from the table (-want +got):\n%s", diff)
	}
}

func TestRefusals(t *testing.T) {
	done := map[string]bool{}
	eachRow(t, "refusals", func(r row) {
		in := row{r.T, map[string]string{}, map[string]bool{}}
		for pair := range strings.SplitSeq(r.text("input"), ";") {
			name, value, _ := strings.Cut(strings.TrimSpace(pair), "=")
			in.cells[name] = value
		}
		calculation := r.text("calculation")
		done[calculation] = true
		err := calculations[calculation](in)
		for name := range in.cells {
			if !in.read[name] {
				r.Errorf("input %s was not looked at", name)
			}
		}
		got := [5]string{"none"}
		var outside *calc.RangeError
		var need *calc.NeedError
		switch {
		case errors.As(err, &outside):
			got = [5]string{"range", outside.Name, outside.Value.String(), outside.Bound.String(), outside.Limit.String()}
		case errors.As(err, &need):
			got = [5]string{"need", need.Name}
		}
		want := [5]string{r.text("error"), r.text("quantity"), r.text("value"), r.text("bound"), r.text("limit")}
		if got != want {
			r.Errorf("%s: got %q, want %q; input %s", calculation, got, want, r.text("input"))
		}
		if err != nil && !strings.Contains(err.Error(), want[1]) {
			r.Errorf("%s: got text %q, want it to name %s; input %s", calculation, err, want[1], r.text("input"))
		}
	})
	for name := range calculations {
		if !done[name] {
			t.Errorf("%s: got no row of bad input, want one", name)
		}
	}
}
