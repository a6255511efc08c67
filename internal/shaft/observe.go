package shaft

import (
	"context"
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// observe gives the likelihood of every state in every frame, without the frequencies
// of a mask, and the lines that are there all along.
func (f *follower) observe(ctx context.Context, x []float32, hops int, m mask) (frames []observation, steady mask, err error) {
	short, err := f.observationModel(f.o.Spectra[0], m)
	if err != nil {
		return nil, nil, err
	}
	if frames, err = f.observeAdaptively(ctx, hops, short, x); err != nil {
		return nil, nil, err
	}
	for _, c := range f.o.Spectra[1:] {
		w, err := f.observationModel(c, m)
		if err != nil {
			return nil, nil, err
		}
		w.prominentFrames = make([]int32, w.stft.Bins())
		if err = f.addFrames(ctx, frames, w, x); err != nil {
			return nil, nil, err
		}
		// The last one resolves best; its steady lines are used.
		steady = f.o.Interferer.steadyLines(w.prominentFrames, frames[len(frames)-1].hop+1, w.stft.BinWidth())
	}
	envelope, err := f.observationModel(f.o.Envelope, nil)
	if err != nil {
		return nil, nil, err
	}
	if err = f.addFrames(ctx, frames, envelope, f.heard.hiss); err != nil {
		return nil, nil, err
	}
	capContrast(frames, float64(f.o.Contrast.MaxDuration/f.o.Hop))
	loudness := f.newLoudness()
	for t := range frames {
		frame := &frames[t]
		f.pool.giveBack(frame.contrastTerm)
		frame.contrastTerm = nil
		loudness.subtract(frame, &f.lattice.index, f.o.EmissionExponent)
		next := 1
		if t+1 < len(frames) {
			next = frames[t+1].hopsSince
		}
		duration := float64(frame.hopsSince+next) / 2
		frame.toLikelihood(f.o.EmissionExponent*duration, f.o.NoEngineScore*duration)
		if f.drowned(frame.hop) {
			frame.sayNothing()
		}
	}
	return frames, steady, nil
}

// observeAdaptively places frames over so many hops and observes them with the short
// window: a stride apart and, between two frames with different line spacings,
// half-way, and so on down to every hop.
func (f *follower) observeAdaptively(ctx context.Context, hops int, w *observationModel, x []float32) ([]observation, error) {
	f.pool.reset()
	f.frames = f.frames[:0]
	last := f.observeFrame(0, w, x)
	last.hopsSince = 1
	f.frames = append(f.frames, last)
	for last.hop < hops-1 {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		next := f.observeFrame(min(last.hop+f.o.Stride, hops-1), w, x)
		f.observeBetween(last, next, w, x)
		last = next
	}
	for t := range f.frames {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		frame := &f.frames[t]
		moving := frame.hopsSince == 1 || t+1 < len(f.frames) && f.frames[t+1].hopsSince == 1
		w.addSweeps(frame, x, f.centre(frame.hop, w.rate), moving && !frame.decisive)
	}
	return f.frames, nil
}

// observeFrame observes the frame centred on a hop.
func (f *follower) observeFrame(hop int, w *observationModel, x []float32) observation {
	frame := observation{hop: hop, logLikelihood: f.pool.next(), contrastTerm: f.pool.next()}
	w.observe(frame.logLikelihood, x, f.centre(hop, w.rate), 0)
	copy(frame.contrastTerm, w.contrastTerm)
	best := dsp.IndexOfLargest(frame.logLikelihood)
	frame.spacing, frame.decisive = f.lattice.index.spacing(best, f.grid), frame.logLikelihood[best] > float32(w.Decisive)
	return frame
}

// observeBetween appends the frames after a, up to b.
func (f *follower) observeBetween(a, b observation, w *observationModel, x []float32) {
	b.hopsSince = b.hop - a.hop
	if b.hopsSince > 1 && !sameSpacing(a.spacing, b.spacing) {
		half := f.observeFrame(a.hop+b.hopsSince/2, w, x)
		f.observeBetween(a, half, w, x)
		f.observeBetween(half, b, w, x)
		return
	}
	f.frames = append(f.frames, b)
}

// centre gives the sample nearest to a hop, at a rate, in what is still held of the
// sound.
func (f *follower) centre(hop int, rate engine.Hz) int {
	return int(math.Round(float64(hop)*float64(f.o.Hop)*float64(rate))) - int(math.Round(float64(f.skipped)*float64(rate/f.rate)))
}

// addFrames adds the evidence of one kind of frame, and counts where lines are prominent,
// where that is asked for.
func (f *follower) addFrames(ctx context.Context, frames []observation, w *observationModel, x []float32) error {
	least := float32(f.o.Interferer.Level)
	for t := range frames {
		if err := ctx.Err(); err != nil {
			return err
		}
		frame := &frames[t]
		w.observe(w.logLikelihood, x, f.centre(frame.hop, w.rate), 0)
		w.addToAllModes(frame)
		if w.prominentFrames != nil {
			w.countProminent(w.prominentFrames, frame.hopsSince, least)
		}
	}
	return nil
}
