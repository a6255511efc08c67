package shaft

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// madeTone is a tone of some seconds of which each harmonic has an amplitude, in white
// noise with a ratio of powers in decibels. Its frequency wanders by so much, relative,
// from tenth to tenth of a second.
func madeTone(f, snr, wander float64, amplitudes []float64, seed uint64) []float32 {
	const long, rate, tenth = 5, 8000, 800
	rng := rand.New(rand.NewPCG(seed, 1))
	x := make([]float32, long*rate)
	var power, turns, now, next float64
	for i := range x {
		if i%tenth == 0 {
			now, next = next, wander*rng.NormFloat64()
		}
		part := float64(i%tenth) / tenth
		turns += f / rate * (1 + now + part*(next-now))
		var v float64
		for k, a := range amplitudes {
			v += a * math.Sin(2*math.Pi*float64(k+1)*turns)
		}
		x[i] = float32(v)
		power += v * v / float64(len(x))
	}
	return addNoise(x, math.Sqrt(power*math.Pow(10, -snr/10)), seed)
}

// TestTones: a steady tone is no engine, of whatever pitch and timbre and in noise, though
// its lines are those of one. What has the same lines and wanders by 0.3 %, a third of what
// the steadiest engine of the recordings does, is followed where it was before.
func TestTones(t *testing.T) {
	t.Parallel()
	const quiet = 120 // dB: hardly any noise
	falling := []float64{1, 1. / 4, 1. / 9, 1. / 16, 1. / 25}
	soft := []float64{1, 0.01, 0.003, 0.005, 0.002, 0.004}
	for name, tt := range map[string]struct {
		f, snr     float64
		amplitudes []float64
		engine     bool // what wanders is followed
	}{
		"nearly a sine":           {195.6, quiet, soft, true},
		"nearly a sine, in noise": {200.2, 20, soft, false},
		"five harmonics":          {238, 10, falling, true},
		"low, in noise":           {131, 10, []float64{1, 0.25}, false},
		"of one height":           {120.8, 10, []float64{1, 1}, true},
		"clarinet":                {169.4, 10, []float64{1, 0, 1. / 3, 0, 1. / 5, 0, 1. / 7}, true},
	} {
		told := func(seed uint64, wander float64) engine.Seconds {
			x := madeTone(tt.f, tt.snr, wander, tt.amplitudes, seed)
			tr, err := Follow(context.Background(), audio.Memory(x), 8000, engine.Machine{Spec: engine.TwoStrokeSingle})
			if err != nil {
				t.Fatal(err)
			}
			return tr.Told()
		}
		for seed := range uint64(3) {
			if long := told(seed, 0); long > 0 {
				t.Errorf("%s, draw %d: a tone is told for %.2f s", name, seed, float64(long))
			}
			if long := told(seed, 0.003); tt.engine && long < 4 {
				t.Errorf("%s, draw %d: what wanders is told for %.2f s of 5", name, seed, float64(long))
			}
		}
	}
}
