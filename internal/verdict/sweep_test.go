package verdict

import (
	"slices"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/shaft"
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
		o := pass.Default()
		o.Listen = knowing(run)
		v := Judge(pass.Summarise(trueTrack(run), q, o), q, Default())
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

func trueTrack(r *synth.Run) shaft.Track {
	const hop = 0.02
	t := shaft.Track{Hop: hop}
	for at := engine.Seconds(hop); at < r.Length; at += hop {
		v := r.SpeedAt(at)
		t.Points = append(t.Points, shaft.Point{
			At: at, Speed: v, SD: v * 0.003, Confidence: 1, Fires: shaft.Firing(r.FiresAt(at)),
		})
	}
	return t
}

// knowing is a detector of lost sparks without error: it reports them where they
// are close to most of a stretch, as the coil then holds it.
func knowing(r *synth.Run) pass.Listener {
	const step, near, most = 0.02, 0.1, 0.5 // s, s, share
	return func(from, to engine.Seconds) pass.SparkCutEvidence {
		lost, all := 0.0, 0.0
		for t := from; t < to; t += step {
			all++
			if r.CutAt(t, near) {
				lost++
			}
		}
		if lost < most*all {
			return pass.SparkCutEvidence{}
		}
		return pass.SparkCutEvidence{Belief: 1, Rate: 14, Depth: 0.5}
	}
}
