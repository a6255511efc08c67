package web

import (
	"runtime"
	"time"

	"topnote/internal/engine"
)

// Options are the limits of the server, all of them judgements. Start from
// Default.
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
	// RetryAfter is what is asked of those who find no seat, 5 s.
	RetryAfter time.Duration

	// Kept, KeptSound and KeptBytes bound the results that are kept: 64 of them,
	// 1 h of sound (115 MB, in memory where a recording is short), 1 GB of recordings
	// on the disk. The oldest make room.
	Kept      int
	KeptSound engine.Seconds
	KeptBytes int64
	// Expiry is how long after its end a result is kept, 1 h.
	Expiry time.Duration

	// HeaderTime is how long a client may take to send its headers, 10 s, and
	// Quiet how long it may say nothing while it sends a body, 10 s.
	HeaderTime, Quiet time.Duration
	// BodyTime is how long the whole of a recording may take, 10 min, and MinPace
	// the bytes a second that it must come with after the first Quiet, 8000: a slow
	// mobile connection has more.
	BodyTime time.Duration
	MinPace  float64
	// AnswerTime is how long a client may take to fetch an answer, 1 min, and
	// PlayTime the same for a recording, 10 min.
	AnswerTime, PlayTime time.Duration
	// Conns is how many connections are open at once, 512.
	Conns int

	// FreeTries is how many wrong codes an address may send before it has to wait,
	// 5. Each further one doubles the wait, from 1 s to MaxWait, 1 min.
	FreeTries int
	MaxWait   time.Duration

	// StopTime is how long answers that are under way may take to end when the
	// server stops, 3 s.
	StopTime time.Duration
}

// Default gives the limits that the program uses.
func Default() Options {
	return Options{
		MaxBody: 200_000_000, MaxSound: 300, MaxDecode: time.Minute,
		Workers: runtime.GOMAXPROCS(0), Waiting: 16, MaxClient: 8, RetryAfter: 5 * time.Second,
		Kept: 64, KeptSound: 3600, KeptBytes: 1_000_000_000, Expiry: time.Hour,
		HeaderTime: 10 * time.Second, Quiet: 10 * time.Second, BodyTime: 10 * time.Minute, MinPace: 8000,
		AnswerTime: time.Minute, PlayTime: 10 * time.Minute, Conns: 512,
		FreeTries: 5, MaxWait: time.Minute,
		StopTime: 3 * time.Second,
	}
}
