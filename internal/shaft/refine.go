package shaft

import (
	"math"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// refiner reads the speed at one instant off the lines themselves. The sound
// around the instant is first resampled so that a shaft that speeds up evenly
// turns evenly; then each line's own frequency is read from two spectra (one
// windowed, one with the window's derivative), and the lines are weighed by
// what they can tell.
//
// Source: frequency reassignment, Auger and Flandrin 1995; weights are those of the
// Cramer-Rao bound, Rife and Boorstyn 1974.
type refiner struct {
	o      Options
	rate   float64
	size   int
	fft    *dsp.FFT
	spec   []complex128 // its result
	power  []float64    // power of the lower half of it
	tapers map[int]taper
	masked []bool // bins whose lines are of something else; nil: none
}

// estimate is a refined frequency.
type estimate struct {
	f, sd      float64 // Hz
	lines      int     // that took part
	prominence float64 // dB, mean height of the first lines over what lies between them
}

func newRefiner(o Options, rate engine.Hz) *refiner {
	return &refiner{o: o, rate: float64(rate), size: o.RefineSize, fft: dsp.NewFFT(o.RefineSize),
		power: make([]float64, o.RefineSize/2), tapers: map[int]taper{}}
}

// taper is a power of half a sine, and its derivative in 1/seconds.
type taper struct{ w, dw []float64 }

// newTaper makes a taper of n samples. With the power 1 the reassigned frequency
// of a tone in white noise has 1.007 times the least standard deviation that is
// possible, with 1.25 1.06 times, with 2 (Hann) 1.28 times (from the moments of
// the window and its derivative); but the lower the power, the more the lines
// beside it pull at it.
func newTaper(n int, power, rate float64) taper {
	h := taper{make([]float64, n), make([]float64, n)}
	for i := range n {
		sin, cos := math.Sincos(math.Pi * (float64(i) + 0.5) / float64(n))
		p := math.Pow(sin, power-1)
		h.w[i] = p * sin
		h.dw[i] = power * p * cos * math.Pi / float64(n) * rate
	}
	return h
}

// windowStep is what the samples of a window are a multiple of, so that points
// share their windows.
const windowStep = 16

func (r *refiner) window(n int) taper {
	w, ok := r.tapers[n]
	if !ok {
		w = newTaper(n, r.o.RefineTaper, r.rate)
		r.tapers[n] = w
	}
	return w
}

// at refines the frequency of a course at a time t, in seconds, of an engine
// that fires every nth turn.
func (r *refiner) at(x []float32, t float64, n int, c freqPolynomial) (estimate, bool) {
	length := min(max(r.o.RefineShort, r.o.RefineCycles*float64(n)/c.f), r.o.RefineLong)
	m := min(int(length*r.rate), r.size) / windowStep * windowStep
	r.transform(x, t, m, c)
	return r.fit(n, c, float64(m)/r.rate)
}

// transform takes the spectra of the warped stretch of m samples around t.
func (r *refiner) transform(x []float32, t float64, m int, c freqPolynomial) {
	r.load(r.fft.Input(), x, t, m, c)
	r.spec = r.fft.Transform()
	for k := 1; k < len(r.power); k++ {
		a, b := r.spec[k], r.spec[r.size-k]
		re, im := real(a)+real(b), imag(a)-imag(b)
		r.power[k] = (re*re + im*im) / 4
	}
}

// load fills dst with the warped stretch, windowed, in the real part and with
// the window's derivative in the imaginary part. It walks from the middle
// outward: a step of time on the even shaft is one of that over the ratio of
// frequencies half-way on.
func (r *refiner) load(dst []complex128, x []float32, t float64, m int, c freqPolynomial) {
	const apart = windowStep / 2 // samples between times that are worked out; even in between
	h := r.window(m)
	clear(dst[m:])
	put := func(i int, from, to float64) {
		p, step := (t+from)*r.rate, (to-from)*r.rate/apart
		w, dw, dst := h.w[i:i+apart], h.dw[i:i+apart], dst[i:i+apart]
		for j := range dst {
			v := dsp.CubicAt(x, p)
			dst[j] = complex(v*w[j], v*dw[j])
			p += step
		}
	}
	half, du := m/2, apart/r.rate
	middle := 0.5 / r.rate // of m samples: half a sample before this one
	s, step := middle, du
	for i := half; i < m; i += apart {
		step = du / c.ratio(s+step/2)
		put(i, s, s+step)
		s += step
	}
	s, step = middle, du
	for i := half - apart; i >= 0; i -= apart {
		step = du / c.ratio(s-step/2)
		put(i, s-step, s)
		s -= step
	}
}

// pair gives the two spectra at a bin, out of the one complex transform of both.
func (r *refiner) pair(k int) (x, dx complex128) {
	a, b := r.spec[k], r.spec[(r.size-k)%r.size]
	b = complex(real(b), -imag(b))
	return (a + b) / 2, (a - b) / 2 * complex(0, -1)
}

// powerAt gives the power at a bin of the lower half, 0 elsewhere.
func (r *refiner) powerAt(k int) float64 {
	if k < 1 || k >= len(r.power) {
		return 0
	}
	return r.power[k]
}

// setMask leaves out the lines of a mask from here on.
func (r *refiner) setMask(m mask) {
	r.masked = nil
	if m != nil {
		r.masked = m.bins(len(r.power), engine.Hz(r.rate/float64(r.size)), r.o.RefineMask)
	}
}

// maskedFloor gives the floors of lines, shape [1+lines], so high where a line is
// masked that nothing stands over them. Where the speed moves none is: on an axis on
// which the shaft turns evenly, what is steady is smeared. Nor are they where they are
// most of all: near a multiple of the other's speed it is the lines that are shared.
func (r *refiner) maskedFloor(floor []float64, apart float64, c freqPolynomial) []float64 {
	if r.masked == nil || math.Abs(c.chirpRate) >= r.o.RefineStill {
		return floor
	}
	out, left := slices.Clone(floor), 0
	for j := 1; j < len(out); j++ {
		k := int(math.Round(float64(j) * apart / r.rate * float64(r.size)))
		if r.masked[min(k, len(r.masked)-1)] {
			out[j] = math.Inf(1)
			left++
		}
	}
	if float64(left) > r.o.RefineLeave*float64(len(out)-1) {
		return floor
	}
	return out
}

// line is one line of the comb as it was found.
type line struct {
	order float64 // multiple of the spacing
	off   float64 // relative distance from where the comb puts it
	snr   float64 // power over the noise beside it
	sd    float64 // of off, from the noise and what holds the line back
}

// fit finds the frequency near that of the course that the lines agree on.
// What lies between the engine and the file, silencer, walls and telephone,
// holds every line back by something like half a cycle of its own, by one that
// lasts a cycle as well as by none. Where the speed moves, lines show one that
// is past.
func (r *refiner) fit(n int, c freqPolynomial, length float64) (estimate, bool) {
	g := c.f / float64(n)
	bin := r.rate / float64(r.size)
	count := min(r.o.RefineLines+(n-1)*r.o.RefineMore, int(float64(r.o.Spectra[0].Top)/g))
	floor := make([]float64, count+1)
	for j := 1; j <= count; j++ {
		floor[j] = (r.meanPower((float64(j)-0.5)*g/bin, 0.2*g/bin)+r.meanPower((float64(j)+0.5)*g/bin, 0.2*g/bin))/2 + 1e-12
	}
	noise := r.maskedFloor(floor, g, c)
	best, shift := math.Inf(-1), 0.0
	for d := -r.o.RefineReach; d <= r.o.RefineReach; d += r.o.RefineStep {
		v := -0.5 * (d / r.o.PriorSD) * (d / r.o.PriorSD)
		apart := g * (1 + d) / bin
		for j := 1; j <= count; j++ {
			v += math.Sqrt(r.powerAt(int(float64(j)*apart+0.5)) / noise[j])
		}
		if v > best {
			best, shift = v, d
		}
	}
	g *= 1 + shift
	noise = r.maskedFloor(floor, g, c)
	ls := make([]line, 0, count)
	for j := 1; j <= count; j++ {
		k := int(math.Round(float64(j) * g / bin))
		p := r.powerAt(k)
		snr := p / noise[j]
		if snr < r.o.RefineSNR {
			continue
		}
		x, dx := r.pair(k)
		q := dx / x
		f := float64(k)*bin - imag(q)/(2*math.Pi)
		off := f/(float64(j)*g) - 1
		if math.Abs(off)*float64(j)*g > 1/length {
			continue
		}
		late := r.o.GroupDelay * c.chirpRate / f
		blur := 1 / (2 * length * float64(j) * g * math.Sqrt(2*snr))
		ls = append(ls, line{float64(j), off + late, snr, math.Hypot(blur, 2*late)})
	}
	clear := r.prominence(g/bin, floor[:min(count, r.o.ClearLines)+1])
	if len(ls) < 2 {
		return estimate{prominence: clear}, false
	}
	off, sd := randomEffectsMean(ls)
	f := g * (1 + off) * float64(n)
	return estimate{f: f, sd: sd * f, lines: len(ls), prominence: clear}, true
}

// prominence gives the mean height, in decibels, of the first lines over their floors,
// shape [1+lines]. apart is in bins.
func (r *refiner) prominence(apart float64, floor []float64) (mean float64) {
	for j := 1; j < len(floor); j++ {
		mean += 10 * math.Log10((r.powerAt(int(math.Round(float64(j)*apart)))+1e-12)/floor[j]) / float64(len(floor)-1)
	}
	return mean
}

// meanPower gives the mean power of the bins within half of a middle.
func (r *refiner) meanPower(middle, half float64) float64 {
	lo, hi := int(math.Ceil(middle-half)), int(math.Floor(middle+half))
	if hi < lo {
		lo, hi = int(math.Round(middle)), int(math.Round(middle))
	}
	var s float64
	for k := lo; k <= hi; k++ {
		s += r.powerAt(k)
	}
	return s / float64(hi-lo+1)
}

// randomEffectsMean gives the weighted mean of the lines' offsets and its standard
// deviation. Where the lines scatter more than noise explains, a common scatter
// in hertz is added to each.
//
// Source: random-effects mean, DerSimonian and Laird 1986.
func randomEffectsMean(ls []line) (off, sd float64) {
	mean := func(tau2 float64) (m, q, w1, w2 float64) {
		for _, l := range ls {
			w := 1 / (l.sd*l.sd + tau2/(l.order*l.order))
			w1 += w
			w2 += w * w / (l.order * l.order)
			m += w * l.off
		}
		m /= w1
		for _, l := range ls {
			w := 1 / (l.sd*l.sd + tau2/(l.order*l.order))
			q += w * (l.off - m) * (l.off - m)
		}
		return m, q, w1, w2
	}
	_, q, w1, w2 := mean(0)
	var c float64
	for _, l := range ls {
		c += 1 / (l.sd * l.sd * l.order * l.order)
	}
	tau2 := max(0, (q-float64(len(ls)-1))/(c-w2/w1))
	m, q, w1, _ := mean(tau2)
	return m, math.Sqrt(max(1, q/float64(len(ls)-1)) / w1)
}
