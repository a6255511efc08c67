package shaft

import "math"

// toLikelihood turns evidence into likelihoods, scaled so that the greatest is 1.
// exponent is that of the emission, and noEngine the log likelihood of the state
// without an engine.
func (f *observation) toLikelihood(exponent, noEngine float64) {
	top, weight := float32(noEngine), float32(exponent)
	f.eachVector(func(p []float32) {
		for _, v := range p {
			if v*weight > top {
				top = v * weight
			}
		}
	})
	f.noEngine = exp(float32(noEngine) - top)
	f.eachVector(func(p []float32) {
		for i, v := range p {
			p[i] = exp(v*weight - top)
		}
	})
}

// probFloor is the least likelihood and the least probability of a state. Products of
// two of them are still no subnormal numbers, with which processors are slow.
const probFloor = 1e-18

// exp gives the exponential of a number up to 0, within 2e-6 of it, and not less than
// probFloor: from a table of powers of two, and linear in between.
func exp(x float32) float32 {
	const lowest = -41.446 // ln probFloor
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
