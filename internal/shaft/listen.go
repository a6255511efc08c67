package shaft

import (
	"math"

	"topnote/internal/unit"
)

// shut is the evidence of a state that cannot be.
const shut = -100

// listen gives the evidence of every state at every hop, shape
// [frames][states] in natural-log units, without looking at the frequencies of
// a mask; and the lines that stand all along.
func (f *follower) listen(x []float32, m mask) (ev [][]float32, steady mask, err error) {
	frames := int(float64(len(x))/(float64(f.o.Hop)*float64(f.rate))) + 1
	ev = make([][]float32, frames)
	for t := range ev {
		ev[t] = make([]float32, f.lat.states())
	}
	for _, v := range f.o.Spectra {
		// The last view resolves best, and says what stands.
		if steady, err = f.look(ev, v, x, m); err != nil {
			return nil, nil, err
		}
	}
	beats := envelope(x, f.rate, f.o.Hiss, f.o.Envelope.Decimated)
	if _, err = f.look(ev, f.o.Envelope, beats, nil); err != nil {
		return nil, nil, err
	}
	for t := range ev {
		for i := range ev[t] {
			ev[t][i] *= float32(f.o.Scale)
		}
		ev[t][f.lat.states()-1] = float32(f.o.Quiet)
	}
	f.o.Loudness.weigh(ev, x, f.rate, f.o, f.sc, f.order)
	f.shutOut(ev)
	return ev, steady, nil
}

// stretch says by how much windows are longer than for an engine that fires at
// every turn: lines of one that fires less often stand closer.
func (f *follower) stretch() float64 { return max(1, 1/f.order) }

// look adds the evidence of one view and gives the lines that stand in it all
// along.
func (f *follower) look(ev [][]float32, v View, x []float32, m mask) (mask, error) {
	v.Window *= unit.Seconds(f.stretch())
	v.Size *= int(math.Ceil(f.stretch()))
	w, err := newViewer(v, f.rate/unit.Hz(max(1, v.Decimated)), f.sc, f.o.ContrastOrders)
	if err != nil {
		return nil, err
	}
	for i := range w.masked {
		w.masked[i] = m.covers(w.plan.BinWidth()*unit.Hz(i), f.o.Steady.Width)
	}
	hop := float64(f.o.Hop) * float64(w.rate)
	for t := range ev {
		w.add(ev[t], x, int(float64(t)*hop), f.o, f.sc)
		for i, l := range w.level {
			if l > float32(f.o.Steady.Level) {
				w.often[i]++
			}
		}
	}
	return f.o.Steady.steadyLines(w.often, len(ev), w.plan.BinWidth()), nil
}

// shutOut closes the states whose lines no view resolves, whose speed no engine
// has, or whose firing the engine cannot have: the turns of a four-stroke
// single without a firing are no missed ones.
func (f *follower) shutOut(ev [][]float32) {
	single4 := f.q.Engine.Strokes == 4 && f.q.Engine.Cylinders == 1
	widest := f.o.Spectra[len(f.o.Spectra)-1]
	spacing := widest.Resolve / (float64(widest.Window) * f.stretch())
	for n := 1; n <= maxPeriod; n++ {
		for i := range f.sc.n {
			if f.sc.at(float64(i))/float64(n) >= spacing && (n == 1 || (i < f.sc.run && !single4)) {
				continue
			}
			for t := range ev {
				for m := range int(modes) {
					ev[t][(m*maxPeriod+n-1)*f.sc.n+i] = shut
				}
			}
		}
	}
}
