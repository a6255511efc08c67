package spectrum

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"topnote/internal/engine"
)

// The lines of an order spectrum.
const (
	// LinesPerOrder is how many lines there are to an order, so that half, third and
	// quarter orders are lines of their own.
	LinesPerOrder = 12
	// MaxOrder is the highest order. At 18,000 rpm that is 3 kHz, within the band of
	// a telephone and of the sound that is analysed.
	MaxOrder = 10
)

// ErrTooFewRevs says that a segment is too short for its orders to be resolved.
var ErrTooFewRevs = fmt.Errorf("spectrum: an order spectrum needs %d revolutions or more", minRevs)

// ErrAngles says that the shaft angles do not belong to the sound.
var ErrAngles = errors.New("spectrum: one angle for each sample is needed, never falling")

// How an order spectrum is estimated.
const (
	minRevs   = 8  // revolutions of sound: half orders are resolved
	blockRevs = 48 // revolutions in a block, where there are so many: a steady tone is one line, its neighbours begin where the window's peak ends
	blockStep = 12 // revolutions from one block to the next: a quarter, as the squared Hann window wants

	// Levels are computed on a finer grid than they are given on, of half the width of
	// the window's peak, so that a tone a little beside its line loses no level.
	oversampling = 4

	// The local floor is the level that one of the finer lines in seven, within an order on either
	// side, is under: with a peak at every quarter order so many are still between
	// the peaks.
	floorReach    = LinesPerOrder * oversampling
	floorQuantile = 0.14

	// orderPowerFloor is added to every power, far below what the last bit of 16-bit
	// sound gives, so that digital silence has a level, and a flat one.
	orderPowerFloor = 1e-15
)

// Orders gives the level at each order of the shaft over one segment of sound.
//
// x is sound, shape [n]; angle is the shaft angle of each sample in revolutions,
// shape [n], never falling. The result has shape [MaxOrder*LinesPerOrder], in dB
// over the local floor, not below 0: element k is order (k+1)/LinesPerOrder, the
// highest level within a quarter of a line of it. Silence gives zeros. dst is reused
// when long enough. Blocks of 48 revolutions are averaged in power. It returns
// ErrTooFewRevs under 8 revolutions and ErrAngles for angles that do not fit.
//
// Each sample is weighted by the angle from one sample to the next, so the sum over
// a block is the Fourier integral over shaft angle: what resampling to equal angles
// and a transform would give, without the error of an interpolator.
//
// Source: Fyfe and Munck 1997; the sum without resampling: Blough 2003.
func Orders(dst []float64, x []float32, angle []float64) ([]float64, error) {
	if len(x) != len(angle) || !slices.IsSorted(angle) {
		return nil, ErrAngles
	}
	if len(angle) == 0 || !(angle[len(angle)-1]-angle[0] >= minRevs) {
		return nil, ErrTooFewRevs
	}
	lines := MaxOrder * LinesPerOrder
	fine := blockLevels(x, angle, lines*oversampling+1)
	subtractFloor(fine)
	dst = slices.Grow(dst[:0], lines)[:lines]
	for k := range dst {
		at := (k+1)*oversampling - 1
		dst[k] = slices.Max(fine[at-1 : at+2])
	}
	return dst, nil
}

// blockLevels gives the mean level of all blocks, in dB, at so many orders of the
// finer grid.
func blockLevels(x []float32, angle []float64, lines int) []float64 {
	levels := make([]float64, lines)
	sums := make([]complex128, lines)
	begin, end := angle[0], angle[len(angle)-1]
	block := min(blockRevs, end-begin)
	for from := begin; from == begin || from+block <= end; from += blockStep {
		a, _ := slices.BinarySearch(angle, from)
		b, _ := slices.BinarySearch(angle, from+block)
		angleDFT(sums, x[a:b], angle[a:b], block)
		for k, s := range sums {
			levels[k] += real(s)*real(s) + imag(s)*imag(s)
		}
	}
	for k, power := range levels {
		levels[k] = 10 * math.Log10(power+orderPowerFloor)
	}
	return levels
}

// angleDFT writes the Fourier integral over angle of one block of so many
// revolutions, at the orders that are multiples of 1/(LinesPerOrder*oversampling).
func angleDFT(dst []complex128, x []float32, angle []float64, block float64) {
	clear(dst)
	for i, v := range x {
		before, after := max(0, i-1), min(len(angle)-1, i+1)
		width := (angle[after] - angle[before]) / 2
		at := angle[i] - angle[0]
		hann := 0.5 - 0.5*math.Cos(2*math.Pi*at/block)
		sin, cos := math.Sincos(-2 * math.Pi * at / (LinesPerOrder * oversampling))
		step := complex(cos, sin)
		term := complex(float64(v)*hann*width, 0)
		for k := range dst {
			term *= step
			dst[k] += term
		}
	}
}

// subtractFloor replaces levels by their height over the local floor, not below 0.
func subtractFloor(levels []float64) {
	floor := make([]float64, len(levels))
	var near []float64
	for k := range levels {
		near = append(near[:0], levels[max(0, k-floorReach):min(len(levels), k+floorReach+1)]...)
		slices.Sort(near)
		floor[k] = near[int(floorQuantile*float64(len(near)-1))] // of two the lower: an interpolated one takes in half of a line
	}
	for k := range levels {
		levels[k] = max(0, levels[k]-floor[k])
	}
}

// ShaftAngle gives the shaft angle, in revolutions from the first, of n samples of
// sound: the integral over time of the speed at each. It panics on a rate that is
// not above 0.
func ShaftAngle(n int, rate engine.Hz, speed func(i int) engine.RPM) []float64 {
	if !(rate > 0) {
		panic("spectrum: ShaftAngle needs a rate")
	}
	angles := make([]float64, n)
	var angle float64
	for i := range angles {
		angles[i] = angle
		angle += float64(speed(i).Hz() / rate)
	}
	return angles
}
