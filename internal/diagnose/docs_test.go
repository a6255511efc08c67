package diagnose

import (
	"flag"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"topnote/internal/air"
)

// fleetRuns is how many histories of a rare cause the page has, for each kind.
const fleetRuns = 2

var runs = flag.Int("runs", fleetRuns, "histories of each kind of machine with a rare cause")

var update = flag.Bool("update", false, "write docs/example-book.json and the blocks of docs/book.md and docs/causes.md anew")

// checkDocs holds a block of docs/book.md or docs/causes.md, between its mark and the end
// mark, to what it must be; -update rewrites it.
func checkDocs(t *testing.T, name, block string) {
	t.Helper()
	mark := "<!-- " + name + " -->\n"
	docsPage, page := "../../docs/book.md", []byte(nil)
	for _, path := range []string{docsPage, "../../docs/causes.md"} {
		var err error
		if page, err = os.ReadFile(path); err != nil {
			t.Fatal(err)
		}
		if docsPage = path; strings.Contains(string(page), mark) {
			break
		}
	}
	before, rest, found := strings.Cut(string(page), mark)
	old, after, closed := strings.Cut(rest, "<!-- end -->")
	if !found || !closed {
		t.Fatalf("%s has no place for %q", docsPage, name)
	}
	if old == block {
		return
	}
	if !*update {
		t.Errorf("%s: %q has\n%s\nit must have\n%s\n-update rewrites it", docsPage, name, old, block)
		return
	}
	if err := os.WriteFile(docsPage, []byte(before+mark+block+"<!-- end -->"+after), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestDocsSigns: the page shows the tables that the program goes by.
func TestDocsSigns(t *testing.T) {
	var b strings.Builder
	b.WriteString("| group | what | the mixture goes | people turn the screws | comes first |\n| --- | --- | --- | --- | --- |\n")
	for _, g := range groups {
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s |\n", g.group, g.name, g.mixture, g.screws, g.before)
	}
	checkDocs(t, "groups", b.String())

	b.Reset()
	b.WriteString("| cause | group | weight | seen, of 100 |\n| --- | --- | ---: | --- |\n")
	for _, row := range causeTable {
		var seen []string
		for _, s := range signTable {
			if v, told := row.shares[s.code]; told {
				seen = append(seen, fmt.Sprintf("%s %g", s.code, v))
			}
		}
		fmt.Fprintf(&b, "| `%s`: %s | `%s` | %g | %s |\n", row.cause, traits{}.adapt(row).name, row.group, row.weight, strings.Join(seen, ", "))
	}
	checkDocs(t, "causes", b.String())

	b.Reset()
	b.WriteString("| cause | how the bench tells |\n| --- | --- |\n")
	for _, row := range causeTable {
		fmt.Fprintf(&b, "| `%s` | %s |\n", row.cause, traits{}.adapt(row).check)
	}
	checkDocs(t, "checks", b.String())

	b.Reset()
	b.WriteString("| sign | usual, of 100 |\n| --- | ---: |\n")
	for _, s := range signTable {
		fmt.Fprintf(&b, "| `%s` | %g |\n", s.code, s.usual)
	}
	checkDocs(t, "signs", b.String())
}

// TestDocsReckoning works the page's example out by the formulas that it prints,
// and holds the program to the same figures.
func TestDocsReckoning(t *testing.T) {
	passes, err := storyBook(t).Passes("bench saw")
	if err != nil {
		t.Fatal(err)
	}
	e, err := Why(passes, 5, 4, Default())
	if err != nil {
		t.Fatal(err)
	}
	states := map[int]air.State{}
	for _, i := range []int{3, 4} {
		a, err := passes[i].Air.Air(air.Default())
		if err != nil {
			t.Fatal(err)
		}
		states[i] = a.State
	}
	dry := float64(air.DryDensity(states[4]) / air.DryDensity(states[3]))
	moist := float64(air.Density(states[4]) / air.Density(states[3]))
	shift := 100 * (dry/math.Sqrt(moist) - 1)
	k := e.Response.PerPercent
	change := float64(e.Now.SustainedRPM - e.Then.SustainedRPM)
	byAir := k * shift
	var b strings.Builder
	line := func(name, formula, value string) { fmt.Fprintf(&b, "%-8s = %-44s = %s\n", name, formula, value) }
	b.WriteString("```\n")
	line("air", fmt.Sprintf("%.4f/root of %.4f - 1", dry, moist), fmt.Sprintf("%.1f %%", shift))
	line("by air", fmt.Sprintf("%.0f rpm a percent x %.1f %%", k, shift), fmt.Sprintf("%.0f rpm", byAir))
	line("by H", fmt.Sprintf("%.0f rpm a turn x 0 turns", e.Response.PerTurn), "0 rpm")
	line("change", fmt.Sprintf("%.0f - %.0f", float64(e.Now.SustainedRPM), float64(e.Then.SustainedRPM)), fmt.Sprintf("%.0f rpm", change))
	line("left", fmt.Sprintf("%.0f - (%.0f) - 0", change, byAir), fmt.Sprintf("%.0f rpm", change-byAir))
	line("", fmt.Sprintf("%.0f/%.0f", change-byAir, k), fmt.Sprintf("%.1f %% of mixture", (change-byAir)/k))
	b.WriteString("```\n")
	checkDocs(t, "reckoning", b.String())

	// The program reckons with more digits; a rounded factor may move the last one.
	if got := partOf(e, partAir); math.Abs(got.Leaner-shift) > 0.06 || math.Abs(got.RPM-byAir) > 6 {
		t.Errorf("by hand the air makes %.2f %% and %.0f rpm, the program has %+v", shift, byAir, got)
	}
	if got := partOf(e, partRest); math.Abs(got.RPM-(change-byAir)) > 6 {
		t.Errorf("by hand %.0f rpm are left, the program has %+v", change-byAir, got)
	}
}

// TestDocsBayes works the belief in two causes out of three signs by hand, and
// holds the program to the same.
func TestDocsBayes(t *testing.T) {
	found := []evidence{{signNumber(faster), 1}, {signNumber(idleHigher), 1}, {signNumber(sinks), 0}}
	two := []Cause{CauseSeal, CauseStarved}
	m := newModel(traits{})
	var b strings.Builder
	b.WriteString("```\n")
	var weights [2]float64
	for n, c := range two {
		row := causeTable[number(c)]
		weights[n] = row.weight
		text := fmt.Sprintf("%g", row.weight)
		for _, f := range found {
			share, told := row.shares[f.sign().code]
			if !told {
				share = f.sign().usual
			}
			share /= 100
			if f.probability == 0 {
				share = 1 - share
			}
			weights[n] *= share
			text += fmt.Sprintf(" x %.2f", share)
		}
		fmt.Fprintf(&b, "%-13s %s = %.2f\n", c, text, weights[n])
	}
	b.WriteString("```\n")
	fmt.Fprintf(&b, "\nThe crank seal is %.0f times as likely as the starved supply.\n", weights[0]/weights[1])
	checkDocs(t, "bayes", b.String())

	o := Default()
	o.PairPriorFactor = 0 // single causes only, as by hand
	belief := m.judge(found, o)
	if got, want := belief.cause(CauseSeal)/belief.cause(CauseStarved), weights[0]/weights[1]; math.Abs(got/want-1) > 1e-9 {
		t.Errorf("the program has %v times, by hand %v", got, want)
	}
}

// TestDocsOptions: the page says what the program takes for granted.
func TestDocsOptions(t *testing.T) {
	o := Default()
	block := fmt.Sprintf(`- 1 %% leaner moves the top speed by %.1f %% of itself (sd %.1f): some %.0f rpm of 13,000.
- One turn of H out makes the mixture %.0f %% richer (sd %.0f), an eighth some %.1f %%.
- From one pass to the next the top speed differs by %.1f %% with nothing changed.
- Air that nobody noted may have moved the mixture by %g %% (sd); H that is noted for one
  pass of two by %g turns.
- A machine drifts by %.0f %% of its speed in a month by itself.
- Less than %g %% of mixture is not worth a cause: half a step of H.
`, 100*o.SpeedPerPercent, 100*o.SpeedPerPercentSD, o.SpeedPerPercent*13000, o.PercentPerTurn, o.PercentPerTurnSD,
		o.PercentPerTurn/8, 100*o.SpeedScatter, o.UnknownAir, o.PartlyKnownScrew, 100*o.MonthlyDrift, o.MinResidual)
	checkDocs(t, "granted", block)
}

// TestCodesOfVerdict: the codes that the book goes by are those of package
// verdict, whose tables docs/verdicts.md shows.
func TestCodesOfVerdict(t *testing.T) {
	page, err := os.ReadFile("../../docs/verdicts.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, code := range []string{
		codeOver, codeAt, codeClean, codeSpark, codeNotEnough, codeNoEngine, codeRichInCut, codeFourStroking, codeGoverned, codeBelow,
		findingNoReturn, findingHangs, findingClimbs, findingSinks, findingSurges, findingHunts, findingUnsteady, findingLeaps, findingSags,
	} {
		if !strings.Contains(string(page), "`"+code+"`") {
			t.Errorf("docs/verdicts.md has no %s", code)
		}
	}
}
