package pass

import "slices"

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
