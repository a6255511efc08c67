package noise

import (
	"math"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// pitchDetector finds where a sound has the pitch of a voice.
type pitchDetector struct {
	sound decimator
	rate  float64   // of the decimated sound
	corr  []float64 // autocorrelation, by lag in samples
}

func newPitchDetector(x audio.Signal, rate engine.Hz, o Options) *pitchDetector {
	r := float64(rate) / 2
	return &pitchDetector{decimator{x: x}, r, make([]float64, int(r/float64(o.PitchLow))+2)}
}

// voicedShare gives the share of a window from a time on in which there is a pitch.
func (p *pitchDetector) voicedShare(from engine.Seconds, o Options) (float64, error) {
	n, hop := int(float64(o.PitchWindow)*p.rate), int(float64(o.PitchStep)*p.rate)
	first := int(float64(from) * p.rate)
	y, err := p.sound.segment(first, first+int(float64(o.SpeechWindow)*p.rate))
	if err != nil {
		return 0, err
	}
	voiced, all := 0, 0
	for ; n+len(p.corr) <= len(y); y = y[min(hop, len(y)):] {
		all++
		if p.isVoiced(y, n, o) {
			voiced++
		}
	}
	return float64(voiced) / math.Max(1, float64(all)), nil
}

// isVoiced reports whether the first n samples of y are like those one period of
// a voice later, more than those a little sooner or later still.
func (p *pitchDetector) isVoiced(y []float64, n int, o Options) bool {
	shortest := int(p.rate / float64(o.PitchHigh))
	dsp.Autocorrelation(p.corr, shortest-1, n, y)
	for k := shortest; k+1 < len(p.corr); k++ {
		if v := p.corr[k]; v >= o.MinPitch && v >= p.corr[k-1] && v >= p.corr[k+1] {
			return true
		}
	}
	return false
}

// decimator reads a sound at half its rate, without what is below a voice.
type decimator struct {
	x   audio.Signal
	buf []float32
	y   []float64
}

// segment gives samples from to to, counted at half the rate, as far as there are.
// The slice is valid until the next call.
func (d *decimator) segment(from, to int) ([]float64, error) {
	const (
		pole   = 0.86 // of the high-pass: 100 Hz at 4 kHz
		runUp  = 256  // samples after which nothing is left of the high-pass's state, to the last bit of 64
		middle = 3    // of the taps
	)
	taps := [...]float64{-0.0625, 0, 0.3125, 0.5, 0.3125, 0, -0.0625}
	to = min(to, d.x.Len()/2)
	start := max(0, from-runUp)
	first := max(0, 2*start-middle)
	var err error
	if d.buf, err = d.x.Segment(d.buf, first, min(2*to+middle, d.x.Len())); err != nil {
		return nil, err
	}
	d.y = d.y[:0]
	before, out := 0.0, 0.0
	for i := start; i < to; i++ {
		var s float64
		for k, c := range taps {
			if j := 2*i + k - middle - first; j >= 0 && j < len(d.buf) {
				s += c * float64(d.buf[j])
			}
		}
		out = pole * (out + s - before)
		before = s
		if i >= from {
			d.y = append(d.y, out)
		}
	}
	return d.y, nil
}
