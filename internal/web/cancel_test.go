package web

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"testing"
	"time"

	"topnote/internal/audio"
	"topnote/internal/audio/audiotest"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/measure"
	"topnote/internal/web/jobs"
)

// TestCancelEndsTheMeasurement deletes a clip of five minutes while the shaft is
// followed through it: the worker is free in a small part of the time that the clip
// would take, which a clip of a twentieth of its length shows.
func TestCancelEndsTheMeasurement(t *testing.T) {
	const long, part = 300, 20 // s; of it the twentieth
	took := make(chan time.Duration, 1)
	ended := make(chan error, 1)
	x := serve(t, func(c *Config) { c.Options.Jobs.Workers = 1 })
	x.bench.replace(func(ctx context.Context, o jobs.Order, decoded func(engine.Seconds)) (measure.Measurement, error) {
		var began time.Time
		m, err := x.bench.usual(ctx, o, func(length engine.Seconds) {
			decoded(length)
			began = time.Now()
		})
		took <- time.Since(began)
		ended <- err
		return m, err
	})
	x.post("/api/v1/clips?wait=1", repeated(t, "mixed", long/part)).want(t, http.StatusOK)
	expected := part * <-took
	if err := <-ended; err != nil {
		t.Fatal(err)
	}

	recording := repeated(t, "mixed", long)
	cancelled := func() (waited time.Duration, err error) {
		var j jobBody
		x.post("/api/v1/clips", recording).want(t, http.StatusAccepted).into(t, &j)
		eventually(t, "the sound is decoded", func() bool {
			x.get(j.Links.Self).want(t, http.StatusOK).into(t, &j)
			return j.Progress > 0
		})
		began := time.Now()
		x.do(x.request("DELETE", j.Links.Self, nil)).want(t, http.StatusNoContent)
		err = <-ended
		<-took
		return time.Since(began), err
	}
	const tries = 5 // for machines that do other things
	waited, err := cancelled()
	for try := 1; (err == nil || waited > expected/4) && try < tries; try++ {
		waited, err = cancelled()
	}
	if !errors.Is(err, context.Canceled) || waited > expected/4 {
		t.Errorf("it ended with %v after %v; the whole would have taken %v", err, waited, expected)
	}
	x.replaceWork(nil)
	x.healthy()
	wantEmptyStore(t, forgetAll(x))
}

// repeated gives so many seconds of a shipped pass, over and over, as WAV.
func repeated(t *testing.T, name string, seconds int) []byte {
	t.Helper()
	s, err := clip.Open(sample(t, name+".wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	once := audiotest.All(s.Samples)
	n := seconds * int(s.Rate)
	return wav(t, audio.Memory(slices.Repeat(once, n/len(once)+1)[:n]))
}
