package calc

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

// sourced matches what says where a value comes from.
var sourced = regexp.MustCompile(`\[S \d+|from memory|common practice|[Oo]wn\b|\b(EN|ISO|DIN|BS|ADA|IBC|CTE|NIST|HSE|NIOSH|JCGM)\b|Approved Document|Handbook|geometry|definition|exactly`)

// plain are the numbers that carry no meaning of the trade: signs, halves and
// doubles, squares, right angles and full turns, powers of ten.
var plain = regexp.MustCompile(`^(0|1|2|3|4|0\.5|[01]\.0|90|180|360|1e-?\d+|10+|0\.0*1)$`)

// machinery are the files whose numbers steer a search and change no answer: it
// carries its own proof.
var machinery = regexp.MustCompile(`^cut.+\.go$`)

// TestSourced holds every number of the package that is not plain against the
// comment beside it: its source, or that it is from memory, common practice or
// our own.
func TestSourced(t *testing.T) {
	paths, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	numbers := 0
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") || machinery.MatchString(path) {
			continue
		}
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, path, src, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(string(src), "\n")
		for _, d := range f.Decls {
			w := &numbered{fset: fset, lines: lines, said: comments(d)}
			ast.Walk(w, d)
			numbers += w.numbers
			for _, line := range w.bare {
				t.Errorf("%s:%s", path, line)
			}
		}
	}
	if numbers < 300 {
		t.Errorf("only %d numbers were looked at", numbers)
	}
}

// numbered finds the numbers of a declaration that have no source.
type numbered struct {
	fset    *token.FileSet
	lines   []string
	said    string
	numbers int
	bare    []string
}

// Visit leaves out what is no value of the trade: how numbers are written,
// sizes of arrays, shifts and how often a loop goes; and the bounds of what is
// believed, which are the project's own, as their type says. A row that names
// its source needs no other.
func (w *numbered) Visit(n ast.Node) ast.Visitor {
	switch n := n.(type) {
	case *ast.ValueSpec:
		w.said += n.Doc.Text()
	case *ast.ArrayType:
		return nil
	case *ast.RangeStmt:
		if _, times := n.X.(*ast.BasicLit); times {
			ast.Walk(w, n.Body)
			return nil
		}
	case *ast.BinaryExpr:
		if n.Op == token.SHL || n.Op == token.SHR {
			return nil
		}
	case *ast.CallExpr:
		if f, ok := n.Fun.(*ast.SelectorExpr); ok {
			if p, ok := f.X.(*ast.Ident); ok && p.Name == "strconv" {
				return nil
			}
		}
	case *ast.CompositeLit:
		if t, ok := n.Type.(*ast.IndexExpr); ok && fmt.Sprint(t.X) == "bounds" {
			return nil
		}
		for _, e := range n.Elts {
			if kv, ok := e.(*ast.KeyValueExpr); ok && fmt.Sprint(kv.Key) == "Source" {
				return nil
			}
		}
	case *ast.BasicLit:
		if n.Kind != token.INT && n.Kind != token.FLOAT || plain.MatchString(n.Value) {
			return nil
		}
		w.numbers++
		at := w.fset.Position(n.Pos()).Line
		_, beside, _ := strings.Cut(w.lines[at-1], "//")
		if !sourced.MatchString(strings.Join(strings.Fields(w.said+" "+beside), " ")) {
			w.bare = append(w.bare, fmt.Sprintf("%d: %s has no source: %s", at, n.Value, strings.TrimSpace(w.lines[at-1])))
		}
	}
	return w
}

// comments returns what is said of a declaration.
func comments(d ast.Decl) string {
	switch d := d.(type) {
	case *ast.FuncDecl:
		return d.Doc.Text()
	case *ast.GenDecl:
		return d.Doc.Text()
	}
	return ""
}
