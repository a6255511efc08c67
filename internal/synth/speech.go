package synth

import (
	"math"
	"math/rand/v2"

	"topnote/internal/engine"
)

// vowels are the first three formants of some vowels, Hz.
// Source: Peterson and Barney 1952, means of men.
var vowels = [...][3]engine.Hz{{730, 1090, 2440}, {530, 1840, 2480}, {270, 2290, 3010}, {570, 840, 2410}, {300, 870, 2240}}

// speech is syllables of a voice: pulses of the glottis through the formants of
// a vowel, a hiss before some, pauses between phrases. The pitch falls along a
// phrase.
func speech(out []float32, rate engine.Hz, rng *rand.Rand) {
	base := 90 + 130*rng.Float64() // Hz
	at := 0.3 * rng.ExpFloat64()
	for end := float64(len(out)) / float64(rate); at < end; {
		for k, n := 0, 3+rng.IntN(8); k < n && at < end; k++ {
			fall := 1.15 - 0.3*float64(k)/float64(n)
			long := 0.09 + 0.16*rng.Float64()
			syllable(out, rate, spoken{at, long, base * fall * (0.94 + 0.12*rng.Float64())}, rng)
			at += long * (1.02 + 0.3*rng.Float64())
		}
		at += 0.2 + 0.6*rng.ExpFloat64()
	}
}

type spoken struct{ at, long, pitch float64 }

// syllable adds one syllable.
func syllable(out []float32, rate engine.Hz, s spoken, rng *rand.Rand) {
	const hissFor, tilt = 0.3, 400.0 // share of the syllable; Hz, of the glottis
	vowel := vowels[rng.IntN(len(vowels))]
	mouth := newFilterBank(0.02, []Resonance{{vowel[0], 8, 1}, {vowel[1], 12, 0.5}, {vowel[2], 14, 0.25}}, rate)
	hisses := rng.IntN(3) == 0
	keep := math.Exp(-2 * math.Pi * tilt / float64(rate))
	n, first := int(s.long*float64(rate)), int(s.at*float64(rate))
	phase, glottis := 0.0, 0.0
	for i := 0; i < n && first+i < len(out); i++ {
		x := float64(i) / float64(n)
		if phase += s.pitch * (1 - 0.06*x) / float64(rate); phase >= 1 {
			phase--
			glottis++
		}
		glottis *= keep
		y := mouth.step(glottis) * math.Sin(math.Pi*x)
		if hisses && x < hissFor {
			y = 0.05 * rng.NormFloat64()
		}
		out[first+i] += float32(y)
	}
}
