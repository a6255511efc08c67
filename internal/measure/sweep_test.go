package measure_test

import (
	"flag"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/binom"
	"topnote/internal/clip"
	"topnote/internal/measure"
	"topnote/internal/race"
	"topnote/internal/synth"
	"topnote/internal/verdict"
)

// runs is how many made passes the tests of whole passes measure: few in the
// daily work, 200 and more for the figures in docs/verdicts.md.
var runs = flag.Int("runs", race.Fewer(20, 2), "simulated passes that TestSweeps measures; TestFigures, TestStutterIsToldFromFourStroking and TestMachines go by it, too")

// measureScene measures a scene through the whole program, as a user would.
func measureScene(t *testing.T, s synth.Scene, l synth.Limits) measure.Measurement {
	t.Helper()
	sound := s.Render()
	path := filepath.Join(t.TempDir(), "pass.wav")
	if err := clip.WriteWAVFile(path, sound.Samples, sound.Rate); err != nil {
		t.Fatal(err)
	}
	m, err := measure.File(path, queryOf(l))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// tally counts the verdicts of many passes.
type tally struct {
	above, elsewhere int // passes truly above the limit, and all others
	unsafe           int // of those above, called safer than at-limit
	falselySafe      int // of the others, called safe where nothing safe is true
	wrong            int // of the others, falselySafe among them
	withheld         int // of all: an abstention, or at-limit where the truth is clear of the limit
}

// add counts one verdict and gives a note on it, empty where the truth supports
// it. An engine over its limit that is called at-limit is treated as over: the
// figure was too uncertain to say so, which is no danger, but a verdict withheld.
func (n *tally) add(d synth.Deserved, code verdict.Code) (note string) {
	if d.OverLimitTrue {
		n.above++
	} else {
		n.elsewhere++
	}
	safe := func(code string) bool { return verdict.Code(code).Danger() == 0 }
	switch {
	case slices.Contains(d.Allows, string(code)):
		return ""
	case code == verdict.NotEnough, code == verdict.NoEngine, d.OverLimitTrue && code == verdict.AtLimit:
		n.withheld++
		return "withheld"
	case d.OverLimitTrue:
		n.unsafe++
		return "UNSAFE"
	}
	n.wrong++
	if safe(string(code)) && !slices.ContainsFunc(d.Allows, safe) {
		n.falselySafe++
		return "FALSELY SAFE"
	}
	return "wrong"
}

// TestSweeps measures simulated saws, from very rich to very lean, at three
// loads, each through one damage of telephone or place. The verdicts that are
// right are those of synth.Deserve, which knows the truth. An abstention is not
// unsafe: its advice is to take the engine for lean.
func TestSweeps(t *testing.T) {
	t.Parallel()
	const (
		maxWithheld   = 0.10 // issue 4
		requiredWrong = 0.03 // issue 4; not reached, see docs/verdicts.md
		floorWrong    = 0.06 // guards against getting worse; nothing requires it
	)
	var n tally
	for seed := range uint64(*runs) {
		tune := synth.DrawTune(seed)
		scene, damage := tune.Scene().Damaged(seed)
		v := measureScene(t, scene, tune.Limits).Report.Verdict
		d := synth.Deserve(scene.Run(), tune.Limits)
		if note := n.add(d, verdict.Code(v.Code)); note != "" {
			t.Logf("seed %d, %s, richness %.2f, load %.1f, held %.0f of %.0f rpm: %s: %s where %v is right: %s",
				seed, damage, tune.Richness, tune.Load, d.Sustained, tune.Limits.Max, note, v.Code, d.Allows, v.Says)
		}
	}
	t.Logf("%d passes: of %d above the limit %d called safer; of %d others %d wrong (%.1f %%, required %.0f %%), %d of them falsely safe; %d of all withheld",
		*runs, n.above, n.unsafe, n.elsewhere, n.wrong, 100*share(n.wrong, n.elsewhere), 100*requiredWrong, n.falselySafe, n.withheld)
	if n.unsafe > 0 || n.falselySafe > 0 {
		t.Errorf("%d passes truly above the limit are called safer than at the limit, %d others safe though they are not", n.unsafe, n.falselySafe)
	}
	if most := binom.Max(n.elsewhere, floorWrong); n.wrong > most {
		t.Errorf("%d of %d verdicts below the limit are wrong; %d would fit %.0f %%", n.wrong, n.elsewhere, most, 100*floorWrong)
	}
	if share(n.withheld, *runs) > maxWithheld {
		t.Errorf("%d of %d verdicts withheld, over %.0f %%", n.withheld, *runs, 100*maxWithheld)
	}
}
