package shaft

import (
	"context"

	"topnote/internal/engine"
)

// follower follows one engine through blocks of sound. It keeps its buffers, so it
// must not be used by two goroutines at once.
type follower struct {
	o       Options
	rate    engine.Hz
	order   float64 // firings in a revolution of the shaft
	grid    freqGrid
	lattice *lattice
	frames  []observation // of one block
	pool    vectorPool    // of their evidence
	refiner *refiner
	heard   hearing // of one block

	within     bounds  // that the search is held to
	firstPoint int     // of the track, that the block begins with
	evidence   float64 // log likelihood of all frames of the block, none masked

	skipped int // samples of a stream that are no longer held; a multiple of every decimation
}

func newFollower(rate engine.Hz, known engine.Machine, o Options) *follower {
	grid, order := newFreqGrid(o, known.Spec), known.Spec.FiringOrder()
	periods := MaxPeriod
	if known.Spec.Strokes == 4 && known.Spec.Cylinders == 1 {
		periods = 1 // the revolutions without a firing are no missed ones
	}
	longest := o.Spectra[len(o.Spectra)-1]
	index := newStateIndex(grid, hannResolution/(float64(longest.Window)*windowScale(order)), periods)
	return &follower{
		o: o, rate: rate, order: order, grid: grid, lattice: newLattice(o, grid, index, known),
		pool: vectorPool{states: index.states()}, refiner: newRefiner(o, rate),
	}
}

// follow gives so many points of one block of sound, the first at its start. Lines
// that are there all along are left out where the rest then makes an engine that
// follows its throttle.
func (f *follower) follow(ctx context.Context, x []float32, points int) ([]Point, error) {
	f.heard = f.hear(x, points)
	ps, steady, err := f.track(ctx, x, points, nil)
	if err != nil || steady == nil {
		return ps, err
	}
	without, _, err := f.track(ctx, x, points, steady)
	if err != nil {
		return nil, err
	}
	return f.o.Interferer.choose(without, ps, steady, f.order), nil
}

// track gives so many points of a block of sound without the frequencies of a mask,
// and the lines that are in it all along.
func (f *follower) track(ctx context.Context, x []float32, points int, m mask) (ps []Point, steady mask, err error) {
	frames, steady, err := f.observe(ctx, x, points, m)
	if err != nil {
		return nil, nil, err
	}
	ps, evidence, err := f.points(ctx, frames)
	if err != nil {
		return nil, nil, err
	}
	if m == nil {
		f.evidence = evidence
	}
	f.clearDrowned(ps)
	f.refiner.setMask(m)
	prominence, err := f.refine(ctx, ps, x)
	if err != nil {
		return nil, nil, err
	}
	gate(ps, prominence, f.o)
	f.clearCalls(ps)
	inflateSD(ps, f.order, f.o.SD)
	return ps, steady, nil
}
