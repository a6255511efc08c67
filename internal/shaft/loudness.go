package shaft

import (
	"math"
	"slices"

	"topnote/internal/engine"
)

// Loudness is what is known of how loud an engine is at which speed: idle is
// quieter than full throttle, as long as nothing evens the level out. It helps
// to choose between readings with the same lines, such as an idle that fires
// every time and a fourfold speed that fires every fourth.
type Loudness struct {
	Window engine.Seconds // that the level is read over
	Quiet  engine.Decibel // under the clip's loud stretches; from here on full speed grows unlikely
	Loud   engine.Decibel // the same; up to here idle is unlikely, in a clip that has quiet stretches
	Divide engine.RPM     // between idle and full speed
	Blur   float64        // of that divide, in ln speed
	Slope  float64        // evidence for each decibel
	Max    float64        // evidence at most
}

// loudStretch and quietStretch are the shares of frames that are no louder than
// a clip's loud and quiet stretches.
const loudStretch, quietStretch = 0.9, 0.1

// under gives how many decibels each frame is under the loud stretches of the
// clip, shape [frames], and the same for its quiet stretches.
func (l Loudness) under(x []float32, rate engine.Hz, hop engine.Seconds, frames int) (d []float64, quiet float64) {
	energy := make([]float64, len(x)+1) // up to each sample
	for i, v := range x {
		energy[i+1] = energy[i] + float64(v)*float64(v)
	}
	d = make([]float64, frames)
	half := int(math.Round(float64(l.Window) * float64(rate) / 2))
	for t := range d {
		c := int(math.Round(float64(t) * float64(hop) * float64(rate)))
		hi := min(len(x), c+half)
		lo := min(max(0, c-half), hi)
		d[t] = 10 * math.Log10((energy[hi]-energy[lo])/float64(max(1, hi-lo))+1e-10)
	}
	sorted := slices.Sorted(slices.Values(d))
	at := func(share float64) float64 { return sorted[int(share*float64(len(sorted)-1))] }
	loud := at(loudStretch)
	for t := range d {
		d[t] = loud - d[t]
	}
	return d, loud - at(quietStretch)
}

// charges is what the loudness of a clip is held against states with.
type charges struct {
	fast              []float64 // for each frequency an engine can run at, 0 for idle to 1 for full speed
	tooQuiet, tooLoud []float64 // of each frame, for full speed and for idle
	of                []float32 // of the frame at hand, by frequency
}

// weigh works out the charges over so many frames.
func (l Loudness) weigh(x []float32, frames int, f *follower) *charges {
	c := &charges{fast: make([]float64, f.grid.engineTop), of: make([]float32, f.grid.engineTop)}
	for i := range c.fast {
		v := math.Log(f.grid.at(float64(i)) / f.order / float64(l.Divide.Hz()))
		c.fast[i] = 1 / (1 + math.Exp(-v/l.Blur))
	}
	under, quiet := l.under(x, f.rate, f.o.Hop, frames)
	for _, d := range under {
		tooLoud := 0.0
		if d < float64(l.Loud) {
			tooLoud = min(l.Max, l.Slope*max(0, quiet-float64(l.Quiet)))
		}
		c.tooQuiet = append(c.tooQuiet, min(l.Max, l.Slope*max(0, d-float64(l.Quiet))))
		c.tooLoud = append(c.tooLoud, tooLoud)
	}
	return c
}

// subtract takes the charges of frame t off the evidence, which is to be
// weighed by scale yet.
func (c *charges) subtract(h *observation, t int, r *stateIndex, scale float64) {
	quiet, loud := c.tooQuiet[t], c.tooLoud[t]
	if quiet == 0 && loud == 0 {
		return
	}
	for i, fast := range c.fast {
		c.of[i] = float32((quiet*fast + loud*(1-fast)) / scale)
	}
	h.eachOwn(func(p []float32) {
		for n := range MaxPeriod {
			row := r.of(p, n)
			of := c.of[min(r.first[n], len(c.of)):]
			for i := range row[:min(len(row), len(of))] {
				row[i] -= of[i]
			}
		}
	})
}
