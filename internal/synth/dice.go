package synth

import (
	"math"
	"math/rand/v2"

	"topnote/internal/engine"
)

// dice draws figures from ranges.
type dice struct{ *rand.Rand }

// between draws evenly from a to b.
func (d dice) between(a, b float64) float64 { return a + (b-a)*d.Float64() }

// octaves draws from a to b, each octave as likely as the next; both above 0.
func (d dice) octaves(a, b float64) float64 { return a * math.Pow(b/a, d.Float64()) }

// chance is true with a probability.
func (d dice) chance(p float64) bool { return d.Float64() < p }

func (d dice) level(a, b float64) engine.Decibel   { return engine.Decibel(d.between(a, b)) }
func (d dice) seconds(a, b float64) engine.Seconds { return engine.Seconds(d.between(a, b)) }
func (d dice) rpm(a, b float64) engine.RPM         { return engine.RPM(d.between(a, b)) }
func (d dice) hz(a, b float64) engine.Hz           { return engine.Hz(d.octaves(a, b)) }

// modes draws resonances, from least to most of them.
func (d dice) modes(least, most int, from, to float64) []Resonance {
	out := make([]Resonance, least+d.IntN(most-least+1))
	for i := range out {
		out[i] = Resonance{At: d.hz(from, to), Q: d.octaves(1.2, 10), Gain: d.between(0.3, 1.5)}
	}
	return out
}

// weighted is one of several things and how often it is drawn.
type weighted[T any] struct {
	what   T
	weight float64
}

// pick draws one of several by weight.
func pick[T any](d dice, all []weighted[T]) T {
	sum := 0.0
	for _, w := range all {
		sum += w.weight
	}
	x := d.Float64() * sum
	for _, w := range all[:len(all)-1] {
		if x -= w.weight; x < 0 {
			return w.what
		}
	}
	return all[len(all)-1].what
}
