package jobs

import (
	"runtime"
	"time"

	"topnote/internal/clip"
	"topnote/internal/engine"
)

// Options are the limits of recordings and of the work on them, all of them
// judgements. Start from Default.
type Options struct {
	// MaxBody is the size of a recording that is taken, bytes: 200 MB, an hour and
	// more of sound as phones write it.
	MaxBody int64
	// MaxSound is its length, seconds, whatever its size: 300. A pass lasts seconds;
	// one second of sound costs about 15 ms of one core, and 32 kB for as long as the
	// result is kept.
	MaxSound engine.Seconds
	// MaxDecode is how long decoding may work on it, 1 min.
	MaxDecode time.Duration

	// Workers is how many clips are measured at once, and how many pictures and
	// pages are drawn at once: one for each core.
	Workers int
	// Waiting is how many clips may be on their way in or in the queue beside
	// those that are measured, 16.
	Waiting int
	// MaxClient is how many of these seats one address of the network may take,
	// 8; on loopback, where all have one address, it does not count.
	MaxClient int
	// RetryAfter is when a client that found no seat may try again, 5 s.
	RetryAfter time.Duration

	// Kept, KeptSound and KeptBytes bound the results that are kept: 64 of them,
	// 1 h of sound (115 MB, in memory where a recording is short), 1 GB of recordings
	// on the disk. The oldest make room.
	Kept      int
	KeptSound engine.Seconds
	KeptBytes int64
	// Expiry is how long after its end a result is kept, 1 h.
	Expiry time.Duration
}

// Default gives the limits that the program uses.
func Default() Options {
	return Options{
		MaxBody: 200_000_000, MaxSound: 300, MaxDecode: time.Minute,
		Workers: runtime.GOMAXPROCS(0), Waiting: 16, MaxClient: 8, RetryAfter: 5 * time.Second,
		Kept: 64, KeptSound: 3600, KeptBytes: 1_000_000_000, Expiry: time.Hour,
	}
}

// MaxStored is how many bytes a Store may need at once: those of the results that
// are kept, and of one more that is on its way in.
func (o Options) MaxStored() int64 { return o.KeptBytes + o.MaxBody }

// clip gives the limits of decoding.
func (o Options) clip() clip.Options {
	c := clip.Default()
	c.Limits.Bytes, c.Limits.Duration, c.Limits.DecodeTime = o.MaxBody, o.MaxSound, o.MaxDecode
	return c
}
