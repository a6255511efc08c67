package verdict

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"topnote/internal/pass/passtest"
	"topnote/internal/quality"
)

var update = flag.Bool("update", false, "rewrite golden files and the tables in docs")

// Every example gets its verdict, by its rule, and every rule gives one.
func TestExamples(t *testing.T) {
	given := map[string]bool{}
	for _, e := range examples() {
		f, r := worst(e.summary(), e.query, quality.Quality{}, Default())
		given[r.name] = true
		if r.code != e.want || r.name != e.rule {
			t.Errorf("%s: %s (%s), want %s (%s)\n  %s", e.name, r.code, r.name, e.want, e.rule, r.says(f))
		}
	}
	for _, r := range rules {
		if !given[r.name] {
			t.Errorf("no example for the rule %q", r.name)
		}
	}
}

// What is said is read by people: see testdata/golden/replies.txt after every
// change of a sentence.
func TestReplies(t *testing.T) {
	var b strings.Builder
	for _, e := range examples() {
		fmt.Fprintf(&b, "=== %s\n--- %s\n%s\n", e.name, e.want, Reply(e.judge()))
	}
	golden(t, "replies.txt", b.String())
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s differs; if it is meant, run go test -update:\n%s", name, d)
	}
}

// Sentences that a program put together can go wrong in ways that no reader of
// the source sees.
func TestSentences(t *testing.T) {
	bad := regexp.MustCompile(`%!|NaN|Inf|  |\d{5,}|\d{4}\.\d| ,|-\d`)
	for _, e := range examples() {
		v := e.judge()
		all := append([]string{v.Says}, v.Advice...)
		all = append(all, v.Cautions...)
		for _, f := range v.Findings {
			all = append(all, f.Says, f.Advice)
		}
		for _, s := range all {
			if bad.MatchString(s) || !strings.HasSuffix(s, ".") || s[:1] != strings.ToUpper(s[:1]) {
				t.Errorf("%s: %q", e.name, s)
			}
		}
		if len(v.Advice) == 0 || len(v.Cautions) == 0 {
			t.Errorf("%s: advice %q, cautions %q", e.name, v.Advice, v.Cautions)
		}
		if n := strings.Count(strings.TrimSuffix(v.Says, "."), ". "); n > 2 {
			t.Errorf("%s: the verdict has %d sentences: %q", e.name, n+1, v.Says)
		}
		if len(Reply(v)) > 2500 {
			t.Errorf("%s: a reply of %d bytes is no message", e.name, len(Reply(v)))
		}
	}
}

// The sentence names its evidence by time wherever there is some.
func TestEvidenceByTime(t *testing.T) {
	when := regexp.MustCompile(`from \d+\.\d s to \d+\.\d s|at \d+\.\d s`)
	for _, e := range examples() {
		if v := e.judge(); v.Code != NoEngine && v.Code != NotEnough && !when.MatchString(v.Says) {
			t.Errorf("%s: %q names no time", e.name, v.Says)
		}
	}
}

// No advice turns a screw by more than an eighth, and none that leans comes
// without a check against the limit.
func TestAdviceIsSmallSteps(t *testing.T) {
	turn := regexp.MustCompile(`\d+/\d+`)
	for _, e := range examples() {
		v := e.judge()
		for _, s := range v.Advice {
			for _, step := range turn.FindAllString(s, -1) {
				if step != "1/8" {
					t.Errorf("%s: a step of %s in %q", e.name, step, s)
				}
			}
			if strings.Contains(s, "close the H screw") && (v.Code != RichInCut || !strings.Contains(s, "under the limit")) {
				t.Errorf("%s: %s leans with %q", e.name, v.Code, s)
			}
		}
	}
}

// The orders of the constants, of Danger and of the table agree.
func TestDanger(t *testing.T) {
	order := []Code{OverLimit, AtLimit, CleanBelowLimit, SparkLimited, Governed, NotEnough, NoLimit, NoEngine, RichInCut, FourStroking, BelowLimit}
	if !slices.IsSortedFunc(order, func(a, b Code) int { return b.Danger() - a.Danger() }) {
		t.Error("the codes are not in order of danger")
	}
	last := map[Code]int{}
	for i, r := range rules {
		last[r.code] = i
	}
	for _, code := range order {
		if _, ok := last[code]; !ok {
			t.Errorf("no rule gives %s", code)
		}
	}
	// No code that calls an engine safe comes before one that warns.
	for i, r := range rules {
		safe := r.code == RichInCut || r.code == FourStroking
		if safe && (i < last[CleanBelowLimit] || i < last[OverLimit] || i < last[AtLimit] || i < last[SparkLimited] || i < last[NotEnough]) {
			t.Errorf("the rule %q comes too early", r.name)
		}
	}
}

func TestOtherIsNamed(t *testing.T) {
	tests := []struct {
		name  string
		track *passtest.Track
		limit float64
		want  float64
	}{
		{"the double, over the limit", opened(1, 7000).Hold(3, 7000).Other(2, 0.25), 13500, 14000},
		{"the half, under it", opened(2, 12500).Fires(2).Hold(3, 12500).Other(0.5, 0.2), 13500, 6250},
		{"hardly believed", opened(3, 12500).Fires(2).Hold(3, 12500).Other(0.5, 0.05), 13500, 0},
	}
	for _, tt := range tests {
		e := example{track: tt.track, query: saw(13500)}
		if got := float64(e.judge().Alternative); got < tt.want*0.98 || got > tt.want*1.02 {
			t.Errorf("%s: other %.0f, want %.0f", tt.name, got, tt.want)
		}
	}
}
