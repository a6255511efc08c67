package spectrum

import (
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/stat"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// psdReader gives the power spectra of the windows of a sound, one after the other.
type psdReader struct {
	win   []float64 // Hann
	size  int       // of the transform: the next power of two
	fft   *dsp.RealFFT
	power []float64
}

func newPSDReader(n int) *psdReader {
	size := 1 << bits.Len(uint(n-1))
	return &psdReader{win: dsp.Hann(n), size: size, fft: dsp.NewRealFFT(size), power: make([]float64, size/2+1)}
}

// read calls do with the power spectrum of each whole window of a sound.
func (e *psdReader) read(x audio.Signal, do func(power []float64)) error {
	n := len(e.win)
	for seg, err := range audio.Chunks(x, 0, x.Len()/n*n, n) {
		if err != nil {
			return err
		}
		in := e.fft.Input()
		clear(in)
		for i, w := range e.win {
			if v := w * float64(seg.Samples[i]); i%2 == 0 {
				in[i/2] = complex(v, 0)
			} else {
				in[i/2] += complex(0, v)
			}
		}
		e.fft.PowerSpectrum(e.power)
		for i := range e.power {
			e.power[i] += powerFloor
		}
		do(e.power)
	}
	return nil
}

// humComb looks for the multiples of one mains frequency. First every window is
// counted; then it is settled which lines stand out, and where; then each window
// is measured, for their exact frequency and how much they move.
type humComb struct {
	bin   engine.Hz
	over  float64   // power that stands out, over the sum of the bins beside it
	lines []humLine // all that are looked for
	found []humLine // those that stand out
}

// humLine is one multiple of a mains frequency.
type humLine struct {
	times int       // of the mains
	first int       // bin that it may lie in, with those that follow
	sum   []float64 // power of each of those bins over all windows
	out   []int     // windows in which each of them stood out

	at     int       // bin that it lies in, once that is settled
	often  bool      // it stands out there in enough windows to show that there is hum
	places []float64 // bins, of its top, in each window in which it stands out
}

func newHumComb(mains, bin engine.Hz, o HumOptions) *humComb {
	const beside = 6 // bins; see stands
	c := &humComb{bin: bin, over: math.Pow(10, float64(o.Stands)/10) / beside}
	for k := 1; engine.Hz(k)*mains <= o.Top; k++ {
		f := float64(engine.Hz(k) * mains / bin)
		reach := max(1, int(math.Ceil(f*o.Tolerance)))
		c.lines = append(c.lines, humLine{
			times: k, first: int(math.Round(f)) - reach,
			sum: make([]float64, 2*reach+1), out: make([]int, 2*reach+1),
		})
	}
	return c
}

// stands reports whether a line stands at a bin: out of those beside it, and with
// its top there or half-way to the next.
func (c *humComb) stands(power []float64, k int) bool {
	const nextToTop = 0.5
	return power[k] >= nextToTop*max(power[k-1], power[k+1]) &&
		power[k] > c.over*(power[k-5]+power[k-4]+power[k-3]+power[k+3]+power[k+4]+power[k+5])
}

// count takes one window in.
func (c *humComb) count(power []float64) {
	for _, l := range c.lines {
		for i := range l.sum {
			k := l.first + i
			l.sum[i] += power[k]
			if c.stands(power, k) {
				l.out[i]++
			}
		}
	}
}

// settle finds the lines that stand out of their neighbours in enough of so many
// windows, always at the same place.
func (c *humComb) settle(windows int, o HumOptions) {
	for _, l := range c.lines {
		top := 0
		for i, v := range l.sum {
			if v > l.sum[top] {
				top = i
			}
		}
		l.at = l.first + top
		l.often = float64(l.out[top]) >= o.Share*float64(windows)
		if l.often || float64(l.out[top]) >= o.Also*float64(windows) {
			c.found = append(c.found, l)
		}
	}
}

// often gives the lines found that stand out often enough to show that there is
// hum, in multiples of the mains.
func (c *humComb) often() (multiples []int) {
	for _, l := range c.found {
		if l.often {
			multiples = append(multiples, l.times)
		}
	}
	return multiples
}

// measure takes one window in for the places of the lines that were found.
func (c *humComb) measure(power []float64) {
	for i := range c.found {
		if l := &c.found[i]; c.stands(power, l.at) {
			// The top of a Hann line, by a parabola through the logarithms of its power.
			under, mid, over := math.Log(power[l.at-1]), math.Log(power[l.at]), math.Log(power[l.at+1])
			l.places = append(l.places, float64(l.at)+dsp.PeakOffset(under, mid, over))
		}
	}
}

// hold drops the lines that move from window to window by more than so much, as
// standard deviation, and those that lie further from the multiple of the mains
// that most of the others have in common.
func (c *humComb) hold(most engine.Hz) {
	c.found = slices.DeleteFunc(c.found, func(l humLine) bool {
		return c.bin*engine.Hz(stat.PopStdDev(l.places, nil)) > most
	})
	var bases []float64
	for _, l := range c.found {
		bases = append(bases, l.base())
	}
	slices.Sort(bases)
	c.found = slices.DeleteFunc(c.found, func(l humLine) bool {
		return c.bin*engine.Hz(float64(l.times)*math.Abs(l.base()-bases[len(bases)/2])) > most
	})
}

// base gives the bin of the frequency that a line is a multiple of.
func (l humLine) base() float64 { return stat.Mean(l.places, nil) / float64(l.times) }

// multiples gives the lines that were found, in multiples of the mains.
func (c *humComb) multiples() []int {
	var all []int
	for _, l := range c.found {
		all = append(all, l.times)
	}
	return all
}

// mains gives the frequency that the lines found are multiples of. A high one
// tells it best.
func (c *humComb) mains() engine.Hz {
	var sum, weight float64
	for _, l := range c.found {
		sum += float64(l.times) * l.base()
		weight += float64(l.times)
	}
	return c.bin * engine.Hz(sum/weight)
}
