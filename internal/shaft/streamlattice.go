package shaft

import (
	"math"

	"topnote/internal/dsp"
)

// streamLattice is the lattice over the last few frames of a stream: forward
// probabilities from the first sample on, backward ones from the last frame.
type streamLattice struct {
	f          *follower
	alpha      []stateVector // of the frames that are held, and some to be used again
	prior      []float32     // evidence of what is known of speeds, shape [states of a mode]
	beta, work stateVector
	posterior  []float32
	bests      vectorPool // of the evidence at each frequency

	// Of the last frame, as long as the next is not known, which says how much time it
	// stands for and whether the shaft may be moving in it: its evidence.
	short, contrast       []float32 // of the short window, not weighted
	others, otherContrast []float32 // of the other windows
	runFrom               int       // hop from which frames have had the same line spacing
}

// observe observes the frames up to one at a hop, and takes them into the lattice.
func (s *streamTrack) observe(hop int) {
	f, l := s.f, &s.lattice
	if len(f.frames) == 0 {
		first := f.observeFrame(hop, s.short, s.sound)
		first.hopsSince = 1
		f.frames = append(f.frames, first)
		s.take(0, 1)
		return
	}
	last := len(f.frames) - 1
	f.observeBetween(f.frames[last], f.observeFrame(hop, s.short, s.sound), s.short, s.sound)
	if since := f.frames[last+1].hopsSince; since != f.frames[last].hopsSince {
		l.restore(&f.frames[last])
		s.finish(last, since)
	}
	for t := last + 1; t < len(f.frames); t++ {
		next := f.frames[t].hopsSince // of the last frame: as before it
		if t+1 < len(f.frames) {
			next = f.frames[t+1].hopsSince
		}
		s.take(t, next)
	}
}

// take adds the evidence of the other windows to a frame that has that of the short
// one, and takes it into the lattice. next is the hops to the frame after it.
func (s *streamTrack) take(t, next int) {
	f, l := s.f, &s.lattice
	frame := &f.frames[t]
	if t == 0 || !sameSpacing(f.frames[t-1].spacing, frame.spacing) {
		l.runFrom = frame.hop
	}
	l.keep(frame)
	for i, w := range s.others {
		x := s.sound
		if i == len(s.others)-1 {
			x = s.hiss
		}
		w.observe(w.logLikelihood, x, f.centre(frame.hop, w.rate), 0)
		dsp.Axpy32(1, w.logLikelihood, l.others)
		dsp.Axpy32(1, w.contrastTerm, l.otherContrast)
	}
	s.finish(t, next)
}

// finish turns the evidence of a frame into likelihoods, and these into forward
// probabilities.
func (s *streamTrack) finish(t, next int) {
	f, l := s.f, &s.lattice
	frame := &f.frames[t]
	moving := frame.hopsSince == 1 || next == 1
	s.short.addSweeps(frame, s.sound, f.centre(frame.hop, s.short.rate), moving && !frame.decisive)
	frame.eachVector(func(p []float32) { dsp.Axpy32(1, l.others, p) })
	dsp.Axpy32(1, l.otherContrast, frame.contrastTerm)
	if most, length := float64(f.o.Contrast.MaxDuration/f.o.Hop), float64(frame.hop-l.runFrom+1); length > most {
		frame.eachVector(func(p []float32) { dsp.Axpy32(float32(most/length-1), frame.contrastTerm, p) })
	}
	frame.eachVector(func(p []float32) { dsp.Axpy32(1, l.prior, p) })
	l.keepBest(frame)
	duration := float64(frame.hopsSince+next) / 2
	frame.toLikelihood(f.o.EmissionExponent*duration, f.o.NoEngineScore*duration)
	for len(l.alpha) <= t {
		l.alpha = append(l.alpha, f.lattice.newStateVector())
	}
	var before *stateVector
	if t > 0 {
		before = &l.alpha[t-1]
	}
	f.lattice.forward(&l.alpha[t], before, frame)
}

// nearest gives the frame nearest to a hop.
func (l *streamLattice) nearest(hop int) *observation {
	best := &l.f.frames[0]
	for i := range l.f.frames {
		if frame := &l.f.frames[i]; math.Abs(float64(frame.hop-hop)) < math.Abs(float64(best.hop-hop)) {
			best = frame
		}
	}
	return best
}

// keepBest keeps the greatest evidence of a frame at each frequency.
func (l *streamLattice) keepBest(frame *observation) {
	index := &l.f.lattice.index
	if frame.best == nil {
		frame.best = l.bests.next()
	}
	for i := range frame.best {
		frame.best[i] = float32(math.Inf(-1))
	}
	frame.eachVector(func(p []float32) {
		for n := range MaxPeriod {
			best := frame.best[index.first[n]:]
			for i, v := range index.row(p, n) {
				best[i] = max(best[i], v)
			}
		}
	})
}

// keep keeps the evidence of the short window of the last frame.
func (l *streamLattice) keep(frame *observation) {
	l.short = append(l.short[:0], frame.logLikelihood...)
	l.contrast = append(l.contrast[:0], frame.contrastTerm...)
	if l.others == nil {
		l.others, l.otherContrast = make([]float32, len(l.short)), make([]float32, len(l.short))
	}
	clear(l.others)
	clear(l.otherContrast)
}

// restore gives the last frame back the evidence of the short window.
func (l *streamLattice) restore(frame *observation) {
	copy(frame.logLikelihood, l.short)
	copy(frame.contrastTerm, l.contrast)
	for m := range frame.sweepLogLikelihood {
		l.f.pool.giveBack(frame.sweepLogLikelihood[m])
		frame.sweepLogLikelihood[m] = nil
	}
}

// decode writes points decoded from the posteriors, from a hop on: ps[i] is hop
// from+i. Frames outside are left out.
func (l *streamLattice) decode(ps []Point, d *posteriorDecoder, from int) {
	f := l.f
	p := l.posterior
	l.beta.fill(1)
	for t := len(f.frames) - 1; t >= 0; t-- {
		frame := &f.frames[t]
		if i := frame.hop - from; i >= 0 && i < len(ps) {
			f.lattice.posterior(p, &l.alpha[t], &l.beta)
			ps[i] = d.point(p)
		}
		if t > 0 {
			f.lattice.backward(&l.beta, &l.work, frame)
		}
	}
	for _, frame := range f.frames {
		if a, b := frame.hop-frame.hopsSince-from, frame.hop-from; a >= 0 && b < len(ps) {
			f.o.fillBetween(ps, a, b)
		}
	}
}

// forget drops the frames before a hop, but not the last of them, from which the next
// goes on.
func (l *streamLattice) forget(hop int) {
	f := l.f
	n := 0
	for n+1 < len(f.frames) && f.frames[n+1].hop <= hop {
		n++
	}
	if n == 0 {
		return
	}
	for _, frame := range f.frames[:n] {
		f.pool.giveBack(frame.logLikelihood, frame.contrastTerm)
		f.pool.giveBack(frame.sweepLogLikelihood[:]...)
		l.bests.giveBack(frame.best)
	}
	f.frames = f.frames[:copy(f.frames, f.frames[n:])]
	rotate(l.alpha, n)
}

// rotate moves the first n elements to the end.
func rotate(v []stateVector, n int) {
	first := append([]stateVector{}, v[:n]...)
	copy(v, v[n:])
	copy(v[len(v)-n:], first)
}
