package calc_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"heelpost/calc"
)

// told is a result as computed and as it is told, in the unit of its
// quantity, lengths in mm.
type told struct{ exact, told float64 }

func figure[T ~float64](f calc.Figure[T]) told { return told{float64(f.Exact), float64(f.Told)} }

func dimension(d calc.Dimension) told { return told{d.Exact.MM(), d.SetOut.MM()} }

func plain[T ~int | ~float64](v T) told { return told{float64(v), float64(v)} }

func inMM(l calc.Length) told { return plain(l.MM()) }

func truth(b bool) told {
	if b {
		return plain(1)
	}
	return plain(0)
}

// number reads a cell without a unit; 0 if it is empty.
func (r row) number(name string) float64 {
	r.Helper()
	cell := r.text(name)
	if cell == "" {
		return 0
	}
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		r.Fatalf("not a number: %q", cell)
	}
	return v
}

// whole reads a whole number; what is none or too large is the smallest.
func (r row) whole(name string) int {
	if v := r.number(name); math.Abs(v) < 1e9 {
		return int(v)
	}
	return math.MinInt
}

// lengths reads the lengths of a cell, parted by spaces.
func (r row) lengths(cell string, n int) []calc.Length {
	r.Helper()
	fields := strings.Fields(cell)
	if len(fields) != n {
		r.Fatalf("want %d lengths, got %q", n, cell)
	}
	out := make([]calc.Length, n)
	for i, f := range fields {
		out[i], _ = r.decimal(f)
	}
	return out
}

// parts splits a cell at plus signs.
func parts(cell string) []string {
	if cell == "" {
		return nil
	}
	return strings.Split(cell, " + ")
}

// inputOf reads "name=value; name=value".
func (r row) inputOf(cell string) row {
	in := row{r.T, map[string]string{}, map[string]bool{}}
	for pair := range strings.SplitSeq(cell, ";") {
		if name, value, ok := strings.Cut(strings.TrimSpace(pair), "="); ok {
			in.cells[name] = value
		}
	}
	return in
}

// TestFigures holds the worked examples, each result by its name against the
// exact value to the decimals it is written with and against what is told.
func TestFigures(t *testing.T) {
	done := map[string]bool{}
	eachRow(t, "figures", func(r row) {
		in := r.inputOf(r.text("input"))
		name := r.text("calculation")
		done[name] = true
		results, err := figures[name](in)
		r.ok(err)
		for input := range in.cells {
			if !in.read[input] {
				r.Errorf("input %s was not looked at", input)
			}
		}
		got, ok := results[r.text("result")]
		if !ok {
			r.Fatalf("%s has no result %s", name, r.text("result"))
		}
		_, decimals, _ := strings.Cut(r.text("exact"), ".")
		if place := math.Pow10(-len(decimals)); math.Abs(got.exact-r.number("exact")) > place*(0.5+1e-9) {
			r.Errorf("%s: got %v, want %s; input %s", r.text("result"), got.exact, r.text("exact"), r.text("input"))
		}
		if r.text("told") != "" && math.Abs(got.told-r.number("told")) > 1e-9 {
			r.Errorf("%s: told %v, want %s; input %s", r.text("result"), got.told, r.text("told"), r.text("input"))
		}
	})
	for name := range figures {
		if !done[name] {
			t.Errorf("%s: got no worked example, want one", name)
		}
	}
}

// TestFiguresRefused holds what is refused, and for what reason.
func TestFiguresRefused(t *testing.T) {
	done := map[string]bool{}
	eachRow(t, "figures_refused", func(r row) {
		name := r.text("calculation")
		done[name] = true
		_, err := figures[name](r.inputOf(r.text("input")))
		if err == nil {
			r.Fatalf("%s: got no error, want %s; input %s", name, r.text("error"), r.text("input"))
		}
		if got := err.Error(); got != r.text("error") {
			r.Errorf("%s: got %q, want %q; input %s", name, got, r.text("error"), r.text("input"))
		}
	})
	for name := range figures {
		if !done[name] {
			t.Errorf("%s: got no row of bad input, want one", name)
		}
	}
}

// toldIn is what results are rounded up to.
var toldIn = map[string]float64{
	"mass": 0.1, "hung": 0.1, "mass_per_area": 0.1, "inertia": 0.01, "centre_x": 1, "floor_pressure": 0.01,
	"vertical": 1, "horizontal": 1, "wind_force": 1, "wind_moment": 0.1, "hold_force": 1, "pivot_horizontal": 1, "pin_shear": 1,
	"pressure_moment": 0.1, "pressure_force": 1, "share_each": 0.1, "gear": 0.1, "standing_height": 1, "lever_force": 1,
	"lifting_index": 0.1, "closing_energy": 0.1, "mean_energy": 0.1, "time_min": 0.1, "mean_time_min": 0.1, "fastest_min": 0.1, "bow": 1, "bow_across": 1,
}

// safe says whether a result is told as a multiple of its step, on the safe
// side of the exact one and less than a step from it, but for rounding errors.
func safe(r told, step float64) bool {
	err := 1e-8 * max(math.Abs(r.exact), step)
	over := r.told - r.exact
	return over >= -err && over < step+err && math.Abs(r.told/step-math.Round(r.told/step)) < 1e-6*max(1, math.Abs(r.told/step))
}

// Whatever one input of a worked example is, the calculation answers with
// numbers, rounded to the safe side, or refuses with an error that names a quantity.
func TestFigures_absurd(t *testing.T) {
	absurd := []string{"0", "-1", "NaN", "Inf", "-Inf", "1e300", "-1e300", "1e-300", "0.001", "7", "90", "180", "5000", "100000"}
	answered, refused := 0, 0
	eachRow(t, "figures", func(r row) {
		r.text("result")
		r.text("exact")
		r.text("told")
		name, cell := r.text("calculation"), r.text("input")
		for input, value := range r.inputOf(cell).cells {
			if _, err := strconv.ParseFloat(value, 64); err != nil {
				continue // a word, or many numbers
			}
			for _, v := range absurd {
				in := r.inputOf(cell)
				in.cells[input] = v
				results, err := figures[name](in)
				_, outside := errors.AsType[*calc.RangeError](err)
				_, need := errors.AsType[*calc.NeedError](err)
				switch {
				case outside || need:
					refused++
					continue
				case err != nil:
					r.Errorf("%s, %s=%s: got error %v, want one that names a quantity", name, input, v, err)
				}
				answered++
				for result, got := range results {
					if step, ok := toldIn[result]; ok && !safe(got, step) {
						r.Errorf("%s, %s=%s: %s is %v, told in steps of %v", name, input, v, result, got, step)
					}
					if !(math.Abs(got.exact) < 1e11) || !(math.Abs(got.told) < 1e11) {
						r.Errorf("%s, %s=%s: %s is %v", name, input, v, result, got)
					}
				}
			}
		}
	})
	if answered < 500 || refused < 1000 {
		t.Errorf("got %d answers and %d refusals, want at least 500 and 1000", answered, refused)
	}
}
