// Package house has the tests that keep the layout of the program as DEVELOPERS.md
// shows it. It has no code of its own.
package house

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// module is the path that our own imports begin with.
const module = "topnote/"

// row is one package with all that it imports of ours.
type row struct {
	name, imports string
	tests         string // what only its tests import, besides testHelpers
	browser       bool   // it is built for a browser only
}

// rows is the order of the program: a package imports only packages above it. The
// imports are exact, so that this table is a picture of the program and an arrow
// that is no longer needed is noticed.
var rows = []row{
	{name: "internal/engine"},
	{name: "internal/audio"},
	{name: "internal/parallel"},
	{name: "internal/layout"},
	{name: "internal/sqlite"},
	{name: "internal/dsp", imports: "engine"},
	{name: "internal/air", imports: "engine layout"},
	{name: "internal/synth", imports: "dsp audio engine"},
	{name: "internal/resample", imports: "dsp engine"},
	{name: "internal/clip", imports: "resample dsp audio engine parallel"},
	{name: "internal/noise", imports: "dsp audio engine"},
	{name: "internal/spectrum", imports: "dsp audio engine"},
	{name: "internal/shaft", imports: "spectrum dsp audio engine parallel"},
	{name: "internal/entry", imports: "shaft engine"},
	{name: "internal/needle", imports: "shaft noise resample engine"},
	{name: "internal/firing", imports: "shaft dsp audio parallel engine", tests: "noise"},
	{name: "internal/quality", imports: "shaft clip noise spectrum dsp audio engine parallel", tests: "firing"},
	{name: "internal/pass", imports: "parallel firing shaft dsp engine"},
	{name: "internal/verdict", imports: "pass quality engine", tests: "shaft"},
	{name: "internal/report", imports: "verdict pass quality shaft clip dsp engine layout"},
	{name: "internal/picture", imports: "report verdict pass spectrum engine"},
	{name: "internal/measure", imports: "audio entry picture report verdict pass firing quality shaft clip noise spectrum engine parallel"},
	{name: "internal/live", imports: "measure report needle entry clip engine parallel"},
	{name: "internal/book", imports: "sqlite report air engine layout"},
	{name: "internal/diagnose", imports: "book report air engine layout"},
	{name: "internal/web/fault", imports: "entry book clip air parallel"},
	{name: "internal/web/pace", imports: "web/fault"},
	{name: "internal/web/policy"},
	{name: "internal/web/access", imports: "web/pace web/policy web/fault parallel"},
	{name: "internal/web/jobs", imports: "web/pace web/fault measure report entry clip engine parallel"},
	{name: "internal/web/books", imports: "web/fault diagnose book picture report entry air engine"},
	{name: "internal/web/api", imports: "web/books web/jobs web/pace web/fault diagnose book measure picture report air"},
	{name: "internal/web/listen", imports: "web/fault live needle engine"},
	{name: "internal/web/page", imports: "web/books web/jobs web/pace web/fault diagnose book measure picture report verdict entry air engine"},
	{name: "internal/web/phone", imports: "web/page web/api web/books web/jobs web/pace web/policy web/fault live needle engine parallel"},
	{name: "internal/web/offline", imports: "web/phone web/page", tests: "book report"},
	{
		name: "internal/web", imports: "web/page web/listen web/api web/books web/jobs web/offline web/access web/pace parallel",
		tests: "web/fault diagnose book live needle measure picture report air engine", // it is tested from outside, whole
	},
	{name: "cmd/topnote", imports: "web web/offline web/books web/access diagnose book live measure picture report verdict needle entry clip synth air engine"},

	{name: "cmd/topnote-phone", imports: "web/phone", browser: true},
	{name: "cmd/topnote-listen", imports: "needle entry engine", browser: true},
	{name: "cmd/topnote-listen", imports: "needle entry engine", browser: true},

	// For tests.
	{name: "internal/binom"},
	{name: "internal/vary"},
	{name: "internal/race"},
	{name: "internal/audio/audiotest", imports: "audio"},
	{name: "internal/pass/passtest", imports: "firing shaft synth engine"},
	{name: "internal/house"},
}

// testHelpers may be imported by the tests of any package, besides what the package
// itself imports: made sound, made tracks, the way to a file, the bounds of counts,
// and whether the race detector is on.
const testHelpers = "synth pass/passtest clip audio audio/audiotest binom race vary"

// listed is what `go list -json` says of a package.
type listed struct {
	ImportPath                         string
	Imports, TestImports, XTestImports []string
}

// list gives all packages of ours, as they are built for this system or, with GOOS and
// GOARCH in the environment, for another one.
func list(t *testing.T, environment ...string) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-pgo=off", "-json=ImportPath,Imports,TestImports,XTestImports", module+"...") // a profile gives packages second names
	cmd.Env = append(os.Environ(), environment...)
	out, err := cmd.Output()
	if err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			t.Fatalf("go list: %v\n%s", err, exit.Stderr)
		}
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

// ours gives the packages of ours among imports as the table names them, in order.
func ours(imports ...[]string) (names []string) {
	for _, path := range slices.Concat(imports...) {
		if name, ok := strings.CutPrefix(path, module); ok {
			names = append(names, strings.TrimPrefix(name, "internal/"))
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// sorted gives the names in a cell of the table, in order.
func sorted(cell string) []string {
	names := strings.Fields(cell)
	slices.Sort(names)
	return names
}

// TestImports fails on an import that its row in the table lacks, and on one that the
// row has and the package does not.
func TestImports(t *testing.T) {
	byName := map[string]row{}
	for _, r := range rows {
		if !r.browser {
			byName[r.name] = r
		}
	}
	packages := list(t)
	for _, p := range packages {
		name := strings.TrimPrefix(p.ImportPath, module)
		r, known := byName[name]
		if !known {
			t.Errorf("%s is not in the table: give it a row here and a place in DEVELOPERS.md", name)
			continue
		}
		delete(byName, name)
		own := ours(p.Imports)
		if !slices.Equal(own, sorted(r.imports)) {
			t.Errorf("%s imports %q, its row has %q", name, own, sorted(r.imports))
		}
		free := slices.Concat(own, strings.Fields(testHelpers), []string{strings.TrimPrefix(name, "internal/")})
		tests := slices.DeleteFunc(ours(p.TestImports, p.XTestImports), func(n string) bool { return slices.Contains(free, n) })
		if !slices.Equal(tests, sorted(r.tests)) {
			t.Errorf("tests of %s import %q besides, its row has %q", name, tests, sorted(r.tests))
		}
	}
	for name := range byName {
		t.Errorf("%s has a row in the table and is no package", name)
	}
}

// TestImportsInBrowser: built for a browser, each package imports the same of ours.
func TestImportsInBrowser(t *testing.T) {
	found := map[string][]string{}
	for _, p := range list(t, "GOOS=js", "GOARCH=wasm") {
		found[strings.TrimPrefix(p.ImportPath, module)] = ours(p.Imports)
	}
	for _, r := range rows {
		if own, ok := found[r.name]; !ok || !slices.Equal(own, sorted(r.imports)) {
			t.Errorf("in a browser, %s (there: %v) imports %q, its row has %q", r.name, ok, own, sorted(r.imports))
		}
	}
}

// TestOneWay: the table is in order, each package after those that it imports.
func TestOneWay(t *testing.T) {
	var above []string
	for _, r := range rows {
		for _, name := range strings.Fields(r.imports) {
			if !slices.Contains(above, name) {
				t.Errorf("%s imports %s, which is not above it in the table", r.name, name)
			}
		}
		above = append(above, strings.TrimPrefix(r.name, "internal/"))
	}
}
