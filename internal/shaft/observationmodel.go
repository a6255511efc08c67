package shaft

import (
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/spectrum"
)

// observationModel gives the evidence of the states in one kind of frame.
type observationModel struct {
	FrameConfig
	rate            engine.Hz
	index           *stateIndex
	pool            *vectorPool
	stft            *spectrum.STFT
	masked          []int   // places on the axis that are not used; contrast has no order of theirs
	prominentFrames []int32 // hops in which each bin was prominent; nil: not asked for
	level           []float32
	step            []int32 // of each bin's level

	// Levels on the log-frequency axis and their scores, at lines and between them, and
	// the sums of these over the harmonics of each line spacing, from the narrowest that
	// is resolved upwards.
	axis              logFreqAxis
	warp              warp
	scored            dsp.Scored
	lineComb, gapComb comb
	lineSum, combSum  []float32 // of lines alone; of lines and gaps
	contrast          contrast

	logLikelihood, contrastTerm []float32 // shape [states of a mode]
}

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
		step:  make([]int32, stft.Bins()), axis: axis,
		lineSum: make([]float32, points), combSum: make([]float32, points),
		contrast:      newContrast(f.grid, axis, &f.lattice.index, f.o.Contrast, masked),
		logLikelihood: make([]float32, f.lattice.index.states()), contrastTerm: make([]float32, f.lattice.index.states()),
	}
	w.scored = newScored(c, w.contrast.levels)
	for i, bin := range axis.bin {
		if masked[bin] {
			w.masked = append(w.masked, i)
		}
	}
	for j := 1; j <= c.Harmonics; j++ {
		x := float64(j) / c.HalfWeightAt
		weight := 1 / (1 + x*x)
		w.lineComb = append(w.lineComb, axis.harmonic(f.grid, float64(j), first, points, weight))
		w.gapComb = append(w.gapComb, axis.harmonic(f.grid, float64(j)+0.5, first, points, weight))
	}
	w.warp = newWarp(axis, slices.Concat(w.lineComb, w.gapComb, w.contrast.harmonics()))
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
	w.score()
	w.lineComb.sum(w.lineSum, w.scored.Score[0])
	w.gapComb.sum(w.combSum, w.scored.Score[1])
	dsp.Axpy32(1, w.lineSum, w.combSum)
	w.contrast.compute()
	for n := range MaxPeriod {
		w.observeRow(w.index.row(dst, n), w.index.row(w.contrastTerm, n), n)
	}
}

// countProminent adds so many hops to the count of each bin whose level is prominent in
// the last frame, there or right beside it.
func (w *observationModel) countProminent(count []int32, hops int, least float32) {
	dsp.CountOver(count[1:len(count)-1], w.level, least, int32(hops))
}

// score gives the levels on the axis, and their scores.
func (w *observationModel) score() {
	dsp.Steps(w.step, w.level, levelFrom, levelSteps, (levelTo-levelFrom)*levelSteps)
	for _, p := range w.warp {
		w.scored.LookUp(p.at, w.step, p.bin)
	}
	for _, i := range w.masked {
		w.scored.Score[0][i], w.scored.Score[1][i] = 0, 0
	}
}

// Levels are counted in steps: the range of them in decibels, and steps in one. A step is
// far less than the standard deviation of a level.
const (
	levelFrom, levelTo = -20, 50
	levelSteps         = 16
)

// newScored gives what each level counts: at a harmonic and between harmonics.
func newScored(c FrameConfig, levels []quantizedLevel) (s dsp.Scored) {
	s.Number = levels
	for i, by := range [...]ClippedLinear{c.Line, c.Gap} {
		s.Score[i] = make([]float32, len(levels))
		const middle = levelFrom + 0.5/levelSteps // of the first step
		s.By[i] = dsp.Ramp{
			Slope: float32(by.Slope / levelSteps), AtZero: float32(by.Slope * (middle - by.Zero)),
			Low: float32(by.Low), High: float32(by.High),
		}
	}
	return s
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
