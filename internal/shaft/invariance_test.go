package shaft

import (
	"context"
	"math"
	"path/filepath"
	"sync"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// steadyEngine is a short sound of a steady, loud engine and how it is read.
type steadyEngine struct {
	speed  engine.RPM
	x      audio.Memory
	points []Point
}

// steadyEngines gives engines at speeds whose double is still searched, each with
// another voice. They are made once for all tests.
var steadyEngines = sync.OnceValues(func() ([]steadyEngine, error) {
	var all []steadyEngine
	for seed, speed := range []engine.RPM{7010, 8130, 7490, 8690}[:race.Fewer(4, 1)] {
		s := synth.NewScene(uint64(seed), synth.Steady(speed, 1.6), synth.Always(synth.Clean()))
		s.Rate = rate
		x := s.Render().Samples
		tr, err := Follow(context.Background(), x, rate, engine.Machine{Spec: engine.TwoStrokeSingle})
		if err != nil {
			return nil, err
		}
		all = append(all, steadyEngine{speed, x, tr.Points})
	}
	return all, nil
})

func mustSteadyEngines(t *testing.T) []steadyEngine {
	t.Helper()
	all, err := steadyEngines()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func mustFollow(t *testing.T, x audio.Signal, rate engine.Hz) []Point {
	t.Helper()
	tr, err := Follow(t.Context(), x, rate, engine.Machine{Spec: engine.TwoStrokeSingle})
	if err != nil {
		t.Fatal(err)
	}
	return tr.Points
}

// scaled gives x times a gain.
func scaled(x audio.Memory, gain float32) audio.Memory {
	y := make(audio.Memory, len(x))
	for i, v := range x {
		y[i] = gain * v
	}
	return y
}

// TestPolarity: which way up a recording is changes nothing at all.
func TestPolarity(t *testing.T) {
	for _, e := range mustSteadyEngines(t) {
		for i, got := range mustFollow(t, scaled(e.x, -1), rate) {
			if got != e.points[i] {
				t.Fatalf("%v rpm, at %.2f s: %+v, upside down %+v", e.speed, got.At, e.points[i], got)
			}
		}
	}
}

// TestGain: how loud a recording is changes no speed by more than a tenth of its
// standard deviation. It is not the same to the last digit, since digital silence
// has a level (powerFloor): at the ends half a window is silence.
func TestGain(t *testing.T) {
	const ends = 5 // hops
	for i, e := range mustSteadyEngines(t) {
		gain := []float32{0.25, 0.1, 2, 0.7}[i]
		got := mustFollow(t, scaled(e.x, gain), rate)
		for k := ends; k < len(got)-ends; k++ {
			if a, b := e.points[k], got[k]; math.Abs(float64(a.Speed-b.Speed)) > 0.1*float64(a.SD) {
				t.Fatalf("%v rpm, at %.2f s: %.1f rpm, %.1f at %g times the level", e.speed, a.At, a.Speed, b.Speed, gain)
			}
		}
	}
}

// TestTimeShift: silence before a recording moves its track and nothing else, away
// from where the two meet. A shift by whole looks would be the same to the last
// digit; others put the frames elsewhere.
func TestTimeShift(t *testing.T) {
	const meet = 15 // hops
	for i, e := range mustSteadyEngines(t) {
		hops := []int{5, 8, 23, 40}[i]
		silence := make(audio.Memory, hops*int(0.02*float64(rate)))
		later := mustFollow(t, append(silence, e.x...), rate)
		for k := meet; k < len(e.points)-1; k++ {
			if a, b := e.points[k], later[k+hops]; math.Abs(float64(a.Speed-b.Speed)) > 2*float64(a.SD) {
				t.Fatalf("%v rpm, at %.2f s: %+v, %d hops later %+v", e.speed, a.At, a, hops, b)
			}
		}
	}
}

// TestTwiceTheRate: the same samples, said to be twice as fast, are an engine at
// twice the speed, whatever the rate that they are analysed at. A machine is known whose
// limit it stays under: what no engine reaches is another multiple.
func TestTwiceTheRate(t *testing.T) {
	const ends = 10 // hops; frames are as long for both, and the speed wanders within them
	for _, e := range mustSteadyEngines(t) {
		path := filepath.Join(t.TempDir(), "engine.wav")
		if err := clip.WriteWAVFile(path, e.x, 2*rate); err != nil {
			t.Fatal(err)
		}
		s, err := clip.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		known := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 2 * e.speed}}
		tr, err := Follow(t.Context(), s.Samples, s.Rate, known)
		if err != nil {
			t.Fatal(err)
		}
		twice := tr.Points
		for k := ends; k < len(twice)-ends; k++ {
			if a, b := e.points[2*k], twice[k]; math.Abs(float64(2*a.Speed-b.Speed)) > 2*math.Hypot(2*float64(a.SD), float64(b.SD)) {
				t.Fatalf("%v rpm: at %.2f s %+v, at twice the rate %+v", e.speed, a.At, a, b)
			}
		}
	}
}
