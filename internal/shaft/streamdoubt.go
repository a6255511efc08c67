package shaft

import (
	"math"

	"topnote/internal/engine"
)

// multipleDoubt judges whether a speed that is told might be a multiple of the true
// one, as the lines of an idle are also those of four times its speed that fires every
// 4th time. The frames of one engine are one draw, so that only the mean over the
// moments before counts.
type multipleDoubt struct {
	f        *follower
	known    engine.Machine
	evidence [][len(multiples)]float64 // of each hop in the time before: of the other speeds less that of the one told
	last     engine.RPM
	leaped   int // hops for which readings are still of the time after a leap
}

// multiples has the speeds with much the same lines that are looked at, as multiples of
// the one told.
var multiples = [...]float64{1. / 4, 1. / 3, 1. / 2, 3. / 2, 2, 3, 4}

const unheard = -1e3 // evidence of a speed that is not searched for

// doubtful takes the next point, the last of ps, of which frame is the nearest frame,
// and reports whether another multiple is about as probable.
func (d *multipleDoubt) doubtful(ps []Point, frame *observation) bool {
	o, p := d.f.o, ps[len(ps)-1]
	if d.leaped--; d.f.leapsToMultiple(ps) {
		d.leaped = o.hops(o.Stream.DoubtOver) / 2 // half of what is weighed is then of the time after it
	}
	if !p.Speed.Told() {
		d.evidence, d.last = d.evidence[:0], 0
		return true
	}
	if d.last.Told() && math.Abs(math.Log(float64(p.Speed/d.last))) > farthest(2, o.Hop) {
		d.evidence = d.evidence[:0]
	}
	d.last = p.Speed
	var e [len(multiples)]float64
	own := d.f.evidenceAt(frame, p.Speed)
	for i, m := range multiples {
		e[i] = max(d.f.evidenceAt(frame, p.Speed*engine.RPM(m))-own, unheard)
	}
	if d.evidence = append(d.evidence, e); len(d.evidence) > o.hops(o.Stream.DoubtOver) {
		d.evidence = d.evidence[:copy(d.evidence, d.evidence[1:])]
	}
	return d.leaped > 0 || d.undecided(p.Speed)
}

// undecided reports whether the odds over another multiple are too low. Over a faster one
// a speed above idle must only be ahead: an engine that misses firings has the lines of
// a slower one.
func (d *multipleDoubt) undecided(v engine.RPM) bool {
	o := d.f.o
	_, idle := o.Octave.Prior.idleRange(d.known)
	for i, m := range multiples {
		var sum float64
		for _, e := range d.evidence {
			sum += e[i]
		}
		odds := -sum / float64(len(d.evidence)) * float64(o.Octave.Draw/o.Hop)
		odds += min(0, o.Octave.Prior.logHeld(v, d.known)-o.Octave.Prior.logHeld(v*engine.RPM(m), d.known))
		if m < 1 && odds < o.Stream.MinOdds || m > 1 && odds < 0 && v > idle {
			return true
		}
	}
	return false
}

// leapsToMultiple reports whether the last of the points is a simple multiple of one a
// moment before, though the speed hardly moves at either: no throttle is opened or let
// go to exactly such a speed at once. One of the two is the other's multiple.
func (f *follower) leapsToMultiple(ps []Point) bool {
	const still, strides = 2, 2 // points; of frames, from one side of a leap to the other
	n := len(ps) - 1
	a := n - strides*f.o.Stride
	if a < still || !sameSpeed(ps[a-still], ps[a], sameReading) || !sameSpeed(ps[n-still], ps[n], sameReading) {
		return false
	}
	ratio := float64(ps[n].Speed / ps[a].Speed)
	for _, m := range multiples {
		if math.Abs(math.Log(ratio/m)) < sameReading || math.Abs(math.Log(ratio*m)) < sameReading {
			return true
		}
	}
	return false
}

// evidenceAt gives the evidence of a frame, tempered and for one hop, of a speed.
func (f *follower) evidenceAt(frame *observation, v engine.RPM) float64 {
	const near = 2 // points of the grid on either side
	i := int(math.Round(math.Log2(float64(v.Hz())*f.order/f.grid.low) * f.grid.perOctave))
	if i < 0 || i >= f.grid.engineEnd {
		return math.Inf(-1)
	}
	best := float32(math.Inf(-1))
	for _, e := range frame.best[max(0, i-near):min(f.grid.n, i+near+1)] {
		best = max(best, e)
	}
	return float64(best) * f.o.EmissionExponent
}
