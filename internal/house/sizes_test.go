package house

import (
	"go/ast"
	"go/token"
	"strings"
	"testing"
)

// The sizes that DEVELOPERS.md promises.
const (
	maxFunction   = 50  // lines, from "func" to the closing brace
	maxFile       = 400 // lines, of files that are not tests
	maxParameters = 5   // of functions that are not in tests
)

// TestSizes fails on a function, a file or a list of parameters that is too long.
func TestSizes(t *testing.T) {
	set := token.NewFileSet()
	for name, f := range goFiles(t, set) {
		if lines := set.Position(f.FileEnd).Line; lines > maxFile && !strings.HasSuffix(name, "_test.go") {
			t.Errorf("%s has %d lines; %d are allowed: part it by idea", name, lines, maxFile)
		}
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok {
				continue
			}
			if lines := linesOf(set, fn); lines > maxFunction {
				t.Errorf("%s: %s has %d lines; %d are allowed", name, fn.Name.Name, lines, maxFunction)
			}
			if n := fn.Type.Params.NumFields(); n > maxParameters && !strings.HasSuffix(name, "_test.go") {
				t.Errorf("%s: %s has %d parameters; %d are allowed: make a struct of them", name, fn.Name.Name, n, maxParameters)
			}
		}
	}
}

// linesOf counts the lines of a function, without the rows of its tables: what
// lies within the braces of a composite literal is data, unless it is a function.
func linesOf(set *token.FileSet, fn *ast.FuncDecl) int {
	span := func(n ast.Node) int { return set.Position(n.End()).Line - set.Position(n.Pos()).Line }
	lines := span(fn) + 1
	ast.Inspect(fn, func(n ast.Node) bool {
		table, ok := n.(*ast.CompositeLit)
		if !ok {
			return true
		}
		lines -= span(table)
		ast.Inspect(table, func(n ast.Node) bool {
			code, ok := n.(*ast.FuncLit)
			if ok {
				lines += span(code)
			}
			return !ok
		})
		return false
	})
	return lines
}
