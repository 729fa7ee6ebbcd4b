package keys

import (
	"go/ast"
	"go/token"
	"go/types"
)

// flow is an expression whose value goes to a variable: a parameter, a field,
// or a local one.
type flow struct {
	value   ast.Expr
	element bool          // one of its elements goes there
	result  int           // of a call with several results
	call    *ast.CallExpr // the value is an argument of it
	rest    int           // how many arguments stand at the last, variadic parameter of the call
}

// flows says what goes where.
type flows struct {
	*source
	into map[types.Object][]flow
}

// follow finds what goes where in all that was loaded.
func follow(s *source) *flows {
	f := &flows{s, map[types.Object][]flow{}}
	for pkg, files := range s.code {
		if pkg == module+"bot/say" {
			continue // where the sentences are made
		}
		for _, file := range files {
			var in []types.Object // the functions around a node; nil for one without a name
			ast.PreorderStack(file, nil, func(n ast.Node, stack []ast.Node) bool {
				in = in[:0]
				for _, around := range stack {
					switch around := around.(type) {
					case *ast.FuncDecl:
						in = append(in, s.object(around.Name))
					case *ast.FuncLit:
						in = append(in, nil)
					}
				}
				f.node(n, in)
				return true
			})
		}
	}
	return f
}

func (f *flows) put(to types.Object, value flow) {
	if to != nil {
		f.into[to] = append(f.into[to], value)
	}
}

func (f *flows) node(n ast.Node, in []types.Object) {
	switch n := n.(type) {
	case *ast.CallExpr:
		f.call(n)
	case *ast.CompositeLit:
		f.literal(n)
	case *ast.AssignStmt:
		f.assign(n.Lhs, n.Rhs)
	case *ast.ValueSpec:
		names := make([]ast.Expr, len(n.Names))
		for i, name := range n.Names {
			names[i] = name
		}
		f.assign(names, n.Values)
	case *ast.RangeStmt:
		f.put(f.object(n.Value), flow{value: n.X, element: true})
	case *ast.ReturnStmt:
		if len(in) > 0 && in[len(in)-1] != nil {
			for i, r := range n.Results {
				f.put(in[len(in)-1], flow{value: r, result: i})
			}
		}
	}
}

func (f *flows) assign(to, values []ast.Expr) {
	for i, t := range to {
		switch {
		case len(to) == len(values):
			if at, ok := t.(*ast.IndexExpr); ok {
				f.put(f.object(at.X), flow{value: &ast.CompositeLit{Elts: values[i : i+1]}})
				continue
			}
			f.put(f.object(t), flow{value: values[i]})
		case len(values) == 1:
			f.put(f.object(t), flow{value: values[0], result: i})
		}
	}
}

// call takes a call's arguments to the parameters.
func (f *flows) call(n *ast.CallExpr) {
	to := f.object(n.Fun)
	if to == nil {
		return
	}
	sig, ok := to.Type().(*types.Signature)
	if !ok {
		return
	}
	last := sig.Params().Len() - 1
	for i, arg := range n.Args {
		if !sig.Variadic() || i < last || n.Ellipsis != token.NoPos {
			if i <= last {
				f.put(sig.Params().At(i), flow{value: arg, call: n, rest: len(n.Args) - last})
			}
			continue
		}
		f.put(sig.Params().At(last), flow{value: &ast.CompositeLit{Elts: []ast.Expr{arg}}})
	}
}

// literal takes the parts of a struct to its fields.
func (f *flows) literal(n *ast.CompositeLit) {
	t := f.info.TypeOf(n)
	if t == nil {
		return
	}
	if p, ok := t.Underlying().(*types.Pointer); ok {
		t = p.Elem()
	}
	s, ok := t.Underlying().(*types.Struct)
	if !ok {
		return
	}
	for i, e := range n.Elts {
		if pair, ok := e.(*ast.KeyValueExpr); ok {
			f.put(f.object(pair.Key), flow{value: pair.Value})
		} else if i < s.NumFields() {
			f.put(s.Field(i).Origin(), flow{value: e})
		}
	}
}
