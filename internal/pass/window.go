package pass

import (
	"math"
	"slices"

	"topnote/internal/dsp"
)

// sortedWindow holds the values of a window that moves along a series, in order of size:
// to move it by one costs far less than to sort it.
type sortedWindow struct {
	series []float64 // the series
	a, b   int       // of[a:b] is in the window
	sorted []float64 // sorted
}

// slide moves the window on to of[a:b] and gives its values, sorted, until the
// next call. Neither end may go back.
func (w *sortedWindow) slide(a, b int) []float64 {
	if a >= w.b { // nothing of it is left
		w.a, w.b, w.sorted = a, a, w.sorted[:0]
	}
	for ; w.b < b; w.b++ {
		at, _ := slices.BinarySearch(w.sorted, w.series[w.b])
		w.sorted = slices.Insert(w.sorted, at, w.series[w.b])
	}
	for ; w.a < a; w.a++ {
		at, _ := slices.BinarySearch(w.sorted, w.series[w.a])
		w.sorted = slices.Delete(w.sorted, at, at+1)
	}
	return w.sorted
}

// detrendedWindow holds the values of a window that moves along a series, less a trend
// per value, in order of size. The order hardly changes from one window to the next.
type detrendedWindow struct {
	series []float64
	b      int // of the series, that the last window ended with
	at     []int
	sorted []float64
}

// robustSD gives what dsp.RobustSD does for the values from a to b, less the trend. a and
// b may not go back.
func (w *detrendedWindow) robustSD(a, b int, trend float64) float64 {
	if a == b {
		return 0
	}
	w.at = slices.DeleteFunc(w.at, func(i int) bool { return i < a })
	for w.b = max(w.b, a); w.b < b; w.b++ {
		w.at = append(w.at, w.b)
	}
	w.sorted = w.sorted[:0]
	for n, i := range w.at { // insertion
		v := w.series[i] - trend*float64(i-a)
		w.sorted = append(w.sorted, v)
		k := n
		for ; k > 0 && w.sorted[k-1] > v; k-- {
			w.sorted[k], w.at[k] = w.sorted[k-1], w.at[k-1]
		}
		w.sorted[k], w.at[k] = v, i
	}
	return dsp.SDPerMAD * medianDeviation(w.sorted)
}

// medianDeviation gives the median magnitude of the deviations of some values, in order
// of size, from their median.
func medianDeviation(x []float64) float64 {
	n := len(x)
	half := (n - 1) / 2
	middle := x[half]
	if n%2 == 0 {
		middle = x[half]*0.5 + x[half+1]*0.5
	}
	below, above := half, half+1 // the next ones on either side
	next := func() float64 {
		if above == n || below >= 0 && math.Abs(x[below]-middle) <= math.Abs(x[above]-middle) {
			below--
			return math.Abs(x[below+1] - middle)
		}
		above++
		return math.Abs(x[above-1] - middle)
	}
	var v float64
	for range half + 1 {
		v = next()
	}
	if n%2 == 0 {
		v = v*0.5 + next()*0.5
	}
	return v
}
