package jobs

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"heelpost/calc"
)

// FileError says what is wrong at a line of a sheet or site file.
type FileError struct {
	Line   int // 0: the file as a whole
	Reason calc.Text
}

// Error returns one line, whatever stands in the file.
func (e *FileError) Error() string { return strings.ReplaceAll(e.text().String(), "\n", "; ") }

// Sentence returns the reason, with the line.
func (e *FileError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *FileError) text() calc.Text {
	if e.Line == 0 {
		return e.Reason
	}
	return calc.F("line %s: %s", e.Line, e.Reason)
}

// maxFile bounds the size of a file, maxFileErrors what is said of it.
const (
	maxFile       = 1 << 20
	maxFileErrors = 60
)

// fileUnits are the units that a file's quantities are written with. A
// number without one is refused: it would be read as mm by one and as
// inches by another.
var fileUnits = map[reflect.Type]map[string]float64{
	reflect.TypeFor[calc.Length]():      {"mm": 1e6, "cm": 1e7, "m": 1e9, "in": 25.4e6},
	reflect.TypeFor[calc.Mass]():        {"kg": 1},
	reflect.TypeFor[calc.Temperature](): {"°C": 1, "C": 1},
	reflect.TypeFor[calc.Hours]():       {"h": 1},
	reflect.TypeFor[calc.Force]():       {"N": 1},
	reflect.TypeFor[calc.Speed]():       {"m/s": 1},
	reflect.TypeFor[calc.Angle]():       {"°": 1, "deg": 1},
	reflect.TypeFor[time.Duration]():    {"s": float64(time.Second), "min": float64(time.Minute)},
}

// fileUnit is the unit to show for a type in a refusal.
var fileUnit = map[reflect.Type]string{
	reflect.TypeFor[calc.Length](): "54 mm", reflect.TypeFor[calc.Mass](): "95 kg",
	reflect.TypeFor[calc.Temperature](): "5 °C", reflect.TypeFor[calc.Hours](): "24 h",
	reflect.TypeFor[calc.Force](): "35 N", reflect.TypeFor[calc.Speed](): "8 m/s",
	reflect.TypeFor[calc.Angle](): "118°", reflect.TypeFor[time.Duration](): "30 min",
}

var quantityText = regexp.MustCompile(`^(-?[0-9]+(?:\.[0-9]+)?) ?([^0-9 ]+)$`)

// textual is a type that a file writes in words of its own.
type textual interface{ fromText(s string) error }

// file decodes YAML strictly: no unknown or missing key, none twice, no
// anchors, every quantity with its unit.
type file struct {
	errs  []error
	lines map[string]int  // by path, as leaf.mass
	bad   map[string]bool // paths of which no value was read
}

// decode reads data into the struct that into points to. Keys are named
// in yaml tags; a key is compulsory unless its tag says optional, and may have
// had another name before. What is wrong with some of it is noted in the file that
// is returned: the rest can be checked all the same, so that all faults are told at
// once.
func decode(data []byte, into any) (*file, error) {
	f := &file{lines: map[string]int{}, bad: map[string]bool{}}
	if len(data) > maxFile {
		return f, &FileError{Reason: calc.F("the file is larger than a megabyte")}
	}
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var doc, more yaml.Node
	if err := dec.Decode(&doc); err == io.EOF {
		return f, &FileError{Reason: calc.F("the file is empty")}
	} else if err != nil {
		if f.slips(data); len(f.errs) > 0 {
			return f, f.err()
		}
		return f, &FileError{Reason: calc.F("%s", strings.TrimPrefix(err.Error(), "yaml: "))}
	}
	if err := dec.Decode(&more); err != io.EOF {
		return f, &FileError{Line: more.Line, Reason: calc.F("there is a second document in the file")}
	}
	if len(doc.Content) == 0 || doc.Content[0].Tag == "!!null" {
		return f, &FileError{Reason: calc.F("the file is empty")}
	}
	f.value(doc.Content[0], reflect.ValueOf(into).Elem(), "")
	return f, nil
}

// slips notes, line by line, what the reader of YAML ends at first: a tab that
// indents, and a colon within a text without quotes.
func (f *file) slips(data []byte) {
	for i, line := range strings.Split(string(data), "\n") {
		text := strings.TrimLeft(line, " ")
		key, value, ok := strings.Cut(text, ": ")
		switch {
		case strings.HasPrefix(text, "\t"):
			f.fail(i+1, "a tab stands in front: indent with spaces")
		case ok && plainKey.MatchString(key) && plainColon.MatchString(value):
			f.fail(i+1, "a colon stands within the text: put it in quotes, as %s: %q", key, strings.TrimSpace(value))
		}
	}
}

var (
	plainKey   = regexp.MustCompile(`^(?:- )?[a-z_]+$`)
	plainColon = regexp.MustCompile(`^[^"'{\[|>&#!]*: `)
)

// err returns what was found wrong, in the order of the lines.
func (f *file) err() error {
	slices.SortStableFunc(f.errs, func(a, b error) int { return cmp.Compare(lineOf(a), lineOf(b)) })
	return errors.Join(f.errs...)
}

// lineOf returns the line that an error names of this file; what is wrong in
// a file beside it has none here.
func lineOf(err error) int {
	if e, ok := err.(*FileError); ok {
		return e.Line
	}
	return 0
}

// fail notes an error at a line.
func (f *file) fail(line int, key string, args ...any) {
	if len(f.errs) >= maxFileErrors {
		return
	}
	for i, a := range args {
		if several, ok := a.(interface{ Unwrap() []error }); ok { // they share the line
			args[i] = list("%s; %s", several.Unwrap())
		}
	}
	f.errs = append(f.errs, &FileError{Line: line, Reason: calc.F(key, args...)})
}

// expect notes an error at the line of a path if ok is false.
func (f *file) expect(ok bool, path, key string, args ...any) {
	if !ok && !f.unread(path) {
		f.fail(f.lines[path], "%s: %s", path, calc.F(key, args...))
	}
}

// unread reports whether of a path, of what it stands in or of something in it no
// value was read: that is told already.
func (f *file) unread(path string) bool {
	for bad := range f.bad {
		if bad == path || below(path, bad) || below(bad, path) {
			return true
		}
	}
	return false
}

// below reports whether a path stands within another.
func below(path, other string) bool {
	return strings.HasPrefix(path, other) && len(path) > len(other) && (other == "" || path[len(other)] == '.' || path[len(other)] == '[')
}

// wrong notes that no value was read at a path.
func (f *file) wrong(line int, path, key string, args ...any) {
	f.bad[path] = true
	f.fail(line, key, args...)
}

// value decodes a node into v.
func (f *file) value(n *yaml.Node, v reflect.Value, path string) {
	f.lines[path] = n.Line
	if n.Kind == yaml.AliasNode {
		f.wrong(n.Line, path, "%s: anchors are not read, write it out", path)
		return
	}
	if t, ok := v.Addr().Interface().(textual); ok {
		if n.Kind != yaml.ScalarNode {
			f.wrong(n.Line, path, "%s: want a word or a number", path)
		} else if err := t.fromText(n.Value); err != nil {
			f.wrong(n.Line, path, "%s: %s", path, err)
		}
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		f.mapping(n, v, path)
	case reflect.Map:
		f.table(n, v, path)
	case reflect.Slice:
		if n.Kind != yaml.SequenceNode {
			f.wrong(n.Line, path, "%s: want a list", path)
			return
		}
		v.Set(reflect.MakeSlice(v.Type(), len(n.Content), len(n.Content)))
		for i, c := range n.Content {
			f.value(c, v.Index(i), fmt.Sprintf("%s[%d]", path, i+1))
		}
	default:
		if n.Kind != yaml.ScalarNode {
			f.wrong(n.Line, path, "%s: want one value", path)
			return
		}
		if err := scalar(n, v); err != nil {
			f.wrong(n.Line, path, "%s: %s", path, err)
		}
	}
}

// pairs calls fn with each key of a mapping and its value.
func (f *file) pairs(n *yaml.Node, path string, fn func(key, value *yaml.Node)) {
	if n.Kind != yaml.MappingNode {
		if path == "" {
			f.wrong(n.Line, path, "the file: want keys with values")
		} else {
			f.wrong(n.Line, path, "%s: want keys with values", path)
		}
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		if seen[k.Value] {
			f.fail(k.Line, "%s stands there twice", join(path, k.Value))
			continue
		}
		seen[k.Value] = true
		fn(k, n.Content[i+1])
	}
}

// mapping decodes a mapping into a struct.
func (f *file) mapping(n *yaml.Node, v reflect.Value, path string) {
	fields, names, need := map[string]reflect.Value{}, map[string]string{}, []string{} // names are the keys of now by those before
	for i := range v.NumField() {
		key, optional := strings.CutSuffix(v.Type().Field(i).Tag.Get("yaml"), ",optional")
		key, old, renamed := strings.Cut(key, ",was=")
		if key == "" {
			continue
		}
		fields[key] = v.Field(i)
		if renamed {
			fields[old], names[old] = v.Field(i), key
		}
		if !optional {
			need = append(need, key)
		}
	}
	given := map[string]bool{}
	f.pairs(n, path, func(k, val *yaml.Node) {
		field, ok := fields[k.Value]
		if !ok {
			f.fail(k.Line, "%s is not a key I know", join(path, cut(k.Value, 40)))
			return
		}
		key := cmp.Or(names[k.Value], k.Value)
		if given[key] {
			f.fail(k.Line, "%s stands there twice", join(path, key))
		}
		given[key] = true
		f.value(val, field, join(path, key))
	})
	for _, key := range need {
		if !given[key] && n.Kind == yaml.MappingNode {
			f.wrong(n.Line, join(path, key), "%s is missing", join(path, key))
		}
	}
}

// table decodes a mapping into a map with strings for keys.
func (f *file) table(n *yaml.Node, v reflect.Value, path string) {
	v.Set(reflect.MakeMap(v.Type()))
	f.pairs(n, path, func(k, val *yaml.Node) {
		elem := reflect.New(v.Type().Elem()).Elem()
		f.value(val, elem, join(path, k.Value))
		v.SetMapIndex(reflect.ValueOf(k.Value), elem)
	})
}

// scalar decodes one value.
func scalar(n *yaml.Node, v reflect.Value) error {
	if u, ok := fileUnits[v.Type()]; ok {
		return quantity(n.Value, v, u)
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(strings.TrimSpace(n.Value))
		if v.String() == "" || n.Tag == "!!null" {
			return calc.F("there is nothing behind it")
		}
	case reflect.Bool:
		if n.Tag != "!!bool" {
			return calc.F("%q is neither true nor false", cut(n.Value, 40))
		}
		v.SetBool(strings.EqualFold(n.Value, "true"))
	case reflect.Int:
		i, err := strconv.Atoi(n.Value)
		if err != nil {
			return calc.F("%q is no whole number", cut(n.Value, 40))
		}
		v.SetInt(int64(i))
	case reflect.Float64:
		x, err := strconv.ParseFloat(n.Value, 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return calc.F("%q is no number", cut(n.Value, 40))
		}
		v.SetFloat(x)
	}
	return nil
}

// quantity decodes a number with its unit.
func quantity(s string, v reflect.Value, units map[string]float64) error {
	m := quantityText.FindStringSubmatch(strings.TrimSpace(s))
	factor := 0.0
	if m != nil {
		factor = units[m[2]]
	}
	if m != nil && factor == 0 {
		return calc.F("%q: %s is not taken here: write it as %s", cut(s, 40), cut(m[2], 40), fileUnit[v.Type()])
	}
	if comma := strings.Replace(s, ",", ".", 1); m == nil && quantityText.MatchString(strings.TrimSpace(comma)) {
		return calc.F("%q: decimals have a point here: write %s", cut(s, 40), cut(comma, 40))
	}
	if m == nil {
		return calc.F("%q: write it with its unit, as %s", cut(s, 40), fileUnit[v.Type()])
	}
	x, err := strconv.ParseFloat(m[1], 64)
	if err != nil || math.Abs(x*factor) > 1e15 {
		return calc.F("%q is too large", cut(s, 40))
	}
	if v.CanInt() {
		v.SetInt(int64(math.Round(x * factor)))
	} else {
		v.SetFloat(x * factor)
	}
	return nil
}

// join puts a key behind a path.
func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
