package pass

import "topnote/internal/dsp"

// detrended takes the trend out of x: the line through the medians of its halves.
func detrended(x []float64) []float64 {
	half := len(x) / 2
	return detrend(nil, x, trendOf(dsp.Median(x[:half]), dsp.Median(x[len(x)-half:]), len(x)))
}

// trendOf gives the trend per value of so many, by the medians of their halves.
func trendOf(first, last float64, n int) float64 {
	if half := n / 2; half > 0 {
		return (last - first) / float64(n-half)
	}
	return 0
}

// detrend appends to dst what a trend per value leaves of x.
func detrend(dst, x []float64, trend float64) []float64 {
	for i, v := range x {
		dst = append(dst, v-trend*float64(i))
	}
	return dst
}

// slope gives the median of the slopes between all pairs of points: a straight
// line that a minority of wrong points does not turn; 0 for fewer than two.
//
// Source: Theil 1950, Sen 1968.
func slope(t, x []float64) float64 {
	var all []float64
	for i := range x {
		for j := i + 1; j < len(x); j++ {
			if t[j] > t[i] {
				all = append(all, (x[j]-x[i])/(t[j]-t[i]))
			}
		}
	}
	return dsp.Median(all)
}
