package quality

import (
	"math"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// pitch tells where a sound has the pitch of a voice.
type pitch struct {
	half decimator
	rate float64   // of half
	like []float64 // by lag in samples
}

func newPitch(x audio.Signal, rate engine.Hz, o Options) *pitch {
	r := float64(rate) / 2
	return &pitch{decimator{x: x}, r, make([]float64, int(r/float64(o.PitchLow))+2)}
}

// share gives the share of a window from a time on that has a pitch: where the
// sound is like itself one period later.
func (p *pitch) share(at engine.Seconds, o Options) (float64, error) {
	n, hop := int(float64(o.PitchWindow)*p.rate), int(float64(o.PitchStep)*p.rate)
	from := int(float64(at) * p.rate)
	y, err := p.half.between(from, from+int(float64(o.SpeechWindow)*p.rate))
	if err != nil {
		return 0, err
	}
	pitched, all := 0, 0
	for ; n+len(p.like) <= len(y); y = y[min(hop, len(y)):] {
		all++
		if p.pitched(y, n, o) {
			pitched++
		}
	}
	return float64(pitched) / math.Max(1, float64(all)), nil
}

// pitched reports whether the first n samples of y are like those one period of
// a voice later, more than those a little sooner or later still.
func (p *pitch) pitched(y []float64, n int, o Options) bool {
	least := int(p.rate / float64(o.PitchHigh))
	autocorrelation(p.like, y, n, least-1)
	for k := least; k+1 < len(p.like); k++ {
		if v := p.like[k]; v >= o.PitchLike && v >= p.like[k-1] && v >= p.like[k+1] {
			return true
		}
	}
	return false
}

// autocorrelation fills like from element from on with the likeness, -1 to 1, of the
// first n samples of y to those so many samples later.
//
// Source: normalised cross-correlation, Talkin, A robust algorithm for pitch
// tracking, 1995, from memory.
func autocorrelation(like, y []float64, n, from int) {
	first, later := powerFloor, powerFloor
	for i := range n {
		first += y[i] * y[i]
		later += y[from+i] * y[from+i]
	}
	for k := from; k < len(like); k++ {
		var s float64
		for i, v := range y[:n] {
			s += v * y[k+i]
		}
		like[k] = s / math.Sqrt(first*later)
		later = max(later+y[k+n]*y[k+n]-y[k]*y[k], powerFloor)
	}
}

// decimator is a sound at half its rate, without what lies under a voice.
type decimator struct {
	x   audio.Signal
	seg []float32
	y   []float64
}

// between gives samples from to to at half the rate, as far as there are. The
// slice is there until the next call.
func (h *decimator) between(from, to int) ([]float64, error) {
	const (
		drop   = 0.86 // pole of the high-pass: 100 Hz at 4 kHz
		runUp  = 256  // samples after which the high-pass has forgotten what was before, to the last bit of 64
		middle = 3    // of the taps
	)
	taps := [...]float64{-0.0625, 0, 0.3125, 0.5, 0.3125, 0, -0.0625}
	to = min(to, h.x.Len()/2)
	start := max(0, from-runUp)
	first := max(0, 2*start-middle)
	var err error
	if h.seg, err = h.x.Segment(h.seg, first, min(2*to+middle, h.x.Len())); err != nil {
		return nil, err
	}
	h.y = h.y[:0]
	before, out := 0.0, 0.0
	for i := start; i < to; i++ {
		var s float64
		for k, c := range taps {
			if j := 2*i + k - middle - first; j >= 0 && j < len(h.seg) {
				s += c * float64(h.seg[j])
			}
		}
		out = drop * (out + s - before)
		before = s
		if i >= from {
			h.y = append(h.y, out)
		}
	}
	return h.y, nil
}
