package verdict

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// docs/verdicts.md shows the tables of this package; -update writes them.
func TestDocs(t *testing.T) {
	path := filepath.Join("..", "..", "docs", "verdicts.md")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	var r, s, c strings.Builder
	r.WriteString("| | what is heard | verdict | why |\n| --- | --- | --- | --- |\n")
	for i, x := range rules {
		fmt.Fprintf(&r, "| %d | %s | `%s` | %s |\n", i+1, x.name, x.code, x.why)
	}
	s.WriteString("| finding | danger | what it means | it can come from | what to do |\n| --- | --- | --- | --- | --- |\n")
	for _, x := range signs {
		fmt.Fprintf(&s, "| `%s` | %d | %s | %s | %s |\n", x.code, x.danger, x.why, strings.Join(x.from, "; "), x.do)
	}
	for _, x := range Cautions(engine.KindUnknown) {
		fmt.Fprintf(&c, "- %s\n", x)
	}
	want := between(t, text, "rules", r.String())
	want = between(t, want, "machines", machineTable())
	want = between(t, want, "findings", s.String())
	want = between(t, want, "cautions", c.String())
	if want != text && *update {
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	} else if want != text {
		t.Error("docs/verdicts.md does not show the tables as they are; run go test -update")
	}
	for _, code := range []Code{OverLimit, AtLimit, CleanBelowLimit, SparkLimited, Governed, NotEnough, NoLimit, NoEngine, RichInCut, FourStroking, BelowLimit} {
		if row := fmt.Sprintf("| `%s` | %d |", code, code.Danger()); !strings.Contains(text, row) {
			t.Errorf("docs/verdicts.md lacks the row %q", row)
		}
	}
}

// between puts a text between the marks of a name.
func between(t *testing.T, text, name, middle string) string {
	t.Helper()
	before, rest, found := strings.Cut(text, "<!-- "+name+" -->\n")
	_, after, closed := strings.Cut(rest, "<!-- end -->")
	if !found || !closed {
		t.Fatalf("the page has no marks for %s", name)
	}
	return before + "<!-- " + name + " -->\n" + middle + "<!-- end -->" + after
}

// The figures that docs/verdicts.md gives in prose are those of the options.
func TestDocsFigures(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "docs", "verdicts.md"))
	if err != nil {
		t.Fatal(err)
	}
	m, o := pass.Default(), Default()
	for _, want := range []string{
		fmt.Sprintf("highest speed held for %.1f s", m.HeldFor),
		fmt.Sprintf("no more than %.1f %% above", 100*m.HeldBand),
		fmt.Sprintf("and %.2f %% for the clock", 100*m.FloorSD),
		fmt.Sprintf("**Most of the time**: %.0f %% of", 100*o.Mostly),
		fmt.Sprintf("not the first %.1f s", m.SettleFor),
		fmt.Sprintf("nothing more than %.0f %% below", 100*m.LoadBand),
	} {
		if !strings.Contains(string(data), want) {
			t.Errorf("docs/verdicts.md does not say %q", want)
		}
	}
	words := map[float64]string{0.8: "four fifths", 0.9: "a tenth", 0.6: "two fifths", 1.25: "a quarter", 0.2: "a fifth"}
	for _, figure := range []float64{m.HeldShare, m.HighShare, m.PulledShare, o.ClutchRatio, o.FarUnder, float64(m.BriefFor)} {
		if words[figure] == "" {
			t.Errorf("docs/verdicts.md spells %v in words that are no longer true", figure)
		}
	}
}

// docs/recording.md shows who stands where, by machine; -update writes it.
func TestRecordingDocs(t *testing.T) {
	path := filepath.Join("..", "..", "docs", "recording.md")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("| machine | who stands where | before full throttle |\n| --- | --- | --- |\n")
	for _, k := range []engine.Kind{engine.Saw, engine.CutOffSaw, engine.Trimmer, engine.BrushCutter, engine.HedgeTrimmer, engine.Blower, engine.Auger, engine.Pump} {
		w := wordsOf(k)
		fmt.Fprintf(&b, "| %s | %s | %s |\n", strings.ReplaceAll(string(k), "-", " "), w.people, w.fitted)
	}
	want := between(t, string(data), "places", b.String())
	switch {
	case want == string(data):
	case !*update:
		t.Error("docs/recording.md does not show who stands where; run go test -update")
	default:
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
