package dsp

import (
	"math"
	"slices"
)

// Largest gives the largest element of x, which has some.
func Largest(x []float32) float32 { return largest(x) }

// IndexOfLargest gives the index of the first of the largest elements of x, which has some.
func IndexOfLargest(x []float32) int { return indexOf(x, largest(x)) }

// Raise32 raises each element of dst to that of x where that is larger.
func Raise32(dst, x []float32) { raise(dst, x) }

func plainLargest(x []float32) float32 {
	top := x[0]
	for _, v := range x {
		if v > top {
			top = v
		}
	}
	return top
}

func plainIndexOf(x []float32, v float32) int { return slices.Index(x, v) }

func plainRaise(dst, x []float32) {
	x = x[:len(dst)]
	for i, v := range x {
		if v > dst[i] {
			dst[i] = v
		}
	}
}

// CountOver adds by to each element of count for which one of three elements of x is over
// least: that with its index and the two that follow it.
func CountOver(count []int32, x []float32, least float32, by int32) {
	countOver(count, x[:len(count)+2], least, by)
}

// plainCountOver has no branch, which noise would make a processor guess.
func plainCountOver(count []int32, x []float32, least float32, by int32) {
	over := func(v float32) (n int32) {
		if v > least {
			n = by
		}
		return n
	}
	before, at := over(x[0]), over(x[1])
	x = x[2:][:len(count)]
	for i, v := range x {
		after := over(v)
		count[i] += before | at | after
		before, at = at, after
	}
}

// Roots writes the square root of each element of x, none under 0; x has the length of dst.
func Roots(dst, x []float32) { roots(dst, x[:len(dst)]) }

func plainRoots(dst, x []float32) {
	for i, v := range x {
		dst[i] = float32(math.Sqrt(float64(v)))
	}
}

// Slope32 writes slope times what x is over zero, and adds it to sum as well.
func Slope32(dst, sum, x []float32, zero, slope float32) { slopes(dst, sum, x, zero, slope) }

func plainSlopes(dst, sum, x []float32, zero, slope float32) {
	sum, x = sum[:len(dst)], x[:len(dst)]
	for i, v := range x {
		v = slope * (v - zero)
		dst[i] = v
		sum[i] += v
	}
}

// Windowed writes x, under a window, to points two by two: element i is product 2i as its
// real and product 2i+1 as its imaginary part. Both have twice as many elements.
func Windowed(dst []complex64, x, window []float32) { windowed(dst, x, window) }

func plainWindowed(dst []complex64, x, window []float32) {
	x, window = x[:2*len(dst)], window[:2*len(dst)]
	for i := range dst {
		dst[i] = complex(window[2*i]*x[2*i], window[2*i+1]*x[2*i+1])
	}
}
