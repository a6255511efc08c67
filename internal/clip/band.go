package clip

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// bandMeter measures the band of a channel in which there is sound, from a sparse
// average of power spectra. It works at the rate of the file, since after the
// resampler the stop band of a telephone or codec cannot be told from that of the
// resampler. One frame every half second keeps its cost far below the resampler's.
type bandMeter struct {
	rate float64
	gap  int // samples between two frames
	skip int // of gap, still to come

	fft      *dsp.RealFFT
	window   []float32
	frame    []float32
	filled   int       // samples in it
	spectrum []float32 // power of one frame, by bin
	power    []float64 // sum over all frames
}

// Band says what counts as sound when the band of a recording is measured.
type Band struct {
	// LowUnder and HighUnder are how much softer, hertz for hertz, than the
	// middle of a telephone's band a band may be and still count, dB, over 0.
	// Below: engines and wind are loud there, and a telephone's filter attenuates
	// by 20 dB and more. Above: an engine in the open falls by 25 to 35 dB up to
	// 12 kHz (measured on field recordings); a codec leaves nothing.
	LowUnder, HighUnder engine.Decibel
	Lowest              engine.Hz // where the search for the lower edge ends: small microphones pick up nothing below
	Step                engine.Hz // of the search for the upper edge
}

// The frames of a bandMeter, and its reference: the middle of every telephone's
// band, an octave on either side of 1 kHz, where engines are loud as well.
const (
	bandFrame  = 0.08 // s, shortest frame: it resolves lines 25 Hz apart
	bandHop    = 0.5  // s, from one frame to the next
	bandRefLow = 500  // Hz, of the reference
	bandRefTop = 2000 // Hz
)

func newBandMeter(rate int) *bandMeter {
	size := 1 << int(math.Ceil(math.Log2(bandFrame*float64(rate))))
	m := &bandMeter{
		rate: float64(rate), gap: max(0, int(bandHop*float64(rate))-size),
		fft: dsp.NewRealFFT(size), frame: make([]float32, size), window: dsp.Hann32(size),
		spectrum: make([]float32, size/2+1), power: make([]float64, size/2+1),
	}
	return m
}

// push takes the next samples of the channel.
func (m *bandMeter) push(x []float32) {
	for len(x) > 0 {
		if m.skip > 0 {
			n := min(m.skip, len(x))
			m.skip, x = m.skip-n, x[n:]
			continue
		}
		n := copy(m.frame[m.filled:], x)
		m.filled, x = m.filled+n, x[n:]
		if m.filled == len(m.frame) {
			m.addFrame()
		}
	}
}

func (m *bandMeter) addFrame() {
	dsp.Windowed(m.fft.Input(), m.frame, m.window)
	m.fft.PowerSpectrum(m.spectrum)
	for k, p := range m.spectrum {
		m.power[k] += float64(p)
	}
	m.filled, m.skip = 0, m.gap
}

// band gives the lowest and the highest frequency at which there is sound: where
// the density is no more than o.LowUnder and o.HighUnder below the reference.
// Both are 0 for silence and for less than one frame.
func (m *bandMeter) band(o Band) (low, high engine.Hz) {
	middle := m.density(bandRefLow, math.Min(bandRefTop, m.rate/2))
	if !(middle > 0) {
		return 0, 0
	}
	const third = 1.2599 // of an octave, the usual step of such filters (IEC 61260)
	for low = bandRefLow; low > o.Lowest; low /= third {
		if m.density(float64(low)/third, float64(low)) < middle*ratio(-o.LowUnder) {
			break
		}
	}
	top := m.rate / 2
	for top > bandRefTop && m.density(top-float64(o.Step), top) < middle*ratio(-o.HighUnder) {
		top -= float64(o.Step)
	}
	return low, engine.Hz(top)
}

// density gives the mean power of the bins from one frequency to another.
func (m *bandMeter) density(from, to float64) float64 {
	bin := m.rate / float64(len(m.frame))
	a := min(int(math.Round(from/bin)), len(m.power)-1)
	b := min(max(a+1, int(math.Round(to/bin))), len(m.power))
	var sum float64
	for _, p := range m.power[a:b] {
		sum += p
	}
	return sum / float64(b-a)
}

// bandOf gives the widest band among the channels.
func bandOf(pipelines []*channelPipeline, o Band) (low, high engine.Hz) {
	for _, l := range pipelines {
		a, b := l.band.band(o)
		if low == 0 || a > 0 && a < low {
			low = a
		}
		high = max(high, b)
	}
	return low, high
}
