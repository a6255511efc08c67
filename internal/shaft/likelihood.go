package shaft

import "math"

// toLikelihood turns evidence into likelihoods: scale is the weight of the evidence
// and none that of the state without an engine. The greatest is 1.
func (h *observation) toLikelihood(scale, none float64) {
	top, weight := float32(none), float32(scale)
	h.eachOwn(func(p []float32) {
		for _, v := range p {
			if v*weight > top {
				top = v * weight
			}
		}
	})
	h.noEngine = exp(float32(none) - top)
	h.eachOwn(func(p []float32) {
		for i, v := range p {
			p[i] = exp(v*weight - top)
		}
	})
}

// probFloor is the least likelihood and the least belief. No evidence of one instant
// goes further; and products of two of them are still numbers that a processor
// multiplies without delay.
const probFloor = 1e-18

// exp gives the exponential of a number up to 0, within 2e-6 of it, and not less
// than least: from a table of powers of two, and a straight line in between.
func exp(x float32) float32 {
	const lowest = -41.446 // ln least
	if x < lowest {
		return probFloor
	}
	at := x*(expSteps/math.Ln2) + expZero*expSteps // over 0
	whole := int32(at)
	between := (at - float32(whole)) * (math.Ln2 / expSteps)
	power := math.Float32frombits(uint32(whole/expSteps-expZero+exponentOf1) << 23)
	return power * expTable[whole%expSteps] * (1 + between)
}

const (
	expSteps    = 512 // in a factor of two
	expZero     = 64  // powers of two under 1 that the table reaches
	exponentOf1 = 127 // IEEE 754, 32 bits
)

// expTable holds the powers of two from 1 to 2.
var expTable = func() (table [expSteps]float32) {
	for i := range table {
		table[i] = float32(math.Exp2(float64(i) / expSteps))
	}
	return table
}()
