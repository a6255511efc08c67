package pass

import (
	"math"
	"slices"
)

// sdPerMAD turns the median absolute deviation of a normal distribution into
// its standard deviation: 1 / 0.67449, the upper quartile of the normal.
const sdPerMAD = 1.4826

// quantile gives the value below which a share p of x lies, by linear
// interpolation between order statistics; 0 for none. x must be sorted.
func quantile(x []float64, p float64) float64 {
	if len(x) == 0 {
		return 0
	}
	k := p * float64(len(x)-1)
	i := int(k)
	if i+1 >= len(x) {
		return x[len(x)-1]
	}
	f := k - float64(i)
	return x[i]*(1-f) + x[i+1]*f
}

// median gives the middle of x, 0 for none. x is left as it is.
func median(x []float64) float64 { return quantile(sorted(x), 0.5) }

func sorted(x []float64) []float64 {
	y := slices.Clone(x)
	slices.Sort(y)
	return y
}

// scatter gives the standard deviation of x about its median, from the median
// absolute deviation, so that a minority of wrong values does not count.
func scatter(x []float64) float64 {
	m := median(x)
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = math.Abs(v - m)
	}
	return sdPerMAD * median(d)
}

// detrended takes the trend out of x: the line through the medians of its halves.
func detrended(x []float64) []float64 {
	half := len(x) / 2
	if half == 0 {
		return slices.Clone(x)
	}
	k := (median(x[len(x)-half:]) - median(x[:half])) / float64(len(x)-half)
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v - k*float64(i)
	}
	return out
}

// slope gives the median of the slopes between all pairs of points: a straight
// line that a minority of wrong points does not turn; 0 for fewer than two.
//
// Source: Theil 1950, Sen 1968 (from memory).
func slope(t, x []float64) float64 {
	var all []float64
	for i := range x {
		for j := i + 1; j < len(x); j++ {
			if t[j] > t[i] {
				all = append(all, (x[j]-x[i])/(t[j]-t[i]))
			}
		}
	}
	return median(all)
}
