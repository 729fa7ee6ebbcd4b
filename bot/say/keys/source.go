package keys

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"strings"
)

// module is the path that our own packages begin with.
const module = "heelpost/"

// source is the code of our own packages, with the types of what it names.
// Packages of others are taken as empty: no sentence is made there.
type source struct {
	root  string
	files *token.FileSet
	code  map[string][]*ast.File // by import path
	pkgs  map[string]*types.Package
	info  types.Info
}

// load reads every package below the folders of a module.
func load(root string, folders ...string) (*source, error) {
	s := &source{root, token.NewFileSet(), map[string][]*ast.File{}, map[string]*types.Package{}, types.Info{
		Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}}
	for _, folder := range folders {
		err := filepath.WalkDir(filepath.Join(root, folder), func(path string, d os.DirEntry, err error) error {
			if err != nil || !d.IsDir() {
				return err
			}
			path, err = filepath.Rel(root, path)
			if err == nil {
				_, err = s.Import(module + filepath.ToSlash(path))
			}
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	return s, nil
}

// Import returns one of our own packages, and any other one empty.
func (s *source) Import(path string) (*types.Package, error) {
	if pkg, ok := s.pkgs[path]; ok {
		return pkg, nil
	}
	dir, ours := strings.CutPrefix(path, module)
	if !ours {
		pkg := types.NewPackage(path, filepath.Base(path))
		pkg.MarkComplete()
		s.pkgs[path] = pkg
		return pkg, nil
	}
	paths, err := filepath.Glob(filepath.Join(s.root, dir, "*.go"))
	if err != nil {
		return nil, err
	}
	for _, file := range paths {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(s.files, file, nil, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		s.code[path] = append(s.code[path], f)
	}
	config := types.Config{Importer: s, Error: func(error) {}} // what empty packages lack
	s.pkgs[path], _ = config.Check(path, s.files, s.code[path], &s.info)
	return s.pkgs[path], nil
}

// at returns where something stands.
func (s *source) at(n ast.Node) string {
	p := s.files.Position(n.Pos())
	if rel, err := filepath.Rel(s.root, p.Filename); err == nil {
		p.Filename = rel
	}
	return fmt.Sprintf("%s:%d", filepath.ToSlash(p.Filename), p.Line)
}

// object returns what a name stands for, or a selector's last one: of a generic
// function or type, the one that it is an instance of.
func (s *source) object(e ast.Expr) types.Object {
	switch e := e.(type) {
	case *ast.Ident:
		o := s.info.Uses[e]
		if o == nil {
			o = s.info.Defs[e]
		}
		switch o := o.(type) {
		case *types.Var:
			return o.Origin()
		case *types.Func:
			return o.Origin()
		}
		return o
	case *ast.SelectorExpr:
		return s.object(e.Sel)
	case *ast.ParenExpr:
		return s.object(e.X)
	case *ast.IndexExpr:
		if f, ok := s.object(e.X).(*types.Func); ok {
			return f
		}
	}
	return nil
}
