package shaft

import (
	"fmt"

	"topnote/internal/engine"
)

// StreamOptions says how a speed is told while the sound still comes.
type StreamOptions struct {
	Delay      engine.Seconds // from the instant of a reading to the sound that it is told from, at most
	Trailing   engine.Seconds // before a reading, over which its lines and its firing are judged: GateOptions.PeakProminence is the least mean of them, points without a speed counted as 0
	Confidence float64        // 0 to 1: least posterior of a reading, and least mean posterior of a firing period
	Hold       float64        // as Confidence, of an engine that is heard already: half the prominence will then do

	DoubtOver engine.Seconds // time over which other multiples are weighed
	MinOdds   float64        // ln of the odds over each slower one, in OctaveOptions.Draw of sound, from which a speed is told

	Steady engine.Seconds // for which the lines of another machine stand still until they are left out
}

func defaultStream(octave OctaveOptions) StreamOptions {
	return StreamOptions{
		Delay: 0.32, Trailing: octave.HeldFor, Confidence: 0.9,
		Hold: 0.7, DoubtOver: 2, MinOdds: 4, Steady: 8,
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
	rate     engine.Hz
	known    engine.Machine
	o        Options
	all      *streamTrack // of the sound as it is
	another  anotherMachine
	meter    *envelopeMeter
	sound    []float32 // what is still held of it: from sample all.f.skipped on
	hiss     []float32
	heard    int       // samples so far
	need     int       // samples from which the next frame can be observed
	next     int       // hop of that frame
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
	s := &Stream{rate: rate, known: known, o: o, meter: newEnvelopeMeter(rate, o.Hiss, o.Envelope.Decimation)}
	var err error
	if s.all, err = newStreamTrack(rate, known, o, nil); err != nil {
		return nil, err
	}
	s.another = newAnotherMachine(s)
	s.need = s.all.sampleFor(0)
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
func (s *Stream) Hop() engine.Seconds { return s.o.Hop }

// step observes the frame that the sound now reaches, and tells the points that are
// far enough before it.
func (s *Stream) step() {
	first := len(s.readings)
	s.readings = s.all.step(s.readings, s.next, s.sound, s.hiss)
	s.another.step(s, s.readings[first:])
	for i := range s.readings[first:] {
		s.readings[first+i].Heard = engine.Seconds(float64(s.heard) / float64(s.rate))
	}
	s.next += s.o.Stride
	s.need = s.all.sampleFor(s.next)
	s.drop()
}

// drop forgets the sound that no frame and no fit reaches any more.
func (s *Stream) drop() {
	const keep, atMost = 1, 2 // s
	rate := int(s.rate)
	if len(s.sound) < atMost*rate {
		return
	}
	d := s.o.Envelope.Decimation
	n := (len(s.sound) - keep*rate) / d * d
	s.sound = s.sound[:copy(s.sound, s.sound[n:])]
	s.hiss = s.hiss[:copy(s.hiss, s.hiss[n/d:])]
	s.all.f.skipped += n
	if rest := s.another.rest; rest != nil {
		rest.f.skipped += n
	}
}
