// Package live follows an engine while its sound still comes: the speed a third of a
// second late, and a row for each opening of the throttle as soon as it is over.
//
// Two things are told, and they are not the same. The needle (package needle) knows
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
	"topnote/internal/entry"
	"topnote/internal/needle"
	"topnote/internal/parallel"
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
	return Options{Machine: m, Name: "-", Channels: 1, MinOpen: needle.Default(m, 0).MinOpen}
}

// Handler takes what is heard, in the order in which it comes. An error ends Listen
// with that error. Nil functions are not called.
type Handler struct {
	Reading func(needle.Reading) error
	Row     func(Row) error
	Frames  func(frames []int16, rate, channels int) error // the sound as it was read, interleaved by channel
}

// Listen follows the sound in r until it ends, ctx ends, or handle gives an error. The
// end of ctx is no error: what was open is measured, and Listen gives nil. The errors
// are a *clip.Problem of the sound, a *entry.Refusal of the machine, that of handle,
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
	handle Handler
	sound  *clip.Stream
	needle *needle.Needle
	rows   *rowMaker
}

func newListener(ctx context.Context, r io.Reader, o Options, handle Handler) (*listener, error) {
	err := entry.Check(o.Machine)
	if err != nil {
		return nil, err
	}
	l := &listener{handle: handle, rows: &rowMaker{o: o}}
	r = interruptible(ctx, r)
	if o.Rate != 0 {
		if r, err = clip.RawWAV(r, o.Rate, o.Channels); err != nil {
			return nil, err
		}
	}
	from := clip.Live(needle.Block)
	from.Tap = func(frames []float32) { l.needle.Frames(frames) }
	if l.sound, err = clip.NewStream(context.WithoutCancel(ctx), r, o.Name, from); err != nil {
		return nil, err
	}
	info := l.sound.Info()
	l.needle, err = needle.New(
		needle.Options{Machine: o.Machine, Rate: int(info.SampleRate), Channels: info.Channels, MinOpen: o.MinOpen},
		needle.Handler{Reading: handle.Reading, Opening: l.rows.measure, Frames: handle.Frames},
	)
	return l, err
}

func (l *listener) close() {
	l.rows.wait()
	l.sound.Close() // always nil
}

// run takes the sound in piece by piece.
func (l *listener) run() error {
	buf := make([]float32, needle.AtOnce)
	for {
		n, err := l.sound.Read(buf)
		if err != nil {
			return l.end(err)
		}
		if err := l.needle.Push(buf[:n]); err != nil {
			return err
		}
		if err := l.give(l.rows.ready()); err != nil {
			return err
		}
	}
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
	if err := l.needle.End(); err != nil {
		return err
	}
	l.rows.wait()
	return l.give(l.rows.ready())
}
