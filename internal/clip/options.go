package clip

import (
	"time"

	"topnote/internal/engine"
	"topnote/internal/resample"
)

// Options has every number of this package that was tuned.
type Options struct {
	Limits Limits

	// FFmpeg is the program that decodes what nothing here can: a name to look
	// up or a path; empty for none.
	FFmpeg string

	// PipeWait is how long a program may take to open a named pipe for writing
	// before the pipe is refused: a program started just before, in another window, is there by then.
	PipeWait time.Duration

	// InMemory is the longest sound that Collect keeps in memory, at 32 kB a second;
	// a longer one goes to a temporary file. A pass is far shorter, so that none is
	// written for it.
	InMemory engine.Seconds

	// SamplesOnly says that nobody asks for the band and the integrity of the sound, which
	// cost as much as all else.
	SamplesOnly bool

	// Lookahead is how much of a recording with several channels is decoded before
	// channels are chosen, over 0. Passes last seconds, so that most recordings are
	// compared whole; more costs 32 kB a second and channel.
	Lookahead engine.Seconds
	// DeadBelow is how far under the strongest channel another counts as dead, dB,
	// over 0: further than crosstalk in a cable or recorder.
	DeadBelow engine.Decibel
	// WeakBelow is how far under the strongest channel another is left out of the
	// mix, dB, over 0. With the same noise in both, a channel with g times the
	// signal improves an even mix of two only where (1+g)^2/2 > 1, that is down to
	// g = sqrt(2)-1 or -7.7 dB.
	WeakBelow engine.Decibel
	// CancelBelow is how far a mix may be under one of uncorrelated channels of the
	// same strength, dB, over 0. 3 dB is a correlation of -0.5 between two channels:
	// they are of opposite polarity, or nearly so.
	CancelBelow engine.Decibel
	// SpoiltOver is the share of spoilt samples, percent, from which they matter: a
	// channel with so many more at full scale than another is left out, and a file of
	// floats with more that are no numbers is refused as damaged.
	SpoiltOver float64

	// Block is how much sound is decoded at a time; 0: some 0.3 s at the rates of
	// phones. Of a sound that is still coming, nothing is read before a block is there.
	Block engine.Seconds
	// Tap is called with each block that was decoded, frames interleaved by channel,
	// which are valid until it returns; nil: not called.
	Tap func(frames []float32)

	Filter    resample.Filter
	Integrity IntegrityOptions
	Band      Band
}

// Default gives the options that Open and Read use.
func Default() Options {
	return Options{
		Limits:      DefaultLimits(),
		FFmpeg:      "ffmpeg",
		PipeWait:    5 * time.Second,
		InMemory:    300,
		Lookahead:   60,
		DeadBelow:   30,
		WeakBelow:   8,
		CancelBelow: 3,
		SpoiltOver:  0.5,
		Filter:      resample.Default(),
		Integrity:   defaultIntegrity(),
		Band:        Band{LowUnder: 20, HighUnder: 40, Lowest: 40, Step: 100},
	}
}
