package dsp

import (
	"math"
	"slices"
)

// Quantile gives the value that a share p, 0 to 1, of the values lies below. It
// interpolates linearly between order statistics: the p-quantile of n values is
// at place p(n-1), counted from 0. sorted is in ascending order; 0 for none.
//
// Source: Hyndman and Fan 1996, definition 7. gonum's stat.Quantile has
// definitions 1 and 4. Where one of the values itself is wanted, as in a rank of
// levels, use its stat.Empirical, definition 1.
func Quantile(sorted []float64, p float64) float64 {
	if len(sorted) == 0 {
		return 0
	}
	place := p * float64(len(sorted)-1)
	i := int(place)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	part := place - float64(i)
	return sorted[i]*(1-part) + sorted[i+1]*part
}

// Median gives the middle of x, or the mean of the middle two; 0 for none. x may
// be in any order and stays as it is.
func Median(x []float64) float64 { return Quantile(Sorted(x), 0.5) }

// Sorted gives a copy of x in ascending order.
func Sorted(x []float64) []float64 {
	y := slices.Clone(x)
	slices.Sort(y)
	return y
}

// SDPerMAD is the standard deviation of a normal distribution over its median
// absolute deviation: 1/0.67449, the reciprocal of its upper quartile.
const SDPerMAD = 1.4826

// RobustSD estimates the standard deviation of x from its median absolute
// deviation, so that outliers, up to almost half of the values, have little
// effect; 0 for none.
//
// Source: Hampel 1974.
func RobustSD(x []float64) float64 {
	return SDPerMAD * Quantile(AbsDeviations(nil, Sorted(x)), 0.5)
}

// AbsDeviations appends to dst the absolute deviations of values from their
// median, in ascending order. sorted is in ascending order, so that they come
// out by merging its two halves in linear time.
func AbsDeviations(dst, sorted []float64) []float64 {
	median := Quantile(sorted, 0.5)
	above, _ := slices.BinarySearch(sorted, median)
	below := above - 1
	for below >= 0 || above < len(sorted) {
		if above == len(sorted) || below >= 0 && median-sorted[below] < sorted[above]-median {
			dst, below = append(dst, median-sorted[below]), below-1
		} else {
			dst, above = append(dst, sorted[above]-median), above+1
		}
	}
	return dst
}

// RunningMean writes to dst the mean of the elements of x within half of each,
// so of 2 half+1 of them, and of fewer near the ends. dst is as long as x and
// does not overlap it. It takes time in proportion to len(x) alone.
func RunningMean(dst, x []float64, half int) {
	n := len(x)
	var sum float64
	for _, v := range x[:min(half, n)] {
		sum += v
	}
	i := 0
	for ; i < n && i <= half; i++ { // the window begins before x
		if i+half < n {
			sum += x[i+half]
		}
		dst[i] = sum / float64(min(i+half+1, n))
	}
	share := 1 / float64(2*half+1)
	for ; i+half < n; i++ {
		sum += x[i+half] - x[i-half-1]
		dst[i] = sum * share
	}
	for ; i < n; i++ { // it ends after x
		sum -= x[i-half-1]
		dst[i] = sum / float64(n-i+half)
	}
}

// PeakOffset gives the place of the top of the parabola through three values one
// apart, counted from the middle one: within 0.5 of it where that is the largest.
// 0 where the three are on a line.
//
// The bins of a spectral line give it closest from the logarithms of their power.
func PeakOffset(before, at, after float64) float64 {
	bend := before - 2*at + after
	if bend == 0 || math.IsNaN(bend) {
		return 0
	}
	return 0.5 * (before - after) / bend
}
