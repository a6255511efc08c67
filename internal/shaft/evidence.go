package shaft

import (
	"math"
	"slices"

	"topnote/internal/spectrum"
	"topnote/internal/unit"
)

// maxPeriod is the longest firing pattern told: one firing in four cycles.
const maxPeriod = 4

// scale is the grid of firing frequencies, evenly spaced in their logarithm.
// 53 steps make an octave and 84 a twelfth within 0.003 step, so that f/2, f/3
// and f/4 of a grid point are grid points too.
type scale struct {
	low   float64 // Hz, of the first point of the search
	per   float64 // points an octave
	below int     // points kept under the first one, for line spacings down to low/4
	n     int     // points of the search
	run   int     // of these, the first that an engine can run at
}

func newScale(o Options, e unit.Engine) scale {
	s := scale{low: float64(o.Slowest.Hz()) * e.FiringOrder(), per: float64(o.PerOctave)}
	s.run = int(math.Ceil(math.Log2(float64(o.Fastest/o.Slowest))*s.per)) + 1
	s.n = max(s.run, int(math.Log2(float64(o.Decoy)/s.low)*s.per))
	s.below = s.shift(maxPeriod)
	return s
}

// shift gives the number of points between f and n*f.
func (s scale) shift(n int) int { return int(math.Round(math.Log2(float64(n)) * s.per)) }

// at gives the frequency of point i of the search, in hertz; i may be negative.
func (s scale) at(i float64) float64 { return s.low * math.Exp2(i/s.per) }

// place is one bin to look at and how much it counts.
type place struct {
	bin    int32
	weight float32
}

// viewer holds the tables of one View.
type viewer struct {
	View
	rate               unit.Hz
	masked             []bool // bins that are not looked at
	often              []int  // frames in which each bin stood out
	plan               *spectrum.Plan
	lines              [][]place // for each spacing, from s.below under the search upwards
	gaps               [][]place
	whole              [maxPeriod + 1][][]place // for each point of the search, contrast only
	part               [maxPeriod + 1][][]place
	level, line, gap   []float32
	score              []float32
	bare               []float32
	still, best, other []float32 // evidence, shape [period][point]
}

func newViewer(v View, rate unit.Hz, s scale, orders int) (*viewer, error) {
	floor := spectrum.DefaultFloor()
	floor.Width = v.Floor
	plan, err := spectrum.NewPlan(spectrum.PlanOptions{Rate: rate, Length: v.Window, Size: v.Size, Top: v.Top, Floor: floor})
	if err != nil {
		return nil, err
	}
	w := &viewer{View: v, plan: plan, rate: rate}
	bins := plan.Bins()
	w.masked, w.often = make([]bool, bins), make([]int, bins)
	w.level, w.line, w.gap = make([]float32, bins), make([]float32, bins), make([]float32, bins)
	w.score = make([]float32, s.below+s.n)
	w.bare = make([]float32, s.below+s.n)
	w.still, w.best, w.other = make([]float32, maxPeriod*s.n), make([]float32, maxPeriod*s.n), make([]float32, maxPeriod*s.n)
	at := func(f, weight float64) place {
		return place{int32(math.Round(f / float64(plan.BinWidth()))), float32(weight)}
	}
	for i := -s.below; i < s.n; i++ {
		g := s.at(float64(i))
		var ls, gs []place
		for j := 1; j <= v.Lines && float64(j)*g <= float64(v.Top); j++ {
			x := float64(j) / v.HalfAt
			ls = append(ls, at(float64(j)*g, 1/(1+x*x)))
			if f := (float64(j) + 0.5) * g; f <= float64(v.Top) {
				gs = append(gs, at(f, 1/(1+x*x)))
			}
		}
		w.lines, w.gaps = append(w.lines, ls), append(w.gaps, gs)
	}
	for n := 2; n <= maxPeriod; n++ {
		for i := range s.n {
			var ws, ps []place
			for j := 1; j <= n*orders; j++ {
				f := s.at(float64(i)) * float64(j) / float64(n)
				if f > float64(v.Top) {
					break
				}
				if j%n == 0 {
					ws = append(ws, at(f, 1))
				} else {
					ps = append(ps, at(f, 1))
				}
			}
			w.whole[n], w.part[n] = append(w.whole[n], ws), append(w.part[n], ps)
		}
	}
	return w, nil
}

// add adds the view's evidence at one instant to e, shape [mode][period][point].
func (w *viewer) add(e []float32, x []float32, centre int, o Options, s scale) {
	n := maxPeriod * s.n
	w.read(w.still, x, centre, 0, o, s)
	if len(w.Slopes) == 0 || slices.Max(w.still) > float32(w.Sure) {
		for m := range modes {
			w.put(e[int(m)*n:int(m+1)*n], w.still)
		}
		return
	}
	w.put(e[:n], w.still)
	for m, sign := range map[mode]float64{rising: 1, falling: -1} {
		best := w.best
		copy(best, w.still)
		for _, slope := range w.Slopes {
			w.read(w.other, x, centre, sign*slope, o, s)
			for i, v := range w.other {
				best[i] = max(best[i], v)
			}
		}
		w.put(e[int(m)*n:int(m+1)*n], best)
	}
}

func (w *viewer) put(e, v []float32) {
	for i := range v {
		e[i] += float32(w.Weight) * v[i]
	}
}

// read writes the evidence of one frame to e.
func (w *viewer) read(e []float32, x []float32, centre int, slope float64, o Options, s scale) {
	w.plan.Warped(w.level, x, centre, slope)
	for i, v := range w.level {
		w.line[i] = w.Line.at(v)
		w.gap[i] = w.Gap.at(v)
		w.level[i] = min(max(v, float32(o.LevelLow)), float32(o.LevelHigh))
		if w.masked[i] {
			w.line[i], w.gap[i], w.level[i] = 0, 0, 0
		}
	}
	for i := range w.score {
		w.bare[i] = sum(w.line, w.lines[i])
		w.score[i] = w.bare[i] + sum(w.gap, w.gaps[i])
	}
	first := int(math.Ceil(math.Log2(w.Resolve/float64(w.Window)/s.low) * s.per)) // the narrowest spacing resolved
	for n := 1; n <= maxPeriod; n++ {
		down := s.shift(n)
		for i := range s.n {
			j := i - down
			k := (n-1)*s.n + i
			if j < first {
				e[k] = w.bare[i+s.below] * float32(w.Blur)
				if i < first {
					e[k] = 0
				}
				continue
			}
			e[k] = w.score[j+s.below]
			if n > 1 {
				e[k] += o.Contrast.at(mean(w.level, w.whole[n][i]) - mean(w.level, w.part[n][i]))
			}
		}
	}
}

func sum(level []float32, ps []place) float32 {
	var s float32
	for _, p := range ps {
		s += p.weight * level[p.bin]
	}
	return s
}

func mean(level []float32, ps []place) float32 {
	if len(ps) == 0 {
		return 0
	}
	var s float32
	for _, p := range ps {
		s += level[p.bin]
	}
	return s / float32(len(ps))
}
