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
	// OrdersPerRev is how many lines an order has: half, third and quarter
	// orders stand apart from the whole ones.
	OrdersPerRev = 8
	// MaxOrder is the highest order. At 18,000 rpm it stands at 3 kHz, within
	// the band of a telephone and of the sound that is analysed.
	MaxOrder = 10
)

// ErrTooFewTurns says that a stretch of sound is too short for its orders to be
// told apart.
var ErrTooFewTurns = fmt.Errorf("spectrum: an order spectrum needs %d revolutions or more", leastTurns)

// ErrTurns says that the shaft angles do not belong to the sound.
var ErrTurns = errors.New("spectrum: one angle for each sample is needed, never falling")

// How an order spectrum is taken.
const (
	leastTurns = 8  // revolutions of sound: half orders stand apart
	blockTurns = 16 // revolutions in a block, where there are so many: thirds and quarters do, too
	blockStep  = 4  // revolutions from one block to the next: a quarter, as the squared Hann window wants

	// Levels are worked out on a finer grid than they are given on, so that
	// firing every third turn, whose lines fall between those of eighths, does
	// not lose strength.
	finer = 2

	// The local floor is the level that one line in seven, within an order on
	// either side, does not reach: even with a peak at every quarter order that
	// many stand between the peaks.
	floorReach = OrdersPerRev * finer
	floorShare = 0.14

	// stillness is added to every power, far below what the last bit of 16-bit
	// sound gives, so that digital silence has a level and lies flat.
	stillness = 1e-15
)

// Orders gives the level at each order of the shaft over one stretch of sound.
//
// x is sound, shape [n]; turns is the shaft angle of each sample in
// revolutions, shape [n], never falling. The result has shape
// [MaxOrder*OrdersPerRev], in dB over the local floor, not below 0: element k
// is order (k+1)/OrdersPerRev and holds the loudest within half a line of it.
// Silence gives zeros. dst is reused when long enough. Blocks of 16 revolutions
// are averaged in power. It returns ErrTooFewTurns under 8 revolutions and
// ErrTurns for angles that do not fit.
//
// Each sample counts with the angle that it stands for, so the sum over a block
// is the Fourier integral over shaft angle: what resampling to equal angles and
// a transform would give, without the error of an interpolator.
//
// Source: Fyfe and Munck 1997; the sum without resampling: Blough 2003.
func Orders(dst []float64, x []float32, turns []float64) ([]float64, error) {
	if len(x) != len(turns) || !slices.IsSorted(turns) {
		return nil, ErrTurns
	}
	if len(turns) == 0 || !(turns[len(turns)-1]-turns[0] >= leastTurns) {
		return nil, ErrTooFewTurns
	}
	lines := MaxOrder * OrdersPerRev
	fine := blockLevels(x, turns, lines*finer+1)
	overFloor(fine)
	dst = slices.Grow(dst[:0], lines)[:lines]
	for k := range dst {
		at := (k+1)*finer - 1
		dst[k] = slices.Max(fine[at-1 : at+2])
	}
	return dst, nil
}

// blockLevels gives the mean level of all blocks, in dB, at as many orders as
// wanted, on the finer grid.
func blockLevels(x []float32, turns []float64, lines int) []float64 {
	levels := make([]float64, lines)
	sums := make([]complex128, lines)
	begin, end := turns[0], turns[len(turns)-1]
	block := min(blockTurns, end-begin)
	for from := begin; from == begin || from+block <= end; from += blockStep {
		a, _ := slices.BinarySearch(turns, from)
		b, _ := slices.BinarySearch(turns, from+block)
		angleSums(sums, x[a:b], turns[a:b], block)
		for k, s := range sums {
			levels[k] += real(s)*real(s) + imag(s)*imag(s)
		}
	}
	for k, power := range levels {
		levels[k] = 10 * math.Log10(power+stillness)
	}
	return levels
}

// angleSums gives the Fourier sums of one block of so many revolutions, at
// orders that are multiples of 1/(OrdersPerRev*finer).
func angleSums(sums []complex128, x []float32, turns []float64, block float64) {
	clear(sums)
	for i, v := range x {
		before, after := max(0, i-1), min(len(turns)-1, i+1)
		stands := (turns[after] - turns[before]) / 2
		at := turns[i] - turns[0]
		hann := 0.5 - 0.5*math.Cos(2*math.Pi*at/block)
		sin, cos := math.Sincos(-2 * math.Pi * at / (OrdersPerRev * finer))
		step := complex(cos, sin)
		term := complex(float64(v)*hann*stands, 0)
		for k := range sums {
			term *= step
			sums[k] += term
		}
	}
}

// overFloor replaces levels by what they stand over their local floor, and by 0
// where they do not.
func overFloor(levels []float64) {
	floor := make([]float64, len(levels))
	var near []float64
	for k := range levels {
		near = append(near[:0], levels[max(0, k-floorReach):min(len(levels), k+floorReach+1)]...)
		slices.Sort(near)
		floor[k] = near[int(floorShare*float64(len(near)-1))]
	}
	for k := range levels {
		levels[k] = max(0, levels[k]-floor[k])
	}
}

// ShaftAngle gives the shaft angle, in revolutions from the first, of n samples of
// sound, by the speed read at each: the integral of the speed over time.
// It panics on a rate that is not above 0.
func ShaftAngle(n int, rate engine.Hz, speed func(i int) engine.RPM) []float64 {
	if !(rate > 0) {
		panic("spectrum: Turns needs a rate")
	}
	turns := make([]float64, n)
	var angle float64
	for i := range turns {
		turns[i] = angle
		angle += float64(speed(i).Hz() / rate)
	}
	return turns
}
