package web

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"topnote/internal/web/jobs"
)

// TestSlowSenders has clients that send headers and bodies slowly, or stop, or
// leave in the middle: all are cut off, and others are served meanwhile.
func TestSlowSenders(t *testing.T) {
	x := serve(t, func(c *Config) {
		small(c)
		c.Options.Pace.BodyTime = time.Hour // it is the pace that counts
	})
	head := promise(900_000)
	var all sync.WaitGroup
	slow := func(what, text string, drip bool, want ...int) {
		c := x.dial()
		if _, err := io.WriteString(c, text); err != nil {
			t.Error(err)
		}
		all.Go(func() {
			if drip {
				go trickle(c, "x")
			}
			if got := statusOf(t, c); !slices.Contains(want, got) {
				t.Errorf("%s: %d, want one of %d", what, got, want)
			}
		})
	}
	slow("no header", "", false, 0)
	slow("half a header", "GET / HTTP/1.1\r\nHost: local", false, 0, 408)
	slow("a header, letter by letter", "GET / HTTP/1.1\r\nX: ", true, 0, 408)
	for range 5 {
		slow("half a recording", head+strings.Repeat("x", 100_000), false, 408)
		slow("a recording, byte by byte", head, true, 408)
	}
	slow("JSON, byte by byte", "POST /api/v1/air HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 60000\r\n\r\n{\"temp\":\"", true, 408)
	slow("a body that nobody asked for", "GET /api/v1/version HTTP/1.1\r\nHost: localhost\r\nContent-Length: 60000\r\n\r\n", true, 200)
	gone := x.dial()
	if _, err := io.WriteString(gone, head+"x"); err != nil {
		t.Error(err)
	}
	gone.Close()
	x.get("/api/v1/version").want(t, http.StatusOK)
	all.Wait()
	eventually(t, "no seat taken", func() bool { return x.queue.Seats() == 0 })
	x.healthy()
	wantEmptyStore(t, forgetAll(x))
}

// trickle sends the same few bytes again and again, until it is cut off.
func trickle(c net.Conn, bytes string) {
	for {
		if _, err := io.WriteString(c, bytes); err != nil {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// TestLongSenders sends at a pace that is in order, but for too long.
func TestLongSenders(t *testing.T) {
	x := serve(t, func(c *Config) { small(c); c.Options.Pace.BodyTime, c.Options.Pace.MinRate = 500*time.Millisecond, 1 })
	c := x.dial()
	fmt.Fprint(c, promise(900_000))
	go trickle(c, "xxxxx")
	if s := statusOf(t, c); s != http.StatusRequestTimeout {
		t.Errorf("%d", s)
	}
	x.healthy()
}

// TestSlowReaders asks for a large recording and does not read it: the server
// gives it up.
func TestSlowReaders(t *testing.T) {
	x := serve(t, func(c *Config) { c.Options.Pace.PlayTime = 200 * time.Millisecond; c.Options.Jobs.MaxSound = 1000 })
	var j jobBody
	x.replaceWork(func(context.Context) error { return nil })
	x.post("/api/v1/clips", make([]byte, 50_000_000)).want(t, http.StatusAccepted).into(t, &j)
	x.waitFor(j.ID, jobs.Done)
	c := x.dial()
	fmt.Fprintf(c, "GET %s/audio HTTP/1.1\r\nHost: localhost\r\n\r\n", j.Links.Self)
	r, err := http.ReadResponse(bufio.NewReaderSize(c, 16), nil) // its header alone
	if err != nil || r.StatusCode != http.StatusOK {
		t.Fatalf("%v, %v", r, err)
	}
	x.queue.Remove(j.ID)
	if x.store.Used() == 0 {
		t.Error("nothing holds the recording that is being sent")
	}
	eventually(t, "the recording is given up", func() bool { return x.store.Used() == 0 })
	x.replaceWork(nil)
	x.healthy()
}
