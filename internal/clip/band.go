package clip

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// bandMeter finds the band of a channel in which there is sound, at the rate of
// the file: what a telephone or a codec took away is gone before the resampler
// is reached, and looks the same as its own stop band afterwards. It looks at a
// short stretch now and then, so that its time does not count beside the
// resampler's.
type bandMeter struct {
	rate  float64
	every int // samples left out between two looks
	wait  int // samples still to leave out

	fft    *dsp.RealFFT
	window []float64
	seg    []float64
	filled int       // samples in seg
	one    []float64 // power at one look, by bin
	power  []float64 // sum over all looks
}

// Band says what counts as sound when the band of a recording is measured.
type Band struct {
	// LowUnder and HighUnder are how much softer, hertz for hertz, than the
	// middle of a telephone's band a stretch may be and still count, dB, over 0.
	// Below: engines and wind are loud there, and a telephone's filter takes away
	// 20 dB and more. Above: an engine in the open fades by 25 to 35 dB up to
	// 12 kHz (measured on field recordings); codecs cut everything.
	LowUnder, HighUnder engine.Decibel
	Lowest              engine.Hz // not looked at below: small microphones hear nothing there
	Step                engine.Hz // of the search for the upper edge
}

// How a bandMeter looks. Levels are held against the middle of every
// telephone's band, where engines are heard, too.
const (
	bandLook   = 0.08 // s, least length of one look: lines of 25 Hz stand apart
	bandEvery  = 0.5  // s, from one look to the next
	bandRefLow = 500  // Hz, of that middle
	bandRefTop = 2000 // Hz
)

func newBandMeter(rate int) *bandMeter {
	size := 1 << int(math.Ceil(math.Log2(bandLook*float64(rate))))
	m := &bandMeter{
		rate: float64(rate), every: max(0, int(bandEvery*float64(rate))-size),
		fft: dsp.NewRealFFT(size), seg: make([]float64, size), window: make([]float64, size),
		one: make([]float64, size/2+1), power: make([]float64, size/2+1),
	}
	for i := range m.window {
		m.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(size))
	}
	return m
}

// take takes the next samples.
func (m *bandMeter) take(x []float32) {
	for len(x) > 0 {
		if m.wait > 0 {
			n := min(m.wait, len(x))
			m.wait, x = m.wait-n, x[n:]
			continue
		}
		n := min(len(m.seg)-m.filled, len(x))
		for i, v := range x[:n] {
			m.seg[m.filled+i] = float64(v) * m.window[m.filled+i]
		}
		m.filled, x = m.filled+n, x[n:]
		if m.filled == len(m.seg) {
			m.look()
		}
	}
}

func (m *bandMeter) look() {
	in := m.fft.Input()
	for i := range in {
		in[i] = complex(m.seg[2*i], m.seg[2*i+1])
	}
	m.fft.PowerSpectrum(m.one)
	for k, p := range m.one {
		m.power[k] += p
	}
	m.filled, m.wait = 0, m.every
}

// band gives the lowest and the highest frequency at which there is sound: no
// more than o.LowUnder and o.HighUnder softer, hertz for hertz, than the middle
// of the band. Both are 0 for silence and for less than one look.
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
	bin := m.rate / float64(len(m.seg))
	a := min(int(math.Round(from/bin)), len(m.power)-1)
	b := min(max(a+1, int(math.Round(to/bin))), len(m.power))
	var sum float64
	for _, p := range m.power[a:b] {
		sum += p
	}
	return sum / float64(b-a)
}

// bandOf gives the widest band among the lanes.
func bandOf(lanes []*channelPipeline, o Band) (low, high engine.Hz) {
	for _, l := range lanes {
		a, b := l.band.band(o)
		if low == 0 || a > 0 && a < low {
			low = a
		}
		high = max(high, b)
	}
	return low, high
}
