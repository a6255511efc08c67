package shaft

import (
	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/spectrum"
)

// observationModel gives the evidence of the states in one kind of frame.
type observationModel struct {
	FrameConfig
	rate              engine.Hz
	index             *stateIndex
	pool              *vectorPool
	stft              *spectrum.STFT
	masked            []int   // bins that are not used; contrast has no order of theirs
	prominentFrames   []int32 // hops in which each bin was prominent; nil: not asked for
	level             []float32
	table             scoreTable
	step              []int32   // of the table, of each bin
	lineBins, gapBins []float32 // scores of each bin

	// Scores on the log-frequency axis, and their sums over the harmonics of each
	// line spacing, from the narrowest that is resolved upwards.
	axis                         logFreqAxis
	lineWarp, gapWarp, levelWarp warp
	scores                       []float32
	levels                       []quantizedLevel
	lineComb, gapComb            comb
	lineSum, combSum             []float32 // of lines alone; of lines and gaps
	contrast                     contrast

	logLikelihood, contrastTerm []float32 // shape [states of a mode]
}

// scoreTable is what a level counts, step by step: at a harmonic and between harmonics.
type scoreTable struct{ line, gap []float32 }

// hannResolution is the product of window and line spacing from which the main lobes of
// neighbouring lines do not overlap by more than half: two bins of a Hann window.
//
// Source: Harris 1978.
const hannResolution = 2

// windowScale gives how much longer windows are than for an engine that fires at every
// revolution: the lines of one that fires less often are closer together.
func windowScale(order float64) float64 { return max(1, 1/order) }

// observationModel makes the model of one kind of frame, without the frequencies of a
// mask.
func (f *follower) observationModel(c FrameConfig, m mask) (*observationModel, error) {
	c.Window *= engine.Seconds(windowScale(f.order))
	rate := f.rate / engine.Hz(max(1, c.Decimation))
	c.Top = min(c.Top, rate/2)
	stft, err := newFrameSTFT(c, rate)
	if err != nil {
		return nil, err
	}
	first := max(-f.grid.below, f.grid.ceil(hannResolution/float64(c.Window)))
	axis := newLogFreqAxis(f.grid, first, float64(c.Top), float64(stft.BinWidth()))
	points := max(0, f.grid.n-first)
	masked := m.bins(stft.Bins(), stft.BinWidth(), f.o.Interferer.MaskWidth)
	w := &observationModel{
		FrameConfig: c, rate: rate, index: &f.lattice.index, pool: &f.pool, stft: stft,
		level: make([]float32, stft.Bins()),
		table: newScoreTable(c), axis: axis,
		step: make([]int32, stft.Bins()), lineBins: make([]float32, stft.Bins()), gapBins: make([]float32, stft.Bins()),
		scores: make([]float32, len(axis.bin)), levels: make([]quantizedLevel, len(axis.bin)),
		lineSum: make([]float32, points), combSum: make([]float32, points),
		contrast:      newContrast(f.grid, axis, &f.lattice.index, f.o.Contrast, masked),
		logLikelihood: make([]float32, f.lattice.index.states()), contrastTerm: make([]float32, f.lattice.index.states()),
	}
	for i, is := range masked {
		if is {
			w.masked = append(w.masked, i)
		}
	}
	for j := 1; j <= c.Harmonics; j++ {
		x := float64(j) / c.HalfWeightAt
		weight := 1 / (1 + x*x)
		w.lineComb = append(w.lineComb, axis.harmonic(f.grid, float64(j), first, points, weight))
		w.gapComb = append(w.gapComb, axis.harmonic(f.grid, float64(j)+0.5, first, points, weight))
	}
	w.lineWarp, w.gapWarp, w.levelWarp = newWarp(axis, w.lineComb), newWarp(axis, w.gapComb), newWarp(axis, w.contrast.harmonics())
	return w, nil
}

func newFrameSTFT(c FrameConfig, rate engine.Hz) (*spectrum.STFT, error) {
	floor := spectrum.DefaultFloor()
	floor.Width = c.FloorWidth
	var rates []float64
	for _, v := range c.ChirpRates {
		rates = append(rates, v, -v)
	}
	return spectrum.NewSTFT(spectrum.STFTOptions{Rate: rate, Length: c.Window, Top: c.Top, Floor: floor, ChirpRates: rates})
}

// addSweeps gives each moving mode its own evidence, the maximum over the chirp rates,
// where the shaft may be moving.
func (w *observationModel) addSweeps(f *observation, x []float32, centre int, moving bool) {
	if !moving {
		return
	}
	for _, sweep := range [...]struct {
		mode
		sign float64
	}{{rising, 1}, {falling, -1}} {
		best := w.pool.next()
		copy(best, f.logLikelihood)
		for _, rate := range w.ChirpRates {
			w.observe(w.logLikelihood, x, centre, sweep.sign*rate)
			dsp.Raise32(best, w.logLikelihood)
		}
		f.sweepLogLikelihood[sweep.mode] = best
	}
}

// addToAllModes adds the evidence of the last frame that was observed to every mode.
func (w *observationModel) addToAllModes(f *observation) {
	f.eachVector(func(p []float32) { dsp.Axpy32(1, w.logLikelihood, p) })
	dsp.Axpy32(1, w.contrastTerm, f.contrastTerm)
}

// observe writes the evidence of one frame to dst, shape [states of a mode].
func (w *observationModel) observe(dst []float32, x []float32, centre int, chirpRate float64) {
	w.stft.ChirpLevels(w.level, x, centre, chirpRate)
	w.scoreBins()
	w.lineComb.sum(w.lineSum, w.lineWarp.scores(w.scores, w.lineBins))
	w.gapComb.sum(w.combSum, w.gapWarp.scores(w.scores, w.gapBins))
	dsp.Axpy32(1, w.lineSum, w.combSum)
	w.contrast.compute(w.levelWarp.levels(w.levels, w.step))
	for n := range MaxPeriod {
		w.observeRow(w.index.row(dst, n), w.index.row(w.contrastTerm, n), n)
	}
}

// countProminent adds so many hops to the count of each bin whose level is prominent in
// the last frame, there or right beside it.
func (w *observationModel) countProminent(count []int32, hops int, least float32) {
	dsp.CountOver(count[1:len(count)-1], w.level, least, int32(hops))
}

// scoreBins looks up the scores of each level.
func (w *observationModel) scoreBins() {
	dsp.Steps(w.step, w.level, tableFrom, tableSteps, len(w.table.line))
	dsp.Gather(w.lineBins, w.table.line, w.step)
	dsp.Gather(w.gapBins, w.table.gap, w.step)
	for _, i := range w.masked {
		w.lineBins[i], w.gapBins[i] = 0, 0
	}
}

// The table of scores: its range in decibels, and steps in one. A step is far less
// than the standard deviation of a level.
const (
	tableFrom, tableTo = -20, 50
	tableSteps         = 16
)

func newScoreTable(c FrameConfig) (t scoreTable) {
	for i := range (tableTo - tableFrom) * tableSteps {
		level := float64(tableFrom + (float32(i)+0.5)/tableSteps)
		t.line, t.gap = append(t.line, float32(c.Line.At(level))), append(t.gap, float32(c.Gap.At(level)))
	}
	return t
}

// observeRow writes the evidence of firing period n+1: the comb whose spacing is the
// frequency over the period, and the contrast. Where that spacing is not resolved it
// is a part of the comb of the frequency itself. The contrast is also written to
// contrastRow.
func (w *observationModel) observeRow(row, contrastRow []float32, n int) {
	first := w.index.first[n]
	resolved := min(max(0, w.contrast.first[n]-first), len(row))
	for k := range row[:resolved] {
		row[k] = 0
		if j := first + k - w.axis.first; j >= 0 {
			row[k] = w.lineSum[j] * float32(w.UnresolvedWeight)
		}
	}
	if resolved == len(row) {
		return
	}
	copy(row[resolved:], w.combSum[first+resolved-w.contrast.shift[n]-w.axis.first:])
	if n > 0 {
		w.contrast.addTo(row[resolved:], contrastRow[resolved:], n)
	}
}
