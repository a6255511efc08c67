package diagnose

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/binom"
	"topnote/internal/book"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// taught are passes of a straight machine at five settings of H, the last of
// which is the widest open, has a code, and runs so many rpm under its limit.
func taught(code string, under float64) []book.Pass {
	passes := straightMachine{100, -2200}.passes(rand.New(rand.NewPCG(3, 3)), 9, []float64{1, 1.125, 1.25, 1.375, 1, 1.125, 1.25, 1.375, 1.5})
	last := &passes[len(passes)-1].Report
	last.Verdict.Code = code
	last.Limits.MaxRPM = report.Speed(math.Round(float64(last.TopEnd.SustainedRPM) + under))
	return passes
}

func TestNextMove(t *testing.T) {
	t.Parallel()
	usual := func(code string) []book.Pass { return taught(code, 1500) }
	for name, c := range map[string]struct {
		passes      []book.Pass
		least, most float64
		says        string
	}{
		"over the limit":          {taught(codeOver, -300), 0.125, 0.125, "Open H"},
		"far over the limit":      {taught(codeOver, -800), 0.125, 0.125, "such steps in all, one at a time"},
		"at the limit":            {taught(codeAt, 0), 0.125, 0.125, "before the next full throttle"},
		"clean":                   {taught(codeClean, 300), 0.0625, 0.125, "it must four-stroke"},
		"safe":                    {usual(codeFourStroking), 0, 0, "Leave H where it is"},
		"rich in the cut":         {usual(codeRichInCut), -0.125, -0.0625, "Close H"},
		"pinned":                  {usual(codeSpark), 0, 0, "the coil holds the top speed"},
		"governed":                {usual(codeGoverned), 0, 0, "a governor holds the top speed"},
		"under its limit":         {usual(codeBelow), 0, 0, "follow the handbook"},
		"not enough":              {usual(codeNotEnough), 0, 0, "until a pass can be judged"},
		"no limit":                {usual("no-limit"), 0, 0, "until a pass can be judged"},
		"a new code":              {usual("who knows"), 0, 0, "until a pass can be judged"},
		"nothing":                 {nil, 0, 0, "record one"},
		"rich, limit near":        {taught(codeRichInCut, 300), 0, 0, "could reach the limit"},
		"rich, no limit":          {limitless(usual(codeRichInCut)), 0, 0, "the limit or the setting of H is not noted"},
		"rich, never taught":      {written(step{}, step{day: 1, code: codeRichInCut, top: 12500}), 0, 0, "it takes passes at 3 settings of H"},
		"rich, and slower":        {written(step{}, step{day: 1, code: codeRichInCut, top: 12000}), 0, 0, "Look at the air filter"},
		"rich, first pass":        {written(step{code: codeRichInCut, top: 12000}), 0, 0, "it takes passes at 3 settings of H"},
		"over, first pass":        {written(step{code: codeOver, top: 14000}), 0.125, 0.125, "First: did it run right before, and what has changed since?"},
		"over, H untouched":       {written(step{}, step{day: 30, code: codeOver, top: 13700}), 0, 0, "a fault comes before the screw"},
		"over, H turned in":       {written(step{}, step{day: 1, code: codeOver, top: 13700, h: 0.75}), 0.125, 0.125, "Open H"},
		"lean, H in, ran right":   {written(step{}, step{day: 1, h: 1.125, top: 12850}, step{day: 30, code: codeOver, top: 14000, h: 1.125}), 0, 0, "a fault comes before the screw"},
		"over, fixed jets":        {built(engine.Build{Carburettor: engine.FixedJets}, step{code: codeOver, top: 14000}), 0, 0, "its jets are fixed"},
		"over, self-setting":      {built(engine.Build{Carburettor: engine.SelfSetting}, step{code: codeOver, top: 14000}), 0, 0, "learning run"},
		"over, capped":            {built(engine.Build{Carburettor: engine.Capped}, step{code: codeOver, top: 14000}), 0.125, 0.125, "within the range that its cap allows"},
		"clean, governor":         {built(engine.Build{Governor: engine.Yes}, step{code: codeClean}), 0, 0, "a governor holds the top speed"},
		"pump":                    {built(engine.Build{Kind: engine.Pump}, step{code: codeClean}), 0, 0, "most such machines are governed"},
		"rich and lean by a leak": {leaking(usual(codeRichInCut)), 0, 0, "cannot be ruled out"},
		"rich, H closed":          {closed(usual(codeRichInCut)), 0, 0, "Leave H"},
	} {
		t.Run(name, func(t *testing.T) {
			m := NextMove(c.passes, Default())
			if m.Turns < c.least || m.Turns > c.most || !strings.Contains(m.Says, c.says) {
				t.Errorf("got %+v, want %v to %v and %q", m, c.least, c.most, c.says)
			}
		})
	}
}

// TestTurnedScrewGoesBackFirst: where H was turned in since it last ran right, it goes
// back before a fault is looked for, as the verdict says; nothing else is turned then.
func TestTurnedScrewGoesBackFirst(t *testing.T) {
	t.Parallel()
	leak := []string{findingHangs, findingClimbs}
	right := step{h: 1.25}
	lean := func(h book.Turns, code string) step {
		return step{day: 1, h: h, code: code, top: 14300, idle: 3400, findings: leak}
	}
	for name, c := range map[string]struct {
		steps []step
		back  string // where H stood; "" for a screw that stays
	}{
		"over, by a quarter":     {[]step{right, lean(1, codeOver)}, "H went from 1 1/4 to 1 turns out since pass 1. A screw that was turned goes back first: H to 1 1/4 turns out."},
		"over, by a sixteenth":   {[]step{right, lean(1.1875, codeOver)}, "H to 1 1/4 turns out."},
		"clean":                  {[]step{right, lean(1.125, codeClean)}, "H to 1 1/4 turns out."},
		"never ran right":        {[]step{{code: codeClean, top: 13000}, lean(1, codeOver)}, "since pass 1. A screw"},
		"by less than a step":    {[]step{right, lean(1.23, codeOver)}, ""},
		"out":                    {[]step{right, lean(1.375, codeOver)}, ""},
		"untouched":              {[]step{right, lean(1.25, codeOver)}, ""},
		"in, and then ran right": {[]step{right, {h: 1.125, top: 12850}, lean(1.125, codeOver)}, ""},
	} {
		m := NextMove(written(c.steps...), Default())
		if m.Turns != 0 || m.First == "" || !strings.Contains(m.Says, "There may be a fault") && !strings.Contains(m.Says, "there may be a fault") {
			t.Errorf("%s: %+v, want no further turn and a fault", name, m)
		}
		if got := strings.Contains(m.Says, "goes back first"); got != (c.back != "") || !strings.Contains(m.Says, c.back) {
			t.Errorf("%s: %q, want %q", name, m.Says, c.back)
		}
	}
}

// built are passes of a machine of which something is known.
func built(b engine.Build, steps ...step) []book.Pass {
	passes := written(steps...)
	for i := range passes {
		passes[i].Report.Engine.Build = b
	}
	return passes
}

func limitless(passes []book.Pass) []book.Pass {
	passes[len(passes)-1].Report.Limits.MaxRPM = 0
	return passes
}

// leaking gives the last pass the signs of a leak.
func leaking(passes []book.Pass) []book.Pass {
	last := &passes[len(passes)-1].Report
	last.TopEnd.SustainedRPM += 800
	last.Idle.RPM = 3400
	last.Verdict.Findings = []report.Finding{{Code: findingHangs}, {Code: findingClimbs}}
	return passes
}

// closed gives the last pass an H screw that is all the way in.
func closed(passes []book.Pass) []book.Pass {
	*passes[len(passes)-1].Screws.H = 0
	return passes
}

// TestNextMoveIsSafe: whatever was recorded, H never moves by more than 1/8, and
// in only after a pass that is rich in the cut, where what is expected stays two
// deviations under the limit.
func TestNextMoveIsSafe(t *testing.T) {
	t.Parallel()
	codes := []string{codeOver, codeAt, codeClean, codeSpark, codeNotEnough, "no-limit", codeNoEngine, codeRichInCut, codeRichInCut, codeRichInCut, codeRichInCut, codeFourStroking}
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		n, settings := 9, []float64{1.4, 0.9, 1, 1.2} // the last of nine is the first of these
		slope := rapid.Float64Range(-3000, -1000).Draw(t, "slope")
		wild := rapid.Bool().Draw(t, "wild")
		if wild {
			n, settings = rapid.IntRange(1, 9).Draw(t, "passes"), settings[:rapid.IntRange(1, 4).Draw(t, "settings")]
			slope = rapid.Float64Range(-6000, 1500).Draw(t, "any slope")
		}
		passes := straightMachine{rapid.Float64Range(50, 200).Draw(t, "per percent"), slope}.passes(rng, n, settings)
		for i := range passes {
			r := &passes[i].Report
			if wild || i == n-1 {
				r.Verdict.Code = rapid.SampledFrom(codes).Draw(t, "code")
				r.Limits.MaxRPM = report.Speed(rapid.SampledFrom([]float64{0, 12000, 12700, 13500, 15000}).Draw(t, "limit"))
			}
			if wild && rapid.IntRange(0, 9).Draw(t, "odd") == 0 {
				r.TopEnd = nil
			}
			if wild && rapid.IntRange(0, 9).Draw(t, "not noted") == 0 {
				passes[i].Screws = book.Screws{}
			}
		}
		wantSafe(t, passes)
	})
}

// wantSafe wants a move that is safe after the last of these passes.
func wantSafe(t *rapid.T, passes []book.Pass) {
	m := NextMove(passes, Default())
	last := passes[len(passes)-1]
	code, limit := last.Report.Verdict.Code, float64(last.Report.Limits.MaxRPM)
	switch {
	case !(math.Abs(m.Turns) <= 0.125) || m.Says == "":
		t.Fatalf("got %+v", m)
	case (code == codeOver || code == codeAt) && m.Turns != 0.125 && m.First == "":
		t.Fatalf("%s, but %+v", code, m)
	case m.First != "" && (m.Turns != 0 || !strings.HasPrefix(m.Says, "Leave H") && !strings.Contains(m.Says, "goes back first")):
		t.Fatalf("a fault first, but %+v", m)
	case m.Turns < 0 && (code != codeRichInCut || limit == 0 || float64(m.Expected)+2*m.SD >= limit || !m.Learned || m.SD < last.Report.TopEnd.SDRPM):
		t.Fatalf("%s, limit %v, but %+v", code, limit, m)
	}
}

// TestClosedStaysUnderLimit: of machines whose response is known, with passes that
// scatter as Options claim, H turned in as far as it is allowed takes the true
// speed over the limit no more often than the margin of standard deviations
// leaves open.
func TestClosedStaysUnderLimit(t *testing.T) {
	t.Parallel()
	const machines = 400
	moved, over := 0, 0
	for seed := range uint64(machines) {
		rng := rand.New(rand.NewPCG(seed, 0))
		m := straightMachine{perPercent: 50 + 150*rng.Float64(), perTurn: -1000 - 2000*rng.Float64()}
		passes := m.passes(rng, 9, []float64{1.4, 0.9, 1, 1.2}) // the last of nine is the first of these
		last := &passes[len(passes)-1]
		limit := float64(last.Report.TopEnd.SustainedRPM) + 1000*rng.Float64()
		last.Report.Verdict.Code, last.Report.Limits.MaxRPM = codeRichInCut, report.Speed(limit)
		move := NextMove(passes, Default())
		if move.Turns >= 0 {
			continue
		}
		moved++
		if m.top(*last.Air, float64(*last.Screws.H)+move.Turns) > limit {
			over++
		}
	}
	t.Logf("H is turned in after %d of %d passes, over the limit %d times", moved, machines, over)
	beyond := 0.5 * math.Erfc(Default().LimitMargin/math.Sqrt2) // of a normal distribution
	if moved == 0 || over > binom.Max(moved, beyond) {
		t.Errorf("H is turned in after %d of %d passes, over the limit %d times", moved, machines, over)
	}
}

// TestHigherLimitOpensNoFurther: raising the limit never turns a move out into
// one further out.
func TestHigherLimitOpensNoFurther(t *testing.T) {
	t.Parallel()
	last := math.Inf(1)
	for under := -300.0; under <= 2000; under += 100 {
		code := codeRichInCut
		if under <= 100 {
			code = codeOver
		}
		m := NextMove(taught(code, under), Default())
		if m.Turns > last {
			t.Errorf("%v under: %v turns after %v", under, m.Turns, last)
		}
		last = m.Turns
	}
	if last >= 0 {
		t.Errorf("far under the limit it stays at %v", last)
	}
}

func TestTurnsWords(t *testing.T) {
	t.Parallel()
	for turns, want := range map[float64]string{0.125: "1/8 turn", -0.125: "1/8 turn", 0.0625: "1/16 turn", 0.25: "2/8 turn", 0.1875: "3/16 turn", 0: "0/16 turn"} {
		if got := turnsWords(turns); got != want {
			t.Errorf("%v: %q", turns, got)
		}
	}
}
