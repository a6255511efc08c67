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
	rate             int  // samples a second and channel, within Limits
	channels         int  // within Limits
	contradicts      bool // the header gives rates or sizes that cannot all be true
	frameBytes       int  // of the file, for one sample of every channel; 0 when it varies

	// lossy: the samples differ from those that were recorded, and may pass full
	// scale where those were clipped.
	lossy bool

	// A sample whose magnitude is from fullScaleFrom to fullScaleTo is at full scale:
	// it counts as clipped.
	fullScaleFrom, fullScaleTo float32
}

// decoder turns the bytes of one container into samples. To add a container,
// write a decoder and give its row in kinds an open function.
//
// Decoders run inside a guard: they may panic on bad data but must not hang. They
// read from an input and return its errors unchanged. One that holds more than
// memory is an io.Closer as well.
type decoder interface {
	format() format
	// decode writes the next samples to dst, interleaved by channel, full scale 1;
	// the length of dst is a multiple of the channels. It returns how many it wrote,
	// whole frames, 0 only with an error, which is io.EOF at the end. Any other
	// error after the first sample ends the sound there, with a remark.
	decode(dst []float32) (int, error)
	// remarks is called after io.EOF.
	remarks() []string
}

// errUnsupported is the error of an open function for a recording of a known kind
// that it cannot decode: the kind, with its article. Then ffmpeg is tried.
type errUnsupported string

// Error implements error.
func (what errUnsupported) Error() string { return "clip: no decoder built in for " + string(what) }

// open chooses the decoder by the first bytes of in.
func open(in *input) (decoder, error) {
	head, err := in.Peek(sniffBytes)
	switch {
	case err != nil && !errors.Is(err, io.EOF):
		return nil, err
	case len(head) == 0:
		return nil, sayEmpty()
	case len(head) < minHead:
		return nil, sayTooShort(len(head))
	}
	in.kind = sniff(head)
	switch {
	case in.kind.name == "":
		return nil, sayNotAudio(head)
	case in.kind.notSound:
		return nil, sayNoRecording(in.kind.name)
	}
	in.mark()
	d, err := in.kind.open(in)
	var what errUnsupported
	if errors.As(err, &what) {
		return openFFmpeg(in, string(what))
	}
	return d, err
}

// guard runs decoders: it limits their time, and turns a panic or an unknown error
// into a *Problem.
type guard struct {
	src   *source
	limit time.Duration
	busy  time.Duration // time in the decoder so far, without waiting for input
}

// run calls f and returns nil, io.EOF, a *Problem or the error of the context. An
// error of the input has priority over that of f, since libraries may replace it.
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
