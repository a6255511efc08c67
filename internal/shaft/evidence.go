package shaft

import (
	"topnote/internal/engine"
	"topnote/internal/spectrum"
)

// heard is what one look says of the states: evidence in natural-log units until
// likely turns it into likelihoods.
type heard struct {
	hop   int              // the point of the track that the look is at
	since int              // hops since the look before; of the first one 1
	sure  bool             // the sound as it is says enough
	lines int              // the spacing of lines that stands out most, as a point of the grid
	still []float32        // of the states of any mode, shape [rows]
	whole []float32        // what of it is contrast of whole orders
	moves [modes][]float32 // the same of one mode alone; nil: as any
	none  float32          // of the state without an engine
}

// of gives what is said of the states of one mode.
func (h *heard) of(m mode) []float32 {
	if h.moves[m] != nil {
		return h.moves[m]
	}
	return h.still
}

// eachOwn calls do with what is said of any mode and of those that have evidence
// of their own.
func (h *heard) eachOwn(do func(p []float32)) {
	do(h.still)
	for _, p := range h.moves {
		if p != nil {
			do(p)
		}
	}
}

// spares are vectors over the states, used again for stretch after stretch.
type spares struct {
	states int
	all    [][]float32
	used   int
}

// next gives a vector that holds anything.
func (s *spares) next() []float32 {
	if s.used == len(s.all) {
		s.all = append(s.all, make([]float32, s.states))
	}
	s.used++
	return s.all[s.used-1]
}

// viewer looks at sound in one View.
type viewer struct {
	View
	spare  *spares
	rate   engine.Hz
	rows   *rows
	o      *Options
	masked []bool // bins that are not looked at
	often  []int  // frames in which each bin stood out
	plan   *spectrum.Plan
	level  []float32
	table  []counts

	// What stands on the ruler, and on the combs of its points of the grid: from
	// the narrowest spacing that is resolved upwards.
	ruler       ruler
	line, gap   layer[float32]
	height      layer[height]
	lines, gaps comb
	bare, score []float32 // lines alone; lines and gaps
	contrast    contrast

	still, whole []float32 // evidence, shape [rows]; what of it is contrast
}

// counts is what the level of a bin counts: where a line should stand, where
// none should, and in a contrast.
type counts struct {
	line, gap float32
	height    height
}

func newViewer(v View, rate engine.Hz, s scale, r *rows, o *Options, spare *spares, m mask) (*viewer, error) {
	floor := spectrum.DefaultFloor()
	floor.Width = v.Floor
	var slopes []float64
	for _, slope := range v.Slopes {
		slopes = append(slopes, slope, -slope)
	}
	plan, err := spectrum.NewPlan(spectrum.PlanOptions{Rate: rate, Length: v.Window, Size: v.Size, Top: v.Top, Floor: floor, Slopes: slopes})
	if err != nil {
		return nil, err
	}
	first := max(-s.below, s.from(v.Resolve/float64(v.Window)))
	u := newRuler(s, first, float64(v.Top), float64(plan.BinWidth()))
	points := max(0, s.n-first)
	masked := m.bins(plan.Bins(), plan.BinWidth(), o.Steady.Width)
	readings := func(n int) []float32 { return make([]float32, n) }
	w := &viewer{
		View: v, spare: spare, rate: rate, rows: r, o: o, plan: plan, ruler: u,
		masked: masked, often: make([]int, plan.Bins()),
		level: readings(plan.Bins()), table: newTable(v, o),
		bare: readings(points), score: readings(points),
		contrast: newContrast(s, u, r, o, masked),
		still:    readings(r.states()), whole: readings(r.states()),
	}
	for j := 1; j <= v.Lines; j++ {
		x := float64(j) / v.HalfAt
		weight := 1 / (1 + x*x)
		w.lines = append(w.lines, u.tooth(s, float64(j), first, points, weight))
		w.gaps = append(w.gaps, u.tooth(s, float64(j)+0.5, first, points, weight))
	}
	w.line, w.gap = newLayer[float32](u, plan.Bins(), w.lines), newLayer[float32](u, plan.Bins(), w.gaps)
	w.height = newLayer[height](u, plan.Bins(), w.contrast.teeth())
	return w, nil
}

// slopes weighs what was heard of sound taken as it is and, where the shaft may
// move, adds to each mode the best of what is heard of its slopes.
func (w *viewer) slopes(h *heard, x []float32, centre int, moves bool) {
	if moves {
		for _, way := range [...]struct {
			mode
			sign float64
		}{{rising, 1}, {falling, -1}} {
			best := w.spare.next()
			copy(best, h.still)
			for _, slope := range w.Slopes {
				w.read(w.still, x, centre, way.sign*slope)
				for i, v := range w.still {
					if v > best[i] {
						best[i] = v
					}
				}
			}
			h.moves[way.mode] = best
		}
	}
	h.eachOwn(func(p []float32) { scal(float32(w.Weight), p) })
	scal(float32(w.Weight), h.whole)
}

// same adds what was heard in the sound as it is to every mode.
func (w *viewer) same(h *heard) {
	h.eachOwn(func(p []float32) { axpy(float32(w.Weight), w.still, p) })
	axpy(float32(w.Weight), w.whole, h.whole)
}

// read writes the evidence of one frame to e, shape [rows].
func (w *viewer) read(e []float32, x []float32, centre int, slope float64) {
	w.plan.Warped(w.level, x, centre, slope)
	w.count()
	w.lines.sum(w.bare, w.line.lay())
	w.gaps.sum(w.score, w.gap.lay())
	for i, v := range w.bare {
		w.score[i] += v
	}
	w.contrast.take(w.height.lay())
	for n := range maxPeriod {
		w.readRow(w.rows.of(e, n), w.rows.of(w.whole, n), n)
	}
}

// count looks up what each level counts.
func (w *viewer) count() {
	for i, v := range w.level {
		step := int((v - tableFrom) * tableSteps)
		c := w.table[min(max(step, 0), len(w.table)-1)]
		w.line.counts[i], w.gap.counts[i], w.height.counts[i] = c.line, c.gap, c.height
	}
	for i, masked := range w.masked {
		if masked {
			w.line.counts[i], w.gap.counts[i], w.height.counts[i] = 0, 0, 0
		}
	}
}

// A table of what levels count: from so many decibels on, and so many steps to
// one. A step is far less than a level scatters by.
const (
	tableFrom, tableTo = -20, 50
	tableSteps         = 16
)

func newTable(v View, o *Options) []counts {
	table := make([]counts, (tableTo-tableFrom)*tableSteps)
	for i := range table {
		level := tableFrom + (float32(i)+0.5)/tableSteps
		table[i] = counts{v.Line.at(level), v.Gap.at(level), heightOf(clamp(level, float32(o.LevelLow), float32(o.LevelHigh)))}
	}
	return table
}

// readRow writes the evidence of firing period n+1: that of the comb whose
// spacing is the frequency over the period and, where that is not resolved, a
// part of that of the frequency itself. What of it is contrast goes to whole, too.
func (w *viewer) readRow(row, whole []float32, n int) {
	first := w.rows.first[n]
	resolved := min(max(0, w.contrast.at[n]-first), len(row))
	for k := range row[:resolved] {
		row[k] = 0
		if j := first + k - w.ruler.first; j >= 0 {
			row[k] = w.bare[j] * float32(w.Blur)
		}
	}
	if resolved == len(row) {
		return
	}
	copy(row[resolved:], w.score[first+resolved-w.contrast.down[n]-w.ruler.first:])
	if n > 0 {
		w.contrast.addTo(row[resolved:], whole[resolved:], n)
	}
}

// ramp32 is a Ramp for the innermost loops.
type ramp32 struct{ zero, slope, low, high float32 }

func (r Ramp) fast() ramp32 {
	return ramp32{float32(r.Zero), float32(r.Slope), float32(r.Low), float32(r.High)}
}

func (r ramp32) at(level float32) float32 { return clamp(r.slope*(level-r.zero), r.low, r.high) }

// clamp bounds a number. Levels scatter, so that no processor foresees which way a
// branch goes: min and max have none.
func clamp(v, low, high float32) float32 { return max(low, min(v, high)) }
