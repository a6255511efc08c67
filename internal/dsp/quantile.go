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
func Median(x []float64) float64 { return MedianInPlace(slices.Clone(x)) }

// MedianInPlace is Median, but leaves x in another order. It takes time in proportion
// to len(x): no more is put in order than is needed (quickselect).
func MedianInPlace(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	k := (len(x) - 1) / 2
	for lo, hi := 0, len(x)-1; lo < hi; {
		pivot := x[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for x[j] > pivot {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i, j = i+1, j-1
			}
		}
		if k <= j {
			hi = j
		} else if k >= i {
			lo = i
		} else {
			break
		}
	}
	if len(x)%2 == 1 {
		return x[k]
	}
	return x[k]*0.5 + slices.Min(x[k+1:])*0.5
}

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
func RobustSD(x []float64) float64 { return RobustSDInPlace(slices.Clone(x)) }

// RobustSDInPlace is RobustSD, but overwrites x.
func RobustSDInPlace(x []float64) float64 {
	median := MedianInPlace(x)
	for i, v := range x {
		x[i] = math.Abs(v - median)
	}
	return SDPerMAD * MedianInPlace(x)
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
	width := 2*half + 1
	share := 1 / float64(width)
	if apart := (n - half - i) / 2; apart > width {
		// Two sums at once, which do not wait for each other: the second one begins apart
		// from the first.
		var other float64
		for _, v := range x[i+apart-half-1 : i+apart+half] {
			other += v
		}
		before, after := x[i-half-1:][:2*apart], x[i+half:][:2*apart]
		to := dst[i:][:2*apart]
		for k := range apart {
			sum += after[k] - before[k]
			other += after[k+apart] - before[k+apart]
			to[k], to[k+apart] = sum*share, other*share
		}
		sum, i = other, i+2*apart
	}
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
