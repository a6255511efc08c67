package dsp

import "math"

// Heights writes the logarithm of each power plus a floor, both over 0, in units of
// HeightUnit and to within 0.003 dB, a small part of the variance of a level: from the
// exponent of the number and a table over the first bits of its mantissa. power has the
// length of dst at least.
func Heights(dst []int32, power []float32, floor float32) { heights(dst, power, floor) }

func plainHeights(dst []int32, power []float32, floor float32) {
	power = power[:len(dst)]
	for i, v := range power {
		bits := math.Float32bits(v + floor)
		dst[i] = int32(bits>>mantissa-exponentOf1)<<heightBits + heightTable[bits>>(mantissa-tableBits)%(1<<tableBits)]
	}
}

const (
	heightBits = 16 // of a doubling of the power
	tableBits  = 10
)

// HeightUnit is what a height counts, dB.
const HeightUnit = 10 * math.Ln2 / math.Ln10 / (1 << heightBits)

// heightTable holds the height in the middle of each step from 1 to 2.
var heightTable = func() (table [1 << tableBits]int32) {
	for i := range table {
		table[i] = int32(math.Round(math.Log2(1+(float64(i)+0.5)/float64(len(table))) * (1 << heightBits)))
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

// Ramp is a straight line between two bounds: so much for every 1 over 0, and what it is at
// 0.
type Ramp struct{ Slope, AtZero, Low, High float32 }

// Scored is numbers that were looked up, and what two ramps make of each; all are as long.
type Scored struct {
	Number []int16
	Score  [2][]float32
	By     [2]Ramp
}

// LookUp writes the numbers of a table at some places, which are in it, and their scores,
// from an element on. The numbers have 16 bits.
func (s *Scored) LookUp(from int, table, places []int32) { s.lookUp(from, table, places) }

func (s *Scored) plainLookUp(from int, table, places []int32) {
	number := s.Number[from:][:len(places)]
	for i, k := range places {
		number[i] = int16(table[k])
	}
	for r, by := range s.By {
		score := s.Score[r][from:][:len(places)]
		low, high := ordered(by.Low), ordered(by.High)
		for i, v := range number {
			y := min(max(ordered(by.Slope*float32(v)+by.AtZero), low), high)
			score[i] = math.Float32frombits(uint32(turnedBack(y)))
		}
	}
}

// ordered gives the bits of a number so that they are in order as whole numbers, whose min
// and max are no branches, nor calls in WebAssembly.
func ordered(x float32) int32 { return turnedBack(int32(math.Float32bits(x))) }

// turnedBack turns the order of negative numbers round, or back.
func turnedBack(bits int32) int32 { return bits ^ int32(uint32(bits>>31)>>1) }
