package shaft

import (
	"math"

	"topnote/internal/unit"
)

// listen gives the likelihood of every state at every hop, without looking at
// the frequencies of a mask, and the lines that stand all along.
func (f *follower) listen(x []float32, m mask) (hs []heard, steady mask, err error) {
	hs = f.deaf(int(float64(len(x))/(float64(f.o.Hop)*float64(f.rate))) + 1)
	for _, v := range f.o.Spectra {
		// The last view resolves best, and says what stands.
		if steady, err = f.look(hs, v, x, m); err != nil {
			return nil, nil, err
		}
	}
	beats := envelope(x, f.rate, f.o.Hiss, f.o.Envelope.Decimated)
	if _, err = f.look(hs, f.o.Envelope, beats, nil); err != nil {
		return nil, nil, err
	}
	loudness := f.o.Loudness.weigh(x, len(hs), f)
	for t := range hs {
		loudness.subtract(&hs[t], t, &f.lat.rows, f.o.Scale)
		hs[t].likely(f.o.Scale, f.o.Quiet)
	}
	return hs, steady, nil
}

// deaf gives so many frames of which nothing has been heard.
func (f *follower) deaf(frames int) []heard {
	states := f.lat.rows.states()
	if frames > len(f.heard) {
		f.heard, f.still = make([]heard, frames), make([]float32, frames*states)
	}
	clear(f.still)
	for t := range f.heard[:frames] {
		f.heard[t] = heard{still: f.still[t*states : (t+1)*states]}
	}
	return f.heard[:frames]
}

// stretch says by how much windows are longer than for an engine that fires at
// every turn: lines of one that fires less often stand closer.
func stretch(order float64) float64 { return max(1, 1/order) }

// look adds the evidence of one view and gives the lines that stand in it all
// along.
func (f *follower) look(hs []heard, v View, x []float32, m mask) (mask, error) {
	v.Window *= unit.Seconds(stretch(f.order))
	v.Size *= int(math.Ceil(stretch(f.order)))
	w, err := newViewer(v, f.rate/unit.Hz(max(1, v.Decimated)), f.sc, &f.lat.rows, &f.o)
	if err != nil {
		return nil, err
	}
	for i := range w.masked {
		w.masked[i] = m.covers(w.plan.BinWidth()*unit.Hz(i), f.o.Steady.Width)
	}
	hop := float64(f.o.Hop) * float64(w.rate)
	for t := range hs {
		w.add(&hs[t], x, int(float64(t)*hop))
		for i, l := range w.level {
			if l > float32(f.o.Steady.Level) {
				w.often[i]++
			}
		}
	}
	return f.o.Steady.steadyLines(w.often, len(hs), w.plan.BinWidth()), nil
}
