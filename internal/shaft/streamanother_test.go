package shaft

import (
	"math"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// TestLeapsToMultiple: the speed stands at a multiple of what it was a moment before.
func TestLeapsToMultiple(t *testing.T) {
	o := Default()
	f := &follower{o: o}
	leap := 2 * o.Stride
	track := func(from, to, slope float64) (ps []Point) {
		for i := range 2 * leap {
			v := from
			if i >= leap {
				v = to
			}
			ps = append(ps, Point{Speed: engine.RPM(v * math.Exp(slope*float64(i)))})
		}
		return ps
	}
	for _, tt := range []struct {
		from, to, slope float64
		want            bool
	}{
		{2800, 8400, 0, true}, {2800, 5650, 0, true}, {9000, 3000, 0, true}, {5700, 8550, 0, true},
		{2800, 2800, 0, false}, {2800, 7000, 0, false}, {0, 8400, 0, false}, {2800, 0, 0, false},
		{2800, 2800, 0.13, false}, // three times as fast in so many hops, but on the way
	} {
		if got := f.leapsToMultiple(track(tt.from, tt.to, tt.slope)[:leap+4]); got != tt.want {
			t.Errorf("from %v to %v, slope %v: %v", tt.from, tt.to, tt.slope, got)
		}
	}
	if f.leapsToMultiple(track(2800, 8400, 0)[leap-1 : leap+4]) {
		t.Error("a leap is seen from too few points")
	}
}

// besideAnother gives so many passes of a saw beside an engine that runs steadily.
func besideAnother(passes int, loud float32) (x []float32, run *synth.Run, length engine.Seconds) {
	profile := synth.Pass{Idle: 3100, Top: 9700, IdleFor: 2, RiseIn: 0.5, HoldFor: 2.5, FallIn: 1, ReturnFor: 2}.Profile()
	s := synth.NewScene(5, profile, synth.ByPhase(profile, map[string]synth.Firing{"": synth.Clean()}))
	s.Rate = rate
	one := s.Render().Samples
	for range passes {
		x = append(x, one...)
	}
	steady := synth.Steady(2600, engine.Seconds(float64(len(x))/float64(rate)))
	other := synth.NewScene(6, steady, synth.ByPhase(steady, map[string]synth.Firing{"": synth.Clean()}))
	other.Rate = rate
	for i, v := range other.Render().Samples[:len(x)] {
		x[i] += loud * v
	}
	return x, s.Run(), profile.Length
}

// TestStreamBesideAnother: beside an engine as loud that does not follow the throttle,
// the one that does is read once some seconds were heard, and the other one never for
// long.
func TestStreamBesideAnother(t *testing.T) {
	if race.Enabled {
		t.Skip("follows half a minute of sound; TestStreamMemory has the state")
	}
	x, run, length := besideAnother(4, 0.35)
	s := mustStream(t, engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 10500}})
	s.Push(x)
	var told, right, frames int
	for _, r := range readings(s) {
		if r.At < 2*s.o.Stream.Steady {
			continue
		}
		frames++
		want := run.SpeedAt(engine.Seconds(math.Mod(float64(r.At), float64(length))))
		if r.Speed.Told() {
			told++
			if math.Abs(float64(r.Speed/want-1)) < sameReading {
				right++
			}
		}
	}
	if !s.another.isHeard || float64(told) < 0.85*float64(frames) || float64(right) < 0.97*float64(told) {
		t.Errorf("of %d points %d are told, %d of them right; %v", frames, told, right, s.another.isHeard)
	}
}
