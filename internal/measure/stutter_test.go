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

// TestStutterIsToldFromFourStroking holds the stutter of a coil that limits
// speed against four-stroking at the same speed, at three strengths of a lost
// firing (weak, clear, nearly whole), through the whole program: 95 in 100
// right (issue 4) as a plain recorder hears it. Through one damage of telephone or
// place each, which that issue does not ask for, a floor of 90 in 100 guards against
// getting worse. A clean engine held as still is neither. An abstention counts as
// wrong.
func TestStutterIsToldFromFourStroking(t *testing.T) {
	t.Parallel()
	const ceiling = 12600
	limits := synth.Limits{Max: 13500, Idle: 2800, Clutch: 3700}
	cuts := func(block, lost int, depth float64) synth.Firing {
		f := synth.Clean()
		f.Depth, f.Cuts = depth, &synth.Cuts{Ceiling: ceiling, Block: block, Lost: lost, Ragged: 0.15}
		return f
	}
	kinds := []struct {
		name   string
		want   verdict.Code
		firing func(depth float64) synth.Firing
	}{
		{"2 of 8 turns lost", verdict.SparkLimited, func(d float64) synth.Firing { return cuts(8, 2, d) }},
		{"3 of 10 lost", verdict.SparkLimited, func(d float64) synth.Firing { return cuts(10, 3, d) }},
		{"5 of 14 lost", verdict.SparkLimited, func(d float64) synth.Firing { return cuts(14, 5, d) }},
		{"6 of 20 lost", verdict.SparkLimited, func(d float64) synth.Firing { return cuts(20, 6, d) }},
		{"every second", verdict.FourStroking, func(d float64) synth.Firing { return synth.Every(2, d) }},
		{"every third", verdict.FourStroking, func(d float64) synth.Firing { return synth.Every(3, d) }},
		{"every fourth", verdict.FourStroking, func(d float64) synth.Firing { return synth.Every(4, d) }},
		{"second and third", verdict.FourStroking, func(d float64) synth.Firing {
			return synth.Mixed(0.7, d, synth.Mode{Every: 2, Share: 0.8}, synth.Mode{Every: 3, Share: 0.2})
		}},
		{"clean", verdict.CleanBelowLimit, func(float64) synth.Firing { return synth.Clean() }},
	}
	depths := []float64{0.6, 0.4, 0.2} // strength of a lost firing
	for _, hearing := range []struct {
		says    string
		through func(s synth.Scene, draw uint64) (synth.Scene, string)
		bar     float64 // most that may be told wrong
	}{
		{"a plain recorder", func(s synth.Scene, _ uint64) (synth.Scene, string) { return s, "as it is" }, 0.05},
		{"damage", func(s synth.Scene, draw uint64) (synth.Scene, string) { return s.Damaged(draw) }, 0.1},
	} {
		all, wrong := 0, 0
		rounds := *runs / 20
		for seed := range uint64(max(1, rounds)) {
			for i, k := range kinds {
				for j, depth := range depths {
					if rounds <= 1 && (i+j)%race.Fewer(2, 9) != 0 {
						continue // every second will do in the daily work
					}
					draw := 1000*seed + uint64(len(depths)*i+j) // another voice and damage for each
					s, damage := hearing.through(pinnedPass(draw, k.firing(depth)), draw)
					v := measureScene(t, s, limits).Report.Verdict
					all++
					if v.Code != string(k.want) {
						wrong++
						t.Logf("%s, strength %.1f, draw %d, %s: %s: %s", k.name, depth, draw, damage, v.Code, v.Says)
					}
				}
			}
		}
		t.Logf("through %s, of %d passes %d told wrong", hearing.says, all, wrong)
		if float64(wrong) > hearing.bar*float64(all) {
			t.Errorf("through %s, %d of %d told wrong, over %.0f %%", hearing.says, wrong, all, 100*hearing.bar)
		}
	}
}
