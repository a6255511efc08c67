package jobs

import (
	"context"
	"time"

	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/web/fault"
)

// State is how far a job has come.
type State string

// The states of a job.
const (
	Queued  State = "queued"
	Running State = "running"
	Done    State = "done"
	Failed  State = "failed"
)

// Root is where the addresses of the API begin, among them those of jobs.
const Root = "/api/v1"

// Job is one recording that was sent in, as it was at one instant: a copy.
type Job struct {
	ID       string
	Name     string // as its sender calls it, made printable; never the name of a file here
	Machine  string // of the book, by its name there; "": none
	Query    engine.Machine
	State    State
	Position int                 // in the queue, from 1; 0: not waiting
	Progress float64             // 0 to 1, by the pace of the recordings before it
	Problem  *fault.Fault        // why it Failed; nil otherwise
	Result   measure.Measurement // once Done
	Made     time.Time
	Recorded time.Time // as its sender says; Made where nothing was said
	Ended    time.Time // zero: not yet
}

// Address is where the API has the job; its report, sound and pictures are below.
func (j Job) Address() string { return Root + "/clips/" + j.ID }

// Page is where people see the job.
func (j Job) Page() string { return "/clips/" + j.ID }

// Order is what a job is made of.
type Order struct {
	Name, Machine string // as in Job
	Query         engine.Machine
	Recorded      time.Time // zero: not said
	ByBrowser     bool      // the sender's browser decoded the recording
	Original      string    // SHA-256 of the file that it decoded, in hexadecimal; "": not told
	Upload        *Upload
}

// task is a job with what the queue needs for it. Its fields are guarded by
// Queue.mu but for those that never change.
type task struct {
	Job
	order  Order
	ctx    context.Context
	cancel context.CancelFunc
	done   chan struct{}  // closed when the job has ended
	began  time.Time      // of the work
	length engine.Seconds // of its sound; 0: not known yet
	client string         // whose seat it has
}
