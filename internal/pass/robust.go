package pass

import "slices"

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
	return sdPerMAD * quantile(deviations(nil, sorted(x)), 0.5)
}

// deviations appends to dst how far each of x is off their median, the least
// first. x must be sorted: its values are further off the further from its middle.
func deviations(dst, x []float64) []float64 {
	m := quantile(x, 0.5)
	above, _ := slices.BinarySearch(x, m)
	below := above - 1
	for below >= 0 || above < len(x) {
		if above == len(x) || below >= 0 && m-x[below] < x[above]-m {
			dst, below = append(dst, m-x[below]), below-1
		} else {
			dst, above = append(dst, x[above]-m), above+1
		}
	}
	return dst
}

// detrended takes the trend out of x: the line through the medians of its halves.
func detrended(x []float64) []float64 {
	half := len(x) / 2
	return detrend(nil, x, trendOf(median(x[:half]), median(x[len(x)-half:]), len(x)))
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

// window holds the values of a window that moves along a series, in order of size:
// to move it by one costs far less than to sort it.
type window struct {
	of   []float64 // the series
	a, b int       // of[a:b] is in the window
	x    []float64 // sorted
}

// over moves the window on to of[a:b] and gives its values, sorted, until the
// next call. Neither end may go back.
func (w *window) over(a, b int) []float64 {
	for ; w.b < b; w.b++ {
		at, _ := slices.BinarySearch(w.x, w.of[w.b])
		w.x = slices.Insert(w.x, at, w.of[w.b])
	}
	for ; w.a < a; w.a++ {
		at, _ := slices.BinarySearch(w.x, w.of[w.a])
		w.x = slices.Delete(w.x, at, at+1)
	}
	return w.x
}
