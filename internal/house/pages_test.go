package house

import (
	"go/ast"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

func readPage(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// walkRow matches a row of the walk in DEVELOPERS.md: step, package, files.
var (
	walkRow = regexp.MustCompile("(?m)^\\| \\d+ \\| `([a-z/]+)` \\| (.*) \\|$")
	goFile  = regexp.MustCompile(`\b[a-z][a-z0-9_]*\.go\b`)
)

// TestWalk: every file that the walk in DEVELOPERS.md names is there, and every
// package is named there.
func TestWalk(t *testing.T) {
	page := readPage(t, "DEVELOPERS.md")
	rows := walkRow.FindAllStringSubmatch(page, -1)
	if len(rows) < 12 {
		t.Fatalf("only %d packages in the walk", len(rows))
	}
	for _, row := range rows {
		folder := row[1]
		if !strings.HasPrefix(folder, "cmd/") {
			folder = "internal/" + folder
		}
		for _, file := range goFile.FindAllString(row[2], -1) {
			if _, err := os.Stat(filepath.Join("..", "..", folder, file)); err != nil {
				t.Errorf("the walk names %s in %s: %v", file, folder, err)
			}
		}
	}
	for _, p := range list(t) {
		name := strings.TrimPrefix(strings.TrimPrefix(p.ImportPath, module), "internal/")
		if !strings.Contains(page, "`"+name+"`") {
			t.Errorf("DEVELOPERS.md does not name the package %s", name)
		}
	}
}

// TestMethod: every file that docs/method.md names is in one of the packages that it
// describes, and every option in its first table is a field of one.
func TestMethod(t *testing.T) {
	described := []string{"internal/shaft/", "internal/firing/", "internal/noise/", "internal/spectrum/"}
	page, _, _ := strings.Cut(readPage(t, "docs/method.md"), "## How far they can move")
	have, fields := map[string]bool{}, map[string]bool{}
	files := goFiles(t, token.NewFileSet())
	for file := range files {
		for _, folder := range described {
			if name, ok := strings.CutPrefix(file, folder); ok {
				have[name] = true
			}
		}
	}
	for name := range declared(files) {
		if parts := strings.Split(name, "."); len(parts) == 3 && slices.Contains(described, "internal/"+parts[0]+"/") {
			fields[parts[2]] = true
		}
	}
	named := goFile.FindAllString(page, -1)
	for _, file := range named {
		if !have[file] {
			t.Errorf("docs/method.md names %s, which is not there", file)
		}
	}
	options := regexp.MustCompile("`(?:[A-Za-z: \\[\\]]*\\.)?([A-Z][A-Za-z]*)`")
	rows := regexp.MustCompile("(?m)^\\| (`.*?) \\|").FindAllStringSubmatch(page, -1)
	for _, row := range rows {
		for _, m := range options.FindAllStringSubmatch(row[1], -1) {
			if !fields[m[1]] {
				t.Errorf("docs/method.md names the option %s, which is not there", m[0])
			}
		}
	}
	if len(named) < 15 || len(rows) < 20 {
		t.Errorf("only %d files and %d options were checked", len(named), len(rows))
	}
}

// TestDependencies: the table in DEVELOPERS.md has a reason for each module that
// go.mod requires for our own code and tools, and for no other.
func TestDependencies(t *testing.T) {
	_, table, found := strings.Cut(readPage(t, "DEVELOPERS.md"), "## Dependencies")
	if !found {
		t.Fatal("DEVELOPERS.md has no dependencies")
	}
	var required []string
	gomod := readPage(t, "go.mod")
	for line := range strings.Lines(gomod) {
		name, version, ok := strings.Cut(strings.TrimSpace(line), " v")
		if ok && !strings.Contains(version, "// indirect") && strings.Contains(name, ".") {
			required = append(required, strings.TrimPrefix(name, "require "))
		}
	}
	if len(required) < 15 {
		t.Errorf("only %d modules in go.mod", len(required))
	}
	tools := regexp.MustCompile(`(?m)^\t(\S+)/cmd/`).FindAllStringSubmatch(gomod, -1)
	for _, m := range tools {
		required = append(required, m[1])
	}
	for _, name := range required {
		if last := name[strings.LastIndex(name, "/")+1:]; !strings.Contains(table, name) && !strings.Contains(table, ", "+last+" |") {
			t.Errorf("DEVELOPERS.md gives no reason for %s", name)
		}
	}
	for _, m := range regexp.MustCompile(`(?m)^\| ([^ |,]+\.[^ |,]+)`).FindAllStringSubmatch(table, -1) {
		if !slices.Contains(required, m[1]) {
			t.Errorf("DEVELOPERS.md gives a reason for %s, which go.mod does not require", m[1])
		}
	}
}

// TestCommandsOfPages: where a page says go test -run or -bench, the packages are
// there and have such tests.
func TestCommandsOfPages(t *testing.T) {
	tests := map[string][]string{} // names of tests and benchmarks, by folder
	for file, f := range goFiles(t, token.NewFileSet()) {
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && strings.HasSuffix(file, "_test.go") {
				folder := file[:strings.LastIndex(file, "/")]
				tests[folder] = append(tests[folder], fn.Name.Name)
			}
		}
	}
	command := regexp.MustCompile("go test [^`\n]*")
	wanted := regexp.MustCompile(`-(?:run|bench) (?:'([^']*)'|(\S+))`)
	folders := regexp.MustCompile(`\./((?:internal|cmd)/[a-z/]+)`)
	for name := range prose(t) {
		if !strings.HasSuffix(name, ".md") {
			continue
		}
		for _, line := range command.FindAllString(readPage(t, name), -1) {
			var all []string
			for _, m := range folders.FindAllStringSubmatch(line, -1) {
				if _, err := os.Stat(filepath.Join("..", "..", m[1])); err != nil {
					t.Errorf("%s: %q: there is no %s", name, line, m[1])
				}
				all = append(all, tests[strings.TrimSuffix(m[1], "/")]...)
			}
			for _, m := range wanted.FindAllStringSubmatch(line, -1) {
				for _, one := range strings.Split(m[1]+m[2], "|") {
					one, _, _ = strings.Cut(one, "/")
					if re, err := regexp.Compile(one); len(all) > 0 && (err != nil || !slices.ContainsFunc(all, re.MatchString)) && one != "^$" {
						t.Errorf("%s: %q: there is no test or benchmark %s", name, line, one)
					}
				}
			}
		}
	}
}
