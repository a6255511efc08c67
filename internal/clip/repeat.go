package clip

import "math"

// repeatFinder finds stretches of samples that are exactly those of a moment before.
// Each sample and the one before decide whether the window that ends there is remembered,
// so that a repeat is met at the same places as the first time (content-defined anchors).
//
// Source: fingerprints of windows, Karp and Rabin, IBM Journal of Research and
// Development 31(2), 1987.
type repeatFinder struct {
	shortest, longest int64 // lags, in samples
	factors           [repeatWindow / 2]uint64
	last              []anchor // by some bits of the hash: the newer of two takes the place
	anchors           int
	lags              map[int64]int
}

const (
	repeatWindow = 24 // samples that are compared
	repeatFactor = 0x9E3779B97F4A7C15
	anchorsKept  = 1 << 12 // some 60 times as many as there are in the longest lag: few are lost
	anchorShift  = 20      // of the bits that tell the place of an anchor
)

// anchor is where a hash was met last.
type anchor struct {
	hash uint64
	n    int64
}

func newRepeatFinder(rate int, o IntegrityOptions) repeatFinder {
	f := repeatFinder{
		shortest: int64(float64(o.MinBuffer) * float64(rate)), longest: int64(float64(o.MaxBuffer) * float64(rate)),
		last: make([]anchor, anchorsKept), lags: map[int64]int{},
	}
	factor := uint64(1)
	for i := range f.factors {
		factor *= repeatFactor
		f.factors[i] = factor
	}
	return f
}

// add remembers the window that x begins with and that ends with sample n.
func (f *repeatFinder) add(x []float32, n int64) {
	window := (*[repeatWindow]float32)(x)
	var hash uint64
	for i, factor := range f.factors {
		two := uint64(math.Float32bits(window[2*i])) | uint64(math.Float32bits(window[2*i+1]))<<32
		hash += two * factor
	}
	const fold = 29 // so that every bit of a sample has a part in every bit that tells the place
	f.addAnchor(anchor{hash ^ hash>>fold, n + 1})
}

// addAnchor counts the lag since the same hash was met last.
func (f *repeatFinder) addAnchor(a anchor) {
	f.anchors++
	last := &f.last[a.hash>>anchorShift%anchorsKept]
	if d := a.n - last.n; last.hash == a.hash && d >= f.shortest && d <= f.longest {
		f.lags[d]++
	}
	*last = a
}

// pct gives the share of the anchors, in percent, that repeat one buffer length
// before; 0 under so many.
func (f *repeatFinder) pct(least float64) float64 {
	best := 0
	for _, n := range f.lags {
		best = max(best, n)
	}
	if float64(best) < least {
		return 0
	}
	return 100 * float64(best) / float64(f.anchors)
}
