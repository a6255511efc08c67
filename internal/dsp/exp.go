package dsp

import "math"

// ExpFloor is the least exponential that Exps gives. Products of two are still no
// subnormal numbers, with which processors are slow.
const ExpFloor = 1e-18

// Exps turns each element of x into the exponential of itself times a scale, over 0,
// less top: a number up to 0. It is within 2e-6 of the truth and not less than ExpFloor:
// from a table of powers of two, and linear in between.
func Exps(x []float32, scale, top float32) { exps(x, scale, top) }

// Exp is Exps of one number up to 0.
func Exp(x float32) float32 {
	if x < expBy.lowest {
		return ExpFloor
	}
	at := x*expBy.steps + expBy.zero // over 0
	whole := int32(at)
	between := (at - float32(whole)) * expBy.back
	power := math.Float32frombits(uint32(whole/expSteps-expZero+exponentOf1) << mantissa)
	return power * expTable[whole%expSteps] * (1 + between)
}

func plainExps(x []float32, scale, top float32) {
	for i, v := range x {
		x[i] = Exp(v*scale - top)
	}
}

const (
	expSteps    = 512 // in a factor of two
	expZero     = 64  // powers of two under 1 that the table reaches
	exponentOf1 = 127 // IEEE 754, 32 bits
	mantissa    = 23  // bits of it
)

// expBy holds the numbers of Exp, for vector instructions as well.
var expBy = struct {
	lowest, steps, zero, back, one, floor float32
	within, exponent                      uint32
}{
	lowest: -41.446, // ln ExpFloor
	steps:  expSteps / math.Ln2, zero: expZero * expSteps, back: math.Ln2 / expSteps,
	one: 1, floor: ExpFloor, within: expSteps - 1, exponent: exponentOf1 - expZero,
}

// expTable holds the powers of two from 1 to 2.
var expTable = func() (table [expSteps]float32) {
	for i := range table {
		table[i] = float32(math.Exp2(float64(i) / expSteps))
	}
	return table
}()
