package web

import (
	"time"

	"topnote/internal/web/access"
	"topnote/internal/web/jobs"
	"topnote/internal/web/pace"
)

// Options are the limits of the server. Start from Default.
type Options struct {
	Jobs   jobs.Options
	Pace   pace.Options
	Access access.Options

	// StopTime is how long answers that are under way may take to end when the
	// server stops, 3 s.
	StopTime time.Duration
}

// Default gives the limits that the program uses.
func Default() Options {
	return Options{Jobs: jobs.Default(), Pace: pace.Default(), Access: access.Default(), StopTime: 3 * time.Second}
}
