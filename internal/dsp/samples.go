package dsp

import (
	"encoding/binary"
	"math"
)

// FromInt16 writes samples of 16 bits, the lower byte first, with full scale 1. raw has
// two bytes for each.
func FromInt16(dst []float32, raw []byte) { fromInt16(dst, raw) }

const perInt16 = 1. / (1 << 15)

func plainFromInt16(dst []float32, raw []byte) {
	for i := range dst {
		dst[i] = float32(int16(binary.LittleEndian.Uint16(raw[2*i:]))) * perInt16
	}
}

const signBit = 1 << 31

// LargestMagnitude gives the bits of the largest magnitude among some numbers: these have
// the order of the numbers, and one that is none comes last.
func LargestMagnitude(x []float32) uint32 { return largestMagnitude(x) }

func plainLargestMagnitude(x []float32) (most uint32) {
	for _, v := range x {
		most = max(most, math.Float32bits(v)&^signBit)
	}
	return most
}

// AtOnce is how many samples are marked and measured together.
const AtOnce = 8

// Marks are bits of eight samples: in the lowest byte, the first of them lowest, which
// are loud; in the next which of these equal the one before; in the third which are one
// of 32 that they and the one before alone decide on.
type Marks uint32

// Loud, Same and Chosen give the bytes of Marks.
func (m Marks) Loud() uint8   { return uint8(m) }
func (m Marks) Same() uint8   { return uint8(m >> 8) }
func (m Marks) Chosen() uint8 { return uint8(m >> 16) }

// Mark marks the samples of x from the second on, as many as eight times dst, of which
// those are loud whose magnitude is over soft.
func Mark(dst []Marks, x []float32, soft float32) {
	mark(dst, x[:1+AtOnce*len(dst)], math.Float32bits(soft))
}

// chosenBy are the factors of the bits of a sample and of the one before in the sum that
// decides which are chosen: odd, with bits in no order.
var chosenBy = [2]uint32{0x9e3779b1, 0x85ebca6b}

const chosenShift = 27 // bits of the sum that are left are 0 for one in 32

func plainMark(dst []Marks, x []float32, soft uint32) {
	before := math.Float32bits(x[0])
	for k := range dst {
		var loud, same, chosen Marks
		for j, v := range (*[AtOnce]float32)(x[1+AtOnce*k:]) {
			bits := math.Float32bits(v)
			var is, equal, one Marks
			if bits&^signBit > soft {
				is = 1
			}
			if bits == before {
				equal = 1
			}
			if (bits*chosenBy[0]+before*chosenBy[1])>>chosenShift == 0 {
				one = 1
			}
			loud, same, chosen = loud|is<<j, same|(equal&is)<<j, chosen|one<<j
			before = bits
		}
		dst[k] = loud | same<<8 | chosen<<16
	}
}

// Roughness is of the third differences of eight samples: the largest magnitude, and the
// weighted sum of all.
type Roughness struct{ Most, Sum float64 }

// Rough measures the samples of x from the fourth on, as many as eight times dst.
func Rough(dst []Roughness, x []float32, weight *[AtOnce]float64) {
	rough(dst, x[:3+AtOnce*len(dst)], weight)
}

// ThirdDifference gives the magnitude of that of four samples.
func ThirdDifference(x *[4]float32) float64 {
	return math.Abs(float64(x[3]) - 3*float64(x[2]) + 3*float64(x[1]) - float64(x[0]))
}

func plainRough(dst []Roughness, x []float32, weight *[AtOnce]float64) {
	for k := range dst {
		near := (*[AtOnce + 3]float32)(x[AtOnce*k:])
		var most uint64 // magnitudes have the order of their bits
		var sums [AtOnce / 2]float64
		for j := range sums {
			a, b := ThirdDifference((*[4]float32)(near[j:])), ThirdDifference((*[4]float32)(near[j+len(sums):]))
			most = max(most, math.Float64bits(a), math.Float64bits(b))
			sums[j] = weight[j]*a + weight[j+len(sums)]*b
		}
		dst[k] = Roughness{math.Float64frombits(most), sums[0] + sums[2] + (sums[1] + sums[3])}
	}
}
