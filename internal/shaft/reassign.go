package shaft

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// refiner estimates the firing frequency at one instant from the harmonics. The sound
// around the instant is resampled so that a shaft whose speed changes evenly turns
// evenly; the frequency of each harmonic comes from two spectra (one windowed, one
// with the derivative of the window), and harmonics are weighted by their variance. It
// keeps its buffers, so it must not be used by two goroutines at once.
//
// Source: frequency reassignment, Auger and Flandrin 1995; weights are those of the
// Cramer-Rao bound, Rife and Boorstyn 1974.
type refiner struct {
	o      Options
	rate   float64
	size   int // of the transform
	fft    *dsp.FFT
	spec   []complex64 // of the windowed sound, and of that under the derivative as its imaginary part
	power  []float32   // of the windowed sound, lower half; at 0 Hz none
	tapers map[int]taper
	masked []bool // bins of an interferer; nil: none

	// Of one estimate.
	amplitude        []float32 // roots of the powers
	floor, overFloor []float64
	lines            []line
}

func newRefiner(o Options, rate engine.Hz) *refiner {
	size := dsp.TransformSize(int(o.Refine.MaxWindow * float64(rate)))
	return &refiner{
		o: o, rate: float64(rate), size: size, fft: dsp.NewFFT(size), tapers: map[int]taper{},
		power: make([]float32, size/2), amplitude: make([]float32, size/2),
	}
}

// taper is a power of half a sine as its real part, and the derivative as its imaginary
// part: of the whole window, not of a second, so that both are about as large.
type taper []complex64

// newTaper makes a taper of n samples. With the power 1 the reassigned frequency of a
// tone in white noise has 1.007 times the least standard deviation that is possible,
// with 1.25 1.06 times, with 2 (Hann) 1.28 times (identity: moments of the window and
// its derivative); but the lower the power, the more the harmonics beside it bias it.
func newTaper(n int, power float64) taper {
	h := make(taper, n)
	for i := range n {
		sin, cos := math.Sincos(math.Pi * (float64(i) + 0.5) / float64(n))
		p := math.Pow(sin, power-1)
		h[i] = complex(float32(p*sin), float32(power*p*cos*math.Pi))
	}
	return h
}

// windowStep is what the samples of a window are a multiple of, so that points share
// their tapers.
const windowStep = 2 * dsp.AtOnce

func (r *refiner) taper(n int) taper {
	w, ok := r.tapers[n]
	if !ok {
		w = newTaper(n, r.o.Refine.TaperPower)
		r.tapers[n] = w
	}
	return w
}

// estimate refines the frequency of a polynomial at a time t, in seconds, of an engine
// that fires every nth cycle. It reports false where there are too few harmonics; the
// prominence is given in any case.
func (r *refiner) estimate(x []float32, t float64, n int, c freqPolynomial) (estimate, bool) {
	o := r.o.Refine
	length := min(max(o.MinWindow, o.WindowCycles*float64(n)/c.f), o.MaxWindow)
	m := min(int(length*r.rate), r.size) / windowStep * windowStep
	r.transform(x, t, m, c)
	return r.fit(n, c, float64(m)/r.rate)
}

// transform computes the spectra of the warped segment of m samples around t.
func (r *refiner) transform(x []float32, t float64, m int, c freqPolynomial) {
	r.load(r.fft.Input(), x, t, m, c)
	r.spec = r.fft.Transform()
	dsp.RealPartPowers(r.power, r.spec)
}

// load fills dst with the warped segment, under the taper in the real part and under
// its derivative in the imaginary part, from the middle outward: a step of time on the
// even shaft is one of real time over the ratio of frequencies half-way on.
//
// Both ways at once, so that neither waits for itself.
func (r *refiner) load(dst []complex64, x []float32, t float64, m int, c freqPolynomial) {
	const apart = dsp.AtOnce // samples between times that are computed; even in between
	h := r.taper(m)
	clear(dst[m:])
	put := func(i int, from, length float64) {
		dsp.TaperedCubics(dst[i:], h[i:], x, (t+from)*r.rate, length*r.rate/apart)
	}
	half, du := m/2, apart/r.rate
	middle := 0.5 / r.rate // of m samples: half a sample before this one
	later, sooner, up, down := middle, middle, du, du
	for i := 0; i < half; i += apart {
		up, down = du/c.ratio(later+up/2), du/c.ratio(sooner-down/2)
		sooner -= down
		put(half+i, later, up)
		put(half-apart-i, sooner, down)
		later += up
	}
}

// pair gives the two spectra at a bin, out of the one complex transform of both.
func (r *refiner) pair(k int) (x, dx complex128) {
	a, b := complex128(r.spec[k]), complex128(r.spec[(r.size-k)%r.size])
	b = complex(real(b), -imag(b))
	return (a + b) / 2, (a - b) / 2 * complex(0, -1)
}

// powerAt gives the power at a bin of the lower half, 0 elsewhere.
func (r *refiner) powerAt(k int) float64 {
	if k < 1 || k >= len(r.power) {
		return 0
	}
	return float64(r.power[k])
}

// meanPower gives the mean power of the bins within half of a middle.
func (r *refiner) meanPower(middle, half float64) float64 {
	lo, hi := int(math.Ceil(middle-half)), int(math.Floor(middle+half))
	if hi < lo {
		lo, hi = int(math.Round(middle)), int(math.Round(middle))
	}
	var sum float64
	for _, v := range r.power[min(max(lo, 0), len(r.power)):min(max(hi+1, 0), len(r.power))] {
		sum += float64(v)
	}
	return sum / float64(hi-lo+1)
}
