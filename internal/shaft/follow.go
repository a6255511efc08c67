package shaft

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync/atomic"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/parallel"
)

// ErrRate says that sound is not at the rate that the frames are made for.
var ErrRate = errors.New("shaft: sound at 7 to 11.025 kHz is needed")

// The transforms hold the windows up to the one; the highest frequency used is below
// half of the other.
const minRate, maxRate engine.Hz = 7000, 11025

// Follow reads the speed of the shaft from sound at a rate of 7 to 11.025 kHz; 8
// kHz is what it was made for. The track has a point every 20 ms from the first
// sample on; silence, no sound and sound without an engine give points without a
// speed. It returns engine.ErrSpec for an engine that cannot be, ErrRate for a rate
// that the frames are not made for, the error of a sound that cannot be read back,
// that of ctx, and a *parallel.Panic for a fault of its own.
func Follow(ctx context.Context, x audio.Signal, rate engine.Hz, known engine.Machine) (Track, error) {
	return FollowWith(ctx, x, rate, known, Default())
}

// FollowWith is Follow with options of the caller's.
func FollowWith(ctx context.Context, x audio.Signal, rate engine.Hz, known engine.Machine, o Options) (Track, error) {
	if err := known.Spec.Check(); err != nil {
		return Track{}, err
	}
	if !(rate >= minRate && rate <= maxRate) {
		return Track{}, fmt.Errorf("%w; got %.0f Hz", ErrRate, float64(rate))
	}
	j := job{sound: x, rate: rate, known: known, options: o}
	first, err := j.follow(ctx, bounds{})
	if err != nil {
		return Track{}, err
	}
	best, err := j.settle(ctx, first)
	if err != nil {
		return Track{}, err
	}
	points, err := j.present(best)
	return Track{Hop: o.Hop, Points: points}, err
}

// present gives the points of a reading less what shows no engine and what is unsure of the
// rest. Where nothing of it shows one, what is known of the speeds favoured the wrong
// multiple: then the first reading counts, if it is told beside. The error is that of a
// sound that cannot be read back.
func (j *job) present(r reading) ([]Point, error) {
	if err := j.clearAbsent(r.points); err != nil {
		return nil, err
	}
	if r.first != nil && !slices.ContainsFunc(r.points, func(p Point) bool { return p.Speed.Told() }) {
		return j.present(*r.first)
	}
	for _, i := range r.unsure {
		clearSpeeds(r.points[i : i+1])
	}
	return r.points, nil
}

// settle decides the multiple of the speed: on the whole clip or, of a long one, on a
// while around its top, and then follows the whole within the bounds that won.
func (j *job) settle(ctx context.Context, first reading) (reading, error) {
	o := j.options
	from, to := o.Octave.around(first, o.Hop)
	if to-from == len(first.points) {
		return o.Octave.decide(first, j.known, o.Hop, func(b bounds) (reading, error) { return j.follow(ctx, b) })
	}
	if heard := first.part(from, to); len(o.Octave.others(&heard, j.known, o.Hop)) == 0 {
		return first, nil // as nearly always: the part need not be followed by itself
	}
	samples, err := j.sound.Segment(nil, j.sample(from), min(j.sound.Len(), j.sample(to)))
	if err != nil {
		return reading{}, err
	}
	part := job{sound: audio.Memory(samples), rate: j.rate, known: j.known, options: o}
	part.options.Drowned = shifted(o.Drowned, engine.Seconds(from)*o.Hop)
	r, err := part.follow(ctx, bounds{})
	if err != nil {
		return reading{}, err
	}
	best, err := o.Octave.decide(r, j.known, o.Hop, func(b bounds) (reading, error) { return part.follow(ctx, b) })
	if err != nil || best.within.free() {
		return first, err
	}
	return j.follow(ctx, best.within.of(first.points))
}

// part gives a part of a reading, its times counted from there on.
func (r reading) part(from, to int) reading {
	points := slices.Clone(r.points[from:to])
	for i := range points {
		points[i].At -= r.points[from].At
	}
	return reading{points: points, within: r.within}
}

// follow follows all blocks within bounds, and what is below a second engine or a voice.
func (j *job) follow(ctx context.Context, within bounds) (reading, error) {
	r, err := j.followWithin(ctx, within)
	if err == nil && within.track == nil {
		err = j.fillIdles(ctx, &r)
	}
	return r, err
}

// followWithin follows all blocks within bounds.
func (j *job) followWithin(ctx context.Context, within bounds) (reading, error) {
	o := j.options
	j.within = within
	j.next.Store(0)
	j.points = make([]Point, j.count())
	j.blocks = audio.Blocks(len(j.points), o.hops(o.Block), o.hops(o.Margin))
	j.evidence, j.level = make([]float64, len(j.blocks)), make([]float64, len(j.points))
	group, ctx := parallel.WithContext(ctx)
	for range min(runtime.GOMAXPROCS(0), maxWorkers, len(j.blocks)) {
		group.Go(func() error { return j.work(ctx) })
	}
	if err := group.Wait(); err != nil {
		return reading{}, err
	}
	r := reading{points: j.points, within: within}
	for i := range r.points {
		r.points[i].At = engine.Seconds(float64(i) * float64(o.Hop))
	}
	for _, v := range j.evidence {
		r.evidence += v
	}
	if within.free() { // bounds make leaps of their own
		o.clearIslands(r.points)
	}
	r.pinned = within.clearEdge(r.points, engine.RPM(1+o.Refine.Reach))
	return r, nil
}

// hops gives the hops in a time.
func (o Options) hops(t engine.Seconds) int { return int(math.Round(float64(t / o.Hop))) }

const (
	maxWorkers = 4 // blocks of one clip that are followed at the same time
	maxTurn    = 4 // blocks after which another clip may have its turn
)

// slots holds a place for each block that is followed, of all clips together: one
// needs some 30 MB, and more of them than processors would be no sooner done.
var slots = make(chan struct{}, runtime.GOMAXPROCS(0))

// Long is the longest sound of which more is kept, or done ahead, than is needed at once:
// of a longer one that would be much memory.
const Long engine.Seconds = 300

// job is a sound that is followed block by block, by several goroutines. A long one
// is cut into blocks so that what is kept of it does not grow, and for all
// processors; each block reads a little of its neighbours.
type job struct {
	sound   audio.Signal
	rate    engine.Hz
	known   engine.Machine
	options Options
	blocks  []audio.Block // in points
	next    atomic.Int64  // block that nobody works on yet
	points  []Point       // of the whole track

	within   bounds
	evidence []float64 // of each block
	level    []float64 // of the sound in each hop and the one before it, dB
}

// sample gives the sample nearest to point i. Rounded for each point by itself, so
// that points do not drift against the clock where a hop is no whole number of
// samples.
func (j *job) sample(i int) int {
	return int(math.Round(float64(i) * float64(j.options.Hop) * float64(j.rate)))
}

// count gives the number of points: one at the start, and one for each whole hop.
func (j *job) count() int {
	n := 1 + int(float64(j.sound.Len())/(float64(j.options.Hop)*float64(j.rate)))
	for j.sample(n) <= j.sound.Len() { // where the quotient was rounded down
		n++
	}
	return n
}

// work follows blocks until there are none left.
func (j *job) work(ctx context.Context) error {
	for {
		if more, err := j.turn(ctx); err != nil || !more {
			return err
		}
	}
}

// turn waits for a slot, follows the next few blocks, and reports whether there may
// be more.
func (j *job) turn(ctx context.Context) (more bool, err error) {
	select {
	case slots <- struct{}{}:
		defer func() { <-slots }()
	case <-ctx.Done():
		return false, ctx.Err()
	}
	f := newFollower(j.rate, j.known, j.options)
	var buf []float32
	for range maxTurn {
		i := int(j.next.Add(1) - 1)
		if i >= len(j.blocks) {
			return false, nil
		}
		b := j.blocks[i]
		if buf, err = j.sound.Segment(buf, j.sample(b.Lo), min(j.sound.Len(), j.sample(b.Hi))); err != nil {
			return false, err
		}
		f.within, f.firstPoint = j.within, b.Lo
		points, err := f.follow(ctx, buf, min(b.Hi+1, len(j.points))-b.Lo)
		if err != nil {
			return false, err
		}
		copy(j.points[b.From:b.To], points[b.From-b.Lo:])
		copy(j.level[b.From:b.To], f.heard.level[b.From-b.Lo:])
		j.evidence[i] = f.evidence
	}
	return true, nil
}
