package measure_test

import (
	"testing"

	"topnote/internal/race"
	"topnote/internal/synth"
	"topnote/internal/verdict"
)

// pinnedPass is a whole pass that is held at full throttle as still as a coil holds
// it, so that the speed alone cannot tell why it misses firings.
func pinnedPass(seed uint64, top synth.Firing) synth.Scene {
	p := synth.Pass{Idle: 2800, Top: 12700, IdleFor: 1, RiseIn: 0.4, HoldFor: 2.6, FallIn: 1, ReturnFor: 0.8}.Profile()
	rise := synth.Clean()
	rise.Cuts = top.Cuts // a coil cuts on the way up as well
	s := synth.NewScene(seed, p, synth.ByPhase(p, map[string]synth.Firing{
		"":         synth.Idling(),
		synth.Rise: rise, synth.FullThrottle: top,
	}))
	s.Wander = s.Wander.Times(0.15)
	return s
}

// pinnedKind is a way to fire at one speed, and the verdict that it calls for.
type pinnedKind struct {
	name   string
	want   verdict.Code
	firing func(depth float64) synth.Firing
}

// pinnedKinds gives coils that limit speed, four-stroking and clean running; depth is
// the strength of a missed firing.
func pinnedKinds() []pinnedKind {
	const ceiling = 12600
	cuts := func(block, lost int) func(float64) synth.Firing {
		return func(depth float64) synth.Firing {
			f := synth.Clean()
			f.Depth, f.Cuts = depth, &synth.Cuts{Ceiling: ceiling, Block: block, Lost: lost, Ragged: 0.15}
			return f
		}
	}
	every := func(n int) func(float64) synth.Firing {
		return func(depth float64) synth.Firing { return synth.Every(n, depth) }
	}
	return []pinnedKind{
		{"2 of 8 turns lost", verdict.SparkLimited, cuts(8, 2)},
		{"3 of 10 lost", verdict.SparkLimited, cuts(10, 3)},
		{"5 of 14 lost", verdict.SparkLimited, cuts(14, 5)},
		{"6 of 20 lost", verdict.SparkLimited, cuts(20, 6)},
		{"every second", verdict.FourStroking, every(2)},
		{"every third", verdict.FourStroking, every(3)},
		{"every fourth", verdict.FourStroking, every(4)},
		{"second and third", verdict.FourStroking, func(d float64) synth.Firing {
			return synth.Mixed(0.7, d, synth.Mode{Every: 2, Share: 0.8}, synth.Mode{Every: 3, Share: 0.2})
		}},
		{"clean", verdict.CleanBelowLimit, func(float64) synth.Firing { return synth.Clean() }},
	}
}

// hearing is the way of a pinned pass into a file, and the share of verdicts on it
// that may be wrong.
type hearing struct {
	says     string
	through  func(s synth.Scene, draw uint64) (synth.Scene, string)
	maxWrong float64
}

// TestStutterIsToldFromFourStroking holds the stutter of a coil that limits
// speed against four-stroking at the same speed, at three strengths of a lost
// firing (weak, clear, nearly whole), through the whole program: 95 in 100
// right (issue 4) through a plain recorder. Through one damage of telephone or
// place each, which that issue does not ask for, a floor of 90 in 100 guards against
// getting worse. A clean engine held as still is neither. An abstention counts as
// wrong.
func TestStutterIsToldFromFourStroking(t *testing.T) {
	t.Parallel()
	for _, h := range []hearing{
		{"a plain recorder", func(s synth.Scene, _ uint64) (synth.Scene, string) { return s, "as it is" }, 0.05},
		{"damage", func(s synth.Scene, draw uint64) (synth.Scene, string) { return s.Damaged(draw) }, 0.1},
	} {
		wrong, all := h.count(t)
		t.Logf("through %s, of %d passes %d told wrong", h.says, all, wrong)
		if float64(wrong) > h.maxWrong*float64(all) {
			t.Errorf("through %s, %d of %d told wrong, over %.0f %%", h.says, wrong, all, 100*h.maxWrong)
		}
	}
}

// count measures pinned passes of every kind and strength, every second of them in
// the daily work, and counts the wrong verdicts.
func (h hearing) count(t *testing.T) (wrong, all int) {
	t.Helper()
	limits := synth.Limits{Max: 13500, Idle: 2800, Clutch: 3700}
	depths := []float64{0.6, 0.4, 0.2}
	rounds := *runs / 20
	for seed := range uint64(max(1, rounds)) {
		for i, k := range pinnedKinds() {
			for j, depth := range depths {
				if rounds <= 1 && (i+j)%race.Fewer(2, 9) != 0 {
					continue
				}
				draw := 1000*seed + uint64(len(depths)*i+j) // another voice and damage for each
				s, damage := h.through(pinnedPass(draw, k.firing(depth)), draw)
				v := measureScene(t, s, limits).Report.Verdict
				all++
				if v.Code != string(k.want) {
					wrong++
					t.Logf("%s, strength %.1f, draw %d, %s: %s: %s", k.name, depth, draw, damage, v.Code, v.Says)
				}
			}
		}
	}
	return wrong, all
}
