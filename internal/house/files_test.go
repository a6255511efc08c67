package house

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"testing"
)

// goFiles gives every Go file of the module, parsed, by its path from the root.
func goFiles(t *testing.T, set *token.FileSet) map[string]*ast.File {
	t.Helper()
	const root = "../.."
	files := map[string]*ast.File{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".go" {
			return err
		}
		f, err := parser.ParseFile(set, path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(root, path)
		files[filepath.ToSlash(name)] = f
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 100 {
		t.Fatalf("only %d Go files were found", len(files))
	}
	return files
}
