// Package house holds the test that keeps the layout of the program as
// DEVELOPERS.md shows it. It has no code of its own.
package house

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// module is the path that our own imports begin with.
const module = "topnote/"

// arrows says for each package which packages of ours it may import: a line
// from engine to web, with air, layout, book, diagnose and synth beside it. A row with fewer names
// than the line allows is meant so.
var arrows = map[string]string{
	"internal/engine":          "",
	"internal/audio":           "",
	"internal/binom":           "",
	"internal/race":            "",
	"internal/audio/audiotest": "audio",
	"internal/dsp":             "engine",
	"internal/parallel":        "",
	"internal/clip":            "audio dsp engine parallel",
	"internal/spectrum":        "clip audio dsp engine",
	"internal/noise":           "audio dsp engine",
	"internal/shaft":           "spectrum audio dsp engine parallel",
	"internal/firing":          "noise shaft audio dsp engine",
	"internal/pass":            "firing shaft dsp engine",
	"internal/pass/passtest":   "firing shaft synth engine",
	"internal/quality":         "shaft noise spectrum clip audio dsp engine parallel",
	"internal/verdict":         "quality pass engine",
	"internal/report":          "verdict quality pass shaft spectrum clip engine",
	"internal/picture":         "report verdict pass shaft spectrum clip engine",
	"internal/measure":         "picture report verdict quality pass firing shaft noise spectrum clip engine parallel",
	"internal/web/fault":       "parallel measure book clip air",
	"internal/web/pace":        "web/fault",
	"internal/web/jobs":        "web/pace web/fault parallel measure report clip engine",
	"internal/web/books":       "web/fault measure diagnose book picture report air engine",
	"internal/web/access":      "web/pace web/fault parallel",
	"internal/web/api":         "web/books web/jobs web/pace web/fault measure diagnose book picture report air",
	"internal/web/page":        "web/books web/jobs web/pace web/fault measure diagnose book picture report verdict air engine",
	"internal/web":             "web/access web/api web/page web/books web/jobs web/pace parallel",
	"internal/air":             "engine",
	"internal/layout":          "",
	"internal/book":            "layout report air engine",
	"internal/diagnose":        "book layout report air engine",
	"internal/synth":           "dsp audio engine",
	"internal/house":           "",
	"cmd/topnote":              "measure diagnose book web web/access web/books picture report verdict pass shaft spectrum clip air synth engine parallel",
}

// testArrows may be imported by the tests of any package, besides what the
// package itself may import: made sound, made tracks, the way to a file, the
// bounds of counts, and whether the race detector is on.
const testArrows = "synth pass/passtest clip audio audio/audiotest binom race"

// ownTestArrows are arrows that only the tests of one package have.
var ownTestArrows = map[string]string{
	"internal/quality": "firing",                                                    // how many readings a damage costs
	"internal/verdict": "shaft",                                                     // tracks that are changed by hand
	"internal/web":     "web/fault measure diagnose book picture report air engine", // it is tested from outside, whole
}

// listed is what `go list -json` says of a package.
type listed struct {
	ImportPath                         string
	Imports, TestImports, XTestImports []string
}

func list(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-pgo=off", "-json=ImportPath,Imports,TestImports,XTestImports", module+"...") // a profile gives packages second names
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

// TestImports fails on an import that the table has no arrow for.
func TestImports(t *testing.T) {
	packages := list(t)
	if len(packages) < 10 {
		t.Fatalf("go list found only %d packages of ours", len(packages))
	}
	for _, p := range packages {
		name := strings.TrimPrefix(p.ImportPath, module)
		row, known := arrows[name]
		if !known {
			t.Errorf("%s is not in the table: give it a row in arrows and a line in DEVELOPERS.md", name)
			continue
		}
		for _, i := range p.Imports {
			if to, ours := strings.CutPrefix(i, module); ours && !allowed(row, to) {
				t.Errorf("%s imports %s; its row in arrows allows: %s", name, to, row)
			}
		}
		for _, i := range append(p.TestImports, p.XTestImports...) {
			to, ours := strings.CutPrefix(i, module)
			if ours && to != name && !allowed(row+" "+testArrows+" "+ownTestArrows[name], to) && !strings.HasPrefix(to, name+"/") {
				t.Errorf("a test of %s imports %s; its row in arrows allows: %s, and for tests: %s", name, to, row, testArrows+" "+ownTestArrows[name])
			}
		}
	}
}

func allowed(row, to string) bool {
	return slices.Contains(strings.Fields(row), strings.TrimPrefix(to, "internal/"))
}

// TestTableIsALine checks the table itself: no package may reach, by any way,
// one that may reach it.
func TestTableIsALine(t *testing.T) {
	reach := func(from string) map[string]bool {
		seen := map[string]bool{}
		var walk func(string)
		walk = func(p string) {
			for _, next := range strings.Fields(arrows[p]) {
				next = "internal/" + next
				if !seen[next] {
					seen[next] = true
					walk(next)
				}
			}
		}
		walk(from)
		return seen
	}
	for p := range arrows {
		if reach(p)[p] {
			t.Errorf("%s can reach itself by the arrows of the table", p)
		}
	}
}
