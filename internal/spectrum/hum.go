package spectrum

import (
	"math"

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

// WithoutHum gives the sound without its mains hum, and what hum there was.
// Without hum, or with less than two windows of sound, it gives x itself.
func WithoutHum(x []float32, rate unit.Hz, o HumOptions) ([]float32, Hum) {
	n := int(float64(o.Window) * float64(rate))
	if len(x) < 2*n {
		return x, Hum{}
	}
	var best Hum
	for _, mains := range o.Mains {
		f := tuneMains(x, rate, mains, n, o)
		h := Hum{Mains: f}
		for k := 1; unit.Hz(k)*f <= o.Top; k++ {
			if stands(x, rate, unit.Hz(k)*f, n, o) {
				h.Lines = append(h.Lines, k)
			}
		}
		if len(h.Lines) > len(best.Lines) {
			best = h
		}
	}
	if len(best.Lines) < o.Least {
		return x, Hum{}
	}
	return subtract(x, rate, best, n), best
}

// tuneMains finds the mains frequency near its nominal value at which the
// multiples are strongest.
func tuneMains(x []float32, rate, mains unit.Hz, n int, o HumOptions) unit.Hz {
	const steps, multiples = 16, 6
	best, at := 0.0, mains
	for i := -steps; i <= steps; i++ {
		f := mains * unit.Hz(1+o.Astray*float64(i)/steps)
		var s float64
		for k := 1; k <= multiples; k++ {
			for from := 0; from+n <= len(x); from += n {
				a, b := project(x[from:from+n], float64(unit.Hz(k)*f/rate))
				s += math.Hypot(a, b)
			}
		}
		if s > best {
			best, at = s, f
		}
	}
	return at
}

// stands reports whether a line stands out of its neighbours in most windows.
func stands(x []float32, rate, f unit.Hz, n int, o HumOptions) bool {
	var yes, all int
	for from := 0; from+n <= len(x); from += n {
		power := func(f unit.Hz) float64 {
			a, b := project(x[from:from+n], float64(f/rate))
			return a*a + b*b
		}
		beside := 1e-14
		for _, d := range []unit.Hz{-5, -4, -3, 3, 4, 5} {
			beside += power(f+d) / 6
		}
		all++
		if 10*math.Log10(power(f)/beside) > float64(o.Stands) {
			yes++
		}
	}
	return float64(yes) >= o.Share*float64(all)
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
