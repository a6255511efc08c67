package shaft

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// LoudnessOptions says how loud an engine is at which speed: idle is quieter than full
// throttle, as long as no gain control evens the level out. This helps to choose
// between readings with the same lines, such as an idle that fires every time and a
// fourfold speed that fires every fourth.
type LoudnessOptions struct {
	QuietFrom engine.Decibel // under the loud parts of the block; from here on full speed becomes unlikely, and idle up to half of it
	Slope     float64        // evidence per decibel
	Max       float64        // greatest evidence
}

func defaultLoudness() LoudnessOptions {
	return LoudnessOptions{QuietFrom: 8, Slope: 0.02, Max: 0.15}
}

// loudness is the evidence, of how loud each frame is, against states.
type loudness struct {
	fullSpeed         int       // point of the grid between idle and full speed
	engineEnd         int       // one past the last point that an engine can run at
	tooQuiet, tooLoud []float64 // evidence in each hop against full speed and against idle
}

// newLoudness measures how loud each of so many hops is.
func (f *follower) newLoudness(x []float32, hops int) *loudness {
	o := f.o.Loudness
	divide := math.Sqrt(float64(f.o.Octave.Prior.IdleHigh.Hz() * f.o.Octave.Prior.TopLow.Hz()))
	l := &loudness{fullSpeed: f.grid.ceil(divide * f.order), engineEnd: f.grid.engineEnd}
	under, quiet := f.levelsUnderLoud(x, hops)
	for _, d := range under {
		tooLoud := 0.0
		if d < float64(o.QuietFrom)/2 {
			tooLoud = min(o.Max, o.Slope*max(0, quiet-float64(o.QuietFrom)))
		}
		l.tooQuiet = append(l.tooQuiet, min(o.Max, o.Slope*max(0, d-float64(o.QuietFrom))))
		l.tooLoud = append(l.tooLoud, tooLoud)
	}
	return l
}

// levelsUnderLoud gives how many decibels each hop is under the loud parts of the
// block, shape [hops], and the same for its quiet parts.
func (f *follower) levelsUnderLoud(x []float32, hops int) (under []float64, quiet float64) {
	const loudQuantile, quietQuantile = 0.9, 0.1
	level := make([]float64, hops)
	half := int(math.Round(float64(f.o.Spectra[len(f.o.Spectra)-1].Window) * float64(f.rate) / 2))
	before, after := energyAt{x: x}, energyAt{x: x}
	for t := range level {
		c := f.centre(t, f.rate)
		hi := min(len(x), c+half)
		lo := min(max(0, c-half), hi)
		level[t] = levelOf((after.to(hi) - before.to(lo)) / float64(max(1, hi-lo)))
	}
	sorted := dsp.Sorted(level)
	loud := dsp.Quantile(sorted, loudQuantile)
	for t := range level {
		level[t] = loud - level[t]
	}
	return level, loud - dsp.Quantile(sorted, quietQuantile)
}

// energyAt sums the energy of a sound from its start on.
type energyAt struct {
	x   []float32
	n   int
	sum float64
}

// to gives the energy of the first n samples; n is no less than the last.
func (e *energyAt) to(n int) float64 {
	for _, v := range e.x[e.n:max(e.n, n)] {
		e.sum += float64(v) * float64(v)
	}
	e.n = max(e.n, n)
	return e.sum
}

// subtract subtracts the evidence against each state from that of a frame. exponent is
// the one that the evidence of the frame is still to be multiplied by.
func (l *loudness) subtract(f *observation, index *stateIndex, exponent float64) {
	quiet, loud := l.tooQuiet[f.hop], l.tooLoud[f.hop]
	if quiet == 0 && loud == 0 {
		return
	}
	f.eachVector(func(p []float32) {
		for n := range MaxPeriod {
			row := index.row(p, n)
			end := min(max(l.engineEnd-index.first[n], 0), len(row))
			middle := min(max(l.fullSpeed-index.first[n], 0), end)
			lessen(row[:middle], float32(loud/exponent))
			lessen(row[middle:end], float32(quiet/exponent))
		}
	})
}

// lessen subtracts a number from each element.
func lessen(v []float32, by float32) {
	for i := range v {
		v[i] -= by
	}
}
