package calc_test

import (
	"strings"

	"heelpost/calc"
)

// The readers of a row's input, one for each calculation that takes a struct.

func (r row) plate() calc.PlateInput {
	return calc.PlateInput{
		Setback: r.length("setback"), Gap: r.length("gap"), JambLean: r.length("jamb_lean"),
		Lining: r.length("lining"), Opening: r.length("opening"), Length: r.length("plate_length"), Step: r.stepLength(),
	}
}

func (r row) stop() calc.StopInput {
	in := calc.StopInput{
		Depth: r.length("depth"), Template: r.length("template"), Covering: r.length("covering"),
		Bit: r.length("bit"), Point: r.angle("point", 0), FullBore: r.text("full_bore") == "yes",
		HasCover: r.text("cover") != "", Cover: r.length("cover"), Margin: r.length("margin"), Step: r.stepLength(),
		Locator: r.length("locator"), Aside: r.text("sideways") != "", Sideways: r.length("sideways"),
	}
	in.CoverTo = map[string]calc.CoverTo{"pipe": calc.Pipe, "back": calc.Back}[r.text("cover_to")]
	in.CoverFrom = map[string]calc.CoverFrom{"surface": calc.Surface, "covering": calc.OnCovering}[r.text("cover_from")]
	return in
}

func (r row) reach() calc.ReachInput {
	in := calc.ReachInput{
		Setback: r.length("setback"), Key: r.length("key"), Body: r.length("body"),
		Kerf: r.length("kerf"), Second: r.length("second"), Step: r.stepLength(),
	}
	for _, stock := range strings.Fields(r.text("stocks")) {
		l, _ := r.decimal(stock)
		in.Stocks = append(in.Stocks, l)
	}
	return in
}

func (r row) clear() calc.ClearInput {
	return calc.ClearInput{
		Turn: r.turn(), Opening: r.length("opening"), GapHeel: r.length("gap_heel"), GapLead: r.length("gap_lead"),
		StopWidth: r.length("stop_width"), Handle: r.length("handle"),
		HasReveal: r.text("reveal") != "", Reveal: r.length("reveal"), Step: r.stepLength(),
	}
}

func (r row) leaf() calc.LeafInput {
	return calc.LeafInput{
		Opening: calc.Opening{
			WidthTop: r.length("width_top"), WidthMiddle: r.length("width_middle"), WidthBottom: r.length("width_bottom"),
			HeightHeel: r.length("height_heel"), HeightMiddle: r.length("height_middle"), HeightLead: r.length("height_lead"),
			Diagonal1: r.length("diagonal_1"), Diagonal2: r.length("diagonal_2"), DiagonalsNamed: r.text("named") == "yes",
			LeanHeel: r.reading("lean_heel"), LeanLead: r.reading("lean_lead"), BowHeel: r.reading("bow_heel"),
			Fall: calc.Fall{Rise: r.length("floor_fall"), Read: map[string]calc.FallRead{"to": calc.FallTo, "either": calc.FallEitherWay, "level": calc.LevelFloor}[r.text("fall")]},
		},
		GapHeel: r.length("gap_heel"), GapLead: r.length("gap_lead"), GapTop: r.length("gap_top"),
		GapBottom: r.length("gap_bottom"), Finish: r.length("finish"), Step: r.stepLength(),
	}
}

// reading returns a reading that may not have been taken.
func (r row) reading(name string) *calc.Length {
	if r.text(name) == "" {
		return nil
	}
	l := r.length(name)
	return &l
}

func (r row) tolerance() calc.Tolerance {
	return calc.Tolerance{
		Thickness: r.length("thickness_tol"), Setback: r.length("setback_tol"),
		Offset: r.length("offset_tol"), Clearance: r.length("clearance_tol"),
	}
}

// calculations run every calculation on a row for its error.
var calculations = map[string]func(r row) error{
	"gap": func(r row) error { _, err := calc.Gap(r.turn(), r.length("clearance"), r.stepLength()); return err },
	"even_gap": func(r row) error {
		_, err := calc.EvenGap(r.turn(), r.length("opening"), r.length("clearance"), r.stepLength())
		return err
	},
	"tolerance": func(r row) error {
		_, err := calc.GapTolerance(r.turn(), r.length("clearance"), r.tolerance())
		return err
	},
	"setback": func(r row) error {
		_, err := calc.SetbackMin(r.turn(), r.length("gap"), r.length("clearance"), r.stepLength())
		return err
	},
	"thickness": func(r row) error {
		_, err := calc.ThicknessMax(r.turn(), r.length("gap"), r.length("clearance"), r.stepLength())
		return err
	},
	"plate": func(r row) error { _, err := calc.Plate(r.plate()); return err },
	"plate_line": func(r row) error {
		_, err := calc.PlateLine(r.length("face"), r.length("thickness"), r.offset(), r.stepLength())
		return err
	},
	"stop":         func(r row) error { _, err := calc.StopDepth(r.stop()); return err },
	"point_length": func(r row) error { _, err := calc.PointLength(r.length("bit"), r.angle("point", 0)); return err },
	"reach":        func(r row) error { _, err := calc.Reach(r.reach()); return err },
	"clear":        func(r row) error { _, err := calc.Clear(r.clear()); return err },
	"leaf":         func(r row) error { _, err := calc.Leaf(r.leaf()); return err },
	"top_gap": func(r row) error {
		_, err := calc.TopGapMin(r.length("height"), r.length("thickness"), r.length("spindle_lift"), r.stepLength())
		return err
	},
}
