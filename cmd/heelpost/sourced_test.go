package main_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// withValues are the rooms, beside calc, that hold values of the trade or of
// safety: working times, clearances, margins, limits, least temperatures.
var withValues = []string{"jobs", "bot/lex", "bot/ask", "bot/verb", "bot/order", "bot/survey", "bot/form", "bot/tell", "bot/board", "bot/desk", "bot/notify", "bot/talk"}

var (
	// origin matches what says where a value comes from.
	origin = regexp.MustCompile(`[Ff]rom memory|[Cc]ommon practice|[Oo]wn\b|\b(EN|ISO|DIN|BS|ADA|IBC|CTE|NIST|HSE|NIOSH|JCGM|WMO)\b|Handbook|by definition|exactly`)
	// unitName and unitType are what a number is a quantity by.
	unitName = regexp.MustCompile(`^(mm|Millimetre|Metre|Inch|Micrometre|Pound|Second|Minute|Hour)$`)
	unitType = regexp.MustCompile(`^(Length|Mass|Temperature|Hours|Seconds|Speed|Force|Pressure|Percent|Kelvin|Density|Volume|Angle)$`)
	// step matches what a quantity is divided by to be rounded or shown.
	step = regexp.MustCompile(`^10*$`)
)

// TestSourced holds every quantity that stands in these rooms as a number against
// the comment of its declaration or on its line: its source, or that it is from
// memory, common practice or our own. calc has a stricter test of its own.
func TestSourced(t *testing.T) {
	seen := 0
	for _, room := range withValues {
		paths, err := filepath.Glob(filepath.Join("../..", room, "*.go"))
		if err != nil || len(paths) == 0 {
			t.Fatal(room, err)
		}
		for _, path := range paths {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			src, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			bare, n, err := unsourced(src)
			if err != nil {
				t.Fatal(err)
			}
			seen += n
			for _, line := range bare {
				t.Errorf("%s:%s", strings.TrimPrefix(path, "../../"), line)
			}
		}
	}
	if seen < 100 {
		t.Errorf("only %d quantities were looked at", seen)
	}
}

// What the test above is for is found, and what has its source is not.
func TestSourced_finds(t *testing.T) {
	for body, want := range map[string]int{
		"const clearance = 2 * mm":                                                        1,
		"// clearance is from memory.\nconst clearance = 2 * mm":                          0,
		"// clearance is kept.\nconst clearance = 2 * mm // common practice":              0,
		"func f() { wait(15 * time.Minute) }":                                             1,
		"// f waits; the time is the project's own.\nfunc f() { wait(15 * time.Minute) }": 0,
		"var least = calc.Temperature(5)":                                                 1,
		"var worst = map[string]float64{\"m/s\": 60}":                                     1,
		"func f(l Length) Length { return l.Up(calc.Millimetre / 100) }":                  0,
	} {
		bare, n, err := unsourced([]byte("package p\n\n" + body + "\n"))
		if err != nil || len(bare) != want || n == 0 && want > 0 {
			t.Errorf("%s: got %q of %d, %v, want %d", body, bare, n, err, want)
		}
	}
}

// unsourced returns the quantities of a file that have no source, and how many
// there are in all.
func unsourced(src []byte) (bare []string, seen int, err error) {
	files := token.NewFileSet()
	f, err := parser.ParseFile(files, "", src, parser.ParseComments)
	if err != nil {
		return nil, 0, err
	}
	lines := strings.Split(string(src), "\n")
	for _, d := range f.Decls {
		said := docOf(d)
		look := func(n ast.Node) {
			at := files.Position(n.Pos()).Line
			_, beside, _ := strings.Cut(lines[at-1], "//")
			if seen++; !origin.MatchString(strings.Join(strings.Fields(said+" "+beside), " ")) {
				bare = append(bare, fmt.Sprintf("%d: no source: %s", at, strings.TrimSpace(lines[at-1])))
			}
		}
		ast.Inspect(d, func(n ast.Node) bool {
			if spec, ok := n.(*ast.ValueSpec); ok {
				said = docOf(d) + " " + spec.Doc.Text()
			}
			if q := quantity(n); q != nil {
				look(q)
			}
			return true
		})
	}
	return bare, seen, nil
}

// quantity returns a number that is one by its unit, by its type, or as a value
// in a table of numbers; nil if n is none.
func quantity(n ast.Node) ast.Node {
	number := func(e ast.Expr) bool {
		l, ok := e.(*ast.BasicLit)
		return ok && (l.Kind == token.INT || l.Kind == token.FLOAT) && l.Value != "0" && l.Value != "1"
	}
	switch n := n.(type) {
	case *ast.BinaryExpr:
		divided := n.Op == token.QUO && number(n.Y) && !step.MatchString(n.Y.(*ast.BasicLit).Value) && unitName.MatchString(lastName(n.X))
		if divided || n.Op == token.MUL && (number(n.X) && unitName.MatchString(lastName(n.Y)) || number(n.Y) && unitName.MatchString(lastName(n.X))) {
			return n
		}
	case *ast.CallExpr:
		if len(n.Args) == 1 && number(n.Args[0]) && unitType.MatchString(lastName(n.Fun)) {
			return n
		}
	case *ast.CompositeLit:
		m, ok := n.Type.(*ast.MapType)
		if ok && lastName(m.Value) == "float64" && len(n.Elts) > 0 {
			return n.Elts[0]
		}
	}
	return nil
}

func lastName(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		return e.Sel.Name
	}
	return ""
}

func docOf(d ast.Decl) string {
	switch d := d.(type) {
	case *ast.FuncDecl:
		return d.Doc.Text()
	case *ast.GenDecl:
		return d.Doc.Text()
	}
	return ""
}
