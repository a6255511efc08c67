package shaft

import "topnote/internal/dsp"

// toLikelihood turns evidence into likelihoods, scaled so that the greatest is 1.
// exponent is that of the emission, over 0, and noEngine the log likelihood of the state
// without an engine.
func (f *observation) toLikelihood(exponent, noEngine float64) {
	top, weight := float32(noEngine), float32(exponent)
	f.eachVector(func(p []float32) { top = max(top, dsp.Largest(p)*weight) })
	f.noEngine = dsp.Exp(float32(noEngine) - top)
	f.eachVector(func(p []float32) { dsp.Exps(p, weight, top) })
}

// probFloor is the least likelihood and the least probability of a state.
const probFloor = dsp.ExpFloor
