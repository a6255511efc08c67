package shaft

import (
	"topnote/internal/engine"
	"topnote/internal/spectrum"
)

// observation is what one look says of the states: evidence in natural-log units until
// likely turns it into likelihoods.
type observation struct {
	lo, hi             int              // grid points, hi not included, that the search is held to; hi 0: to nothing
	hop                int              // the point of the track that the look is at
	hopsSince          int              // hops since the look before; of the first one 1
	sure               bool             // the sound as it is says enough
	spacing            int              // the spacing of lines that stands out most, as a point of the grid
	logLikelihood      []float32        // of the states of any mode, shape [rows]
	contrastTerm       []float32        // what of it is contrast of whole orders
	sweepLogLikelihood [modes][]float32 // the same of one mode alone; nil: as any
	noEngine           float32          // of the state without an engine
}

// of gives what is said of the states of one mode.
func (h *observation) of(m mode) []float32 {
	if h.sweepLogLikelihood[m] != nil {
		return h.sweepLogLikelihood[m]
	}
	return h.logLikelihood
}

// eachOwn calls do with what is said of any mode and of those that have evidence
// of their own.
func (h *observation) eachOwn(do func(p []float32)) {
	do(h.logLikelihood)
	for _, p := range h.sweepLogLikelihood {
		if p != nil {
			do(p)
		}
	}
}

// vectorPool are vectors over the states, used again for stretch after stretch.
type vectorPool struct {
	states  int
	vectors [][]float32
	used    int
}

// next gives a vector that holds anything.
func (s *vectorPool) next() []float32 {
	if s.used == len(s.vectors) {
		s.vectors = append(s.vectors, make([]float32, s.states))
	}
	s.used++
	return s.vectors[s.used-1]
}

// observationModel looks at sound in one FrameConfig.
type observationModel struct {
	FrameConfig
	pool            *vectorPool
	rate            engine.Hz
	index           *stateIndex
	o               *Options
	masked          []bool // bins that are not looked at
	prominentFrames []int  // frames in which each bin stood out
	stft            *spectrum.STFT
	level           []float32
	scoreTable      []binScores

	// What stands on the ruler, and on the combs of its points of the grid: from
	// the narrowest spacing that is resolved upwards.
	axis                  logFreqAxis
	lineScores, gapScores warpedScores[float32]
	quantizedLevels       warpedScores[quantizedLevel]
	lineComb, gapComb     comb
	bare, score           []float32 // lines alone; lines and gaps
	contrast              contrast

	logLikelihood, contrastTerm []float32 // evidence, shape [rows]; what of it is contrast
}

// binScores is what the level of a bin counts: where a line should stand, where
// none should, and in a contrast.
type binScores struct {
	line, gap float32
	height    quantizedLevel
}

func newObservationModel(v FrameConfig, rate engine.Hz, s freqGrid, r *stateIndex, o *Options, spare *vectorPool, m mask) (*observationModel, error) {
	floor := spectrum.DefaultFloor()
	floor.Width = v.Floor
	var slopes []float64
	for _, slope := range v.Slopes {
		slopes = append(slopes, slope, -slope)
	}
	plan, err := spectrum.NewSTFT(spectrum.STFTOptions{Rate: rate, Length: v.Window, Size: v.Size, Top: v.Top, Floor: floor, ChirpRates: slopes})
	if err != nil {
		return nil, err
	}
	first := max(-s.below, s.from(v.Resolve/float64(v.Window)))
	u := newLogFreqAxis(s, first, float64(v.Top), float64(plan.BinWidth()))
	points := max(0, s.n-first)
	masked := m.bins(plan.Bins(), plan.BinWidth(), o.Interferer.Width)
	readings := func(n int) []float32 { return make([]float32, n) }
	w := &observationModel{
		FrameConfig: v, pool: spare, rate: rate, index: r, o: o, stft: plan, axis: u,
		masked: masked, prominentFrames: make([]int, plan.Bins()),
		level: readings(plan.Bins()), scoreTable: newScoreTable(v, o),
		bare: readings(points), score: readings(points),
		contrast:      newContrast(s, u, r, o, masked),
		logLikelihood: readings(r.states()), contrastTerm: readings(r.states()),
	}
	for j := 1; j <= v.Lines; j++ {
		x := float64(j) / v.HalfAt
		weight := 1 / (1 + x*x)
		w.lineComb = append(w.lineComb, u.harmonic(s, float64(j), first, points, weight))
		w.gapComb = append(w.gapComb, u.harmonic(s, float64(j)+0.5, first, points, weight))
	}
	w.lineScores, w.gapScores = newWarpedScores[float32](u, plan.Bins(), w.lineComb), newWarpedScores[float32](u, plan.Bins(), w.gapComb)
	w.quantizedLevels = newWarpedScores[quantizedLevel](u, plan.Bins(), w.contrast.harmonics())
	return w, nil
}

// addSweeps weighs what was heard of sound taken as it is and, where the shaft may
// move, adds to each mode the best of what is heard of its slopes.
func (w *observationModel) addSweeps(h *observation, x []float32, centre int, moves bool) {
	if moves {
		for _, way := range [...]struct {
			mode
			sign float64
		}{{rising, 1}, {falling, -1}} {
			best := w.pool.next()
			copy(best, h.logLikelihood)
			for _, slope := range w.Slopes {
				w.observe(w.logLikelihood, x, centre, way.sign*slope)
				for i, v := range w.logLikelihood {
					if v > best[i] {
						best[i] = v
					}
				}
			}
			h.sweepLogLikelihood[way.mode] = best
		}
	}
	h.eachOwn(func(p []float32) { scal(float32(w.Weight), p) })
	scal(float32(w.Weight), h.contrastTerm)
}

// addToAllModes adds what was heard in the sound as it is to every mode.
func (w *observationModel) addToAllModes(h *observation) {
	h.eachOwn(func(p []float32) { axpy(float32(w.Weight), w.logLikelihood, p) })
	axpy(float32(w.Weight), w.contrastTerm, h.contrastTerm)
}

// observe writes the evidence of one frame to e, shape [rows].
func (w *observationModel) observe(e []float32, x []float32, centre int, slope float64) {
	w.stft.ChirpLevels(w.level, x, centre, slope)
	w.scoreBins()
	w.lineComb.addUp(w.bare, w.lineScores.warp())
	w.gapComb.addUp(w.score, w.gapScores.warp())
	for i, v := range w.bare {
		w.score[i] += v
	}
	w.contrast.take(w.quantizedLevels.warp())
	for n := range MaxPeriod {
		w.observeRow(w.index.of(e, n), w.index.of(w.contrastTerm, n), n)
	}
}

// scoreBins looks up what each level counts.
func (w *observationModel) scoreBins() {
	for i, v := range w.level {
		step := int((v - tableFrom) * tableSteps)
		c := w.scoreTable[min(max(step, 0), len(w.scoreTable)-1)]
		w.lineScores.bins[i], w.gapScores.bins[i], w.quantizedLevels.bins[i] = c.line, c.gap, c.height
	}
	for i, masked := range w.masked {
		if masked {
			w.lineScores.bins[i], w.gapScores.bins[i], w.quantizedLevels.bins[i] = 0, 0, 0
		}
	}
}

// A table of what levels count: from so many decibels on, and so many steps to
// one. A step is far less than a level scatters by.
const (
	tableFrom, tableTo = -20, 50
	tableSteps         = 16
)

func newScoreTable(v FrameConfig, o *Options) []binScores {
	table := make([]binScores, (tableTo-tableFrom)*tableSteps)
	for i := range table {
		level := tableFrom + (float32(i)+0.5)/tableSteps
		table[i] = binScores{v.Line.at(level), v.Gap.at(level), quantize(clamp(level, float32(o.LevelLow), float32(o.LevelHigh)))}
	}
	return table
}

// observeRow writes the evidence of firing period n+1: that of the comb whose
// spacing is the frequency over the period and, where that is not resolved, a
// part of that of the frequency itself. What of it is contrast goes to whole, too.
func (w *observationModel) observeRow(row, whole []float32, n int) {
	first := w.index.first[n]
	resolved := min(max(0, w.contrast.at[n]-first), len(row))
	for k := range row[:resolved] {
		row[k] = 0
		if j := first + k - w.axis.first; j >= 0 {
			row[k] = w.bare[j] * float32(w.Blur)
		}
	}
	if resolved == len(row) {
		return
	}
	copy(row[resolved:], w.score[first+resolved-w.contrast.down[n]-w.axis.first:])
	if n > 0 {
		w.contrast.addTo(row[resolved:], whole[resolved:], n)
	}
}

// clippedLinear32 is a ClippedLinear for the innermost loops.
type clippedLinear32 struct{ zero, slope, low, high float32 }

func (r ClippedLinear) single() clippedLinear32 {
	return clippedLinear32{float32(r.Zero), float32(r.Slope), float32(r.Low), float32(r.High)}
}

func (r clippedLinear32) at(level float32) float32 {
	return clamp(r.slope*(level-r.zero), r.low, r.high)
}

// clamp bounds a number. Levels scatter, so that no processor foresees which way a
// branch goes: min and max have none.
func clamp(v, low, high float32) float32 { return max(low, min(v, high)) }
