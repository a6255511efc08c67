package house

import (
	"go/ast"
	"go/token"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// declared gives every exported name of the packages below internal: Name,
// Type.Field and Type.Method, each behind the last part of its package's path.
func declared(files map[string]*ast.File) map[string]bool {
	names := map[string]bool{}
	for file, f := range files {
		if strings.HasSuffix(file, "_test.go") || !strings.HasPrefix(file, "internal/") {
			continue
		}
		in := path.Base(path.Dir(file)) + "."
		ast.Inspect(f, func(n ast.Node) bool {
			switch d := n.(type) {
			case *ast.FuncDecl:
				names[in+receiver(d)+d.Name.Name] = true
				return false
			case *ast.TypeSpec:
				names[in+d.Name.Name] = true
				if s, ok := d.Type.(*ast.StructType); ok {
					for _, field := range s.Fields.List {
						for _, name := range field.Names {
							names[in+d.Name.Name+"."+name.Name] = true
						}
					}
				}
			case *ast.ValueSpec:
				for _, name := range d.Names {
					names[in+name.Name] = true
				}
			}
			return true
		})
	}
	return names
}

// receiver gives the type of a method with a dot, "" for a function.
func receiver(d *ast.FuncDecl) string {
	if d.Recv == nil {
		return ""
	}
	t := d.Recv.List[0].Type
	if star, ok := t.(*ast.StarExpr); ok {
		t = star.X
	}
	if name, ok := t.(*ast.Ident); ok {
		return name.Name + "."
	}
	return "" // generic
}

// TestGlossary: every Go name in docs/glossary.md is declared, and no symbol has
// two meanings.
func TestGlossary(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", "docs", "glossary.md"))
	if err != nil {
		t.Fatal(err)
	}
	names := declared(goFiles(t, token.NewFileSet()))
	symbols := map[string]bool{}
	found := 0
	for line := range strings.Lines(string(page)) {
		cells := strings.Split(line, " | ")
		if len(cells) != 4 || strings.HasPrefix(line, "| symbol") || strings.HasPrefix(line, "| ---") {
			continue
		}
		if symbol := strings.Trim(cells[0], "| "); symbol != "" {
			if symbols[symbol] {
				t.Errorf("%s stands for two ideas", symbol)
			}
			symbols[symbol] = true
		}
		for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(cells[3], -1) {
			found++
			if !names[m[1]] {
				t.Errorf("%s is not declared; mend docs/glossary.md", m[1])
			}
		}
	}
	if found < 50 {
		t.Errorf("only %d Go names were checked", found)
	}
}
