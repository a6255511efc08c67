package clip

import (
	"time"

	"topnote/internal/engine"
	"topnote/internal/resample"
)

// Limits are the limits of a recording. They are far above any recording of a pass,
// and keep a wrong or hostile file from exhausting the machine.
type Limits struct {
	Bytes      int64          // of the file; at most 4 GB, as go-audio counts in 32 bits
	Duration   engine.Seconds // of the sound; 8 kHz float32 costs 32 kB a second
	Samples    int64          // of all channels together, as decoded: a small file may hold hours of them
	Channels   int            // in the file, 1 or more
	MinRate    engine.Hz      // of the file
	MaxRate    engine.Hz      // of the file
	DecodeTime time.Duration  // inside the decoder, waiting for input not counted; the life of ffmpeg
}

// DefaultLimits gives the limits that Default has.
func DefaultLimits() Limits {
	return Limits{
		Bytes:      4_000_000_000,
		Duration:   2 * 60 * 60,              // 230 MB of samples
		Samples:    2 * 60 * 60 * 2 * 96_000, // stereo of that length at twice the usual rate
		Channels:   8,
		MinRate:    resample.LowestRate,
		MaxRate:    resample.HighestRate,
		DecodeTime: 5 * time.Minute, // the largest file allowed takes well under one
	}
}

// longest gives how long a sound may be, by Samples, at a rate and with so many
// channels.
func (l Limits) longest(rate, channels int) engine.Seconds {
	return engine.Seconds(float64(l.Samples) / float64(rate*channels))
}
