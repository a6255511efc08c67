package verdict

import (
	"slices"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/shaft"
	"topnote/internal/synth"
)

// Passes of simulated saws, from very rich to very lean, at three loads, as a
// tracker without error would see them: what is wrong here is wrong in the
// rules. The verdicts that a judge who knows the truth allows are those of
// synth.Deserve; the bars are those of issue 4.
func TestSimulatedSaws(t *testing.T) {
	const runs = 200
	wrong, abstained := 0, 0
	for seed := range uint64(runs) {
		tune := synth.DrawTune(seed)
		run := tune.Run()
		q := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits(tune.Limits)}
		o := pass.Default()
		o.Listen = knowing(run)
		v := Judge(pass.Summarise(trueTrack(run), q, o), q, Default())

		d := synth.Deserve(run, tune.Limits)
		switch {
		case d.OverLimitTrue && v.Code != OverLimit && v.Code != AtLimit:
			t.Errorf("seed %d, truly %.0f rpm: %s: %s", seed, d.Sustained, v.Code, v.Says)
		case slices.Contains(d.Allows, string(v.Code)):
		case v.Code == NotEnough:
			abstained++
			t.Logf("seed %d, richness %.2f, load %.1f: abstains where %v is right: %s", seed, tune.Richness, tune.Load, d.Allows, v.Says)
		default:
			wrong++
			t.Logf("seed %d, richness %.2f, load %.1f: %s where %v is right: %s", seed, tune.Richness, tune.Load, v.Code, d.Allows, v.Says)
		}
	}
	if wrong > runs*3/100 || abstained > runs*10/100 {
		t.Errorf("of %d passes %d wrong (3 %% allowed) and %d abstained from (10 %% allowed)", runs, wrong, abstained)
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

// knowing hears lost sparks by knowing of them.
func knowing(r *synth.Run) pass.Listener {
	const step, near, most = 0.02, 0.1, 0.3 // s, s, share
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
