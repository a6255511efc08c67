package pass

import "slices"

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
