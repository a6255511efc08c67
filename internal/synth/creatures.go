package synth

import (
	"math"
	"math/rand/v2"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// birds are phrases of a few equal chirps: swept tones with a soft start and end.
func birds(out []float32, rate engine.Hz, rng *rand.Rand) {
	at := 0.1
	for at < float64(len(out))/float64(rate) {
		from, to := 2000+4000*rng.Float64(), 2000+4000*rng.Float64()
		long := 0.05 + 0.15*rng.Float64()
		gap := long * (1.3 + rng.Float64())
		loud := 0.2 + 0.8*rng.Float64()
		for range 2 + rng.IntN(6) {
			chirp(out, rate, chirpShape{at, long, from, to, loud})
			at += gap
		}
		at += 0.7 * rng.ExpFloat64()
	}
}

type chirpShape struct{ at, long, from, to, loud float64 }

func chirp(out []float32, rate engine.Hz, c chirpShape) {
	first := int(c.at * float64(rate))
	n := int(c.long * float64(rate))
	phase := 0.0
	for i := 0; i < n && first+i < len(out); i++ {
		x := float64(i) / float64(n)
		if c.from+(c.to-c.from)*x > float64(rate)/2 {
			continue // above the Nyquist frequency
		}
		phase += 2 * math.Pi * (c.from + (c.to-c.from)*x) / float64(rate)
		out[first+i] += float32(c.loud * math.Sin(math.Pi*x) * math.Sin(phase))
	}
}

// chords are three notes of eight harmonics, struck anew every half second,
// in equal temperament on A at 440 Hz (ISO 16).
func chords(out []float32, rate engine.Hz, rng *rand.Rand) {
	const beat, harmonics = 0.5, 8
	n := int(beat * float64(rate))
	for from := 0; from < len(out); from += n {
		root := rng.IntN(12) - 24
		for _, third := range []int{0, 3 + rng.IntN(2), 7} {
			f := 440 * math.Exp2(float64(root+third)/12)
			for h := 1; h <= harmonics && f*float64(h) < float64(rate)/2; h++ {
				w := 2 * math.Pi * f * float64(h) / float64(rate)
				for i := 0; i < n && from+i < len(out); i++ {
					fade := math.Exp(-2*float64(i)/float64(n)) * math.Min(1, float64(i)/200)
					out[from+i] += float32(fade / float64(h) * math.Sin(w*float64(i)))
				}
			}
		}
	}
}

// coolingFan is a fan of seven blades: air noise and its blade tones.
func coolingFan(out []float32, rate engine.Hz, speed engine.RPM, rng *rand.Rand) {
	const blades, tones, tone = 7, 4, 0.25
	low := dsp.NewLowPass(900, rate, 0.6)
	for i := range out {
		out[i] = float32(low.Step(rng.NormFloat64()))
	}
	rms := math.Sqrt(meanPower(out))
	for k := 1; k <= tones; k++ {
		w := 2 * math.Pi * float64(speed.Hz()) * blades * float64(k) / float64(rate)
		for i := range out {
			out[i] += float32(tone * rms * math.Sqrt2 / float64(k) * math.Sin(w*float64(i)))
		}
	}
}

// secondEngine is another engine with its own voice, running clean at one speed.
func secondEngine(out []float32, rate engine.Hz, speed engine.RPM, rng *rand.Rand) {
	seed := rng.Uint64()
	s := Scene{
		Seed: seed, Engine: engine.TwoStrokeSingle, Firing: Always(Clean()),
		Profile: Steady(speed, engine.Seconds(float64(len(out))/float64(rate))),
		Wander:  Wander{Slow: 0.002, SlowTime: 0.5, Jitter: 0.002},
	}
	r := newRun(s)
	oversampled(out, rate, func(x []float32, rate engine.Hz) { DrawVoice(seed).render(x, rate, r, seed) })
}
