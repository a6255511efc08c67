package shaft

import (
	"math"

	"topnote/internal/engine"
)

// streamPrior gives the evidence that what is known of speeds adds to every state at
// every frame, shape [states of a mode].
//
// Follow decides once, for all of a recording, which multiple of the speed fits it and
// what is known of such machines (octave.go). A stream has no whole; so here the same
// prior counts in every frame, and as often as the frames are new evidence of a
// multiple: twice in OctaveOptions.Draw. Any speed from idle to the top may be met, as
// a hand opens the throttle through all of them.
func streamPrior(o Options, grid freqGrid, index *stateIndex, known engine.Machine) []float32 {
	p := make([]float32, index.states())
	order, periods := known.Spec.FiringOrder(), o.periods(known.Spec)
	scale := 2 * float64(o.Hop/o.Octave.Draw) / o.EmissionExponent
	for n := range MaxPeriod {
		row := index.row(p, n)
		period := math.Log(periods[n] / periods[0])
		for i := range row {
			v := engine.RPM(grid.freq(float64(index.first[n]+i)) / order * 60)
			row[i] = float32(scale * (o.Octave.Prior.logAt(v, n > 0, known) + period))
		}
	}
	return p
}

// logAt gives the ln of how probable it is to meet a speed at any moment, and missed
// firings at it, up to a constant.
func (p *OctavePrior) logAt(v engine.RPM, missing bool, known engine.Machine) float64 {
	_, hi := p.topRange(known)
	idleLow, idleHigh := p.idleRange(known)
	switch {
	case v > hi:
		return math.Log(max(softRange(v, idleLow, hi, p.Edge), p.WrongLimit))
	case v < idleLow:
		return math.Log(max(softRange(v, idleLow, hi, p.Edge), p.OddIdle))
	case missing && v <= idleHigh:
		return math.Log(p.RichIdle)
	}
	return 0
}

// multipleDoubt judges whether a speed that is told might be a multiple of the true
// one, as the lines of an idle are also those of four times its speed that fires every
// 4th time. The frames of one engine are one draw, so that only the mean over the
// moments before counts.
type multipleDoubt struct {
	f        *follower
	evidence [][len(slower)]float64 // of each hop in the time before: of the slower speeds less that of the one told
	last     engine.RPM
}

// slower has the multiples that are looked at. A reading that is too slow is less
// likely (its lines are all there, and others that are not), and a warning less.
var slower = [...]float64{1. / 4, 1. / 3, 1. / 2}

const unheard = -1e3 // evidence of a speed that is not searched for

// doubtful takes the next point, of which frame is the nearest frame, and reports
// whether a slower multiple is about as probable.
func (d *multipleDoubt) doubtful(p Point, frame *observation) bool {
	o := d.f.o
	if !p.Speed.Told() {
		d.evidence, d.last = d.evidence[:0], 0
		return true
	}
	if d.last.Told() && math.Abs(math.Log(float64(p.Speed/d.last))) > o.Octave.LeapOver {
		d.evidence = d.evidence[:0]
	}
	d.last = p.Speed
	var e [len(slower)]float64
	own := d.f.evidenceAt(frame, p.Speed)
	for i, m := range slower {
		e[i] = max(d.f.evidenceAt(frame, p.Speed*engine.RPM(m))-own, unheard)
	}
	if d.evidence = append(d.evidence, e); len(d.evidence) > o.hops(o.Stream.DoubtOver) {
		d.evidence = d.evidence[:copy(d.evidence, d.evidence[1:])]
	}
	for i := range slower {
		var sum float64
		for _, e := range d.evidence {
			sum += e[i]
		}
		if perDraw := sum / float64(len(d.evidence)) * float64(o.Octave.Draw/o.Hop); perDraw > -o.Stream.MinOdds {
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
