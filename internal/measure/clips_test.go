package measure_test

import (
	"fmt"
	"slices"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/race"
	"topnote/internal/report"
	"topnote/internal/synth"
)

// afternoon is one clip of a saw at work: it is running at idle, is blipped
// twice, held open rich, let go, held open clean, and stopped.
func afternoon(seed uint64) synth.Scene {
	const idle, first, second = 2800, 12600, 13000 // rpm
	to := func(name string, long engine.Seconds, speed engine.RPM, shape synth.Shape, throttle float64) synth.Piece {
		return synth.Piece{Name: name, For: long, To: speed, Shape: shape, Throttle: throttle}
	}
	blip := []synth.Piece{
		to("blip", 0.25, 8500, synth.Ease, 1), to("", 0.6, idle, synth.Decay, 0), to(synth.Idle, 0.8, idle, synth.Line, 0),
	}
	run := func(top engine.RPM, name string, long engine.Seconds) []synth.Piece {
		return []synth.Piece{
			to(synth.Rise, 0.5, top, synth.Ease, 1), to(name, long, top, synth.Line, 1),
			to(synth.Fall, 1.2, idle, synth.Decay, 0), to(synth.ReturnToIdle, 1.6, idle, synth.Line, 0),
		}
	}
	p := synth.Pieces(idle, slices.Concat(
		[]synth.Piece{to(synth.Idle, 1.6, idle, synth.Line, 0)}, blip, blip,
		run(first, synth.FullThrottle, 3), run(second, "lean", 2.5))...)
	s := synth.NewScene(seed, p, synth.ByPhase(p, map[string]synth.Firing{
		"":         synth.Idling(),
		synth.Rise: synth.Clean(), synth.FullThrottle: synth.Every(2, 0.4), "lean": synth.Clean(),
	}))
	s.Wander = s.Wander.Times(0.5)
	return s
}

// TestSeveralRunsInOneClip: both runs at full throttle are found between blips
// that are none, and the worse of them gives the verdict, whichever voice and
// damage the clip comes through.
func TestSeveralRunsInOneClip(t *testing.T) {
	t.Parallel()
	limits := synth.Limits{Max: 13500, Idle: 2800, Clutch: 3700}
	clips := race.Fewer(2, 1)
	for seed := range uint64(clips) {
		s, damage := afternoon(seed).Damaged(seed)
		r := measureScene(t, s, limits).Report
		if got := held(r); len(got) != 2 {
			t.Errorf("seed %d, %s: full throttle %v, want two stretches; phases %v", seed, damage, got, kinds(r))
		}
		if r.Verdict.Code != "clean-below-limit" || !slices.Contains(findings(r), "milder-run") {
			t.Errorf("seed %d, %s: %s with %q, want the second run to speak and the first to be named: %s",
				seed, damage, r.Verdict.Code, findings(r), r.Verdict.Says)
		}
	}
}

// held gives the stretches at full throttle.
func held(r report.Report) []string {
	var out []string
	for _, p := range r.Phases {
		if p.Kind == string(pass.FullThrottle) {
			out = append(out, fmt.Sprintf("%.1f to %.1f s", p.FromS, p.ToS))
		}
	}
	return out
}

func kinds(r report.Report) []string {
	var out []string
	for _, p := range r.Phases {
		out = append(out, fmt.Sprintf("%s %.1f", p.Kind, p.FromS))
	}
	return out
}
