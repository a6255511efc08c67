package web

import (
	"bytes"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"sync"
	"testing"
	"time"

	"topnote/internal/web/fault"
)

// TestTwoHundredAtOnce has two hundred clients send a recording and look around
// at the same time: each gets an answer, taken or busy, and afterwards nothing is
// left of them.
func TestTwoHundredAtOnce(t *testing.T) {
	x := serve(t, nil)
	var all sync.WaitGroup
	var mu sync.Mutex
	counts := map[int]int{}
	start := make(chan bool)
	for i := range 200 {
		recording := bytes.Repeat([]byte{byte(i)}, 300_000)
		all.Go(func() {
			<-start
			a := x.post("/api/v1/clips?wait=1", recording)
			mu.Lock()
			counts[a.StatusCode]++
			mu.Unlock()
			if a.StatusCode == http.StatusServiceUnavailable && (a.fault(t) != fault.CodeBusy || a.Header.Get("Retry-After") == "") {
				t.Errorf("not clearly busy: %s", a.body)
			}
			x.get("/api/v1/version").want(t, http.StatusOK)
			x.get("/api/v1/clips/"+"nobody").want(t, http.StatusNotFound)
		})
	}
	close(start)
	all.Wait()
	if counts[422]+counts[503] != 200 || counts[422] < x.config.Options.Jobs.Workers+x.config.Options.Jobs.Waiting {
		t.Errorf("answers: %v", counts)
	}
	t.Logf("of 200 at once: %d measured and refused as no recordings, %d told to come back", counts[422], counts[503])
	x.healthy()
	wantEmptyStore(t, forgetAll(x))
}

// TestConnectionsAreBounded opens more connections than are taken: the rest wait,
// and are served when others leave.
func TestConnectionsAreBounded(t *testing.T) {
	x := serve(t, func(c *Config) { c.Options.Access.Connections = 5; c.Options.Access.HeaderTime = soon })
	var held []net.Conn
	for range 5 {
		c := x.dial()
		fmt.Fprint(c, "GET / HTTP/1.1\r\n")
		held = append(held, c)
	}
	waits := x.dial()
	fmt.Fprint(waits, "GET /api/v1/version HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
	if err := waits.SetReadDeadline(time.Now().Add(100 * time.Millisecond)); err != nil {
		t.Fatal(err)
	}
	if n, err := waits.Read(make([]byte, 1)); !errors.Is(err, os.ErrDeadlineExceeded) {
		t.Fatalf("beside five connections a sixth gets %d bytes (%v)", n, err)
	}
	if err := waits.SetReadDeadline(time.Now().Add(soon)); err != nil {
		t.Fatal(err)
	}
	for _, c := range held {
		c.Close()
	}
	if s := statusOf(t, waits); s != http.StatusOK {
		t.Errorf("the one that waited: %d", s)
	}
}
