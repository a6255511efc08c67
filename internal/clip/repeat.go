package clip

import (
	"math"
	"slices"
)

// repeatFinder finds stretches of samples that are exactly those of a moment before.
// It hashes a short window at every sample and remembers those whose hash ends in
// some zero bits (content-defined anchors), so that a repeat is met at the same
// places as the first time.
//
// Source: rolling polynomial hash, Karp and Rabin, IBM Journal of Research and
// Development 31(2), 1987.
type repeatFinder struct {
	shortest, longest int64 // lags, in samples
	quiet             float32
	recent            []uint32 // bits of the samples of the window, and of those that are being looked at
	loud              int64    // number of the last sample that is not silent
	hash, leave       uint64   // leave: factor of the sample that leaves the window
	last              []anchor // by some bits of the hash: the newer of two takes the place
	anchors           int
	lags              map[int64]int
}

const (
	repeatWindow = 24 // samples that are compared
	repeatFactor = 0x9E3779B97F4A7C15
	anchorMask   = 15 << 40 // one sample in 16 is an anchor
	anchorsKept  = 1 << 12  // some 30 times as many as there are in the longest lag: few are lost
	anchorShift  = 20       // of the bits that tell the place of an anchor
)

// anchor is where a hash was met last.
type anchor struct {
	hash uint64
	n    int64
}

func newRepeatFinder(rate int, o IntegrityOptions) repeatFinder {
	f := repeatFinder{
		shortest: int64(float64(o.MinBuffer) * float64(rate)), longest: int64(float64(o.MaxBuffer) * float64(rate)),
		quiet: float32(o.Quiet), leave: 1, loud: -repeatWindow, recent: make([]uint32, repeatWindow), last: make([]anchor, anchorsKept), lags: map[int64]int{},
	}
	for i := range repeatWindow {
		f.leave *= repeatFactor
		f.recent[i] = math.MaxUint32 // counts as nothing: one more is 0
	}
	return f
}

// takeIn makes room for the next samples behind those of the window, and gives it.
func (f *repeatFinder) takeIn(n int) (before, now []uint32) {
	kept := f.recent[len(f.recent)-repeatWindow:]
	f.recent = slices.Grow(f.recent[:copy(f.recent, kept)], n)[:repeatWindow+n]
	return f.recent[:n], f.recent[repeatWindow:]
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
