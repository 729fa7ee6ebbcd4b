package keys

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"regexp"
	"slices"
	"strings"
)

// aside are packages that only tests use.
var aside = []string{module + "bot/slack/fake", module + "bot/say/keys"}

// forTheLog are files whose errors nobody is told: what goes wrong between
// programs.
var forTheLog = []string{"jobs/store.go", "jobs/runner.go"}

// alike are what is put together in all languages alike: orders that are typed or
// pressed, and what a probe reads.
var alike = []string{"door open ", "correct exactly ", "visit done ", "snooze 2h of reminder ", "not ready: "}

// glued matches text with two words in it, figure the verb of a figure.
var (
	glued  = regexp.MustCompile(`[a-z'] [a-z]`)
	figure = regexp.MustCompile(`%[0-9.]*[a-z]`)
)

// glue finds words that are put together with others, and, of calc and jobs,
// errors without a key.
func (r *reader) glue() {
	for pkg, files := range r.code {
		makers := []string{"Sprintf"}
		switch pkg {
		case module + "calc", module + "jobs":
			makers = append(makers, "Errorf", "New")
		}
		if len(makers) == 1 && (!strings.HasPrefix(pkg, module+"bot") || slices.Contains(aside, pkg)) {
			continue
		}
		for _, f := range files {
			ast.Inspect(f, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.CallExpr:
					if to := lastName(n.Fun); slices.Contains(makers, to) && len(n.Args) > 0 {
						r.noWords(n.Args[0], "has no key")
					}
				case *ast.BinaryExpr:
					if n.Op == token.ADD && r.info.Types[n].Value == nil {
						r.noWords(n.X, "is glued to what stands beside it")
						r.noWords(n.Y, "is glued to what stands beside it")
					}
				}
				return true
			})
		}
	}
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

// noWords complains of a text with words in it.
func (r *reader) noWords(e ast.Expr, what string) {
	v := r.info.Types[e].Value
	if v == nil || v.Kind() != constant.String {
		return
	}
	text := constant.StringVal(v)
	if !glued.MatchString(figure.ReplaceAllString(text, "")) || slices.Contains(alike, text) {
		return
	}
	if file, _, _ := strings.Cut(r.at(e), ":"); !slices.Contains(forTheLog, file) {
		r.fault(e, fmt.Sprintf("%s %s", v, what))
	}
}
