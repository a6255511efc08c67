package noise

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// powerFloor is added to every power, far below the last bit of 16-bit sound, so
// that digital silence has a level.
const powerFloor = 1e-9

// psdReader gives the power spectra of consecutive windows of a signal.
type psdReader struct {
	win   []float32 // Hann, of even length
	size  int       // of the transform: the next power of two
	fft   *dsp.RealFFT
	power []float32
	buf   []float32
}

func newPSDReader(n int) *psdReader {
	size := dsp.TransformSize(n)
	return &psdReader{win: dsp.Hann32(n), size: size, fft: dsp.NewRealFFT(size), power: make([]float32, size/2+1)}
}

// read calls do with the power spectrum of each whole window from sample lo to hi.
func (r *psdReader) read(ctx context.Context, x audio.Signal, lo, hi int, do func(power []float32)) (err error) {
	n := len(r.win)
	for at := lo; at+n <= hi; at += n {
		if err := ctx.Err(); err != nil {
			return err
		}
		if r.buf, err = x.Segment(r.buf, at, at+n); err != nil {
			return err
		}
		in := r.fft.Input()
		dsp.Windowed(in[:n/2], r.buf, r.win)
		clear(in[n/2:])
		r.fft.PowerSpectrum(r.power)
		for i := range r.power {
			r.power[i] += powerFloor
		}
		do(r.power)
	}
	return nil
}

// mainsComb searches the harmonics of one mains frequency. A first pass over the
// windows counts where lines are prominent; selectLines then settles the bin of
// each; a second pass measures its frequency in every window.
type mainsComb struct {
	nominal engine.Hz
	bin     engine.Hz   // width of a bin
	over    float32     // power of a prominent line, over the sum of the six bins beside it
	clear   float32     // the same of one whose frequency is measured
	lines   []mainsLine // all that are searched
	found   []mainsLine // those that are prominent
}

// mainsLine is one harmonic of a mains frequency.
type mainsLine struct {
	times int       // of the mains
	first int       // bin that it may lie in, with those that follow
	sum   []float64 // power of each of those bins over all windows
	count []int     // windows in which each of them was prominent

	at      int       // bin that it lies in
	certain bool      // prominent in enough windows to show that there is hum
	tops    []float64 // bins, of its top in each window in which it is clear
}

func newMainsComb(nominal, bin engine.Hz, o MainsOptions) *mainsComb {
	const beside = 6 // bins; see prominent
	over := func(d engine.Decibel) float32 { return float32(math.Pow(10, float64(d)/10) / beside) }
	c := &mainsComb{nominal: nominal, bin: bin, over: over(o.Prominence), clear: over(o.Clear)}
	for k := 1; engine.Hz(k)*nominal <= o.Top; k++ {
		f := float64(engine.Hz(k) * nominal / bin)
		reach := max(1, int(math.Ceil(f*o.Tolerance)))
		c.lines = append(c.lines, mainsLine{
			times: k, first: int(math.Round(f)) - reach,
			sum: make([]float64, 2*reach+1), count: make([]int, 2*reach+1),
		})
	}
	return c
}

// prominent reports whether there is a line at bin k: over the power 3 to 5 bins
// away, and with its top in k or half-way to the next bin.
func prominent(power []float32, k int, over float32) bool {
	const nextToTop = 0.5
	return power[k] >= nextToTop*max(power[k-1], power[k+1]) &&
		power[k] > over*(power[k-5]+power[k-4]+power[k-3]+power[k+3]+power[k+4]+power[k+5])
}

// count adds one window.
func (c *mainsComb) count(power []float32) {
	for _, l := range c.lines {
		for i := range l.sum {
			k := l.first + i
			l.sum[i] += float64(power[k])
			if prominent(power, k, c.over) {
				l.count[i]++
			}
		}
	}
}

// selectLines finds the lines that are prominent in enough of so many windows,
// always in the same bin.
func (c *mainsComb) selectLines(windows int, o MainsOptions) {
	for _, l := range c.lines {
		top := 0
		for i, v := range l.sum {
			if v > l.sum[top] {
				top = i
			}
		}
		l.at = l.first + top
		l.certain = float64(l.count[top]) >= o.Share*float64(windows)
		if l.certain || float64(l.count[top]) >= o.MoreShare*float64(windows) {
			c.found = append(c.found, l)
		}
	}
}

// certain gives the lines found that are prominent often enough to show that there
// is hum, in multiples of the mains.
func (c *mainsComb) certain() (multiples []int) {
	for _, l := range c.found {
		if l.certain {
			multiples = append(multiples, l.times)
		}
	}
	return multiples
}

// measure adds one window to the frequencies of the lines that were found. Noise
// moves the top of a line that is not clear.
func (c *mainsComb) measure(power []float32) {
	for i := range c.found {
		if l := &c.found[i]; prominent(power, l.at, c.clear) {
			// The top of a Hann line, by a parabola through the logarithms of its power.
			log := func(k int) float64 { return math.Log(float64(power[k])) }
			l.tops = append(l.tops, float64(l.at)+dsp.PeakOffset(log(l.at-1), log(l.at), log(l.at+1)))
		}
	}
}

// dropMoving drops the lines whose frequency has a standard deviation over jitter
// from window to window or was measured less than twice, and those that are further
// than that from the multiple of the median mains frequency.
func (c *mainsComb) dropMoving(jitter engine.Hz) {
	c.found = slices.DeleteFunc(c.found, func(l mainsLine) bool {
		return len(l.tops) < 2 || c.bin*engine.Hz(stat.PopStdDev(l.tops, nil)) > jitter
	})
	var bases []float64
	for _, l := range c.found {
		bases = append(bases, l.base())
	}
	mid := dsp.Median(bases)
	c.found = slices.DeleteFunc(c.found, func(l mainsLine) bool {
		return c.bin*engine.Hz(float64(l.times)*math.Abs(l.base()-mid)) > jitter
	})
}

// base gives the frequency that a line is a multiple of, in bins.
func (l mainsLine) base() float64 { return stat.Mean(l.tops, nil) / float64(l.times) }

// harmonics gives the lines that were found, in multiples of the mains.
func (c *mainsComb) harmonics() []int {
	var all []int
	for _, l := range c.found {
		all = append(all, l.times)
	}
	return all
}

// mains gives the frequency that the lines found are multiples of: their mean,
// weighted by their multiples, since a high one shows it most exactly.
func (c *mainsComb) mains() engine.Hz {
	var sum, weight float64
	for _, l := range c.found {
		sum += float64(l.times) * l.base()
		weight += float64(l.times)
	}
	return c.bin * engine.Hz(sum/weight)
}
