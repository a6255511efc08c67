package shaft

import (
	"math"

	"topnote/internal/engine"
)

// freqGrid is the grid of firing frequencies, even in their logarithm. 53 points make
// an octave and 84 a twelfth within 0.003 of a point, so that f/2, f/3 and f/4 of a
// point are points too.
type freqGrid struct {
	low       float64 // Hz, of point 0, the first of the search
	perOctave float64 // points an octave
	below     int     // points under point 0, for line spacings down to low/4
	n         int     // points of the search
	engineEnd int     // of these, one past the last that an engine can run at
}

func newFreqGrid(o Options, e engine.Spec) freqGrid {
	g := freqGrid{low: float64(o.MinSpeed.Hz()) * e.FiringOrder(), perOctave: float64(o.PerOctave)}
	g.engineEnd = int(math.Ceil(math.Log2(float64(o.MaxSpeed/o.MinSpeed))*g.perOctave)) + 1
	g.n = max(g.engineEnd, int(math.Log2(float64(o.OutOfRange)/g.low)*g.perOctave))
	g.below = g.shift(MaxPeriod)
	return g
}

// shift gives the number of points from f to n f.
func (g freqGrid) shift(n int) int { return int(math.Round(math.Log2(float64(n)) * g.perOctave)) }

// freq gives the frequency of point i in hertz; i may be negative or a fraction.
func (g freqGrid) freq(i float64) float64 { return g.low * math.Exp2(i/g.perOctave) }

// ceil gives the first point at or above a frequency.
func (g freqGrid) ceil(f float64) int { return int(math.Ceil(math.Log2(f/g.low) * g.perOctave)) }

// stateIndex says which states there are: for each firing period, a range of the
// grid. A vector over the states of one mode holds row after row.
type stateIndex struct {
	first, last [MaxPeriod]int // of the grid, last excluded
	start       [MaxPeriod + 1]int
}

// newStateIndex gives the states of so many firing periods. It leaves out those whose
// line spacing no frame resolves, and missed firings at speeds that no engine has: the
// out-of-range states fire every time.
func newStateIndex(g freqGrid, minSpacing float64, periods int) (x stateIndex) {
	for n := range MaxPeriod {
		x.first[n] = max(0, g.ceil(float64(n+1)*minSpacing))
		x.last[n] = g.n
		if n > 0 {
			x.last[n] = g.engineEnd
		}
		if n >= periods {
			x.last[n] = x.first[n]
		}
		x.start[n+1] = x.start[n] + max(0, x.last[n]-x.first[n])
	}
	return x
}

// states gives the length of a vector over the states of one mode.
func (x *stateIndex) states() int { return x.start[MaxPeriod] }

// row gives the part of such a vector for firing period n+1; its element 0 is the
// frequency x.first[n].
func (x *stateIndex) row(v []float32, n int) []float32 { return v[x.start[n]:x.start[n+1]] }

// spacing gives the line spacing of state i, as a point of the grid.
func (x *stateIndex) spacing(i int, g freqGrid) int {
	n := 0
	for i >= x.start[n+1] {
		n++
	}
	return x.first[n] + i - x.start[n] - g.shift(n+1)
}
