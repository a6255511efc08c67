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

// newLoudness weighs how loud each hop was heard.
func (f *follower) newLoudness() *loudness {
	o := f.o.Loudness
	divide := math.Sqrt(float64(f.o.Octave.Prior.IdleHigh.Hz() * f.o.Octave.Prior.TopLow.Hz()))
	l := &loudness{fullSpeed: f.grid.ceil(divide * f.order), engineEnd: f.grid.engineEnd}
	under, quiet := f.heard.under, f.heard.quiet
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

// underLoud turns the level of each hop, dB, into how far it is under the loud parts, and
// gives the same for the quiet parts.
func underLoud(level []float64) (under []float64, quiet float64) {
	const loudQuantile, quietQuantile = 0.9, 0.1
	sorted := dsp.Sorted(level)
	loud := dsp.Quantile(sorted, loudQuantile)
	for t := range level {
		level[t] = loud - level[t]
	}
	return level, loud - dsp.Quantile(sorted, quietQuantile)
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
