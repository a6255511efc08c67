package shaft

import (
	"math"

	"topnote/internal/engine"
)

// streamTrack is what a Stream makes of its sound, with or without the lines of another
// machine.
type streamTrack struct {
	f           *follower
	short       *observationModel
	others      []*observationModel // of the sound, then of the envelope of the hiss
	lag         int                 // hops from the last point that is told to the last frame
	sound, hiss []float32           // of the stream: what is still held of it
	lattice     streamLattice
	points      streamPoints
}

// newStreamTrack prepares to follow an engine without the lines of a mask.
func newStreamTrack(rate engine.Hz, known engine.Machine, o Options, m mask) (*streamTrack, error) {
	s := &streamTrack{f: newFollower(rate, known, o)}
	s.f.refiner.setMask(m)
	for i, c := range append(append([]FrameConfig{}, o.Spectra...), o.Envelope) {
		if i == len(o.Spectra) {
			m = nil // as in observe
		}
		w, err := s.f.observationModel(c, m)
		if err != nil {
			return nil, err
		}
		if i == 0 {
			s.short = w
		} else {
			s.others = append(s.others, w)
		}
	}
	ahead := o.Stream.Delay - engine.Seconds(float64(s.sampleFor(0)+1)/float64(rate))
	s.lag = max(1, int(float64(ahead/o.Hop))-(o.Stride-1))
	s.lattice = streamLattice{f: s.f, prior: streamPrior(o, s.f.grid, &s.f.lattice.index, known), bests: vectorPool{states: s.f.grid.n}, posterior: make([]float32, MaxPeriod*s.f.grid.n+1), beta: s.f.lattice.newStateVector(), work: s.f.lattice.newStateVector()}
	s.points = newStreamPoints(s.f, s.lag, known)
	return s, nil
}

// step observes the frame at a hop in the sound that is held, and appends the readings
// of the points that are far enough before it.
func (s *streamTrack) step(readings []Reading, hop int, sound, hiss []float32) []Reading {
	s.sound, s.hiss = sound, hiss
	s.observe(hop)
	if from, to := s.points.due(hop); to >= 0 {
		s.points.advance(&s.lattice, from, to)
		s.points.refine(sound, from, to)
		for i := from; i <= to; i++ {
			readings = append(readings, s.points.reading(i, s.lattice.nearest(i)))
		}
	}
	s.lattice.forget(hop - s.lag - 2*s.f.o.Stride)
	return readings
}

// sampleFor gives the samples that the frames centred on a hop need.
func (s *streamTrack) sampleFor(hop int) (n int) {
	for _, w := range append(s.others, s.short) {
		decimation := max(1, w.Decimation)
		centre := int(math.Round(float64(hop) * float64(s.f.o.Hop) * float64(w.rate)))
		n = max(n, (centre+(w.stft.Reach()+1)/2+1)*decimation)
	}
	return n
}
