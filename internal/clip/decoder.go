package clip

import (
	"errors"
	"io"
	"time"

	"topnote/internal/parallel"
)

// format is what a decoder knows before the first sample.
type format struct {
	container, codec string
	rate             int // samples a second and channel, within Limits
	channels         int // within Limits
	frameBytes       int // of the file, for one sample of every channel; 0 when it varies

	// coded says that the samples are only near those that were recorded: they
	// may pass full scale where those stood at the rails.
	lossy bool

	// A sample whose magnitude lies from railFrom to railTo stands at the rails.
	railFrom, railTo float32
}

// decoder turns the bytes of one container into samples. To add a container,
// write a decoder and give its row in kinds an open function.
//
// Decoders run inside a guard; they may panic on bad data but must not hang.
// They read from an input, whose errors they hand on as they are. One that
// holds more than memory is an io.Closer, too.
type decoder interface {
	format() format
	// decode fills dst, whose length is a multiple of the channels, with the
	// next samples, channel by channel within a frame; full scale is 1. It
	// returns whole frames, 0 only with an error, and io.EOF at the end. Any
	// other error after the first sample ends the sound there, with a remark.
	decode(dst []float32) (int, error)
	// remarks is asked for after io.EOF.
	remarks() []string
}

// errUnsupported is the error of an open function for a recording that it knows but
// cannot decode: what it is, with its article. ffmpeg has it next.
type errUnsupported string

// Error implements error.
func (b errUnsupported) Error() string { return "clip: beyond the decoders built in: " + string(b) }

// open chooses the decoder by the first bytes of in.
func open(in *input) (decoder, error) {
	head, err := in.Peek(sniffed)
	switch {
	case err != nil && !errors.Is(err, io.EOF):
		return nil, err
	case len(head) == 0:
		return nil, sayEmpty()
	case len(head) < shortestHead:
		return nil, sayTooShort(len(head))
	}
	in.kind = sniff(head)
	switch {
	case in.kind.name == "":
		return nil, sayNotAudio(head)
	case in.kind.silent:
		return nil, sayNoRecording(in.kind.name)
	}
	in.mark()
	d, err := in.kind.open(in)
	var b errUnsupported
	if errors.As(err, &b) {
		return openFFmpeg(in, string(b))
	}
	return d, err
}

// guard is the one place where decoders run: it limits their time, and turns a
// panic or an unknown error into a Problem.
type guard struct {
	src   *source
	limit time.Duration
	busy  time.Duration // so far, without waiting for input
}

// run calls f. It returns nil, io.EOF, a *Problem or the error of the context.
// Libraries may hide what went wrong with the input; then that is what it
// returns.
func (g *guard) run(f func() error) error {
	began, waited := time.Now(), g.src.waited
	g.src.allow(g.limit - g.busy)
	err := parallel.Try(f)
	g.busy += time.Since(began) - (g.src.waited - waited)
	var known *Problem
	switch {
	case err != nil && g.src.ctx.Err() != nil:
		return g.src.ctx.Err()
	case err != nil && errors.As(g.src.err, &known):
		return known
	case errors.Is(err, io.EOF) || errors.As(err, &known):
		return err
	case err != nil:
		return sayDecoderFailed(err)
	case g.busy > g.limit:
		return sayTooSlow()
	}
	return nil
}
