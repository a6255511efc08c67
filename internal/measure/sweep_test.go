package measure_test

import (
	"flag"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/measure"
	"topnote/internal/synth"
	"topnote/internal/verdict"
)

// runs is how many made passes the tests of whole passes measure: few in the
// daily work, 200 for the figures in docs/verdicts.md.
var runs = flag.Int("runs", 20, "simulated passes that TestSweeps measures; TestFigures and TestStutterIsToldFromFourStroking go by it, too")

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
	unsafe    int // truly above the limit, called safer than at-limit
	above     int // truly above the limit
	elsewhere int // not
	wrong     int // of these
	abstained int // of all, where a verdict was due
}

func (n *tally) add(d synth.Deserved, code string) (note string) {
	if d.OverLimitTrue {
		n.above++
	} else {
		n.elsewhere++
	}
	abstains := code == string(verdict.NotEnough) || code == string(verdict.NoEngine)
	switch {
	case slices.Contains(d.Allows, code), d.OverLimitTrue && code == string(verdict.AtLimit):
		return ""
	case abstains:
		n.abstained++
		return "abstains"
	case d.OverLimitTrue:
		n.unsafe++
		return "UNSAFE"
	default:
		n.wrong++
		return "wrong"
	}
}

// TestSweeps measures simulated saws, from very rich to very lean, at three
// loads, each through one damage of telephone or place. The verdicts that are
// right are those of synth.Deserve, which knows the truth; the bars are those
// of issue 4. An abstention is not unsafe: its advice is to take the engine for
// lean.
func TestSweeps(t *testing.T) {
	t.Parallel()
	const maxWrong, maxAbstained = 0.03, 0.10
	var n tally
	for seed := range uint64(*runs) {
		tune := synth.DrawTune(seed)
		scene, damage := tune.Scene().Damaged(seed)
		v := measureScene(t, scene, tune.Limits).Report.Verdict
		d := synth.Deserve(scene.Run(), tune.Limits)
		if note := n.add(d, v.Code); note != "" {
			t.Logf("seed %d, %s, richness %.2f, load %.1f, held %.0f of %.0f rpm: %s: %s where %v is right: %s",
				seed, damage, tune.Richness, tune.Load, d.Sustained, tune.Limits.Max, note, v.Code, d.Allows, v.Says)
		}
	}
	t.Logf("%d passes: of %d above the limit %d called safer; of %d others %d wrong; %d abstained from",
		*runs, n.above, n.unsafe, n.elsewhere, n.wrong, n.abstained)
	if n.unsafe > 0 {
		t.Errorf("%d passes truly above the limit are called safer than at the limit", n.unsafe)
	}
	if float64(n.wrong) > maxWrong*float64(n.elsewhere) {
		t.Errorf("%d of %d verdicts below the limit are wrong, over %.0f %%", n.wrong, n.elsewhere, 100*maxWrong)
	}
	if float64(n.abstained) > maxAbstained*float64(*runs) {
		t.Errorf("%d of %d verdicts withheld, over %.0f %%", n.abstained, *runs, 100*maxAbstained)
	}
}
