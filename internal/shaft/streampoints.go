package shaft

import (
	"math"

	"topnote/internal/engine"
)

// streamPoints holds the points of the last moments, as they are refined and judged.
type streamPoints struct {
	f       *follower
	lag     int
	ahead   int // points after the last due one that are refined as well: those that its course is fitted to
	decoder *posteriorDecoder

	raw        []Point   // as decoded from the lattice: hops up to that of the last frame
	once       []Point   // refined by the course of the points of the lattice; the last are the newest
	twice      []Point   // where the speed moves, refined again by the course of those
	prominence []float64 // of their lines, dB
	refined    []bool
	first      int  // hop of element 0 of all but raw
	telling    bool // the last point that was due was clear enough
	doubt      multipleDoubt
}

func newStreamPoints(f *follower, lag int, known engine.Machine) streamPoints {
	ahead := min(reach, lag)
	n := f.o.hops(f.o.Stream.Trailing) + 2*reach + f.o.Stride + ahead
	return streamPoints{
		f: f, lag: lag, ahead: ahead, decoder: newPosteriorDecoder(f.grid, f.order),
		raw: make([]Point, lag+2*f.o.Stride+1), once: make([]Point, n), twice: make([]Point, n),
		prominence: make([]float64, n), refined: make([]bool, n), first: -n, doubt: multipleDoubt{f: f, known: known},
	}
}

// due gives the first and the last hop that are told once the frame at a hop is
// observed; to before 0: none.
func (s *streamPoints) due(hop int) (from, to int) {
	to = hop - s.lag
	return max(0, to-s.f.o.Stride+1), to
}

// advance makes room for the points that are due, and takes theirs and those ahead of
// them from the lattice.
func (s *streamPoints) advance(l *streamLattice, from, to int) {
	rawFrom := to + s.lag - len(s.raw) + 1
	clear(s.raw)
	l.decode(s.raw, s.decoder, rawFrom)
	n := len(s.once)
	move := to + s.ahead - (s.first + n - 1)
	s.first += move
	move = min(move, n)
	copy(s.once, s.once[move:])
	copy(s.twice, s.twice[move:])
	copy(s.prominence, s.prominence[move:])
	copy(s.refined, s.refined[move:])
	for hop := from; hop <= to+s.ahead; hop++ {
		i := hop - s.first
		s.once[i], s.prominence[i], s.refined[i] = s.raw[hop-rawFrom], 0, false
	}
}

// refine refines the points from hop from to hop to, and those ahead of them.
func (s *streamPoints) refine(x []float32, from, to int) {
	o := s.f.o
	rates := chirpRates(s.once, o.Hop)
	a, b := from-s.first, to+s.ahead-s.first
	for _, odd := range []int{0, 1} { // in hops of the sound, as all along
		for i := a; i <= b; i++ {
			if (s.first+i)&1 != odd || odd == 1 && o.interpolate(s.once, s.prominence, i) {
				continue
			}
			s.estimate(x, i, rates[i])
		}
	}
	copy(s.twice[a:], s.once[a:])
	for i := a; i <= to-s.first; i++ {
		s.refineMoving(x, i)
	}
}

// at gives the time of point i in the sound that is held.
func (s *streamPoints) at(i int) float64 {
	return float64(s.first+i)*float64(s.f.o.Hop) - float64(s.f.skipped)/float64(s.f.rate)
}

// estimate refines a point of the lattice along a straight course.
func (s *streamPoints) estimate(x []float32, i int, rate float64) {
	p := &s.once[i]
	if !p.Speed.Told() {
		return
	}
	e, ok := s.f.refiner.estimate(x, s.at(i), p.period(), freqPolynomial{f: p.firing(s.f.order), chirpRate: rate})
	p.SD = engine.RPM(s.f.o.Refine.PriorSD) * p.Speed
	if ok {
		p.set(e.f, e.sd, s.f.order)
	}
	s.prominence[i], s.refined[i] = e.prominence, ok
}

// refineMoving refines a point whose speed moves along the polynomial through the
// points around it.
func (s *streamPoints) refineMoving(x []float32, i int) {
	o := s.f.o.Refine
	p := &s.twice[i]
	c, ok := fitFreqPolynomial(s.once, i, s.f.order, s.f.o.Hop)
	if !ok || math.Abs(c.chirpRate) < o.MovingFrom {
		return
	}
	e, ok := s.f.refiner.estimate(x, s.at(i), p.period(), c)
	switch {
	case ok:
		p.set(e.f, e.sd, s.f.order)
		s.prominence[i] = e.prominence
	case !s.refined[i]:
		p.set(c.f, math.Hypot(c.sd, o.PriorSD)*c.f, s.f.order)
	}
}

// reading judges the point at a hop. frame is the frame nearest to it.
func (s *streamPoints) reading(hop int, frame *observation) Reading {
	o := s.f.o.Stream
	i := hop - s.first
	clarity, firing := s.trailing(i)
	r := Reading{Point: Point{At: engine.Seconds(float64(hop) * float64(s.f.o.Hop))}, Clarity: clarity}
	p := s.twice[i]
	if least := s.f.o.Gate.PeakProminence; s.telling { // one that was heard a moment ago is more probable than one out of nowhere
		s.telling = p.Speed.Told() && clarity >= least/2 && p.Confidence >= o.Hold
	} else {
		s.telling = s.stands(i) && clarity >= least && p.Confidence >= o.Confidence
	}
	if doubtful := s.doubt.doubtful(s.twice[:i+1], frame); doubtful || !s.telling {
		return r
	}
	p.At, p.Fires, p.SD = r.At, firing, s.inflated(i)
	r.Point = p
	return r
}

// stands reports whether the speed hardly moves at a point. A rise or fall is no place
// to begin: in noise a multiple of one is as clear.
func (s *streamPoints) stands(i int) bool {
	const apart = 2 // points
	return sameSpeed(s.twice[i-apart], s.twice[i], apart*float64(s.f.o.Hop)*s.f.o.Refine.MovingFrom)
}

// trailing gives the mean prominence of the lines in the time before point i and just
// after it, points without a speed counted as 0, and the firing period in it; 0 where
// none is clear.
func (s *streamPoints) trailing(i int) (clarity engine.Decibel, firing Firing) {
	o := s.f.o.Stream
	var sum float64
	var share [MaxPeriod]float64
	n, told := 0, 0
	for j := max(0, i-s.f.o.hops(o.Trailing), -s.first); j <= min(i+s.ahead, len(s.twice)-1); j++ {
		n++
		p := s.twice[j]
		if !p.Speed.Told() {
			continue
		}
		told++
		sum += s.prominence[j]
		for k, v := range p.PeriodShare {
			share[k] += float64(v)
		}
	}
	for k, v := range share {
		if told > 0 && v >= o.Confidence*float64(told) {
			firing = Firing(k + 1)
		}
	}
	return engine.Decibel(sum / float64(max(n, 1))), firing
}

// inflated gives the standard deviation of a point with all its parts.
func (s *streamPoints) inflated(i int) engine.RPM {
	const around = 2*reach + reach/2 // points on either side that the unevenness comes from
	from := max(0, i-around)
	ps := append([]Point{}, s.twice[from:min(len(s.twice), i+around+1)]...)
	inflateSD(ps, s.f.order, s.f.o.SD)
	return ps[i-from].SD
}
