package diagnose

import (
	"strings"
	"testing"

	"topnote/internal/book"
	"topnote/internal/engine"
)

// TestTrendIsCausal: no figure of a pass in the trend changes when later passes come
// in, and neither does what was expected of a turn of H.
func TestTrendIsCausal(t *testing.T) {
	t.Parallel()
	for seed := range uint64(6) {
		for _, kind := range single {
			passes := kind.make(seed).passes
			whole := NewTrend(madeMachine("saw"), passes, Default())
			for n := 1; n < len(passes); n++ {
				part := NewTrend(madeMachine("saw"), passes[:n], Default())
				for i, p := range part.Passes {
					if w := whole.Passes[i]; p.CorrectedRPM != w.CorrectedRPM || p.CorrectedSDRPM != w.CorrectedSDRPM {
						t.Fatalf("%s %d: pass %d is %v in %d passes, %v in all", kind.name, seed, p.Number, p.CorrectedRPM, n, w.CorrectedRPM)
					}
				}
			}
		}
	}
}

// TestLessons: what a learner is told of a last pass.
func TestLessons(t *testing.T) {
	t.Parallel()
	fixed := written(step{}, step{day: 3, top: 12900})
	for i := range fixed {
		fixed[i].Report.Engine.Carburettor = engine.FixedJets
	}
	for name, c := range map[string]struct {
		passes []book.Pass
		want   []string
		never  string
	}{
		"opened": {
			written(step{}, step{day: 1, top: 12350, h: 1.375}),
			[]string{"H was opened, so more fuel came to the same air", "takes about 250 rpm off and adds burble (common practice: 200 to 400 at 13,000)",
				"From pass 1 to pass 2 H was opened by 1/8 turn. By common practice, about 250 rpm down was to be expected. It came out 250 rpm down"},
			"That is not what H does",
		},
		"opened, and faster": {
			written(step{}, step{day: 1, top: 13300, h: 1.375}), []string{"It came out 700 rpm up", "That is not what H does"}, "",
		},
		"hotter air": {
			written(step{air: "temp=0 rh=60 altitude=200"}, step{day: 120, top: 11950, four: 0.99, air: "temp=32 rh=60 altitude=200"}),
			[]string{"The air was warmer, so each turn took in less of it"}, "From pass",
		},
		"leak": {
			written(step{}, step{day: 20, top: 12680}, step{day: 40, top: 12850, idle: 2950}, step{day: 60, top: 13400, idle: 3400, findings: []string{findingHangs, findingClimbs}}),
			[]string{"air comes in past the carburettor and brings no fuel"}, "",
		},
		"fixed jets": {fixed, nil, "eighth"},
		"one pass":   {written(step{}), []string{"An eighth of a turn of H out takes about"}, "against"},
		"nothing":    {nil, nil, "eighth"},
	} {
		got := strings.Join(NewTrend(madeMachine("saw"), c.passes, Default()).Lessons, "\n")
		for _, w := range c.want {
			if !strings.Contains(got, w) {
				t.Errorf("%s: no %q in\n%s", name, w, got)
			}
		}
		if c.never != "" && strings.Contains(got, c.never) {
			t.Errorf("%s: %q in\n%s", name, c.never, got)
		}
	}
	for _, g := range groups {
		if g.group != GroupNone && lessonWords[g.group] == "" {
			t.Errorf("%s has no lesson", g.group)
		}
	}
}
