package spectrum

import (
	"math"
	"math/bits"

	"github.com/mjibson/go-dsp/window"

	"topnote/internal/unit"
)

// Hum is mains hum that was found in a sound.
type Hum struct {
	Mains unit.Hz // 50 or 60, corrected to what was found; 0: no hum
	Lines []int   // multiples of it that stand out
}

// HumOptions says what is taken for hum: lines at multiples of a mains
// frequency that do not move at all, which no engine's do.
type HumOptions struct {
	Mains  []unit.Hz
	Astray float64      // the mains' own relative deviation that is searched
	Top    unit.Hz      // highest multiple
	Window unit.Seconds // of the fit; hum is steady over it, an engine's line is not
	Stands unit.Decibel // of a line over what lies beside it
	Share  float64      // of the windows in which it must stand out
	Least  int          // lines that make a hum
}

// DefaultHum gives the options in use. Grids hold 50 and 60 Hz within 0.4 %
// (common practice); a line 12 dB over its neighbours 2 to 5 Hz away, in nine
// windows of ten, is narrower and steadier than an engine's.
func DefaultHum() HumOptions {
	return HumOptions{Mains: []unit.Hz{50, 60}, Astray: 0.004, Top: 1000, Window: 1, Stands: 12, Share: 0.9, Least: 3}
}

// FindHum gives the mains hum in a sound. There is none in less than two
// windows of sound.
func FindHum(x []float32, rate unit.Hz, o HumOptions) Hum {
	n := o.samples(rate)
	if len(x) < 2*n {
		return Hum{}
	}
	windows := powers(x, n)
	bin := rate / unit.Hz(2*(len(windows[0])-1))
	var best Hum
	for _, mains := range o.Mains {
		if h := hearHum(windows, bin, mains, o); len(h.Lines) > len(best.Lines) && !h.ofEngine() {
			best = h
		}
	}
	if len(best.Lines) < o.Least {
		return Hum{}
	}
	return best
}

// ofEngine reports whether the lines are those of an engine that runs steadily
// at a multiple of the mains, 9,000 rpm at 50 Hz: hum has the first or the second
// multiple in common, no higher one.
func (h Hum) ofEngine() bool {
	const rectified = 2 // twice the mains, as transformers and lamps hum
	common := 0
	for _, k := range h.Lines {
		for k > 0 {
			common, k = k, common%k
		}
	}
	return common > rectified
}

// samples gives the length of a window.
func (o HumOptions) samples(rate unit.Hz) int { return int(float64(o.Window) * float64(rate)) }

// WithoutHum gives the sound without its mains hum, and what hum there was.
// Without hum it gives x itself.
func WithoutHum(x []float32, rate unit.Hz, o HumOptions) ([]float32, Hum) {
	hum := FindHum(x, rate, o)
	if hum.Mains == 0 {
		return x, hum
	}
	return subtract(x, rate, hum, o.samples(rate)), hum
}

// powers gives the power spectrum of each whole window of n samples, Hann, by a
// transform of the next power of two.
func powers(x []float32, n int) [][]float64 {
	size := 1 << bits.Len(uint(n-1))
	fft := NewRealFFT(size)
	win := window.Hann(n + 1)[:n]
	var out [][]float64
	for from := 0; from+n <= len(x); from += n {
		in, seg := fft.Input(), x[from:from+n]
		clear(in)
		for i, w := range win {
			if v := w * float64(seg[i]); i%2 == 0 {
				in[i/2] = complex(v, 0)
			} else {
				in[i/2] += complex(0, v)
			}
		}
		p := make([]float64, size/2+1)
		fft.Powers(p)
		for i := range p {
			p[i] += silence
		}
		out = append(out, p)
	}
	return out
}

// hearHum looks for the multiples of one mains frequency.
func hearHum(windows [][]float64, bin, mains unit.Hz, o HumOptions) Hum {
	var h Hum
	var sum, weight float64 // of the mains frequency, by the lines that stand out
	for k := 1; unit.Hz(k)*mains <= o.Top; k++ {
		f := float64(unit.Hz(k) * mains / bin)
		reach := max(1, int(math.Ceil(f*o.Astray)))
		if at, ok := stands(windows, int(math.Round(f)), reach, o); ok {
			h.Lines = append(h.Lines, k)
			// A high multiple tells the frequency best.
			sum += at * float64(bin)
			weight += float64(k)
		}
	}
	if weight > 0 {
		h.Mains = unit.Hz(sum / weight)
	}
	return h
}

// stands reports whether a line within reach bins of a middle stands out of
// its neighbours in most windows, always at the same place, and where, in bins.
func stands(windows [][]float64, middle, reach int, o HumOptions) (at float64, ok bool) {
	mean := make([]float64, 2*reach+1)
	for _, p := range windows {
		for i := range mean {
			mean[i] += p[middle-reach+i]
		}
	}
	top := 0
	for i, v := range mean {
		if v > mean[top] {
			top = i
		}
	}
	k := middle - reach + top
	var yes int
	for _, p := range windows {
		beside := (p[k-5] + p[k-4] + p[k-3] + p[k+3] + p[k+4] + p[k+5]) / 6
		if 10*math.Log10(p[k]/beside) > float64(o.Stands) {
			yes++
		}
	}
	if float64(yes) < o.Share*float64(len(windows)) {
		return 0, false
	}
	// The top of a Hann line between bins, by a parabola through the logarithms.
	var l [3]float64
	for _, p := range windows {
		for i := range l {
			l[i] += math.Log(p[k-1+i])
		}
	}
	return float64(k) + 0.5*(l[0]-l[2])/(l[0]-2*l[1]+l[2]), true
}

// project gives the cosine and sine amplitude of a frequency, in cycles per
// sample, in a stretch under a Hann window.
func project(x []float32, f float64) (a, b float64) {
	w := 2 * math.Pi * f
	rot := complex(math.Cos(w), math.Sin(w))
	hann := complex(math.Cos(2*math.Pi/float64(len(x))), math.Sin(2*math.Pi/float64(len(x))))
	p, h := complex(1, 0), complex(1, 0)
	for _, v := range x {
		g := float64(v) * (1 - real(h))
		a += g * real(p)
		b += g * imag(p)
		p *= rot
		h *= hann
	}
	return 2 * a / float64(len(x)), 2 * b / float64(len(x))
}

// subtract takes the lines off, window by overlapping window.
func subtract(x []float32, rate unit.Hz, h Hum, n int) []float32 {
	out := make([]float32, len(x))
	copy(out, x)
	hop := n / 2
	for from := -hop; from < len(x); from += hop {
		lo, hi := max(0, from), min(len(x), from+n)
		// At either end the fit uses the nearest whole window.
		fit := min(max(from, 0), len(x)-n)
		for _, k := range h.Lines {
			w := 2 * math.Pi * float64(unit.Hz(k)*h.Mains/rate)
			a, b := project(x[fit:fit+n], w/(2*math.Pi))
			for i := lo; i < hi; i++ {
				g := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i-from)+0.5)/float64(n))
				s, c := math.Sincos(w * float64(i-fit))
				out[i] -= float32(g * (a*c + b*s))
			}
		}
	}
	return out
}
