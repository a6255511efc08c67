package jobs

import (
	"context"
	"io"
	"log"
	"strings"
	"testing"
	"time"

	"topnote/internal/engine"
	"topnote/internal/measure"
)

// soon is how long a test waits for what takes no time but that of others.
const soon = 30 * time.Second

// quietQueue is a queue whose work gives an empty result at once.
func quietQueue(t *testing.T, o Options) *Queue {
	t.Helper()
	q := New(o, noWork, log.New(io.Discard, "", 0))
	t.Cleanup(func() { q.Close(soon) })
	return q
}

func noWork(context.Context, Order, func(engine.Seconds)) (measure.Measurement, error) {
	return measure.Measurement{}, nil
}

// TestClientsShareSeats has one address of the network take no more than its part.
func TestClientsShareSeats(t *testing.T) {
	o := Default()
	q := quietQueue(t, o)
	for range o.MaxClient {
		if err := q.Acquire("192.0.2.1"); err != nil {
			t.Fatal(err)
		}
	}
	if err := q.Acquire("192.0.2.1"); err == nil {
		t.Error("one address may take all seats")
	}
	if err := q.Acquire("192.0.2.2"); err != nil {
		t.Errorf("another: %v", err)
	}
	q.Release("192.0.2.1")
	if err := q.Acquire("192.0.2.1"); err != nil {
		t.Errorf("after one was given back: %v", err)
	}
	for range o.MaxClient {
		q.Release("192.0.2.1")
	}
	q.Release("192.0.2.2")
	if q.Seats() != 0 || len(q.seatsOf) != 0 {
		t.Errorf("%d seats are taken in the end, by %v", q.Seats(), q.seatsOf)
	}
}

// TestResultsExpire advances the clock: results go by their number, and by their
// age.
func TestResultsExpire(t *testing.T) {
	o := Default()
	o.Kept = 3
	now := time.Date(2026, 5, 31, 12, 0, 0, 0, time.UTC)
	s, _ := openStore(t, t.TempDir(), 1000)
	clock := func() time.Time { return now } // changed between jobs only, when nobody reads it
	q := newQueue(o, noWork, nil, clock)
	defer q.Close(soon)
	var ids []string
	add := func() {
		now = now.Add(time.Minute)
		u, err := s.Put(strings.NewReader("0123456789"))
		if err != nil {
			t.Fatal(err)
		}
		if err := q.Acquire(""); err != nil {
			t.Fatal(err)
		}
		j := q.Submit(Order{Name: "x", Upload: u}, "")
		if _, ok := q.Wait(t.Context(), j.ID); !ok {
			t.Fatal("it did not end")
		}
		ids = append(ids, j.ID)
	}
	wantKept := func(when string, want ...bool) {
		t.Helper()
		for i, id := range ids {
			if _, ok := q.Get(id); ok != want[i] {
				t.Errorf("%s: result %d is kept: %v", when, i, ok)
			}
		}
	}
	for range 4 {
		add()
	}
	for end := time.Now().Add(soon); ; time.Sleep(time.Millisecond) { // the worker makes room after it is waited for
		if _, ok := q.Get(ids[0]); !ok || time.Now().After(end) {
			break
		}
	}
	wantKept("the fourth of three", false, true, true, true)
	q.mu.Lock()
	now = now.Add(o.Expiry - time.Minute)
	q.makeRoom()
	q.mu.Unlock()
	wantKept("an hour after the third but one", false, false, false, true)
	if used := s.Used(); used != 10 {
		t.Errorf("%d bytes are kept", used)
	}
}
