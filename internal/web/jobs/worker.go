package jobs

import (
	"cmp"
	"context"
	"slices"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/parallel"
	"topnote/internal/web/fault"
)

// Work measures one recording. It calls decoded with the length of the sound once
// that is known, and stops early when ctx ends.
type Work func(ctx context.Context, o Order, decoded func(engine.Seconds)) (measure.Measurement, error)

// outcome is what the work on a job gave.
type outcome struct {
	result measure.Measurement
	err    error
}

// Measure gives the Work that the program uses: measure.Watched, under the limits.
func Measure(o Options) Work {
	return func(ctx context.Context, order Order, decoded func(engine.Seconds)) (measure.Measurement, error) {
		f, err := order.Upload.Open()
		if err != nil {
			return measure.Measurement{}, cmp.Or(ctx.Err(), err) // it is gone when the job was dropped
		}
		defer f.Close() // only read from
		m, err := measure.Watched(ctx, f, order.Name, order.Query, measure.Watch{
			Clip: o.clip(), Decoded: func(i clip.Info) { decoded(i.Duration) },
		})
		if c := &m.Report.Clip; order.ByBrowser && err == nil {
			c.Remarks = append(slices.Clip(c.Remarks), remarkBrowser)
			c.SHA256 = cmp.Or(order.Original, c.SHA256)
		}
		return m, err
	}
}

// run measures one job after the other.
func (q *Queue) run() error {
	for {
		t := q.next()
		if t == nil {
			return nil
		}
		q.finish(t, q.measure(t))
	}
}

// next waits for a job and marks it as taken; nil at the end.
func (q *Queue) next() *task {
	q.mu.Lock()
	defer q.mu.Unlock()
	for len(q.waiting) == 0 && q.ended.Err() == nil {
		q.more.Wait()
	}
	if q.ended.Err() != nil {
		return nil
	}
	t := q.waiting[0]
	q.waiting = slices.Delete(q.waiting, 0, 1)
	t.State, t.began = Running, q.clock()
	return t
}

// measure works on a job. A panic is a fault of this program, which must not take
// the results of others with it: it is an error of this job alone.
func (q *Queue) measure(t *task) (o outcome) {
	o.err = parallel.Try(func() (err error) {
		o.result, err = q.work(t.ctx, t.order, func(length engine.Seconds) {
			q.mu.Lock()
			defer q.mu.Unlock()
			t.length = length
		})
		return err
	})
	return o
}

// finish notes what came of a job, and makes room for the next.
func (q *Queue) finish(t *task, o outcome) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.settle(t, o)
	q.makeRoom()
}

// settle notes what came of a job and frees its seat. It needs mu.
func (q *Queue) settle(t *task, o outcome) {
	t.Ended = q.clock()
	if q.tasks[t.ID] != t {
		o.result.Close() // the job was dropped meanwhile
	}
	if o.err == nil {
		t.State, t.Result, t.Progress = Done, o.result, 1
		q.learnPace(t)
	} else {
		t.State, t.Problem = Failed, fault.Log(q.log, o.err)
	}
	q.release(t.client)
	close(t.done)
	t.cancel()
}

// learnPace takes the time that a job took into the running mean. It needs mu.
func (q *Queue) learnPace(t *task) {
	const weight = 0.3 // of the newest
	if t.length >= 1 {
		q.pace += weight * (t.Ended.Sub(t.began).Seconds()/float64(t.length) - q.pace)
	}
}

// The parts of the work, as shares: decoding comes first and is short; and so
// much is left in the end, however long it takes.
const (
	decodedShare = 0.05
	nearlyDone   = 0.95
)

// progress estimates how far the work on a job is, 0 to 1. It needs mu.
func (q *Queue) progress(t *task) float64 {
	if t.length == 0 {
		return 0
	}
	share := q.clock().Sub(t.began).Seconds() / (float64(t.length) * q.pace)
	return min(nearlyDone, decodedShare+share)
}
