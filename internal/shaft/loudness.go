package shaft

import (
	"math"
	"slices"

	"topnote/internal/unit"
)

// Loudness is what is known of how loud an engine is at which speed: idle is
// quieter than full throttle, as long as nothing evens the level out. It helps
// to choose between readings with the same lines, such as an idle that fires
// every time and a fourfold speed that fires every fourth.
type Loudness struct {
	Window unit.Seconds // that the level is read over
	Quiet  unit.Decibel // under the clip's loud stretches; from here on full speed grows unlikely
	Loud   unit.Decibel // the same; up to here idle is unlikely, in a clip that has quiet stretches
	Divide unit.RPM     // between idle and full speed
	Blur   float64      // of that divide, in ln speed
	Slope  float64      // evidence for each decibel
	Most   float64      // evidence at most
}

// loudStretch and quietStretch are the shares of frames that are no louder than
// a clip's loud and quiet stretches.
const loudStretch, quietStretch = 0.9, 0.1

// under gives how many decibels each frame is under the loud stretches of the
// clip, shape [frames], and the same for its quiet stretches.
func (l Loudness) under(x []float32, rate unit.Hz, hop unit.Seconds, frames int) (d []float64, quiet float64) {
	d = make([]float64, frames)
	half := int(float64(l.Window)*float64(rate)) / 2
	for t := range d {
		c := int(float64(t) * float64(hop) * float64(rate))
		var e float64
		lo, hi := max(0, c-half), min(len(x), c+half)
		for _, v := range x[min(lo, hi):hi] {
			e += float64(v) * float64(v)
		}
		d[t] = 10 * math.Log10(e/float64(max(1, hi-lo))+1e-10)
	}
	sorted := slices.Sorted(slices.Values(d))
	at := func(share float64) float64 { return sorted[int(share*float64(len(sorted)-1))] }
	loud := at(loudStretch)
	for t := range d {
		d[t] = loud - d[t]
	}
	return d, loud - at(quietStretch)
}

// weigh adds the evidence of the level to e, shape [frames][states].
func (l Loudness) weigh(e [][]float32, x []float32, rate unit.Hz, o Options, s scale, order float64) {
	fast := make([]float64, s.n) // 0 for idle to 1 for full speed
	for i := range fast {
		v := math.Log(s.at(float64(i)) / order / float64(l.Divide.Hz()))
		fast[i] = 1 / (1 + math.Exp(-v/l.Blur))
	}
	under, quiet := l.under(x, rate, o.Hop, len(e))
	for t, d := range under {
		tooQuiet := min(l.Most, l.Slope*max(0, d-float64(l.Quiet)))
		tooLoud := 0.0
		if d < float64(l.Loud) {
			tooLoud = min(l.Most, l.Slope*max(0, quiet-float64(l.Quiet)))
		}
		for r := range int(modes) * maxPeriod {
			row := e[t][r*s.n : (r+1)*s.n]
			for i := range row[:s.run] {
				row[i] -= float32(tooQuiet*fast[i] + tooLoud*(1-fast[i]))
			}
		}
	}
}
