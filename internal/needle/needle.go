// Package needle follows an engine while its sound still comes: the speed a third of a
// second late, when to let go of the throttle, and each opening of it as soon as it is
// over. It judges nothing: no warning does not mean safe.
//
// It is package live without decoders and measurements, small enough to be loaded first
// on a phone alone. Start with New, which takes sound that somebody else has decoded, or
// with NewRaw for the samples of a microphone.
package needle

import (
	"topnote/internal/engine"
	"topnote/internal/noise"
	"topnote/internal/resample"
	"topnote/internal/shaft"
)

// Options says what is listened to.
type Options struct {
	Machine        engine.Machine
	Rate, Channels int            // of the sound as it is read: samples a second
	MinOpen        engine.Seconds // openings of the throttle shorter than that are none
}

// Default gives the options in use for a machine and a microphone.
func Default(m engine.Machine, rate int) Options {
	return Options{Machine: m, Rate: rate, Channels: 1, MinOpen: 0.5}
}

// Handler takes what is heard, in the order in which it comes. An error ends Push or End
// with that error. Nil functions are not called.
type Handler struct {
	Reading func(Reading) error
	Opening func(Opening) error
	Frames  func(frames []int16, rate, channels int) error // the sound as it was read, interleaved by channel
}

// Reading is the speed at one instant, and what follows from it.
type Reading struct {
	shaft.Reading
	Heard engine.Seconds // sound read so far
	Open  engine.Seconds // for which the throttle has been fully open; 0: it is not
	Warn  Warning
	Level Level
}

// Rounded gives the reading as programs get it: to 0.1 rpm, 1 ms, 0.001 of a confidence.
func (r Reading) Rounded() Reading {
	const perRPM, perSecond, perShare = 10, 1000, 1000
	r.At, r.Heard, r.Open = rounded(r.At, perSecond), rounded(r.Heard, perSecond), rounded(r.Open, perSecond)
	r.Speed, r.SD, r.Confidence = rounded(r.Speed, perRPM), rounded(r.SD, perRPM), rounded(r.Confidence, perShare)
	return r
}

func rounded[T ~float64](v T, perUnit float64) T { return T(engine.Round(v, perUnit)) }

// Warning says why to let go of the throttle.
type Warning string

// The warnings. There is none that says the opposite: no warning does not mean safe.
const (
	NoWarning Warning = ""
	OverLimit Warning = "over-limit" // surely over the limit for a while
	LetGo     Warning = "let-go"     // at full throttle for long enough without load
)

// Block is how much sound is decoded at a time.
const Block engine.Seconds = 0.01

// AtOnce is the same in samples at resample.Rate, of which so many are pushed at a time.
const AtOnce = 80

// Needle follows one sound. It is not safe for two goroutines.
type Needle struct {
	handle   Handler
	hum      *noise.MainsFilter
	stream   *shaft.Stream
	tape     *tape
	level    levelMeter
	throttle throttle
	warner   warner
	openings openings
}

// New prepares to follow an engine. The errors are those of shaft.NewStream.
func New(o Options, handle Handler) (*Needle, error) {
	stream, err := shaft.NewStream(resample.Rate, o.Machine)
	if err != nil {
		return nil, err
	}
	n := &Needle{
		handle: handle, hum: noise.NewMainsFilter(resample.Rate), stream: stream, tape: newTape(o, handle.Frames),
		throttle: newThrottle(o), warner: warner{machine: o.Machine},
	}
	n.openings.tape = n.tape
	return n, nil
}

// Frames takes the next sound as it is read, interleaved by channel, full scale at 1,
// which is kept for the openings.
func (n *Needle) Frames(frames []float32) { n.tape.add(frames) }

// Push takes the next sound at resample.Rate, which it changes, and tells what it makes
// known. The errors are those of the handler.
func (n *Needle) Push(samples []float32) error {
	n.level.add(samples)
	n.hum.Filter(samples)
	n.stream.Push(samples)
	for {
		r, ok := n.stream.Reading()
		if !ok {
			return n.tape.err
		}
		if err := n.tell(r); err != nil {
			return err
		}
	}
}

// tell passes one reading on, and follows the throttle by it.
func (n *Needle) tell(r shaft.Reading) error {
	heard := n.tape.heard()
	open, closed := n.throttle.next(r)
	n.openings.add(closed)
	if err := n.openings.until(heard, n.handle.Opening); err != nil || n.handle.Reading == nil {
		return err
	}
	return n.handle.Reading(Reading{Reading: r, Heard: heard, Open: open, Warn: n.warner.next(r, open), Level: n.level.level()})
}

// End tells what is still open when the sound has ended. The errors are those of the
// handler.
func (n *Needle) End() error {
	n.openings.add(n.throttle.end(n.tape.heard()))
	return n.openings.until(endless, n.handle.Opening)
}
