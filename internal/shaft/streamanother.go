package shaft

import (
	"slices"

	"topnote/internal/engine"
)

// anotherMachine looks for the lines of a second engine in a stream, a pump or a saw
// bench next door, and follows the sound without them as well as with them. Which of
// the two is told is chosen as in Follow, but from the moments before.
type anotherMachine struct {
	seconds       []prominentBins // the last seconds, the newest last
	mask          mask            // the lines that are left out; nil: none
	rest          *streamTrack    // of the sound without them; nil: there are none
	with, without []Point         // of the same time, while there are such lines
	isHeard       bool            // the engine is the one that is read without them
}

// prominentBins counts the hops in which each bin was prominent.
type prominentBins struct {
	count []int32
	hops  int
}

const steadyParts = 8 // that the time is cut into, over which lines are looked for

func newAnotherMachine(s *Stream) anotherMachine {
	return anotherMachine{seconds: []prominentBins{{count: make([]int32, s.all.longest().stft.Bins())}}}
}

// longest gives the model of the longest frames of the sound, which resolve lines best.
func (s *streamTrack) longest() *observationModel { return s.others[len(s.others)-2] }

// step takes what is read of all of the sound, and writes what is read of the engine.
func (a *anotherMachine) step(s *Stream, readings []Reading) {
	part := s.o.hops(s.o.Stream.Steady) / steadyParts
	now := &a.seconds[len(a.seconds)-1]
	s.all.longest().countProminent(now.count, s.o.Stride, float32(s.o.Interferer.Level))
	if now.hops += s.o.Stride; now.hops >= part {
		a.look(s)
	}
	if a.rest == nil {
		return
	}
	rest := a.rest.step(nil, s.next, s.sound, s.hiss)
	most := s.o.hops(s.o.Stream.Steady)
	for i := range min(len(rest), len(readings)) {
		a.with, a.without = keepLast(a.with, readings[i].Point, most), keepLast(a.without, rest[i].Point, most)
		switch p, q := readings[i].Point, rest[i].Point; {
		case a.isHeard:
			readings[i] = rest[i]
		case p.Speed.Told() && q.Speed.Told() && !sameSpeed(p, q, sameReading) && s.o.Interferer.owns(a.mask, p.Speed.Hz()*engine.Hz(s.all.f.order)):
			readings[i].Point = Point{At: p.At} // one of the two is the other machine
		}
	}
}

// keepLast appends a point, and keeps so many.
func keepLast(ps []Point, p Point, most int) []Point {
	if len(ps) == most {
		ps = ps[:copy(ps, ps[1:])]
	}
	return append(ps, p)
}

// look looks for steady lines in the seconds before, and chooses.
func (a *anotherMachine) look(s *Stream) {
	o := s.o.Interferer
	if len(a.seconds) == steadyParts {
		count, hops := make([]int32, len(a.seconds[0].count)), 0
		for _, part := range a.seconds {
			hops += part.hops
			for i, n := range part.count {
				count[i] += n
			}
		}
		a.follow(s, o.steadyLines(count, hops, s.all.longest().stft.BinWidth()))
		a.seconds = append(a.seconds[1:steadyParts:steadyParts], prominentBins{})
	} else {
		a.seconds = append(a.seconds, prominentBins{})
	}
	a.seconds[len(a.seconds)-1].count = make([]int32, s.all.longest().stft.Bins())
	if a.rest != nil && len(a.with) >= s.o.hops(s.o.Stream.Steady)/2 && !a.isHeard {
		order := s.all.f.order
		a.isHeard = o.followsThrottle(a.without, a.with) && o.wereOf(a.mask, a.with, a.without, order) ||
			!leaps(a.without, s.o.Hop) && o.drowns(a.mask, a.with, a.without, order)
	}
}

// follow follows the sound without the lines that were found: those of before, as long
// as these still stand.
func (a *anotherMachine) follow(s *Stream, found mask) {
	o := s.o.Interferer
	missing := func(m, of mask) float64 {
		n := 0
		for _, f := range m {
			if !of.covers(f, o.MaskWidth) {
				n++
			}
		}
		return float64(n) / float64(max(len(m), 1))
	}
	const most = 0.5 // its speed wanders, and so do the lines that are found
	switch {
	case a.rest != nil && missing(a.mask, found) < most && (a.isHeard || missing(found, a.mask) < most):
		return
	case found == nil:
		a.mask, a.rest, a.isHeard = nil, nil, false
		return
	}
	rest, err := newStreamTrack(s.rate, s.known, s.o, found)
	if err != nil {
		return // the same model without a mask could be made
	}
	rest.f.skipped = s.all.f.skipped
	a.mask, a.rest, a.isHeard = slices.Clone(found), rest, false
	a.with, a.without = a.with[:0], a.without[:0]
}
