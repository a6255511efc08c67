package shaft

import (
	"errors"
	"fmt"
	"math"

	"topnote/internal/spectrum"
	"topnote/internal/unit"
)

// ErrRate says that sound is not at the rate that the frames are made for.
var ErrRate = errors.New("shaft: sound at 7 to 11 kHz is needed")

// The transforms hold the windows up to the one, and the highest line looked
// at lies below half of the other.
const slowestRate, fastestRate unit.Hz = 7000, 11000

// Follow reads the speed of the shaft and its firing period from sound: x is
// mono, shape [n], at a rate of 8 kHz. The track has a point every 20 ms from
// the first sample on; silence, no sound and sound without an engine give
// points without a speed. It returns unit.ErrEngine for an engine that cannot
// be and ErrRate for a rate that the frames are not made for.
func Follow(x []float32, rate unit.Hz, q Query) (Track, error) {
	return FollowWith(x, rate, q, Default())
}

// FollowWith is Follow with options of the caller's.
func FollowWith(x []float32, rate unit.Hz, q Query, o Options) (Track, error) {
	if err := q.Engine.Check(); err != nil {
		return Track{}, err
	}
	if rate < slowestRate || rate > fastestRate {
		return Track{}, fmt.Errorf("%w; got %.0f Hz", ErrRate, float64(rate))
	}
	f := newFollower(rate, q, o)
	hop := int(math.Round(float64(o.Hop) * float64(rate)))
	block, margin := int(float64(o.Block)/float64(o.Hop)), int(float64(o.Margin)/float64(o.Hop))
	frames := len(x)/hop + 1
	tr := Track{Hop: o.Hop, Points: make([]Point, 0, frames)}
	// A long clip is followed block by block, so that what is remembered of it
	// does not grow; each block sees a little of its neighbours.
	for from := 0; from < frames; from += block {
		lo, hi := max(0, from-margin), min(frames, from+block+margin)
		if frames-(from+block) < block/2 {
			hi = frames // no crumb is left over
		}
		ps, err := f.follow(x[lo*hop : min(len(x), hi*hop)])
		if err != nil {
			return Track{}, err
		}
		to := min(from+block, frames)
		if hi == frames {
			to = frames
		}
		for i := from; i < to; i++ {
			p := ps[i-lo]
			p.At = unit.Seconds(float64(i) * float64(o.Hop))
			tr.Points = append(tr.Points, p)
		}
		if to == frames {
			break
		}
	}
	return tr, nil
}

// follower follows one engine through stretches of sound.
type follower struct {
	o     Options
	q     Query
	rate  unit.Hz
	order float64 // firings in a turn of the shaft
	sc    scale
	lat   *lattice
}

func newFollower(rate unit.Hz, q Query, o Options) *follower {
	sc, order := newScale(o, q.Engine), q.Engine.FiringOrder()
	periods := maxPeriod
	if q.Engine.Strokes == 4 && q.Engine.Cylinders == 1 {
		periods = 1
	}
	widest := o.Spectra[len(o.Spectra)-1]
	r := newRows(sc, widest.Resolve/(float64(widest.Window)*stretch(order)), periods)
	return &follower{o: o, q: q, rate: rate, order: order, sc: sc, lat: newLattice(o, sc, r, q)}
}

// follow gives the points of one stretch of sound, the first at its start.
// Lines that stand all along are left out where the rest then makes an engine
// that answers to its throttle.
func (f *follower) follow(x []float32) ([]Point, error) {
	x, _ = spectrum.WithoutHum(x, f.rate, spectrum.DefaultHum())
	ps, steady, err := f.read(x, nil)
	if err != nil || steady == nil {
		return ps, err
	}
	without, _, err := f.read(x, steady)
	if err != nil || !f.o.Steady.better(without, ps, steady, f.order) {
		return ps, err
	}
	return without, nil
}

// read gives the points of a stretch of sound as it is heard without the
// frequencies of a mask, and the lines that stand in it all along.
func (f *follower) read(x []float32, m mask) (ps []Point, steady mask, err error) {
	hs, steady, err := f.listen(x, m)
	if err != nil {
		return nil, nil, err
	}
	ps = make([]Point, len(hs))
	belief := make([][maxPeriod]float64, len(hs))
	f.lat.smoothed(hs, func(t int, p []float32) {
		ps[t] = decode(p, f.sc, f.order)
		ps[t].At = unit.Seconds(float64(t) * float64(f.o.Hop))
		if ps[t].Speed.Told() {
			belief[t] = periods(p, f.sc, float64(ps[t].Speed.Hz())*f.order)
		}
	})
	clear := f.refine(ps, x)
	hush(ps, clear, f.o)
	widen(ps, f.order, f.o)
	if f.q.Engine == unit.TwoStrokeSingle {
		tellFiring(ps, x, float64(f.rate), f.order, belief, f.o.Firing)
	}
	return ps, steady, nil
}

// refine replaces the speeds of the grid by refined ones, with the standard
// deviation that the noise explains, and gives how clear each point's lines
// are, in decibels.
func (f *follower) refine(ps []Point, x []float32) (clear []float64) {
	r := newRefiner(f.o, f.rate)
	slope := slopes(ps, f.o.Hop)
	clear = make([]float64, len(ps))
	for i := range ps {
		p := &ps[i]
		if !p.Speed.Told() {
			continue
		}
		v, ok := r.at(x, float64(p.At), float64(p.Speed.Hz())*f.order, max(1, int(p.Fires)), slope[i])
		clear[i] = v.clear
		if ok {
			p.Speed = unit.Hz(v.f / f.order).RPM()
			p.SD = unit.RPM(v.sd/v.f) * p.Speed
		} else {
			p.SD = unit.RPM(f.o.RefineTrust) * p.Speed
		}
	}
	return clear
}
