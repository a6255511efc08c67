package verdict

import (
	"slices"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/quality"
	"topnote/internal/synth"
)

// TestSimulatedSaws judges passes of simulated saws, from very rich to very lean,
// at three loads, by tracks without error. Nothing but the rules can then be wrong,
// so every verdict must be one that the truth supports (synth.Deserve). They may
// abstain from one in ten (issue 4).
func TestSimulatedSaws(t *testing.T) {
	const runs = 200
	abstained := 0
	for seed := range uint64(runs) {
		tune := synth.DrawTune(seed)
		run := tune.Run()
		q := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits(tune.Limits)}
		v := Judge(pass.Summarise(passtest.TrackOf(run), passtest.CyclesOf(run), q, pass.Default()), q, quality.Quality{}, Default())
		switch d := synth.Deserve(run, tune.Limits); {
		case slices.Contains(d.Allows, string(v.Code)):
		case v.Code == NotEnough && !d.OverLimitTrue:
			abstained++
			t.Logf("seed %d, richness %.2f, load %.1f: abstains where %v is right: %s", seed, tune.Richness, tune.Load, d.Allows, v.Says)
		default:
			t.Errorf("seed %d, richness %.2f, load %.1f: %s where %v is right: %s", seed, tune.Richness, tune.Load, v.Code, d.Allows, v.Says)
		}
	}
	if abstained > runs/10 {
		t.Errorf("%d of %d passes are abstained from, over a tenth", abstained, runs)
	}
}
