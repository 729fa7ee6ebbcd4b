package jobs

import (
	"errors"
	"go/ast"
	"go/constant"
	"go/parser"
	"go/token"
	"go/types"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// keyAt says which argument of a constructor of sentences is the key; the
// arguments of the sentence follow. A list's key is for two of its parts.
var keyAt = map[string]int{"F": 0, "list": 0, "wrong": 1, "fail": 1, "refuse": 2, "broken": 2, "expect": 2}

// passOn are the functions that are handed the key that they use.
var passOn = []string{"wrong", "fail", "expect", "list", "fill", "recognized", "check", "limits"}

// keyReader collects the keys of a package's sentences.
type keyReader struct {
	t     *testing.T
	files *token.FileSet
	types map[ast.Expr]types.TypeAndValue
	keys  map[string]int // with the number of their arguments
}

// readKeys reads the package of a folder.
func readKeys(t *testing.T, dir string) map[string]int {
	r := &keyReader{t, token.NewFileSet(), map[ast.Expr]types.TypeAndValue{}, map[string]int{}}
	_, files := r.load(dir)
	for _, f := range files {
		for _, d := range f.Decls {
			name := ""
			if fn, ok := d.(*ast.FuncDecl); ok {
				name = fn.Name.Name
			}
			ast.Inspect(d, func(n ast.Node) bool {
				if n != nil {
					r.node(n, name)
				}
				return true
			})
		}
	}
	return r.keys
}

// load parses a package, and finds the types of what its own code and calc's
// tell of: those of other packages are not needed.
func (r *keyReader) load(dir string) (*types.Package, []*ast.File) {
	paths, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		r.t.Fatal(err)
	}
	var files []*ast.File
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(r.files, path, nil, parser.SkipObjectResolution)
		if err != nil {
			r.t.Fatal(err)
		}
		files = append(files, f)
	}
	config := types.Config{Importer: r, Error: func(error) {}}
	pkg, _ := config.Check(dir, r.files, files, &types.Info{Types: r.types})
	return pkg, files
}

// Import returns calc, and any other package empty.
func (r *keyReader) Import(path string) (*types.Package, error) {
	if path == "heelpost/calc" {
		pkg, _ := r.load("../calc")
		return pkg, nil
	}
	pkg := types.NewPackage(path, filepath.Base(path))
	pkg.MarkComplete()
	return pkg, nil
}

// constant returns the text of a constant.
func (r *keyReader) constant(e ast.Expr) (string, bool) {
	v := r.types[e].Value
	if v == nil || v.Kind() != constant.String {
		return "", false
	}
	return constant.StringVal(v), true
}

func nameOf(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		return e.Sel.Name
	}
	return ""
}

// forTheLog are the files whose errors nobody is told: what goes wrong between
// programs.
var forTheLog = []string{"store.go", "runner.go"}

// node takes the key of a sentence, and complains of sentences without one.
func (r *keyReader) node(n ast.Node, function string) {
	if e, ok := n.(ast.Expr); ok {
		if s, isText := r.constant(e); isText && s != "" && strings.HasSuffix(r.types[e].Type.String(), ".Word") {
			r.keys[s] = 0
		}
	}
	at := r.files.Position(n.Pos())
	switch n := n.(type) {
	case *ast.CallExpr:
		name := nameOf(n.Fun)
		if i, ok := keyAt[name]; ok && i < len(n.Args) {
			r.call(n, name, i, function)
		}
		if len(n.Args) > 0 && slices.Contains([]string{"Sprintf", "Errorf", "New"}, name) && !slices.Contains(forTheLog, filepath.Base(at.Filename)) {
			if s, _ := r.constant(n.Args[0]); glued.MatchString(s) {
				r.t.Errorf("%v: %q has no key", at, s)
			}
		}
	case *ast.BinaryExpr:
		for _, side := range []ast.Expr{n.X, n.Y} {
			if s, _ := r.constant(side); n.Op == token.ADD && glued.MatchString(s) {
				r.t.Errorf("%v: %q is glued to what stands beside it", at, s)
			}
		}
	}
}

// glued matches text with two words in it.
var glued = regexp.MustCompile(`[a-z'] [a-z]`)

func (r *keyReader) call(n *ast.CallExpr, name string, at int, function string) {
	key, ok := r.constant(n.Args[at])
	if !ok {
		if !slices.Contains(passOn, function) {
			r.t.Errorf("%v: the key of %s is no literal", r.files.Position(n.Pos()), name)
		}
		return
	}
	args := len(n.Args) - at - 1
	if name == "list" {
		args = 2
	}
	r.keys[key] = args
}

var anyVerb = regexp.MustCompile(`%(\[[0-9]+\])?(.?)`)

// Every sentence has its key as a literal, with as many arguments as it has
// verbs: a translator finds it, and the words are never glued.
func TestKeys(t *testing.T) {
	for dir, least := range map[string]int{".": 180, "../calc": 8} {
		keys := readKeys(t, dir)
		for key, args := range keys {
			verbs := anyVerb.FindAllStringSubmatch(key, -1)
			seen := map[string]bool{}
			for i, v := range verbs {
				at := v[1]
				if at == "" {
					at = "[" + strconv.Itoa(i+1) + "]"
				}
				seen[at] = true
				if v[2] != "s" && v[2] != "q" {
					t.Errorf("%s: %q has the verb %s", dir, key, v[0])
				}
			}
			if len(seen) != args {
				t.Errorf("%s: %q has %d verbs and %d arguments", dir, key, len(seen), args)
			}
		}
		if len(keys) < least {
			t.Errorf("%s: got %d keys, want at least %d", dir, len(keys), least)
		}
	}
}

// What is put on record in words of our own is found again with its key; what
// people typed stays as it is.
func TestRecorded(t *testing.T) {
	for i, r := range recorded {
		samples := map[rune]any{'f': "5.5 mm", 't': "a typed word", 'w': calc.Word("drilled"), 'r': calc.F(atMost, "5 mm")}
		var args []any
		for _, kind := range r.args {
			args = append(args, samples[kind])
		}
		text := calc.F(r.key, args...)
		got := Recorded(text.String())
		if key, _ := got.Sentence(); key != r.key || !got.Equal(text) {
			t.Errorf("%d: %q is read by the key %q as %q", i, text, key, got)
		}
	}
	for _, typed := range []string{"scratch on the leaf; heel side", "waits for the glazier", "gone to lunch", "100 %s sure", ""} {
		if key, args := Recorded(typed).Sentence(); key != "%s" || args[0] != typed {
			t.Errorf("%q was typed, and is read by the key %q", typed, key)
		}
	}
}

// Whatever stands in the record is told as it stands.
func TestRecorded_english(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		pieces := []string{"; ", " to ", "5 mm", " is outside ", "batch ", ", expires ", "left out", "\n", "heel gap is drilled at ", ", by the corrected door it would be "}
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 8).Draw(rt, "pieces"), "")
		if got := Recorded(text).String(); got != text {
			rt.Fatalf("%q is read as %q", text, got)
		}
	})
}

// Errors that join or wrap others keep the sentences of those.
func TestErrorsKeepTheirSentences(t *testing.T) {
	type sentence interface {
		error
		Sentence() (key string, args []any)
	}
	b := newBench(t, "orchard")
	_, slip := calc.Gap(calc.Turn{Thickness: 54 * mm, Setback: 65 * mm, Angle: 700}, 2*mm, mm)
	visits := []Visit{{ID: "v1"}, {ID: "v2"}}
	_, when := b.site.When("thursday 9", b.now)
	for _, c := range []struct {
		err  error
		key  string
		text string
	}{
		{&PermissionError{"ivy", Office, Check}, "%s is %s here: to %s takes %s", "ivy is office here: to tick, read and photograph the checklist takes crew or foreman"},
		{&MissingError{[]string{"width", "opening height"}}, "still to say: %s", "still to say: width, opening height"},
		{&LimitError{[]error{wrong("mass", tooHeavy, "95 kg", "90 kg"), wrong("width", tooWide, "3 m", "2 m")}}, "%s; %s",
			"mass is 95 kg, the sheet carries 90 kg; width is 3 m, the sheet allows 2 m"},
		{about("mass", slip), "%s", "angle is 700°, must be at most 180°"},
		{slip, "%s is %s, must be %s %s", "angle is 700°, must be at most 180°"},
		{&WhichVisitError{visits}, "which visit: %s?", "which visit: v1, v2?"},
		{when, "%q: is %s the time? say it as %s", `"thursday 9": is 9 the time? say it as 09:00`},
		{&HoldError{calc.F("handing over"), b.someItems()}, "%s and %s more", "handing over waits for a (dry), b, c, d and 1 more"},
		{&FileError{Line: 3, Reason: calc.F("%s is missing", "name")}, "line %s: %s", "line 3: name is missing"},
	} {
		said, ok := errors.AsType[sentence](c.err)
		if !ok {
			t.Errorf("%q has no key", c.err)
			continue
		}
		if key, _ := said.Sentence(); key != c.key || c.err.Error() != c.text {
			t.Errorf("%q is said by %q, want %q by %q", c.err, key, c.text, c.key)
		}
	}
}

func (b *bench) someItems() (items []Item) {
	for _, id := range []string{"a", "b", "c", "d", "e"} {
		items = append(items, Item{ID: id, Text: calc.F("dry")})
	}
	return items
}

// Buttons carry the mark of the text that they agree to: those that were made
// before texts had keys still match. The marks are FNV-1a of 32 bits of the
// English, computed by another implementation.
func TestMark(t *testing.T) {
	for text, want := range map[string]string{"floor plate fitted dry": "857b4232", "mark the bit 47 mm from its tip": "8d4be9ac"} {
		it := Item{Text: calc.F("%s", text)}
		if strings.HasPrefix(text, "mark") {
			it.Text = calc.F("mark the bit %s from its tip", "47 mm")
		}
		if got := it.Mark(); got != want {
			t.Errorf("%q has the mark %s, want %s", text, got, want)
		}
	}
}
