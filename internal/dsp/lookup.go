package dsp

import "math"

// Decibels writes 10 log10 of each power plus a floor, both over 0, to within 0.003 dB,
// a small part of the variance of a level, in a tenth of the time of math.Log10: from
// the exponent of the number and a table over the first bits of its mantissa. power has
// the length of dst at least.
func Decibels(dst, power []float64, floor float64) { levels(dst, power, floor) }

func plainDecibels(dst, power []float64, floor float64) {
	power = power[:len(dst)]
	for i, v := range power {
		bits := math.Float64bits(v + floor)
		dst[i] = float64(int32(bits>>52)-levelBy.exponentOf1)*levelBy.ofTwo + levelTable[bits>>(52-levelBits)&(1<<levelBits-1)]
	}
}

const levelBits = 10

// levelBy holds the numbers of Decibels, for vector instructions as well.
var levelBy = struct {
	ofTwo       float64
	within      uint64
	exponentOf1 int32
}{ofTwo: 10 * math.Log10(2), within: 1<<levelBits - 1, exponentOf1: 1023} // IEEE 754, 64 bits

// levelTable holds the level in the middle of each step from 1 to 2.
var levelTable = func() (table [1 << levelBits]float64) {
	for i := range table {
		table[i] = 10 * math.Log10(1+(float64(i)+0.5)/float64(len(table)))
	}
	return table
}()

// Steps writes which of so many even steps from one number upwards each x is in, the
// first or last where it is beyond them. x has the length of dst at least.
func Steps(dst []int32, x []float32, from, perUnit float32, count int) {
	steps(dst, x, stepBy{from, perUnit, int32(count - 1)})
}

type stepBy struct {
	from, perUnit float32
	last          int32
}

func plainSteps(dst []int32, x []float32, by stepBy) {
	x = x[:len(dst)]
	for i, v := range x {
		dst[i] = min(max(int32((v-by.from)*by.perUnit), 0), by.last)
	}
}

// Gather writes the elements of a table at some places, which are in it. at has the
// length of dst at least.
func Gather(dst, table []float32, at []int32) { gather(dst, table, at) }

// GatherShort is Gather of numbers that have 16 bits.
func GatherShort(dst []int16, table, at []int32) { gatherShort(dst, table, at) }

func plainGather(dst, table []float32, at []int32) {
	at = at[:len(dst)]
	for i, k := range at {
		dst[i] = table[k]
	}
}

func plainGatherShort(dst []int16, table, at []int32) {
	at = at[:len(dst)]
	for i, k := range at {
		dst[i] = int16(table[k])
	}
}
