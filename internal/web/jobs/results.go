package jobs

import (
	"bytes"
	"context"
	"io"
	"slices"
	"time"

	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/report"
	"topnote/internal/web/fault"
)

// Result gives a job that is done; a *fault.Fault for any other.
func (q *Queue) Result(id string) (Job, error) {
	j, ok := q.Get(id)
	if !ok {
		return Job{}, fault.NoJob()
	}
	if j.State != Done {
		return Job{}, notDone(j)
	}
	return j, nil
}

// Finished gives the measured clips, the newest first.
func (q *Queue) Finished() []Job {
	q.mu.Lock()
	defer q.mu.Unlock()
	var list []Job
	for _, t := range q.tasks {
		if t.State == Done {
			list = append(list, q.view(t))
		}
	}
	slices.SortFunc(list, func(a, b Job) int { return b.Made.Compare(a.Made) })
	return list
}

// Compare compares the results of jobs, and gives the jobs with it, in this order.
// It takes a moment of a core: call it within InTurn or Draw.
func (q *Queue) Compare(ids []string) (measure.Comparison, []Job, error) {
	if len(ids) > report.MaxPasses {
		ids = ids[:report.MaxPasses+1] // enough to be refused
	}
	var jobs []Job
	var passes []measure.Measurement
	for _, id := range ids {
		j, err := q.Result(id)
		if err != nil {
			return measure.Comparison{}, nil, err
		}
		if len(jobs) > 0 && j.asMachine() != jobs[0].asMachine() {
			return measure.Comparison{}, nil, otherEntries()
		}
		jobs, passes = append(jobs, j), append(passes, j.Result)
	}
	c, err := measure.Compare(passes)
	return c, jobs, err
}

// asMachine gives the machine that a job was measured as, whatever state it was in.
func (j Job) asMachine() engine.Machine {
	m := j.Query
	m.State = engine.State{}
	return m
}

// InTurn calls do, which takes a moment of a core. No more such calls run at once
// than Workers; the error is that of do, or a *fault.Fault where ctx ended first.
func (q *Queue) InTurn(ctx context.Context, do func() error) error {
	select {
	case q.drawing <- struct{}{}:
		defer func() { <-q.drawing }()
		return do()
	case <-ctx.Done():
		return fault.Gone()
	}
}

// Draw gives what write writes, in turn as InTurn has it.
func (q *Queue) Draw(ctx context.Context, write func(io.Writer) error) ([]byte, error) {
	var b bytes.Buffer
	err := q.InTurn(ctx, func() error { return write(&b) })
	return b.Bytes(), err
}

// makeRoom drops the oldest results beyond what is kept. It needs mu.
func (q *Queue) makeRoom() {
	var ended []*task
	var sound engine.Seconds
	var bytes int64
	for _, t := range q.tasks {
		bytes += t.order.Upload.Size()
		if !t.Ended.IsZero() {
			ended = append(ended, t)
			sound += t.length
		}
	}
	slices.SortFunc(ended, func(a, b *task) int { return a.Ended.Compare(b.Ended) })
	for i, t := range ended {
		fits := len(ended)-i <= q.o.Kept && sound <= q.o.KeptSound && bytes <= q.o.KeptBytes
		if fits && q.clock().Sub(t.Ended) < q.o.Expiry {
			return
		}
		q.remove(t.ID)
		sound -= t.length
		bytes -= t.order.Upload.Size()
	}
}

// tidyEvery is how often results are looked at for their age.
const tidyEvery = 30 * time.Second

// tidy drops results that have expired.
func (q *Queue) tidy() error {
	t := time.NewTicker(tidyEvery)
	defer t.Stop()
	for {
		select {
		case <-t.C:
			q.mu.Lock()
			q.makeRoom()
			q.mu.Unlock()
		case <-q.ended.Done():
			return nil
		}
	}
}
