package shaft

import (
	"math"

	"topnote/internal/engine"
)

// freqGrid is the grid of firing frequencies, evenly spaced in their logarithm.
// 53 steps make an octave and 84 a twelfth within 0.003 step, so that f/2, f/3
// and f/4 of a grid point are grid points too.
type freqGrid struct {
	low       float64 // Hz, of the first point of the search
	perOctave float64 // points an octave
	below     int     // points kept under the first one, for line spacings down to low/4
	n         int     // points of the search
	engineTop int     // of these, the first that an engine can run at
}

func newFreqGrid(o Options, e engine.Spec) freqGrid {
	s := freqGrid{low: float64(o.Slowest.Hz()) * e.FiringOrder(), perOctave: float64(o.PerOctave)}
	s.engineTop = int(math.Ceil(math.Log2(float64(o.Fastest/o.Slowest))*s.perOctave)) + 1
	s.n = max(s.engineTop, int(math.Log2(float64(o.OutOfRange)/s.low)*s.perOctave))
	s.below = s.shift(MaxPeriod)
	return s
}

// shift gives the number of points between f and n*f.
func (s freqGrid) shift(n int) int { return int(math.Round(math.Log2(float64(n)) * s.perOctave)) }

// at gives the frequency of point i of the search, in hertz; i may be negative.
func (s freqGrid) at(i float64) float64 { return s.low * math.Exp2(i/s.perOctave) }

// from gives the first point at or above a frequency.
func (s freqGrid) from(f float64) int { return int(math.Ceil(math.Log2(f/s.low) * s.perOctave)) }

// stateIndex says which states there are: for each firing period, which frequencies
// of the grid it can have. A vector over them, the states of one mode, holds
// row after row.
type stateIndex struct {
	first, last [MaxPeriod]int // of the grid, last excluded
	start       [MaxPeriod + 1]int
}

// newStateIndex leaves out the states whose lines no view resolves, whose speed no
// engine has, and whose firing the engine cannot have: the turns of a
// four-stroke single without a firing are no missed ones. Beyond any engine's
// speed there are decoys, which fire every time.
func newStateIndex(s freqGrid, spacing float64, periods int) (r stateIndex) {
	for n := range MaxPeriod {
		r.first[n] = max(0, s.from(float64(n+1)*spacing))
		r.last[n] = s.n
		if n > 0 {
			r.last[n] = s.engineTop
		}
		if n >= periods {
			r.last[n] = r.first[n]
		}
		r.start[n+1] = r.start[n] + max(0, r.last[n]-r.first[n])
	}
	return r
}

// states gives the length of a vector over the states of one mode.
func (r *stateIndex) states() int { return r.start[MaxPeriod] }

// of gives the part of such a vector for firing period n+1; its element 0 is
// the frequency r.first[n].
func (r *stateIndex) of(v []float32, n int) []float32 { return v[r.start[n]:r.start[n+1]] }

// spacing gives the point of the grid at which the lines of state i stand apart.
func (r *stateIndex) spacing(i int, s freqGrid) int {
	n := 0
	for i >= r.start[n+1] {
		n++
	}
	return r.first[n] + i - r.start[n] - s.shift(n+1)
}
