package spectrum

import (
	"math"
	"math/bits"

	"github.com/mjibson/go-dsp/window"

	"topnote/internal/sound"
	"topnote/internal/unit"
)

// humEar gives the power spectra of the windows of a sound, one after the other.
type humEar struct {
	win   []float64 // Hann
	size  int       // of the transform: the next power of two
	fft   *RealFFT
	power []float64
}

func newHumEar(n int) *humEar {
	size := 1 << bits.Len(uint(n-1))
	return &humEar{win: window.Hann(n + 1)[:n], size: size, fft: NewRealFFT(size), power: make([]float64, size/2+1)}
}

// hear calls do with the power spectrum of each whole window of a sound.
func (e *humEar) hear(x sound.Mono, do func(power []float64)) {
	n := len(e.win)
	for _, seg := range sound.Pieces(x, 0, x.Len()/n*n, n) {
		in := e.fft.Input()
		clear(in)
		for i, w := range e.win {
			if v := w * float64(seg[i]); i%2 == 0 {
				in[i/2] = complex(v, 0)
			} else {
				in[i/2] += complex(0, v)
			}
		}
		e.fft.Powers(e.power)
		for i := range e.power {
			e.power[i] += silence
		}
		do(e.power)
	}
}

// humComb looks for the multiples of one mains frequency. First every window is
// counted; then it is settled which lines stand out, and where; then each window
// is measured, for their exact frequency.
type humComb struct {
	bin   unit.Hz
	share float64   // of the windows, as HumOptions.Share
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

	at   int        // bin that it lies in, once that is settled
	logs [3]float64 // sums of the log power of the bin before, this one, and the next
}

func newHumComb(mains, bin unit.Hz, o HumOptions) *humComb {
	const beside = 6 // bins; see count
	c := &humComb{bin: bin, share: o.Share, over: math.Pow(10, float64(o.Stands)/10) / beside}
	for k := 1; unit.Hz(k)*mains <= o.Top; k++ {
		f := float64(unit.Hz(k) * mains / bin)
		reach := max(1, int(math.Ceil(f*o.Astray)))
		c.lines = append(c.lines, humLine{
			times: k, first: int(math.Round(f)) - reach,
			sum: make([]float64, 2*reach+1), out: make([]int, 2*reach+1),
		})
	}
	return c
}

// count takes one window in.
func (c *humComb) count(power []float64) {
	for _, l := range c.lines {
		for i := range l.sum {
			k := l.first + i
			l.sum[i] += power[k]
			if power[k] > c.over*(power[k-5]+power[k-4]+power[k-3]+power[k+3]+power[k+4]+power[k+5]) {
				l.out[i]++
			}
		}
	}
}

// settle finds the lines that stand out of their neighbours in most of so many
// windows, always at the same place.
func (c *humComb) settle(windows int) {
	for _, l := range c.lines {
		top := 0
		for i, v := range l.sum {
			if v > l.sum[top] {
				top = i
			}
		}
		if float64(l.out[top]) >= c.share*float64(windows) {
			l.at = l.first + top
			c.found = append(c.found, l)
		}
	}
}

// measure takes one window in for the frequencies of the lines that were found.
func (c *humComb) measure(power []float64) {
	for i := range c.found {
		l := &c.found[i]
		for j := range l.logs {
			l.logs[j] += math.Log(power[l.at-1+j])
		}
	}
}

// multiples gives the lines that were found, in multiples of the mains.
func (c *humComb) multiples() []int {
	var all []int
	for _, l := range c.found {
		all = append(all, l.times)
	}
	return all
}

// mains gives the frequency that the lines found are multiples of.
func (c *humComb) mains() unit.Hz {
	var sum, weight float64
	for _, l := range c.found {
		// The top of a Hann line between bins, by a parabola through the logarithms.
		at := float64(l.at) + 0.5*(l.logs[0]-l.logs[2])/(l.logs[0]-2*l.logs[1]+l.logs[2])
		// A high multiple tells the frequency best.
		sum += at * float64(c.bin)
		weight += float64(l.times)
	}
	return unit.Hz(sum / weight)
}
