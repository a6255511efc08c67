package access

import "time"

// Options are the limits of connections and of wrong access codes, all of them
// judgements. Start from Default.
type Options struct {
	// HeaderTime is how long a client may take to send its headers, 10 s.
	HeaderTime time.Duration
	// IdleTime is how long a connection may stay open between two requests, 1 min.
	IdleTime time.Duration
	// Connections is how many are open at once, 512.
	Connections int

	// FreeTries is how many wrong codes an address may send before it has to wait,
	// 5. Each further one doubles the wait, from 1 s to MaxWait, 1 min.
	FreeTries int
	MaxWait   time.Duration
}

// Default gives the limits that the program uses.
func Default() Options {
	return Options{
		HeaderTime: 10 * time.Second, IdleTime: time.Minute, Connections: 512,
		FreeTries: 5, MaxWait: time.Minute,
	}
}
