package shaft

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// ErrRate says that sound is not at the rate that the frames are made for.
var ErrRate = errors.New("shaft: sound at 7 to 11 kHz is needed")

// The transforms hold the windows up to the one, and the highest line looked
// at lies below half of the other.
const slowestRate, fastestRate engine.Hz = 7000, 11000

// Follow reads the speed of the shaft and its firing period from sound at a rate
// of 7 to 11 kHz; 8 kHz is what it was made for. The track has a point every 20 ms
// from the first sample on; silence, no sound and sound without an engine give
// points without a speed. It returns unit.ErrEngine for an engine that cannot be,
// ErrRate for a rate that the frames are not made for, and the error of a sound
// that cannot be read.
func Follow(ctx context.Context, x audio.Signal, rate engine.Hz, known engine.Machine) (Track, error) {
	return FollowWith(ctx, x, rate, known, Default())
}

// FollowWith is Follow with options of the caller's.
func FollowWith(ctx context.Context, x audio.Signal, rate engine.Hz, known engine.Machine, o Options) (Track, error) {
	if err := known.Spec.Check(); err != nil {
		return Track{}, err
	}
	if !(rate >= slowestRate && rate <= fastestRate) {
		return Track{}, fmt.Errorf("%w; got %.0f Hz", ErrRate, float64(rate))
	}
	hop := int(math.Round(float64(o.Hop) * float64(rate)))
	tr := Track{Hop: o.Hop, Points: make([]Point, x.Len()/hop+1)}
	blocks := o.blocks(len(tr.Points))
	j := job{sound: x, hop: hop, blocks: blocks, points: tr.Points, errs: make([]error, len(blocks))}
	var group sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), atOnce, len(blocks)) {
		group.Go(func() {
			for more := true; more; {
				more = j.turn(rate, known, o)
			}
		})
	}
	group.Wait()
	if err := errors.Join(j.errs...); err != nil {
		return Track{}, err
	}
	for i := range tr.Points {
		tr.Points[i].At = engine.Seconds(float64(i) * float64(o.Hop))
	}
	return tr, nil
}

const (
	atOnce = 4 // blocks of one clip that are followed at the same time at most
	inTurn = 4 // blocks after which another clip may have its turn
)

// slots holds a place for each block that is followed, of all clips together: one
// needs some 30 MB, and more of them than processors would be no sooner done.
var slots = make(chan struct{}, runtime.GOMAXPROCS(0))

// job is a sound that is followed block by block, by several goroutines.
type job struct {
	sound  audio.Signal
	hop    int // samples
	blocks []block
	next   atomic.Int64 // block that nobody works on yet
	points []Point      // of the whole track
	errs   []error      // of each block
}

// turn waits for a place, follows the next few blocks, and reports whether there
// may be more.
func (j *job) turn(rate engine.Hz, q engine.Machine, o Options) (more bool) {
	slots <- struct{}{}
	defer func() { <-slots }()
	f := newFollower(rate, q, o)
	var seg []float32
	for range inTurn {
		i := int(j.next.Add(1) - 1)
		if i >= len(j.blocks) {
			return false
		}
		b := j.blocks[i]
		if seg, j.errs[i] = j.sound.Segment(seg, b.lo*j.hop, min(j.sound.Len(), b.hi*j.hop)); j.errs[i] != nil {
			return false
		}
		var points []Point
		if points, j.errs[i] = f.follow(seg); j.errs[i] == nil {
			copy(j.points[b.from:b.to], points[b.from-b.lo:])
		}
	}
	return true
}

// block is a stretch of the clip that is followed by itself, in hops: it gives
// the points from `from` to `to`, and sees the sound from lo to hi.
type block struct{ from, to, lo, hi int }

// blocks cuts a clip of so many points. A long one is followed block by block,
// so that what is remembered of it does not grow, and on all processors; each
// block sees a little of its neighbours.
func (o Options) blocks(points int) []block {
	length, margin := int(o.Block/o.Hop), int(o.Margin/o.Hop)
	var out []block
	for from := 0; ; from += length {
		b := block{from: from, to: from + length, lo: max(0, from-margin), hi: from + length + margin}
		if points-b.to < length/2 || b.hi >= points { // no crumb is left over
			b.to, b.hi = points, points
			return append(out, b)
		}
		out = append(out, b)
	}
}

// follower follows one engine through stretches of sound. It keeps its buffers,
// so it must not be used by two goroutines at once.
type follower struct {
	o            Options
	q            engine.Machine
	rate         engine.Hz
	order        float64 // firings in a turn of the shaft
	grid         freqGrid
	lattice      *lattice
	observations []observation // of the stretch at hand
	pool         vectorPool    // what it is heard into

	refiner *refiner
}

func newFollower(rate engine.Hz, q engine.Machine, o Options) *follower {
	sc, order := newFreqGrid(o, q.Spec), q.Spec.FiringOrder()
	periods := MaxPeriod
	if q.Spec.Strokes == 4 && q.Spec.Cylinders == 1 {
		periods = 1
	}
	widest := o.Spectra[len(o.Spectra)-1]
	r := newStateIndex(sc, widest.Resolve/(float64(widest.Window)*windowScale(order)), periods)
	return &follower{o: o, q: q, rate: rate, order: order, grid: sc, lattice: newLattice(o, sc, r, q), pool: vectorPool{states: r.states()}, refiner: newRefiner(o, rate)}
}

// follow gives the points of one stretch of sound, the first at its start.
// Lines that stand all along are left out where the rest then makes an engine
// that answers to its throttle.
func (f *follower) follow(x []float32) ([]Point, error) {
	ps, steady, err := f.track(x, nil)
	if err != nil || steady == nil {
		return ps, err
	}
	without, _, err := f.track(x, steady)
	if err != nil {
		return nil, err
	}
	return f.o.Interferer.choose(without, ps, steady, f.order), nil
}

// track gives the points of a stretch of sound as it is heard without the
// frequencies of a mask, and the lines that stand in it all along.
func (f *follower) track(x []float32, m mask) (ps []Point, steady mask, err error) {
	hs, steady, err := f.observe(x, m)
	if err != nil {
		return nil, nil, err
	}
	ps = f.points(hs)
	f.refiner.setMask(m)
	clear := f.refine(ps, x)
	gate(ps, clear, f.o)
	inflateSD(ps, f.order, f.o)
	return ps, steady, nil
}
