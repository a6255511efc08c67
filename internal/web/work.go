package web

import (
	"cmp"
	"fmt"
	"os"
	"runtime/debug"
	"slices"

	"topnote/internal/clip"
	"topnote/internal/measure"
)

// outcome is what the work on a job came to.
type outcome struct {
	result measure.Measurement
	err    error
}

// guarded works on a job. A panic below is a fault of this program, which must not
// take the results of others with it.
func (d *queue) guarded(j *job) (o outcome) {
	defer func() {
		if p := recover(); p != nil {
			o = outcome{err: fmt.Errorf("web: panic while measuring: %v\n%s", p, debug.Stack())}
		}
	}()
	return d.work(j)
}

// measure measures a job.
func (d *queue) measure(j *job) (o outcome) {
	f, err := os.Open(j.bytes.path)
	if err != nil {
		return outcome{err: cmp.Or(j.ctx.Err(), err)} // it is gone when the job was dropped
	}
	defer f.Close() // only read from
	options := clip.Default()
	options.Limits.Bytes, options.Limits.Duration, options.Limits.DecodeTime = d.o.MaxBody, d.o.MaxSound, d.o.MaxDecode
	o.result, o.err = measure.Watched(j.ctx, f, j.Name, j.Query, measure.Watch{Clip: options, Decoded: func(i clip.Info) {
		d.mu.Lock()
		defer d.mu.Unlock()
		j.length = i.Duration
	}})
	if c := &o.result.Report.Clip; j.browser && o.err == nil {
		c.Remarks = append(slices.Clip(c.Remarks), remarkBrowser)
	}
	return o
}
