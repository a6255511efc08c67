package clip

import "math"

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
	ring              [repeatWindow]uint64
	loud              int // samples of the window that are not silent
	at                int
	hash, leave       uint64 // leave: factor of the sample that leaves the window
	n                 int64
	last              map[uint64]int64
	anchors           int
	lags              map[int64]int
}

const (
	repeatWindow = 24 // samples that are compared
	repeatFactor = 0x9E3779B97F4A7C15
	anchorMask   = 15 << 40 // one sample in 16 is an anchor
	anchorsKept  = 1 << 12
)

func newRepeatFinder(rate int, o IntegrityOptions) repeatFinder {
	f := repeatFinder{
		shortest: int64(float64(o.MinBuffer) * float64(rate)), longest: int64(float64(o.MaxBuffer) * float64(rate)),
		quiet: float32(o.Quiet), leave: 1, last: map[uint64]int64{}, lags: map[int64]int{},
	}
	for range repeatWindow {
		f.leave *= repeatFactor
	}
	return f
}

// add takes in the next samples.
func (f *repeatFinder) add(x []float32) {
	for _, v := range x {
		in := uint64(math.Float32bits(v)) + 1
		out := f.ring[f.at]
		f.ring[f.at] = in
		if f.at++; f.at == repeatWindow {
			f.at = 0
		}
		f.hash = f.hash*repeatFactor + in - out*f.leave
		if v > f.quiet || v < -f.quiet {
			f.loud = repeatWindow
		} else if f.loud > 0 {
			f.loud--
		}
		if f.n++; f.hash&anchorMask != 0 || f.loud == 0 {
			continue
		}
		f.anchors++
		if before, met := f.last[f.hash]; met {
			if d := f.n - before; d >= f.shortest && d <= f.longest {
				f.lags[d]++
			}
		} else if len(f.last) >= anchorsKept {
			clear(f.last)
		}
		f.last[f.hash] = f.n
	}
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
