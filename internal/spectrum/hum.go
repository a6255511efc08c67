package spectrum

import (
	"math"
	"slices"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// Hum is mains hum that was found in a sound.
type Hum struct {
	Mains engine.Hz // 50 or 60, corrected to what was found; 0: no hum
	Lines []int     // multiples of it that stand out
}

// HumOptions says what is taken for hum: lines at multiples of a mains
// frequency that do not move at all, which no engine's do.
type HumOptions struct {
	Mains     []engine.Hz
	Tolerance float64        // the mains' own relative deviation that is searched
	Top       engine.Hz      // highest multiple
	Window    engine.Seconds // of the fit; hum is steady over it, an engine's line is not
	Stands    engine.Decibel // of a line over what lies beside it
	Share     float64        // of the windows in which it must stand out
	MinLines  int            // lines that make a hum
	Moves     engine.Hz      // standard deviation of a line's place, window by window, at most
	Also      float64        // of the windows in which further lines of a hum must stand out
}

// DefaultHum gives the options in use. Grids hold 50 and 60 Hz within 0.4 %
// (common practice); lines that stand 12 dB over their neighbours 2 to 5 Hz away
// wherever the engine is not much louder, always at the same place, are narrower
// and steadier than an engine's: made hum 6 dB under a saw moves by some 0.04 Hz
// from window to window, made saws that hold 3,000 rpm by 0.3 Hz.
func DefaultHum() HumOptions {
	return HumOptions{Mains: []engine.Hz{50, 60}, Tolerance: 0.004, Top: 1000, Window: 1, Stands: 12, Share: 0.6, MinLines: 3, Moves: 0.17, Also: 0.4}
}

// FindHum gives the mains hum in a sound. There is none in less than two
// windows of sound. The sound is heard window by window, once, and once more where
// lines stand out: for their frequency, and whether they keep still.
func FindHum(x audio.Signal, rate engine.Hz, o HumOptions) (Hum, error) {
	n := o.samples(rate)
	if x.Len() < 2*n {
		return Hum{}, nil
	}
	ear := newPSDReader(n)
	var combs []*humComb
	for _, mains := range o.Mains {
		combs = append(combs, newHumComb(mains, rate/engine.Hz(ear.size), o))
	}
	err := ear.read(x, func(power []float64) {
		for _, c := range combs {
			c.count(power)
		}
	})
	combs = slices.DeleteFunc(combs, func(c *humComb) bool {
		c.settle(x.Len()/n, o)
		return len(c.often()) < o.MinLines || ofEngine(c.often())
	})
	if err != nil || len(combs) == 0 {
		return Hum{}, err
	}
	if err := ear.read(x, func(power []float64) {
		for _, c := range combs {
			c.measure(power)
		}
	}); err != nil {
		return Hum{}, err
	}
	var best Hum
	for _, c := range combs {
		all := len(c.often())
		c.hold(o.Moves)
		if left := len(c.often()); left >= max(o.MinLines, (all+1)/2) && len(c.found) > len(best.Lines) {
			best = Hum{Mains: c.mains(), Lines: c.multiples()}
		}
	}
	return best, nil
}

// ofEngine reports whether lines at multiples of the mains are those of an engine
// that runs steadily at such a multiple, 9,000 rpm at 50 Hz: hum has the first or
// the second in common, no higher one.
func ofEngine(multiples []int) bool {
	const rectified = 2 // twice the mains, as transformers and lamps hum
	common := 0
	for _, k := range multiples {
		for k > 0 {
			common, k = k, common%k
		}
	}
	return common > rectified
}

// samples gives the length of a window.
func (o HumOptions) samples(rate engine.Hz) int { return int(float64(o.Window) * float64(rate)) }

// RemoveHum gives the sound without its mains hum, and what hum there was.
// Without hum it gives x itself.
func RemoveHum(x []float32, rate engine.Hz, o HumOptions) ([]float32, Hum) {
	hum, _ := FindHum(audio.Memory(x), rate, o) // memory is always there
	if hum.Mains == 0 {
		return x, hum
	}
	return subtract(x, rate, hum, o.samples(rate)), hum
}

// singleBinDFT gives the cosine and sine amplitude of a frequency, in cycles per
// sample, in a stretch under a Hann window.
func singleBinDFT(x []float32, f float64) (a, b float64) {
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
func subtract(x []float32, rate engine.Hz, h Hum, n int) []float32 {
	out := make([]float32, len(x))
	copy(out, x)
	hop := n / 2
	for from := -hop; from < len(x); from += hop {
		lo, hi := max(0, from), min(len(x), from+n)
		// At either end the fit uses the nearest whole window.
		fit := min(max(from, 0), len(x)-n)
		for _, k := range h.Lines {
			w := 2 * math.Pi * float64(engine.Hz(k)*h.Mains/rate)
			a, b := singleBinDFT(x[fit:fit+n], w/(2*math.Pi))
			for i := lo; i < hi; i++ {
				g := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i-from)+0.5)/float64(n))
				s, c := math.Sincos(w * float64(i-fit))
				out[i] -= float32(g * (a*c + b*s))
			}
		}
	}
	return out
}
