package verdict

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass/passtest"
	"topnote/internal/shaft"
)

// oddities has a pass for every finding; want is the finding that must come,
// and must come first.
func oddities() []struct {
	name  string
	track *passtest.Track
	query engine.Machine
	want  string
} {
	four := func(seed uint64) *passtest.Track { return opened(seed, 12700).Fires(2).Hold(3, 12700).Fires(1) }
	return []struct {
		name  string
		track *passtest.Track
		query engine.Machine
		want  string
	}{
		{"races on", four(1).Ramp(0.6, 12700, 5200).Hold(3, 5200), saw(13500), "no-return"},
		{"idles at the clutch", passtest.New(2).Hold(3, 3900).Ramp(0.4, 3900, 12700).Fires(2).Hold(3, 12700), saw(13500), "chain-driven"},
		{"idles a hair under the clutch", passtest.New(3).Hold(3, 3790).Ramp(0.4, 3790, 12700).Fires(2).Hold(3, 12700), saw(13500), "chain-driven"},
		{"a single reading", opened(4, 12700).Fires(2).Hold(3, 12700).Each(func(i int, p *shaft.Point) {
			if i == 70 {
				p.Speed = 13600
			}
		}), saw(13500), "touched-limit"},
		{"climbs 150 rpm in a second", opened(5, 12100).Fires(2).Ramp(4, 12100, 12700), saw(13500), "climbs"},
		{"climbs, a cold hedge trimmer", opened(5, 12100).Fires(2).Ramp(4, 12100, 12700), built(13500, engine.Build{Kind: engine.HedgeTrimmer}), "gearbox-warming"},
		{"climbs, a warm hedge trimmer", opened(5, 12100).Fires(2).Ramp(4, 12100, 12700), warmHedgeTrimmer(), "climbs"},
		{"sinks 300 rpm in a second", opened(6, 12900).Fires(2).Ramp(4, 12900, 11700), saw(13500), "sinks"},
		{"hangs at 3,500", four(7).Ramp(0.6, 12700, 3500).Hold(1.5, 3500).Ramp(0.3, 3500, 2800).Hold(2, 2800), saw(13500), "hangs"},
		{"hangs over the clutch", four(8).Ramp(0.6, 12700, 4300).Hold(1.5, 4300).Ramp(0.3, 4300, 2800).Hold(2, 2800), saw(13500), "runs-on"},
		{"sags on opening", passtest.New(9).Hold(2, 2800).Ramp(0.15, 2800, 2100).Ramp(0.15, 2100, 2800).Ramp(0.4, 2800, 12700).Fires(2).Hold(3, 12700), saw(13500), "sags"},
		{"surges", opened(10, 12500).Fires(2).Swing(4, 12500, 700, 0.6), saw(13500), "surges"},
		{"idles too near the clutch", passtest.New(11).Hold(3, 3000).Ramp(0.4, 3000, 12700).Fires(2).Hold(3, 12700),
			engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500, Idle: 3000, Clutch: 3500}}, "near-clutch"},
		{"slow to rise", passtest.New(12).Hold(2, 2800).Ramp(2.2, 2800, 12700).Fires(2).Hold(3, 12700), saw(13500), "slow-rise"},
		{"burbles on the way", passtest.New(13).Hold(2, 2800).Fires(2).Ramp(2.2, 2800, 12700).Hold(3, 12700), saw(13500), "slow-rise"},
		{"slow out of the wood", opened(14, 12700).Fires(2).Hold(3, 12700).Ramp(0.3, 12700, 9000).Fires(1).Hold(2, 9000).Ramp(2.4, 9000, 12700).Fires(2).Hold(2, 12700), saw(13500), "slow-back"},
		{"partly rich in the cut", withCut(15, 1, 2, 1, 2, 1), saw(13500), "partly-rich-in-cut"},
		{"hunts", passtest.New(16).Swing(5, 2800, 400, 0.9), saw(13500), "hunts"},
		{"wanders at idle", passtest.New(17).Noise(0.07, 0.01).Memory(0.85).Hold(5, 2800), saw(13500), "unsteady-idle"},
		{"idles fast", passtest.New(18).Hold(4, 3040), engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Idle: 2700}}, "idle-fast"},
		{"idles slowly", passtest.New(19).Hold(4, 2400), saw(13500), "idle-slow"},
		{"leaps to the half", passtest.New(20).Fires(2).Hold(2, 12600).Hold(1, 6300).Hold(2, 12600), saw(13500), "leaps"},
		{"leaner in the second run", level(22, 12000, 3, 2).Ramp(0.4, 2800, 13000).Hold(3, 13000), saw(13500), "milder-run"},
	}
}

func TestFindings(t *testing.T) {
	heard := map[string]bool{}
	var b strings.Builder
	for _, o := range oddities() {
		v := example{track: o.track, query: o.query}.judge()
		if len(v.Findings) == 0 || v.Findings[0].Code != o.want {
			t.Errorf("%s: findings %v, want %s first", o.name, codes(v), o.want)
		}
		for _, f := range v.Findings {
			heard[f.Code] = true
			if len(f.Causes) == 0 || f.Says == "" || f.Advice == "" {
				t.Errorf("%s: %+v lacks something", o.name, f)
			}
			fmt.Fprintf(&b, "=== %s\n%s: %s\n  %s\n  %s\n", o.name, f.Code, f.Says, strings.Join(f.Causes, "; "), f.Advice)
		}
	}
	for _, s := range signs {
		if !heard[s.code] {
			t.Errorf("no example for the finding %s", s.code)
		}
	}
	golden(t, "findings.txt", b.String())
}

// A sound pass has nothing beside its verdict, whatever its noise.
func TestNothingToFind(t *testing.T) {
	for seed := range uint64(20) {
		track := passtest.New(seed).Noise(0.005, 0.005).Memory(0.5).Hold(2, 2800).Ramp(0.4, 2800, 12600).
			Fires(2).Hold(3, 12600).Fires(1).Ramp(0.3, 12600, 9000).Hold(3, 9000).Ramp(0.3, 9000, 12600).Fires(2).Hold(2, 12600).
			Fires(1).Ramp(0.8, 12600, 2800).Hold(2, 2800)
		v := example{track: track, query: saw(13500)}.judge()
		if v.Code != FourStroking || len(v.Findings) > 0 {
			t.Errorf("seed %d: %s with %v", seed, v.Code, codes(v))
		}
	}
}

// A heavy flywheel falls slowly all the way; that is neither hanging nor racing
// on, even where the clip ends before it is back.
func TestSlowFallIsNoFinding(t *testing.T) {
	for _, rest := range []engine.Seconds{0, 0.5, 3} {
		track := opened(1, 12600).Fires(2).Hold(3, 12600).Fires(1).Ramp(2.8, 12600, 3100).Hold(rest, 2850)
		v := example{track: track, query: saw(13500)}.judge()
		if v.Code != FourStroking || len(v.Findings) > 0 {
			t.Errorf("then %v s at idle: %s with %v", rest, v.Code, codes(v))
		}
	}
}

func codes(v Verdict) []string {
	var out []string
	for _, f := range v.Findings {
		out = append(out, f.Code)
	}
	return out
}

// What is more dangerous than the verdict is said with it and done first; the
// order of the table is that of danger.
func TestNothingSaferHidesAFinding(t *testing.T) {
	if !slices.IsSortedFunc(signs, func(a, b sign) int { return b.danger - a.danger }) {
		t.Error("the findings are not in order of danger")
	}
	outranked := 0
	for _, o := range oddities() {
		v := example{track: o.track, query: o.query}.judge()
		most := 0
		for _, f := range v.Findings {
			most = max(most, signs[slices.IndexFunc(signs, func(s sign) bool { return s.code == f.Code })].danger)
		}
		said := len(v.Findings) > 0 && strings.HasPrefix(v.Says, v.Findings[0].Says)
		if said && strings.Contains(v.Says, "Safe side") {
			t.Errorf("%s: called safe: %s", o.name, v.Says)
		}
		if said != (most > v.Code.Danger()) {
			t.Errorf("%s: %s with findings up to danger %d: %s", o.name, v.Code, most, v.Says)
		}
		if !said {
			continue
		}
		outranked++
		if v.Advice[0] != v.Findings[0].Advice || len(v.Advice) < 2 {
			t.Errorf("%s: the first steps are %q", o.name, v.Advice)
		}
	}
	if outranked < 4 {
		t.Errorf("%d oddities outrank their verdict, want one at least for each finding that can", outranked)
	}
}

// TestFindingDanger: every dangerous sign is ranked by its code as in the table,
// and none that is not known.
func TestFindingDanger(t *testing.T) {
	ranked := 0
	for _, s := range signs {
		if got := FindingDanger(s.code); got != s.danger {
			t.Errorf("%s ranks %d, want %d", s.code, got, s.danger)
		}
		if s.danger > 0 {
			ranked++
		}
	}
	if ranked == 0 || FindingDanger("unheard-of") != 0 {
		t.Errorf("%d signs are dangerous, an unknown one ranks %d", ranked, FindingDanger("unheard-of"))
	}
}

// warmHedgeTrimmer is one whose gearbox was warm.
func warmHedgeTrimmer() engine.Machine {
	m := built(13500, engine.Build{Kind: engine.HedgeTrimmer})
	m.State = ready
	return m
}
