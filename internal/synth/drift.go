package synth

import (
	"math"

	"topnote/internal/engine"
)

// drift is slow noise of unit variance and zero mean: white noise through two
// equal one-pole low-passes, so that it is differentiable.
type drift struct {
	keep, gain, a, b float64
}

func newDrift(tau, step engine.Seconds) drift {
	k := math.Exp(-float64(step / tau))
	// Power of the impulse response (1-k)^2 (n+1) k^n:
	// (1-k)^4 (1+k^2)/(1-k^2)^3 (identity: sum of n^2 x^n).
	power := math.Pow(1-k, 4) * (1 + k*k) / math.Pow(1-k*k, 3)
	return drift{keep: k, gain: 1 / math.Sqrt(power)}
}

func (d *drift) step(rng noiseSource) float64 {
	d.a = d.keep*d.a + (1-d.keep)*rng.NormFloat64()
	d.b = d.keep*d.b + (1-d.keep)*d.a
	return d.gain * d.b
}
