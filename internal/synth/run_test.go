package synth

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/engine"
)

// still is a scene without chance in the shaft, for closed formulas.
func still(p Profile, f Firing) Scene {
	f.Spread, f.Timing = 0, 0
	return Scene{
		Rate: 48000, Seed: 1, Engine: engine.TwoStrokeSingle, Profile: p, Firing: Always(f),
		Voice: Bare(), Room: Open(), Phone: Phone{Peak: -3},
	}
}

func TestRevolutionsCountTheProfile(t *testing.T) {
	tests := []struct {
		name    string
		profile Profile
		want    float64 // revolutions; source: the integral of speed over time
	}{
		{"steady 12000 rpm for 3 s", Steady(12000, 3), 600},
		{"line 3000 to 9000 rpm in 2 s", Pieces(3000, Piece{For: 2, To: 9000, Shape: Line}), 200},
		{"no turning", Steady(0, 2), 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := still(tt.profile, Clean()).Run()
			if got := float64(len(r.Revolutions())); math.Abs(got-tt.want) > 1 {
				t.Errorf("revolutions = %v, want %v within the one at the end", got, tt.want)
			}
			if got := float64(len(r.Cycles)); math.Abs(got-tt.want) > 1 {
				t.Errorf("working cycles = %v, want %v within the one at the end", got, tt.want)
			}
		})
	}
}

func TestRenderIsDeterministic(t *testing.T) {
	p := Pass{Idle: 2800, Top: 12000, IdleFor: 0.3, RiseIn: 0.4, HoldFor: 0.5, FallIn: 0.4, ReturnFor: 0.2}.Profile()
	s := NewScene(7, p, Always(Mixed(0.2, 0.5, Mode{1, 1}, Mode{2, 1}, Mode{3, 1})))
	a, b := s.Render(), s.Render()
	if !slices.Equal(a.Samples, b.Samples) {
		t.Error("the same scene gave two sounds")
	}
	s.Seed++
	if slices.Equal(a.Samples, s.Render().Samples) {
		t.Error("another seed gave the same sound")
	}
}

// TestCyclesFollowTheShaft: whatever jitter and wander do, cycles come in order, and as
// many as the shaft angle has firing intervals.
func TestCyclesFollowTheShaft(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := engine.Spec{
			Strokes:   rapid.SampledFrom([]int{2, 4}).Draw(t, "strokes"),
			Cylinders: rapid.IntRange(1, 3).Draw(t, "cylinders"),
		}
		speed := engine.RPM(rapid.Float64Range(2000, 15000).Draw(t, "rpm"))
		s := NewScene(rapid.Uint64().Draw(t, "seed"), Steady(speed, 1), Always(Every(2, 0.5)))
		s.Engine = e
		r := s.Run()
		turns := 0.0
		for i := 1; i < len(r.OperatingPoints); i++ {
			turns += float64(r.OperatingPoints[i].Speed.Hz()) * float64(Step)
		}
		if got, want := float64(len(r.Cycles)), turns*e.FiringOrder(); math.Abs(got-want) > 1.5 {
			t.Fatalf("%v burns in %.1f turns, want %.1f", got, turns, want)
		}
		for i := 1; i < len(r.Cycles); i++ {
			if r.Cycles[i].At <= r.Cycles[i-1].At {
				t.Fatalf("burn %d at %v, not after the one at %v", i, r.Cycles[i].At, r.Cycles[i-1].At)
			}
		}
	})
}
