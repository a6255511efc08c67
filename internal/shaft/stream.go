package shaft

import (
	"fmt"
	"math"

	"topnote/internal/engine"
)

// StreamOptions says how a speed is told while the sound still comes.
type StreamOptions struct {
	Delay      engine.Seconds // from the instant of a reading to the sound that it is told from, at most
	Trailing   engine.Seconds // before a reading, over which its lines and its firing are judged
	Clarity    engine.Decibel // least mean prominence in that time, points without a speed counted as 0
	Confidence float64        // 0 to 1: least posterior of a reading, and least mean posterior of a firing period
	Hold       StreamHold     // of an engine that is heard already

	DoubtOver engine.Seconds // time over which slower multiples are weighed
	MinOdds   float64        // ln of the odds over each of them, in OctaveOptions.Draw of sound, from which a speed is told
}

// StreamHold says when readings go on once some were told: an engine that was heard a
// moment ago is more probable than one out of nowhere.
type StreamHold struct {
	Clarity    engine.Decibel
	Confidence float64
}

func defaultStream() StreamOptions {
	return StreamOptions{
		Delay: 0.32, Trailing: 0.5, Clarity: 5, Confidence: 0.9,
		Hold:      StreamHold{Clarity: 2.5, Confidence: 0.7},
		DoubtOver: 2, MinOdds: 4,
	}
}

// Reading is the speed at one instant of a stream, as it can be told a moment later.
type Reading struct {
	// Point is as in a Track, but Fires is of the half second up to the instant, and 0
	// where no period is clear in it.
	Point
	Heard   engine.Seconds // sound that the reading is told from: later than At by StreamOptions.Delay at most
	Clarity engine.Decibel // mean prominence of the lines in the time before
}

// Stream follows the speed of a shaft in sound that is still coming. It has the
// observation model and the lattice of Follow, but looks ahead by a fixed time only:
// so it knows neither how loud the rest of the recording will be nor which multiple
// fits all of it, and tells no speed where these would matter.
//
// What it holds does not grow with the sound. Its readings are the same however the
// sound is cut into pieces. It must not be used by two goroutines at once.
//
// Source: fixed-lag smoothing, Rabiner 1989 with the backward pass over the lag alone.
type Stream struct {
	f        *follower
	short    *observationModel
	others   []*observationModel // of the sound, then of the envelope of the hiss
	meter    *envelopeMeter
	sound    []float32 // what is still held of it: from sample f.skipped on
	hiss     []float32
	heard    int // samples so far
	lag      int // hops from the last point that is told to the last frame
	need     int // samples from which the next frame can be observed
	next     int // hop of that frame
	lattice  streamLattice
	points   streamPoints
	readings []Reading // not taken yet
	told     int       // of these
}

// NewStream prepares to follow an engine in sound at a rate of 7 to 11.025 kHz. The
// errors are those of Follow.
func NewStream(rate engine.Hz, known engine.Machine) (*Stream, error) {
	return NewStreamWith(rate, known, Default())
}

// NewStreamWith is NewStream with options of the caller's.
func NewStreamWith(rate engine.Hz, known engine.Machine, o Options) (*Stream, error) {
	if err := known.Spec.Check(); err != nil {
		return nil, err
	}
	if !(rate >= minRate && rate <= maxRate) {
		return nil, fmt.Errorf("%w; got %.0f Hz", ErrRate, float64(rate))
	}
	s := &Stream{f: newFollower(rate, known, o), meter: newEnvelopeMeter(rate, o.Hiss, o.Envelope.Decimation)}
	for i, c := range append(append([]FrameConfig{}, o.Spectra...), o.Envelope) {
		w, err := s.f.observationModel(c, nil)
		if err != nil {
			return nil, err
		}
		if i == 0 {
			s.short = w
		} else {
			s.others = append(s.others, w)
		}
	}
	s.need = s.sampleFor(0)
	ahead := o.Stream.Delay - engine.Seconds(float64(s.need+1)/float64(rate))
	s.lag = max(1, int(float64(ahead/o.Hop))-(o.Stride-1))
	s.lattice = streamLattice{f: s.f, prior: streamPrior(o, s.f.grid, &s.f.lattice.index, known), bests: vectorPool{states: s.f.grid.n}, posterior: make([]float32, MaxPeriod*s.f.grid.n+1), beta: s.f.lattice.newStateVector(), work: s.f.lattice.newStateVector()}
	s.points = newStreamPoints(s.f, s.lag)
	return s, nil
}

// Push takes the next samples, full scale at 1. The readings that they make possible
// are to be taken with Reading.
func (s *Stream) Push(samples []float32) {
	for len(samples) > 0 {
		n := min(len(samples), s.need-s.heard)
		s.sound = append(s.sound, samples[:n]...)
		s.hiss = s.meter.push(s.hiss, samples[:n])
		s.heard += n
		samples = samples[n:]
		if s.heard == s.need {
			s.step()
		}
	}
}

// Reading gives the next reading, and false where more sound is needed. There is one
// for every hop from the first sample on.
func (s *Stream) Reading() (Reading, bool) {
	if s.told == len(s.readings) {
		s.readings, s.told = s.readings[:0], 0
		return Reading{}, false
	}
	s.told++
	return s.readings[s.told-1], true
}

// Hop gives the time from one reading to the next.
func (s *Stream) Hop() engine.Seconds { return s.f.o.Hop }

// step observes the frame that the sound now reaches, and tells the points that are
// far enough before it.
func (s *Stream) step() {
	s.observe(s.next)
	if from, to := s.points.due(s.next); to >= 0 {
		s.points.advance(&s.lattice, from, to)
		s.points.refine(s.sound, from, to)
		for i := from; i <= to; i++ {
			r := s.points.reading(i, s.lattice.nearest(i))
			r.Heard = engine.Seconds(float64(s.heard) / float64(s.f.rate))
			s.readings = append(s.readings, r)
		}
	}
	s.lattice.forget(s.next - s.lag - 2*s.f.o.Stride)
	s.next += s.f.o.Stride
	s.need = s.sampleFor(s.next)
	s.drop()
}

// sampleFor gives the samples that the frames centred on a hop need.
func (s *Stream) sampleFor(hop int) (n int) {
	for _, w := range append(s.others, s.short) {
		decimation := max(1, w.Decimation)
		centre := int(math.Round(float64(hop) * float64(s.f.o.Hop) * float64(w.rate)))
		n = max(n, (centre+(w.stft.Reach()+1)/2+1)*decimation)
	}
	return n
}

// drop forgets the sound that no frame and no fit reaches any more.
func (s *Stream) drop() {
	const keep, atMost = 1, 2 // s
	rate := int(s.f.rate)
	if len(s.sound) < atMost*rate {
		return
	}
	d := s.f.o.Envelope.Decimation
	n := (len(s.sound) - keep*rate) / d * d
	s.sound = s.sound[:copy(s.sound, s.sound[n:])]
	s.hiss = s.hiss[:copy(s.hiss, s.hiss[n/d:])]
	s.f.skipped += n
}
