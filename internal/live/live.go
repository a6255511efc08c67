// Package live follows an engine while its sound still comes: the speed a third of a
// second late, and a row for each opening of the throttle as soon as it is over.
//
// Two things are told, and they are not the same. The needle is shaft.Stream: it knows
// nothing of what comes, and so never says that a speed is safe; it only says when to
// let go. The row is the whole measurement (package measure) of the sound of one
// opening, as if that had been recorded by itself: only it judges.
//
// Start with Listen. docs/live.md says how late and how sure the two are.
package live

import (
	"context"
	"errors"
	"io"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/noise"
	"topnote/internal/parallel"
	"topnote/internal/shaft"
)

// Options says what is listened to, and for what.
type Options struct {
	Machine  engine.Machine
	Name     string         // of the sound, in the reports of its rows
	Rate     int            // of raw samples of 16 bits, little-endian, a second; 0: the sound says what it is
	Channels int            // of raw samples
	MinOpen  engine.Seconds // openings of the throttle shorter than that are no row
}

// Default gives the options in use for a machine.
func Default(m engine.Machine) Options {
	return Options{Machine: m, Name: "-", Channels: 1, MinOpen: 0.5}
}

// Handler takes what is heard, in the order in which it comes. An error ends Listen
// with that error. Nil functions are not called.
type Handler struct {
	Reading func(Reading) error
	Row     func(Row) error
	Opening func(Opening) error                            // in the place of Row: for whoever measures them elsewhere
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

// Warning says why to let go of the throttle.
type Warning string

// The warnings. There is none that says the opposite: no warning does not mean safe.
const (
	NoWarning Warning = ""
	OverLimit Warning = "over-limit" // surely over the limit for a while
	LetGo     Warning = "let-go"     // at full throttle for long enough without load
)

const (
	block engine.Seconds = 0.01 // of sound that is decoded at a time

	// samplesAtOnce is the same at clip.WorkingRate.
	samplesAtOnce = 80
)

// Listen follows the sound in r until it ends, ctx ends, or handle gives an error. The
// end of ctx is no error: what was open is measured, and Listen gives nil. The errors
// are a *clip.Problem of the sound, a *measure.Refusal of the machine, that of handle,
// and a *parallel.Panic for a fault of its own.
func Listen(ctx context.Context, r io.Reader, o Options, handle Handler) error {
	return parallel.Try(func() error {
		l, err := newListener(ctx, r, o, handle)
		if err != nil {
			return err
		}
		defer l.close()
		return l.run()
	})
}

// listener is the state of Listen.
type listener struct {
	ctx      context.Context
	o        Options
	handle   Handler
	sound    *clip.Stream
	hum      *noise.MainsFilter
	stream   *shaft.Stream
	tape     *tape
	level    levelMeter
	throttle throttle
	needle   needle
	rows     *rowMaker
}

func newListener(ctx context.Context, r io.Reader, o Options, handle Handler) (*listener, error) {
	if err := measure.Check(o.Machine); err != nil {
		return nil, err
	}
	stream, err := shaft.NewStream(clip.WorkingRate, o.Machine)
	if err != nil {
		return nil, err
	}
	l := &listener{ctx: ctx, o: o, handle: handle, hum: noise.NewMainsFilter(clip.WorkingRate), stream: stream, tape: &tape{frames: handle.Frames}}
	r = interruptible(ctx, r)
	if o.Rate != 0 {
		if r, err = clip.RawWAV(r, o.Rate, o.Channels); err != nil {
			return nil, err
		}
	}
	from := clip.Live(block)
	from.Tap = l.tape.add
	if l.sound, err = clip.NewStream(context.WithoutCancel(ctx), r, o.Name, from); err != nil {
		return nil, err
	}
	info := l.sound.Info()
	l.tape.start(int(info.SampleRate), info.Channels)
	l.throttle = newThrottle(o)
	l.needle = needle{machine: o.Machine}
	l.rows = newRowMaker(o, l.tape, handle.Opening)
	return l, nil
}

func (l *listener) close() {
	l.rows.wait()
	l.sound.Close() // always nil
}

// run takes the sound in piece by piece.
func (l *listener) run() error {
	buf := make([]float32, samplesAtOnce)
	for {
		n, err := l.sound.Read(buf)
		if err != nil {
			return l.end(err)
		}
		l.level.add(buf[:n])
		l.hum.Filter(buf[:n])
		l.stream.Push(buf[:n])
		for {
			r, ok := l.stream.Reading()
			if !ok {
				break
			}
			if err := l.tell(r); err != nil {
				return err
			}
		}
		if err := errors.Join(l.tape.err, l.give(l.rows.ready())); err != nil {
			return err
		}
	}
}

// tell passes one reading on, and follows the throttle by it.
func (l *listener) tell(r shaft.Reading) error {
	heard := l.tape.heard()
	open, closed := l.throttle.next(r)
	if closed != nil {
		l.rows.measure(*closed)
	}
	l.rows.until(heard)
	if l.handle.Reading == nil {
		return nil
	}
	return l.handle.Reading(Reading{Reading: r, Heard: heard, Open: open, Warn: l.needle.next(r, open), Level: l.level.level()})
}

// give passes rows on.
func (l *listener) give(rows []Row) error {
	for _, r := range rows {
		if r.err != nil {
			return r.err
		}
		if l.handle.Row == nil {
			continue
		}
		if err := l.handle.Row(r); err != nil {
			return err
		}
	}
	return nil
}

// end measures what is still open when the sound has ended.
func (l *listener) end(err error) error {
	if !errors.Is(err, io.EOF) {
		return err
	}
	if closed := l.throttle.end(l.tape.heard()); closed != nil {
		l.rows.measure(*closed)
	}
	l.rows.until(endless)
	l.rows.wait()
	return l.give(l.rows.ready())
}
