package jobs

import (
	"context"
	"log"
	"slices"
	"sync"
	"time"

	"topnote/internal/parallel"
	"topnote/internal/web/fault"
)

// Queue has the jobs: those that wait, those that are measured, and the results.
// Its methods may be called from any goroutine.
type Queue struct {
	o       Options
	log     *log.Logger
	clock   func() time.Time
	work    Work
	drawing chan struct{} // holds as many as may draw at once
	ended   context.Context
	end     context.CancelFunc
	workers sync.WaitGroup

	mu      sync.Mutex
	more    *sync.Cond // the queue has grown, or the end has come
	waiting []*task    // the first first
	tasks   map[string]*task
	seats   int            // taken
	seatsOf map[string]int // by client
	pace    float64        // seconds of work for each second of sound
}

// firstPace is what the first recording is expected to take, seconds of work for
// each of sound. It is on the slow side: a progress bar that waits at its end is
// worse than one that arrives early.
const firstPace = 0.15

// New gives a queue whose workers measure by work. Faults of the program go to l.
// The caller closes it.
func New(o Options, work Work, l *log.Logger) *Queue { return newQueue(o, work, l, time.Now) }

func newQueue(o Options, work Work, l *log.Logger, clock func() time.Time) *Queue {
	q := &Queue{
		o: o, log: l, clock: clock, work: work, drawing: make(chan struct{}, o.Workers),
		tasks: map[string]*task{}, seatsOf: map[string]int{}, pace: firstPace,
	}
	q.more = sync.NewCond(&q.mu)
	q.ended, q.end = context.WithCancel(context.Background())
	for range o.Workers {
		q.start(q.run)
	}
	q.start(q.tidy)
	return q
}

// start runs a loop of the queue in a goroutine of its own. A panic in it is a
// fault of the queue itself: it is logged and ends the loop, not the program.
func (q *Queue) start(loop func() error) {
	q.workers.Go(func() {
		if err := parallel.Try(loop); err != nil {
			fault.LogError(q.log, err)
		}
	})
}

// End cancels all work, so that clients that wait for a result get an answer.
func (q *Queue) End() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.end()
	q.more.Broadcast()
}

// Close cancels all work, waits until it has ended, but no longer than limit, and
// drops all jobs.
func (q *Queue) Close(limit time.Duration) {
	q.End()
	gone := make(chan struct{})
	go func() { // it has nothing in it that can panic
		q.workers.Wait()
		close(gone)
	}()
	select {
	case <-gone:
	case <-time.After(limit):
	}
	q.RemoveAll()
}

// Acquire takes a seat for a client; "" is one that is not counted. The caller
// gives it back with Release, or passes it on to a job with Submit. It returns a
// *fault.Fault where all are taken.
func (q *Queue) Acquire(client string) error {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.seats >= q.o.Workers+q.o.Waiting || client != "" && q.seatsOf[client] >= q.o.MaxClient {
		return fault.Busy(q.o.RetryAfter)
	}
	q.seats++
	if client != "" {
		q.seatsOf[client]++
	}
	return nil
}

// Release gives a seat back.
func (q *Queue) Release(client string) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.release(client)
}

// release needs mu.
func (q *Queue) release(client string) {
	q.seats--
	if client == "" {
		return
	}
	if q.seatsOf[client]--; q.seatsOf[client] == 0 {
		delete(q.seatsOf, client)
	}
}

// Seats gives how many seats are taken.
func (q *Queue) Seats() int {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.seats
}

// Submit makes a job that has the client's seat until it has ended, and the
// recording until it is dropped.
func (q *Queue) Submit(o Order, client string) Job {
	q.mu.Lock()
	defer q.mu.Unlock()
	now := q.clock()
	t := &task{
		Job:   Job{ID: newID(), Name: o.Name, Machine: o.Machine, Query: o.Query, State: Queued, Made: now, Recorded: now},
		order: o, done: make(chan struct{}), client: client,
	}
	if !o.Recorded.IsZero() {
		t.Recorded = o.Recorded
	}
	t.ctx, t.cancel = context.WithCancel(q.ended)
	q.tasks[t.ID] = t
	q.waiting = append(q.waiting, t)
	q.more.Signal()
	return q.view(t)
}

// Get gives a job as it is now; false where there is none of this id.
func (q *Queue) Get(id string) (Job, bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	t, ok := q.tasks[id]
	if !ok {
		return Job{}, false
	}
	return q.view(t), true
}

// Wait waits until a job has ended, and gives it; false where there is none, or
// ctx ended first.
func (q *Queue) Wait(ctx context.Context, id string) (Job, bool) {
	q.mu.Lock()
	t, ok := q.tasks[id]
	q.mu.Unlock()
	if !ok {
		return Job{}, false
	}
	select {
	case <-t.done:
		q.mu.Lock()
		defer q.mu.Unlock()
		return q.view(t), true
	case <-ctx.Done():
		return Job{}, false
	}
}

// Upload gives the recording of a job, for the caller to release; nil where there
// is none.
func (q *Queue) Upload(id string) *Upload {
	q.mu.Lock()
	defer q.mu.Unlock()
	if t, ok := q.tasks[id]; ok {
		return t.order.Upload.Retain()
	}
	return nil
}

// Remove drops a job and cancels its work; false where there is none.
func (q *Queue) Remove(id string) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.remove(id)
}

// RemoveAll drops all jobs.
func (q *Queue) RemoveAll() {
	q.mu.Lock()
	defer q.mu.Unlock()
	for id := range q.tasks {
		q.remove(id)
	}
}

// remove needs mu.
func (q *Queue) remove(id string) bool {
	t, ok := q.tasks[id]
	if !ok {
		return false
	}
	delete(q.tasks, id)
	if i := slices.Index(q.waiting, t); i >= 0 {
		q.waiting = slices.Delete(q.waiting, i, i+1)
		q.settle(t, outcome{err: context.Canceled})
	}
	t.cancel()
	t.order.Upload.Release()
	t.Result.Close()
	return true
}

// view gives a job as it is now. It needs mu.
func (q *Queue) view(t *task) Job {
	j := t.Job
	j.Position = slices.Index(q.waiting, t) + 1
	if t.State == Running {
		j.Progress = q.progress(t)
	}
	return j
}
