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

// logHeld gives the ln of how probable it is that a speed is held, up to a constant: an
// idle and a full throttle are, others are met on the way between them.
func (p *OctavePrior) logHeld(v engine.RPM, known engine.Machine) float64 {
	lo, hi := p.topRange(known)
	idleLow, idleHigh := p.idleRange(known)
	exception := p.WrongLimit
	if v < lo {
		exception = p.PartLoad
	}
	return math.Log(max(softRange(v, idleLow, idleHigh, p.Edge), softRange(v, lo, hi, p.Edge), exception))
}
