package web

import (
	"context"
	"log"
	"net/http"
	"slices"
	"sync"
	"time"

	"topnote/internal/engine"
	"topnote/internal/measure"
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

// Job is one recording that was sent in, as it stood at one instant: a copy.
type Job struct {
	ID       string
	Name     string // as its sender calls it, made printable; never the name of a file here
	Machine  string // of the book, as it was named; "": none
	Query    engine.Machine
	State    State
	Position int                 // in the queue, from 1; 0: not waiting
	Progress float64             // 0 to 1, by the pace of the recordings before it
	Problem  *fault              // why it Failed; nil otherwise
	Result   measure.Measurement // once Done
	Made     time.Time
	Ended    time.Time // zero: not yet
}

// job is a Job with what goes with it. Its fields are guarded by desk.mu but for
// those that never change.
type job struct {
	Job
	bytes   *stored
	browser bool // the sender's browser decoded it
	ctx     context.Context
	cancel  context.CancelFunc
	done    chan struct{}  // closed when it has ended
	began   time.Time      // of the work
	length  engine.Seconds // of its sound; 0: not known yet
	client  string         // whose seat it sits on
}

// order is what a job is made of.
type order struct {
	name, machine string
	query         engine.Machine
	browser       bool // the sender's browser decoded it
	bytes         *stored
}

// queue takes recordings in, has them measured and keeps the results.
type queue struct {
	o       Options
	log     *log.Logger
	clock   func() time.Time
	work    func(*job) outcome // measures; tests put another in its place
	ended   context.Context
	end     context.CancelFunc
	workers sync.WaitGroup

	mu    sync.Mutex
	more  *sync.Cond // the queue has grown, or the end has come
	queue []*job     // waiting, the first first
	jobs  map[string]*job
	seats int            // taken
	by    map[string]int // seats by client
	pace  float64        // seconds of work for each second of sound
}

// firstPace is what the first recording is expected to take, seconds of work for
// each of sound. It is on the slow side: a bar that waits at its end vexes more
// than one that arrives early.
const firstPace = 0.15

func newDesk(o Options, clock func() time.Time, l *log.Logger) *queue {
	d := &queue{o: o, log: l, clock: clock, jobs: map[string]*job{}, by: map[string]int{}, pace: firstPace}
	d.more = sync.NewCond(&d.mu)
	d.work = d.measure
	d.ended, d.end = context.WithCancel(context.Background())
	for range o.Workers {
		d.workers.Go(d.run)
	}
	d.workers.Go(d.tidy)
	return d
}

// close gives all work up and waits until nothing of it is left, but no longer
// than a while: a step of a measurement cannot be ended from outside.
func (d *queue) close(while time.Duration) {
	d.mu.Lock()
	d.end()
	d.more.Broadcast()
	d.mu.Unlock()
	gone := make(chan struct{})
	go func() {
		d.workers.Wait()
		close(gone)
	}()
	select {
	case <-gone:
	case <-time.After(while):
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	for id := range d.jobs {
		d.drop(id)
	}
}

// acquire takes a seat for a client; "" is one that is not counted. The seat is
// given back with stand, or goes to a job with submit. It returns a *fault where
// all are taken.
func (d *queue) acquire(client string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.seats >= d.o.Workers+d.o.Waiting || client != "" && d.by[client] >= d.o.MaxClient {
		return faultBusy(d.o.RetryAfter)
	}
	d.seats++
	if client != "" {
		d.by[client]++
	}
	return nil
}

// release gives a seat back.
func (d *queue) release(client string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.releaseLocked(client)
}

// releaseLocked is stand for those who hold mu.
func (d *queue) releaseLocked(client string) {
	d.seats--
	if client == "" {
		return
	}
	if d.by[client]--; d.by[client] == 0 {
		delete(d.by, client)
	}
}

// submit makes a job that sits on the client's seat until it has ended, and
// holds the recording until it is dropped.
func (d *queue) submit(o order, client string) Job {
	d.mu.Lock()
	defer d.mu.Unlock()
	j := &job{
		Job:   Job{ID: newID(), Name: o.name, Machine: o.machine, Query: o.query, State: Queued, Made: d.clock()},
		bytes: o.bytes, browser: o.browser, done: make(chan struct{}), client: client,
	}
	j.ctx, j.cancel = context.WithCancel(d.ended)
	d.jobs[j.ID] = j
	d.queue = append(d.queue, j)
	d.more.Signal()
	return d.view(j)
}

// get gives a job as it stands; false where there is none of this id.
func (d *queue) get(id string) (Job, bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	j, ok := d.jobs[id]
	if !ok {
		return Job{}, false
	}
	return d.view(j), true
}

// wait waits until a job has ended, and gives it; false where there is none, or
// ctx ended first.
func (d *queue) wait(ctx context.Context, id string) (Job, bool) {
	d.mu.Lock()
	j, ok := d.jobs[id]
	d.mu.Unlock()
	if !ok {
		return Job{}, false
	}
	select {
	case <-j.done:
		d.mu.Lock()
		defer d.mu.Unlock()
		return d.view(j), true
	case <-ctx.Done():
		return Job{}, false
	}
}

// hold gives the recording of a job, for the caller to release; nil where there
// is none.
func (d *queue) hold(id string) *stored {
	d.mu.Lock()
	defer d.mu.Unlock()
	if j, ok := d.jobs[id]; ok {
		return j.bytes.share()
	}
	return nil
}

// remove drops a job, and ends its work at the next step; false where there is
// none.
func (d *queue) remove(id string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.drop(id)
}

// drop is remove for those who hold mu.
func (d *queue) drop(id string) bool {
	j, ok := d.jobs[id]
	if !ok {
		return false
	}
	delete(d.jobs, id)
	if i := slices.Index(d.queue, j); i >= 0 {
		d.queue = slices.Delete(d.queue, i, i+1)
		d.settle(j, outcome{err: context.Canceled})
	}
	j.cancel()
	j.bytes.release()
	j.Result.Close()
	return true
}

// view gives a job as it stands, for those who hold mu.
func (d *queue) view(j *job) Job {
	seen := j.Job
	seen.Position = slices.Index(d.queue, j) + 1
	if j.State == Running {
		seen.Progress = d.progress(j)
	}
	return seen
}

// The parts of the work, as shares: decoding comes first and is short; and so
// much is left in the end, however long it takes.
const (
	decodedShare = 0.05
	nearlyDone   = 0.95
)

// progress reckons how far the work on a job may be.
func (d *queue) progress(j *job) float64 {
	if j.length == 0 {
		return 0
	}
	share := d.clock().Sub(j.began).Seconds() / (float64(j.length) * d.pace)
	return min(nearlyDone, decodedShare+share)
}

// run measures one job after the other.
func (d *queue) run() {
	for {
		j := d.next()
		if j == nil {
			return
		}
		o := d.guarded(j)
		d.mu.Lock()
		d.settle(j, o)
		d.makeRoom()
		d.mu.Unlock()
	}
}

// next waits for a job and marks it as taken; nil at the end.
func (d *queue) next() *job {
	d.mu.Lock()
	defer d.mu.Unlock()
	for len(d.queue) == 0 && d.ended.Err() == nil {
		d.more.Wait()
	}
	if d.ended.Err() != nil {
		return nil
	}
	j := d.queue[0]
	d.queue = slices.Delete(d.queue, 0, 1)
	j.State, j.began = Running, d.clock()
	return j
}

// settle writes down what came of a job and frees its seat, for those who hold
// mu.
func (d *queue) settle(j *job, o outcome) {
	j.Ended = d.clock()
	if d.jobs[j.ID] != j {
		o.result.Close() // the job was dropped meanwhile
	}
	if o.err == nil {
		j.State, j.Result, j.Progress = Done, o.result, 1
		if j.length >= 1 {
			const weight = 0.3 // of the newest
			d.pace += weight * (j.Ended.Sub(j.began).Seconds()/float64(j.length) - d.pace)
		}
	} else {
		j.State, j.Problem = Failed, faultOf(o.err)
		if j.Problem.status == http.StatusInternalServerError {
			d.log.Printf("%v", o.err)
		}
	}
	d.releaseLocked(j.client)
	close(j.done)
	j.cancel()
}

// makeRoom drops the oldest results beyond what is kept, for those who hold mu.
func (d *queue) makeRoom() {
	var ended []*job
	var sound engine.Seconds
	var bytes int64
	for _, j := range d.jobs {
		bytes += j.bytes.size
		if !j.Ended.IsZero() {
			ended = append(ended, j)
			sound += j.length
		}
	}
	slices.SortFunc(ended, func(a, b *job) int { return a.Ended.Compare(b.Ended) })
	for i, j := range ended {
		fits := len(ended)-i <= d.o.Kept && sound <= d.o.KeptSound && bytes <= d.o.KeptBytes
		if fits && d.clock().Sub(j.Ended) < d.o.Expiry {
			return
		}
		d.drop(j.ID)
		sound -= j.length
		bytes -= j.bytes.size
	}
}

// tidyEvery is how often results are looked at for their age.
const tidyEvery = 30 * time.Second

// tidy drops what has expired.
func (d *queue) tidy() {
	t := time.NewTicker(tidyEvery)
	defer t.Stop()
	for {
		select {
		case <-t.C:
			d.mu.Lock()
			d.makeRoom()
			d.mu.Unlock()
		case <-d.ended.Done():
			return
		}
	}
}
