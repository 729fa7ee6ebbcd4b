package calc_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"heelpost/calc"
)

// row is one line of a table in testdata/calc, its cells by column. An
// empty input cell is a quantity not given, an empty result cell one not
// looked at.
type row struct {
	*testing.T
	cells map[string]string
	read  map[string]bool
}

// eachRow runs f on every line of a table. Each line must name its source,
// and f must look at every cell that is filled in.
func eachRow(t *testing.T, table string, f func(r row)) {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "testdata", "calc", table+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) < 2 {
		t.Fatalf("%s: got %d lines, want a header and at least one row", table, len(lines))
	}
	for i, line := range lines[1:] {
		t.Run(fmt.Sprintf("line %d", i+2), func(t *testing.T) {
			r := row{t, map[string]string{}, map[string]bool{}}
			for col, name := range lines[0] {
				r.cells[name] = strings.TrimSpace(line[col])
			}
			if r.text("source") == "" {
				t.Error("no source")
			}
			f(r)
			for name, cell := range r.cells {
				if cell != "" && !r.read[name] {
					t.Errorf("column %s (%s) was not looked at", name, cell)
				}
			}
		})
	}
}

func (r row) text(name string) string {
	r.read[name] = true
	return r.cells[name]
}

// length reads a cell in mm, or in inches as "0.104in" or "10/32in"; 0 if it
// is empty.
func (r row) length(name string) calc.Length {
	r.Helper()
	l, _ := r.decimal(r.text(name))
	return l
}

// stepLength reads the step: 1 mm unless the row has another.
func (r row) stepLength() calc.Length {
	if r.text("step") == "" {
		return calc.Millimetre
	}
	return r.length("step")
}

// decimal reads a length and the value of one in its last decimal place.
func (r row) decimal(cell string) (l, place calc.Length) {
	r.Helper()
	if cell == "" {
		return 0, 0
	}
	unit := calc.Millimetre
	number, inches := strings.CutSuffix(cell, "in")
	if inches {
		unit = calc.Inch
	}
	over, under, fraction := strings.Cut(number, "/")
	v, err := strconv.ParseFloat(over, 64)
	if err != nil {
		r.Fatalf("not a length: %q", cell)
	}
	if fraction {
		n, err := strconv.ParseFloat(under, 64)
		if err != nil {
			r.Fatalf("not a length: %q", cell)
		}
		v /= n
	}
	_, decimals, _ := strings.Cut(over, ".")
	return calc.Length(math.Round(v * float64(unit))), calc.Length(float64(unit) * math.Pow10(-len(decimals)))
}

// angle reads a cell in degrees; none if it is empty.
func (r row) angle(name string, none calc.Angle) calc.Angle {
	r.Helper()
	cell := r.text(name)
	if cell == "" {
		return none
	}
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		r.Fatalf("not an angle: %q", cell)
	}
	return calc.Angle(v)
}

// offset reads "5", whose side is not known, or "+5" or "-5".
func (r row) offset() calc.Offset {
	cell := r.text("offset")
	return calc.Offset{E: r.length("offset"), Signed: cell != "" && strings.ContainsRune("+-", rune(cell[0]))}
}

// edge reads "chamfer 3" or "round 8"; square if the cell is empty.
func (r row) edge(name string) calc.Edge {
	form, size, _ := strings.Cut(r.text(name), " ")
	l, _ := r.decimal(size)
	switch form {
	case "":
		return calc.Edge{}
	case "chamfer":
		return calc.Edge{Form: calc.Chamfered, Size: l}
	case "round":
		return calc.Edge{Form: calc.Rounded, Size: l}
	}
	r.Fatalf("not an edge: %q", form)
	return calc.Edge{}
}

// turn reads a leaf. The column edge is for both edges.
func (r row) turn() calc.Turn {
	t := calc.Turn{
		Thickness: r.length("thickness"), Setback: r.length("setback"), Width: r.length("width"),
		Offset: r.offset(), Heel: r.edge("edge"), Lead: r.edge("edge"), Angle: r.angle("angle", calc.RightAngle),
	}
	if r.text("edge") == "" {
		t.Heel, t.Lead = r.edge("edge_heel"), r.edge("edge_lead")
	}
	if r.text("swing") == "one way" {
		t.Swing = calc.OneWay
	}
	return t
}

// exact wants a length to the decimals that the cell has.
func (r row) exact(name string, got calc.Length) {
	r.Helper()
	cell := r.text(name)
	if cell == "" {
		return
	}
	want, place := r.decimal(cell)
	if (got - want).Abs() > place/2 {
		r.Errorf("%s: got %v, want %v mm; input %s", name, got, cell, r.inputs())
	}
}

// setOut wants a length to the nanometre.
func (r row) setOut(name string, got calc.Length) {
	r.Helper()
	if r.text(name) == "" {
		return
	}
	if want := r.length(name); got != want {
		r.Errorf("%s: got %v, want %v; input %s", name, got, want, r.inputs())
	}
}

// yes wants a truth, written yes or no.
func (r row) yes(name string, got bool) {
	r.Helper()
	cell := r.text(name)
	if cell != "" && got != (cell == "yes") {
		r.Errorf("%s: got %v, want %s; input %s", name, got, cell, r.inputs())
	}
}

// ok stops the row at an error.
func (r row) ok(err error) {
	r.Helper()
	if err != nil {
		r.Fatalf("got error %q, want none; input %s", err, r.inputs())
	}
}

// inputs shows the whole row.
func (r row) inputs() string {
	s := fmt.Sprint(r.cells)
	return strings.TrimPrefix(s, "map")
}
