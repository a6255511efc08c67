package diagnose

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// cleanPass is a pass that runs clean without load at a speed.
func cleanPass(day int, top report.Speed) step {
	return step{day: day, top: top, four: 0.02, code: codeClean}
}

// TestPastThePeak: between two clean passes, slower is not richer. Past the peak, the
// speed falls again.
func TestPastThePeak(t *testing.T) {
	t.Parallel()
	e := why(t, written(cleanPass(0, 13110), cleanPass(1, 12520)), 0)
	first, second := e.Causes[0].Cause, e.Causes[1].Cause
	if first != GroupPastPeak && first != GroupStarved && second != GroupPastPeak && second != GroupStarved {
		t.Errorf("it is called %s (%.2f), then %s (%.2f)", first, e.Causes[0].Probability, second, e.Causes[1].Probability)
	}
	if first == GroupRich || strings.Contains(e.Answer, "richer,") {
		t.Errorf("it is called %s: %s", first, e.Answer)
	}
	if !strings.Contains(e.Answer, "it is open whether") || partOf(e, partRest).Side != sideOpen {
		t.Errorf("it says %q of %+v", e.Answer, partOf(e, partRest))
	}
	if e.Next.Turns != 0 || e.Next.First == "" {
		t.Errorf("the next move is %+v", e.Next)
	}
}

// TestPastThePeakIsDecided: the cut, the rise and the air of the day decide on which
// side of the peak a clean engine is.
func TestPastThePeakIsDecided(t *testing.T) {
	t.Parallel()
	withCut := func(passes []book.Pass, speeds ...report.Speed) []book.Pass {
		for i, s := range speeds {
			passes[i].Report.Cut = &report.Cut{RPM: s, SDRPM: 50, CleanShare: 1}
			passes[i].Report.Rise = &report.Rise{TimeS: 0.5 + 0.2*float64(i), SDS: 0.03, IdleRPM: 2800, TopRPM: passes[i].Report.TopEnd.SustainedRPM}
		}
		return passes
	}
	weak := withCut(written(cleanPass(0, 13110), step{day: 1, top: 12520, four: 0.02, code: codeClean, findings: []string{findingSinks, findingSags}}), 9300, 8300)
	rich := withCut(written(cleanPass(0, 13110), cleanPass(1, 12520)), 9300, 9300)
	rich[1].Report.Cut.FourStrokingShare, rich[1].Report.Cut.CleanShare = 0.9, 0.1
	rich[1].Report.State.ChokeOpen = engine.No
	cold := written(
		step{top: 13000, four: 0.02, code: codeClean, air: "temp=28 rh=50 altitude=120"},
		step{day: 120, top: 12500, four: 0.02, code: codeClean, air: "temp=-2 rh=70 altitude=120"})
	for name, c := range map[string]struct {
		passes []book.Pass
		want   []Group
	}{
		"weak in the cut, sinks, bogs": {weak, []Group{GroupPastPeak}},
		"rich in the cut, choke on":    {rich, []Group{GroupRich}},
		"colder air, and slower":       {cold, []Group{GroupPastPeak}},
	} {
		e := why(t, c.passes, 0)
		if !slices.Contains(c.want, e.Causes[0].Cause) {
			t.Errorf("%s: it is called %s (%.2f), then %s (%.2f)", name, e.Causes[0].Cause, e.Causes[0].Probability, e.Causes[1].Cause, e.Causes[1].Probability)
		}
	}
}

// TestNewSparkPlug: a new plug is no cause of the fuel.
func TestNewSparkPlug(t *testing.T) {
	t.Parallel()
	for _, top := range []report.Speed{12100, 12600, 13100} {
		e := why(t, written(step{fuel: "fresh, 1:50"}, step{day: 3, top: top, fuel: "new spark plug"}), 0)
		for _, c := range e.Likely() {
			if c.Cause == GroupFuel || c.Cause == GroupRepaired {
				t.Errorf("%.0f rpm: %s (%.2f): %v", float64(top), c.Cause, c.Probability, c.For)
			}
		}
	}
	e := why(t, written(step{day: 1, fuel: "fresh, 1:50"}, step{day: 3, top: 12900, fuel: "new spark plug"}), 0)
	if e.Causes[0].Cause != GroupFreed || e.Causes[0].Which[0].Cause != CauseSparkRenewed {
		t.Errorf("it is called %+v", e.Causes[0])
	}
}

// TestFaultBeforeScrew: after a story of a leak no step opens a screw, neither that
// of the machine nor that of a cause.
func TestFaultBeforeScrew(t *testing.T) {
	t.Parallel()
	for seed := range uint64(histories) {
		h := leakGrows(seed)
		e := explain(observations(h.passes), h.then, h.now, Default())
		if e.Next.Turns != 0 || (e.Now.Verdict != codeFourStroking && e.Next.First == "") {
			t.Errorf("%d, %s: %+v", seed, e.Now.Verdict, e.Next)
		}
		wantConsistent(t, e)
	}
}

// failer is what a test and a property have in common.
type failer interface {
	Errorf(format string, args ...any)
}

// screwWords are what a sentence has that moves a screw.
var screwWords = []string{"pen H", "lose H", "urn it out", "urn it in", "1/8 turn", "1/16 turn", "urn H "}

// wantConsistent wants an explanation whose causes and next move do not contradict
// each other.
func wantConsistent(t failer, e Explanation) {
	o := Default()
	for _, c := range e.Causes {
		texts := append([]string{c.Next, c.Name, c.Screws, c.Particulars()}, append(c.For, c.Against...)...)
		for _, s := range c.Which {
			texts = append(texts, s.Check, s.Name)
		}
		for _, text := range texts {
			for _, w := range screwWords {
				if strings.Contains(text, w) {
					t.Errorf("%s moves a screw: %q", c.Cause, text)
				}
			}
		}
		fault := leanFault(groupOf(c.Cause))
		if fault && c.Probability >= o.MinSuspicion && e.Next.Turns != 0 {
			t.Errorf("%s has %.2f, and yet %+v", c.Cause, c.Probability, e.Next)
		}
	}
	says := strings.ReplaceAll(e.Next.Says, " turns out", "") // where a screw stood is no move
	for _, w := range screwWords {
		if strings.Contains(e.Answer, w) {
			t.Errorf("the answer moves a screw: %q", e.Answer)
		}
		if e.Next.Turns == 0 && strings.Contains(says, w) {
			t.Errorf("it leaves H, and says %q", e.Next.Says)
		}
	}
	if e.Next.First != "" && e.Next.Turns != 0 {
		t.Errorf("first %s, and yet %+v", e.Next.First, e.Next)
	}
	first := e.Causes[0]
	lean := e.Now.Verdict == codeOver || e.Now.Verdict == codeAt || e.Now.Verdict == codeClean
	if leanFault(groupOf(first.Cause)) && lean && e.Next.First == "" && !strings.HasPrefix(e.Next.Says, "The next move is told for the last pass only") && tellsMixture(e) {
		t.Errorf("%s comes first (%.2f), but the move is %+v", first.Cause, first.Probability, e.Next)
	}
}

// tellsMixture reports whether the move goes by the mixture at all.
func tellsMixture(e Explanation) bool { // by what the move says
	return !strings.Contains(e.Next.Says, "governor") && !strings.Contains(e.Next.Says, "sets itself")
}

// TestNeverContradicts: whatever machine, passes and notes, what explains them and
// what is to be done next agree.
func TestNeverContradicts(t *testing.T) {
	t.Parallel()
	codes := []string{codeOver, codeAt, codeClean, codeClean, codeSpark, codeGoverned, codeBelow, codeNotEnough, "no-limit", codeRichInCut, codeFourStroking, codeFourStroking}
	findings := []string{findingHangs, findingClimbs, findingSinks, findingSurges, findingHunts, findingSags, findingLeaps}
	notes := []string{"", "", "", "new", "cleaned", "dirty", "new spark plug", "fuel filter new", "carburettor rebuilt", "crank seal renewed", "old fuel", "1:25", "muffler opened"}
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		answers := []engine.Answer{"", engine.Yes, engine.No}
		build := engine.Build{
			Kind: rapid.SampledFrom(allKinds).Draw(t, "kind"), Governor: rapid.SampledFrom(answers).Draw(t, "governor"),
			Carburettor:       rapid.SampledFrom([]engine.Carburettor{"", engine.Screws, engine.Capped, engine.FixedJets, engine.SelfSetting}).Draw(t, "carburettor"),
			Charge:            rapid.SampledFrom([]engine.Charge{"", engine.Stratified}).Draw(t, "charge"),
			FilterCompensated: rapid.SampledFrom(answers).Draw(t, "compensated"),
		}
		var steps []step
		for i := range rapid.IntRange(2, 8).Draw(t, "passes") {
			s := step{
				day: 9 * i, top: report.Speed(11500 + 2500*rng.Float64()), four: 0.01 + 0.98*rng.Float64(), idle: report.Speed(2500 + 900*rng.Float64()),
				code: codes[rng.IntN(len(codes))], h: book.Turns(1 + 0.125*float64(rng.IntN(5))), filter: notes[rng.IntN(6)], fuel: notes[rng.IntN(len(notes))],
			}
			for _, f := range findings {
				if rng.IntN(5) == 0 {
					s.findings = append(s.findings, f)
				}
			}
			steps = append(steps, s)
		}
		passes := written(steps...)
		for i := range passes {
			passes[i].Report.Engine.Build = build
			if rng.IntN(3) == 0 {
				passes[i].Screws, passes[i].Air = book.Screws{}, nil
			}
		}
		all := observations(passes)
		now := len(all) - 1
		wantConsistent(t, explain(all, rng.IntN(now), now, Default()))
	})
}

// TestMoreOil: more oil is slightly leaner, and never called rich.
func TestMoreOil(t *testing.T) {
	t.Parallel()
	row := causeTable[number(CauseOil)]
	if row.shares[faster] <= row.shares[slower] || row.shares[burblesLess] <= row.shares[burblesMore] || !strings.Contains(row.check, "slightly leaner") {
		t.Errorf("%+v", row)
	}
	e := why(t, written(step{fuel: "1:50"}, step{day: 3, top: 12850, fuel: "1:25"}), 0)
	two := e.Causes[:2] // it is so little that it may be nothing at all
	if i := slices.IndexFunc(two, func(c RankedCause) bool { return c.Cause == GroupFuel }); i < 0 || two[i].Which[0].Cause != CauseOil {
		t.Errorf("it is called %+v", two)
	}
}

// TestFilterAdvice: after a clean filter H is opened only if it was set on the dirty
// one; a compensated filter hardly changes the mixture.
func TestFilterAdvice(t *testing.T) {
	t.Parallel()
	loaded := func(closed book.Turns) []book.Pass {
		return written(step{filter: "new"}, step{day: 20, top: 12450}, step{day: 40, top: 12250}, step{day: 60, top: 12050 + report.Speed(2200*(float64(1.25-closed))), h: closed},
			step{day: 61, top: 12600 + report.Speed(2200*(float64(1.25-closed))), h: closed, filter: "cleaned"})
	}
	for name, c := range map[string]struct {
		passes []book.Pass
		want   string
	}{
		"set on the clean filter": {loaded(1.25), "H was not moved while the filter loaded up, so the old setting is restored"},
		"set on the dirty filter": {loaded(1.125), "H was closed by 1/8 of a turn while the filter loaded up, so that setting is lean now"},
	} {
		e := why(t, c.passes, 0)
		if e.Causes[0].Cause != GroupFreed || !strings.Contains(e.Causes[0].Next, c.want) {
			t.Errorf("%s: %s, %q", name, e.Causes[0].Cause, e.Causes[0].Next)
		}
	}
	compensated := written(step{filter: "new"}, step{day: 40, top: 12150, four: 0.72})
	for i := range compensated {
		compensated[i].Report.Engine.FilterCompensated = engine.Yes
	}
	plain := written(step{filter: "new"}, step{day: 40, top: 12150, four: 0.72})
	of := func(passes []book.Pass) float64 {
		e := why(t, passes, 0)
		for _, c := range e.Causes {
			for _, s := range c.Which {
				if s.Cause == CauseFilterLoaded {
					return s.Probability
				}
			}
		}
		return 0
	}
	if of(compensated) <= of(plain) {
		t.Errorf("slower at the same burble: a loaded filter has %.2f where it is compensated, %.2f where not", of(compensated), of(plain))
	}
}

// TestSpeedDoesNotTell: of a machine whose speed a governor or its own carburettor
// sees to, no cause is named by its speed, and no screw is turned.
func TestSpeedDoesNotTell(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		build   engine.Build
		strokes int
		says    string
	}{
		"governed":                   {engine.Build{Kind: engine.CutOffSaw, Governor: engine.Yes}, 2, "a governor holds the top speed"},
		"pump, governor not known":   {engine.Build{Kind: engine.Pump}, 2, "most such machines are governed"},
		"auger, governor not known":  {engine.Build{Kind: engine.Auger}, 2, "most such machines are governed"},
		"self-setting":               {engine.Build{Kind: engine.Saw, Carburettor: engine.SelfSetting}, 2, "the carburettor sets itself"},
		"four-stroke with governor":  {engine.Build{Kind: engine.Trimmer, Governor: engine.Yes}, 4, "a governor holds the top speed"},
		"four-stroke trimmer":        {engine.Build{Kind: engine.Trimmer}, 4, "faster"},
		"blower without a governor":  {engine.Build{Kind: engine.Blower, Governor: engine.No}, 2, "faster"},
		"pump without a governor":    {engine.Build{Kind: engine.Pump, Governor: engine.No}, 2, "faster"},
		"stratified, slower as rich": {engine.Build{Kind: engine.Saw, Charge: engine.Stratified}, 2, "faster"},
	} {
		passes := written(step{}, step{day: 30, top: 13700, code: codeOver})
		for i := range passes {
			passes[i].Report.Engine = report.Engine{Strokes: c.strokes, Cylinders: 1, Build: c.build}
		}
		e, err := Why(passes, 2, 0, Default())
		if err != nil || !strings.Contains(e.Answer, c.says) || e.Next.Turns != 0 {
			t.Errorf("%s: %v: %q, %+v", name, err, e.Answer, e.Next)
		}
		tells := traitsOf(passes[0].Report.Engine).speedTells()
		if (e.ChangeRPM != nil) != tells || (c.says == "faster") != tells {
			t.Errorf("%s: change %v", name, e.ChangeRPM)
		}
		for _, w := range e.Causes {
			for _, text := range append(w.For, w.Against...) {
				if !traitsOf(passes[0].Report.Engine).firingTells() && strings.Contains(text, "four-strokes") {
					t.Errorf("%s: its firing is used: %q", name, text)
				}
			}
		}
	}
}

// TestLoadIsNamed: what the engine turns has the name that it has on such a machine.
func TestLoadIsNamed(t *testing.T) {
	t.Parallel()
	for kind, want := range map[engine.Kind]string{
		engine.Saw: "chain", engine.CutOffSaw: "wheel", engine.Trimmer: "line", engine.BrushCutter: "blade", engine.HedgeTrimmer: "gearbox",
		engine.Blower: "tube", engine.Auger: "bit", engine.Pump: "impeller", engine.KindUnknown: "tool",
	} {
		row := newModel(traits{kind: kind}).row(CauseDrag)
		if row == nil || !strings.Contains(row.name, want) {
			t.Errorf("%s: %+v, want %q", kind, row, want)
		}
	}
	if fan := (traits{kind: engine.Blower}).load().less; !strings.Contains(fan, "faster") {
		t.Errorf("a blocked fan: %q", fan)
	}
	if newModel(traits{}).row(CauseValves) != nil || newModel(traits{fourStroke: true}).row(CauseValves) == nil {
		t.Error("valve clearance is of a four-stroke engine")
	}
}
