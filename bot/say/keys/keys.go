// Package keys finds the key of every sentence in the source, so that a
// translator has a list of them, and so that tests can make up a language: what
// is said without a key shows there. Only tests use it.
//
// It begins at the functions that make a sentence of a key and goes back: to
// the constants that they are called with, and from a parameter, a field or a
// variable to whatever is put there, until only constants are left. What is no
// constant, or is glued of several, is a fault.
package keys

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot/say"
	"heelpost/bot/verb"
)

// Keys are the keys of all sentences, and the faults that were found on the
// way to them.
type Keys struct {
	Texts  []string // in order
	Faults []string
}

// use is how a key is used.
type use struct {
	args  int  // how many arguments it has; any or the caller's
	more  int  // arguments beside the caller's
	names bool // it is a name of say.Name: where it is no constant it may be an id
}

const (
	any_    = -1 // as many as it likes
	callers = -2 // those of the variadic parameter of whoever is called with the key
)

// holder is something that holds keys.
type holder struct {
	object  types.Object
	result  int // of a function
	element bool
	use     use
}

type reader struct {
	*flows
	seen   map[holder]bool
	texts  map[string]bool
	faults map[string]bool
	counts map[string]bool // whether a key has its arguments
}

// choice returns a key that is made of a table: [ask.Questions.Chosen] walks it.
const choice = "(*heelpost/bot/ask.Choice).key"

// Read returns the keys of the module at root.
func Read(root string) (*Keys, error) {
	k, err := read(root)
	if err != nil {
		return nil, err
	}
	k.Texts = append(k.Texts, verb.Questions.Chosen()...)
	slices.Sort(k.Texts)
	k.Texts = slices.Compact(k.Texts)
	return k, nil
}

// read returns the keys that the source has.
func read(root string) (*Keys, error) {
	s, err := load(root, "calc", "jobs", "bot", "cmd")
	if err != nil {
		return nil, err
	}
	r := &reader{follow(s), map[holder]bool{}, map[string]bool{}, map[string]bool{}, map[string]bool{}}
	for _, root := range []struct {
		pkg, function string
		parameter     int
		use           use
	}{
		{"bot/say", "F", 0, use{args: callers}},
		{"bot/say", "Count", 1, use{args: callers}},
		{"bot/say", "Count", 2, use{args: callers, more: 1}},
		{"bot/say", "Join", 0, use{}},
		{"bot/say", "Names", 0, use{}},
		{"bot/say", "Name", 0, use{names: true}},
		{"calc", "F", 0, use{args: callers}},
	} {
		f := s.pkgs[module+root.pkg].Scope().Lookup(root.function).(*types.Func)
		r.holder(holder{object: f.Signature().Params().At(root.parameter), use: root.use})
	}
	r.sentences()
	r.glue()
	maps.DeleteFunc(r.counts, func(_ string, right bool) bool { return right })
	maps.Copy(r.faults, r.counts)
	return &Keys{slices.Sorted(maps.Keys(r.texts)), slices.Sorted(maps.Keys(r.faults))}, nil
}

// sentences takes the constants that are sentences by their type, and what is
// returned by methods that make one.
func (r *reader) sentences() {
	for e, tv := range r.info.Types {
		call, made := e.(*ast.CallExpr)
		switch {
		case !r.isWord(tv.Type):
		case tv.Value != nil:
			r.key(e, constant.StringVal(tv.Value), use{})
		case made && r.info.Types[call.Fun].IsType():
			r.value(call.Args[0], false, 0, use{names: true})
		}
	}
	for to, in := range r.into {
		if f, ok := to.(*types.Func); !ok || f.Name() != "Sentence" {
			continue
		}
		for _, v := range in {
			if v.result == 0 && r.info.Types[v.value].Value != nil {
				r.value(v.value, false, 0, use{args: any_})
			}
		}
	}
}

// isWord reports whether a type is that of sentences held as their key.
func (r *reader) isWord(t types.Type) bool {
	n, ok := t.(*types.Named)
	return ok && n.Obj() == r.pkgs[module+"calc"].Scope().Lookup("Word")
}

// holder takes the keys that are put into a holder.
func (r *reader) holder(h holder) {
	if r.seen[h] {
		return
	}
	r.seen[h] = true
	for _, v := range r.into[h.object] {
		if _, isFunc := h.object.(*types.Func); isFunc && v.result != h.result {
			continue
		}
		u := h.use
		if v.call != nil && u.args == callers {
			u.args = any_
			if v.call.Ellipsis == token.NoPos {
				u.args = v.rest
			} else if r.isVariadic(v.call.Args[len(v.call.Args)-1]) {
				u.args = callers
			}
		}
		r.value(v.value, v.element || h.element, v.result, u)
	}
}

// isVariadic reports whether an expression is a function's variadic parameter,
// which is args everywhere, handed on as it is.
func (r *reader) isVariadic(e ast.Expr) bool {
	v, ok := r.object(e).(*types.Var)
	return ok && v.Kind() == types.ParamVar && v.Name() == "args"
}

// value takes the keys that an expression may be, or whose elements it has.
func (r *reader) value(e ast.Expr, element bool, result int, u use) {
	if v := r.info.Types[e].Value; v != nil {
		if v.Kind() == constant.String {
			r.key(e, constant.StringVal(v), u)
		}
		return
	}
	if u.names {
		r.enumerated(e)
	}
	switch e := e.(type) {
	case *ast.ParenExpr:
		r.value(e.X, element, result, u)
		return
	case *ast.UnaryExpr:
		r.value(e.X, element, result, u)
		return
	case *ast.KeyValueExpr:
		r.value(e.Value, element, result, u)
		return
	case *ast.CompositeLit:
		for _, part := range e.Elts {
			r.value(part, false, 0, u)
		}
		return
	case *ast.IndexExpr:
		if result == 0 {
			r.value(e.X, true, 0, u)
		}
		return
	case *ast.SliceExpr:
		r.value(e.X, element, 0, u)
		return
	case *ast.Ident, *ast.SelectorExpr:
		if v, ok := r.object(e).(*types.Var); ok {
			r.holder(holder{object: v, element: element, use: u})
			return
		}
	case *ast.CallExpr:
		if r.call(e, element, result, u) {
			return
		}
	}
	if !u.names {
		r.fault(e, "the key is no constant")
	}
}

// call takes the keys that a call returns, and reports whether that can be told.
func (r *reader) call(e *ast.CallExpr, element bool, result int, u use) bool {
	if tv := r.info.Types[e.Fun]; tv.IsType() || tv.IsBuiltin() {
		if r.isWord(tv.Type) {
			return true // as it is stored; those of the code are constants
		}
		for _, arg := range e.Args {
			r.value(arg, element, 0, u)
		}
		return true
	}
	f, ok := r.object(e.Fun).(*types.Func)
	if ok && f.FullName() == choice {
		return true
	}
	if !ok || len(r.into[f]) == 0 {
		return false
	}
	r.holder(holder{object: f, result: result, element: element, use: u})
	return true
}

// enumerated takes all constants of an expression's type, if it has a type of
// its own, as a stage has.
func (r *reader) enumerated(e ast.Expr) {
	if c, ok := e.(*ast.CallExpr); ok && r.info.Types[c.Fun].IsType() && len(c.Args) == 1 {
		e = c.Args[0]
	}
	n, ok := r.info.TypeOf(e).(*types.Named)
	if !ok || n.Obj().Pkg() == nil {
		return
	}
	for _, name := range n.Obj().Pkg().Scope().Names() {
		if c, ok := n.Obj().Pkg().Scope().Lookup(name).(*types.Const); ok && types.Identical(c.Type(), n) && c.Val().Kind() == constant.String {
			r.key(e, constant.StringVal(c.Val()), use{names: true})
		}
	}
}

var verbs = regexp.MustCompile(`%(\[[0-9]+\])?(.?)`)

// key takes a key.
func (r *reader) key(at ast.Expr, key string, u use) {
	if u.names {
		key = say.Name(key).String()
	}
	if key == "" || u.names && strings.Contains(key, "%") {
		return
	}
	r.texts[key] = true
	named := map[int]bool{}
	for _, v := range verbs.FindAllStringSubmatch(key, -1) {
		n := len(named) + 1
		switch {
		case v[0] == "%%":
			continue
		case v[1] != "":
			n, _ = strconv.Atoi(strings.Trim(v[1], "[]"))
		}
		named[n] = true
		if v[2] != "s" && v[2] != "q" {
			r.fault(at, fmt.Sprintf("%q has the verb %s", key, v[0]))
		}
	}
	// A table's key may be used in several ways: one of them must be its.
	count := fmt.Sprintf("%s: %q has %d verbs, and as many arguments nowhere", r.at(at), key, len(named))
	r.counts[count] = r.counts[count] || u.args < 0 || u.args+u.more == len(named)
}

func (r *reader) fault(at ast.Node, what string) {
	r.faults[r.at(at)+": "+what] = true
}
