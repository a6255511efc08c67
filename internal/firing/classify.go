package firing

import (
	"context"
	"fmt"
	"math"
	"slices"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/parallel"
	"topnote/internal/shaft"
)

// Classify sets the firing period of every point of a track, and gives the cycles
// of the engine. x is the sound that the track was read from, at rate. The track
// handed in stays as it is. Only a two-stroke single four-strokes: of other engines
// the periods stay those of the track. The error is that of ctx, or of a signal
// that cannot be read back, or a *parallel.Panic.
func Classify(ctx context.Context, x audio.Signal, rate engine.Hz, t shaft.Track, spec engine.Spec) (shaft.Track, Cycles, error) {
	return Default().Classify(ctx, x, rate, t, spec)
}

// Classify is the function of that name, with options of the caller's.
func (o Options) Classify(ctx context.Context, x audio.Signal, rate engine.Hz, t shaft.Track, spec engine.Spec) (shaft.Track, Cycles, error) {
	t.Points = slices.Clone(t.Points)
	c := classifier{Options: o, sound: x, rate: rate, cycles: make(Cycles, 0, countCycles(t.Points, t.Hop))}
	for from, to := range t.Runs() {
		c.begin(t.Points[from:to])
		if err := c.classify(ctx, t.Hop, spec == engine.TwoStrokeSingle); err != nil {
			return shaft.Track{}, nil, err
		}
	}
	return t, c.cycles, nil
}

// countCycles gives the number of cycles that points can have: those of an hour are
// many, and a slice that grew to them would be up to twice as long.
func countCycles(ps []shaft.Point, hop engine.Seconds) int {
	var revs float64
	for _, p := range ps {
		revs += float64(p.Speed.Hz()) * float64(hop)
	}
	return int(revs) + 1
}

// classifier works through the runs of a track: consecutive points with a speed.
type classifier struct {
	Options
	sound  audio.Signal
	rate   engine.Hz
	cycles Cycles // of all runs
	buf    []float32

	run       []shaft.Point
	first     int // of the cycles, that the run has
	done      int // intervals between points that are resampled
	resampler resampler
	revs      revolutions
}

// begin makes ready for a run.
func (c *classifier) begin(run []shaft.Point) {
	c.run, c.first, c.done = run, len(c.cycles), 0
	c.resampler, c.revs = resampler{per: c.SamplesPerRev, rate: float64(c.rate)}, revolutions{}
}

// classify works block by block, so that the sound of a long run does not lie in
// memory, and sets the firing period of each point of the run where it can be told.
func (c *classifier) classify(ctx context.Context, hop engine.Seconds, periods bool) error {
	hops := func(t engine.Seconds) int { return int(math.Round(float64(t / hop))) }
	ev := make([]evidence, len(c.run))
	var judging parallel.Group // a block, while the next is resampled
	defer func() { judging.Wait() }()
	for _, b := range audio.Blocks(len(c.run), hops(c.Block), hops(c.Margin)) {
		if err := ctx.Err(); err != nil {
			return err
		}
		c.revs.drop(c.run[b.Lo].At, countCycles(c.run[c.done:b.Hi], hop))
		if err := c.resampleTo(b.Hi); err != nil {
			return err
		}
		if err := judging.Wait(); err != nil {
			return err
		}
		judging = parallel.Group{}
		if revs := c.revs; periods {
			judging.Go(func() error { return c.evidence(ev[b.From:b.To], c.run[b.From:b.To], revs) })
		}
		if len(c.run) > hops(shaft.Long) {
			judging.Wait() // the error comes again
		}
	}
	if err := judging.Wait(); err != nil || !periods {
		return err
	}
	if len(c.cycles)-c.first < c.Average {
		for i := range c.run {
			c.run[i].Fires, c.run[i].Uneven, c.run[i].MissEvidence = 0, false, 0
		}
		return nil
	}
	for i, p := range forwardBackward(ev, c.Flip) {
		q := &c.run[i]
		q.Fires, q.FourStroking = c.decide(p, ev[i].pattern)
		q.MissEvidence = ev[i].missed()
		q.Uneven = !q.Fires.Told() && q.FourStroking < hardly
	}
	return nil
}

// resampleTo resamples the run up to point hi, excluded.
func (c *classifier) resampleTo(hi int) error {
	const around = 3 // samples that interpolation needs on either side
	sample := func(p shaft.Point) int { return int(float64(p.At) * float64(c.rate)) }
	if c.done+1 >= hi {
		return nil
	}
	first := min(max(0, sample(c.run[c.done])-around), c.sound.Len())
	last := min(sample(c.run[hi-1])+around+1, c.sound.Len())
	x, err := c.sound.Segment(c.buf, first, max(first, last))
	if err != nil {
		return fmt.Errorf("firing: %w", err)
	}
	c.buf = x
	before := len(c.revs.start)
	for ; c.done+1 < hi; c.done++ {
		c.resampler.resample(&c.revs, audio.Chunk{From: first, Samples: x}, c.run[c.done], c.run[c.done+1])
	}
	for i, rms := range c.revs.rms[before:] {
		cycle := Cycle{At: c.revs.start[before+i]}
		for q, v := range rms {
			cycle.RMS[q] = float32(v)
		}
		c.cycles = append(c.cycles, cycle)
	}
	return nil
}

// evidence writes that of some points of a run to ev, from the revolutions at hand. The
// error is a *parallel.Panic.
func (o Options) evidence(ev []evidence, run []shaft.Point, revs revolutions) error {
	if len(revs.start) == 0 {
		return nil
	}
	var shape [][]float64
	var byShape parallel.Group
	byShape.Go(func() error {
		shape = dsp.ShortTimeAutocorrelation(revs.synchronousResidual(o.Average), lags, o.Average)
		return nil
	})
	long := 4*o.Average + 1 // strength scatters more than shape
	strength := revs.relativeStrength(long)
	alike := dsp.ShortTimeAutocorrelation(strength, lags, long)
	if err := byShape.Wait(); err != nil {
		return err
	}
	k := 0
	for i, p := range run {
		for k+1 < len(revs.start) && revs.start[k+1] <= p.At {
			k++
		}
		ev[i] = o.at(shape[k], alike[k], coefficientOfVariation(strength, k, o.Average), p)
	}
	return nil
}
