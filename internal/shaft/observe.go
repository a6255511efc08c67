package shaft

import (
	"context"
	"math"

	"topnote/internal/engine"
)

// observe gives the likelihood of every state at every look, without looking at
// the frequencies of a mask, and the lines that stand all along.
func (f *follower) observe(ctx context.Context, x []float32, hops int, m mask) (hs []observation, steady mask, err error) {
	short, err := f.observationModel(f.o.Spectra[0], m)
	if err != nil {
		return nil, nil, err
	}
	if hs, err = f.observeAdaptively(ctx, hops, short, x); err != nil {
		return nil, nil, err
	}
	for _, v := range f.o.Spectra[1:] {
		// The last view resolves best, and says what stands.
		if steady, err = f.addFrames(ctx, hs, v, x, m); err != nil {
			return nil, nil, err
		}
	}
	beats := envelope(x, f.rate, f.o.Hiss, f.o.Envelope.Decimated)
	if _, err = f.addFrames(ctx, hs, f.o.Envelope, beats, nil); err != nil {
		return nil, nil, err
	}
	capContrast(hs, float64(f.o.ContrastWhile/f.o.Hop))
	loudness := f.o.Loudness.weigh(x, hops, f)
	for t := range hs {
		h := &hs[t]
		loudness.subtract(h, h.hop, &f.lattice.index, f.o.EmissionExponent)
		next := 1
		if t+1 < len(hs) {
			next = hs[t+1].hopsSince
		}
		span := float64(h.hopsSince+next) / 2
		h.toLikelihood(f.o.EmissionExponent*span, f.o.NoEngineScore*span)
	}
	return hs, steady, nil
}

// observeAdaptively chooses where to look at sound of so many points, and looks there with
// the short view: a stride apart and, between two looks that do not hear the
// same lines, half-way, and so on down to every hop.
func (f *follower) observeAdaptively(ctx context.Context, hops int, w *observationModel, x []float32) ([]observation, error) {
	centre := f.centres(w.rate)
	f.pool.used, f.observations = 0, f.observations[:0]
	look := func(at int) observation {
		h := observation{hop: at, logLikelihood: f.pool.next(), contrastTerm: f.pool.next()}
		w.observe(h.logLikelihood, x, centre(at), 0)
		copy(h.contrastTerm, w.contrastTerm)
		top := argmax(h.logLikelihood)
		h.spacing, h.sure = f.lattice.index.spacing(top, f.grid), h.logLikelihood[top] > float32(w.Sure)
		return h
	}
	var upTo func(a, b observation) // takes in what is looked at after a, up to b
	upTo = func(a, b observation) {
		b.hopsSince = b.hop - a.hop
		if b.hopsSince > 1 && !sameSpacing(a.spacing, b.spacing) {
			half := look(a.hop + b.hopsSince/2)
			upTo(a, half)
			upTo(half, b)
			return
		}
		f.observations = append(f.observations, b)
	}
	last := look(0)
	last.hopsSince = 1
	f.observations = append(f.observations, last)
	for last.hop < hops-1 {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		next := look(min(last.hop+f.o.Stride, hops-1))
		upTo(last, next)
		last = next
	}
	for t := range f.observations {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		h := &f.observations[t]
		moves := h.hopsSince == 1 || t+1 < len(f.observations) && f.observations[t+1].hopsSince == 1
		w.addSweeps(h, x, centre(h.hop), moves && !h.sure)
	}
	return f.observations, nil
}

// centres gives the function from a hop to the sample nearest to it, at a rate.
func (f *follower) centres(rate engine.Hz) func(hop int) int {
	return func(hop int) int { return int(math.Round(float64(hop) * float64(f.o.Hop) * float64(rate))) }
}

// capContrast lets the contrast of looks that hear the same lines count for no
// more than so long a stretch of them, in hops. What sets one order of an engine
// over another does so all along: what all looks have in common is no more certain
// than one of them.
func capContrast(hs []observation, most float64) {
	for len(hs) > 0 {
		n := 1
		for n < len(hs) && sameSpacing(hs[n-1].spacing, hs[n].spacing) {
			n++
		}
		if length := float64(hs[n-1].hop - hs[0].hop + 1); length > most {
			for _, h := range hs[:n] {
				h.eachOwn(func(p []float32) { axpy(float32(most/length-1), h.contrastTerm, p) })
			}
		}
		hs = hs[n:]
	}
}

// sameSpacing reports whether two spacings of lines are the same, or next to each other.
func sameSpacing(a, b int) bool { return a-b <= 1 && b-a <= 1 }

// argmax gives the place of the greatest element.
func argmax(v []float32) (at int) {
	top := v[0]
	for i, x := range v {
		if x > top {
			top, at = x, i
		}
	}
	return at
}

// windowScale says by how much windows are longer than for an engine that fires at
// every turn: lines of one that fires less often stand closer.
func windowScale(order float64) float64 { return max(1, 1/order) }

// observationModel makes the viewer of one view, blind to the frequencies of a mask.
func (f *follower) observationModel(v FrameConfig, m mask) (*observationModel, error) {
	v.Window *= engine.Seconds(windowScale(f.order))
	v.Size *= int(math.Ceil(windowScale(f.order)))
	rate := f.rate / engine.Hz(max(1, v.Decimated))
	v.Top = min(v.Top, rate/2)
	return newObservationModel(v, rate, f.grid, &f.lattice.index, &f.o, &f.pool, m)
}

// addFrames adds the evidence of one view and gives the lines that stand in it all
// along.
func (f *follower) addFrames(ctx context.Context, hs []observation, v FrameConfig, x []float32, m mask) (mask, error) {
	w, err := f.observationModel(v, m)
	if err != nil {
		return nil, err
	}
	centre, least := f.centres(w.rate), float32(f.o.Interferer.Level)
	for t := range hs {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		h := &hs[t]
		w.observe(w.logLikelihood, x, centre(h.hop), 0)
		w.addToAllModes(h)
		for i, stands := range w.level[1 : len(w.level)-1] {
			if stands > least || w.level[i] > least || w.level[i+2] > least {
				w.prominentFrames[i+1] += h.hopsSince
			}
		}
	}
	return f.o.Interferer.steadyLines(w.prominentFrames, hs[len(hs)-1].hop+1, w.stft.BinWidth()), nil
}
