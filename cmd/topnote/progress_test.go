package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"
)

// TestProgressOfOne: nothing is shown of a clip that is measured quickly; of one
// that takes long, how long it has taken and how to stop it, again and again; and
// nothing once it is hidden or has ended.
func TestProgressOfOne(t *testing.T) {
	var out bytes.Buffer
	p := &progress{out: &out, total: 1, began: time.Now(), ended: make(chan struct{})}
	p.show()
	if out.Len() > 0 {
		t.Errorf("shown at once: %q", &out)
	}
	p.began = time.Now().Add(-75 * time.Second)
	p.show()
	if got := out.String(); !strings.Contains(got, "75 s") || !strings.Contains(got, "Ctrl-C") || strings.Contains(got, "\n") {
		t.Errorf("shown after 75 s: %q", got)
	}
	gone := make(chan struct{})
	out.Reset()
	go func() {
		defer close(gone)
		p.renew(time.Millisecond)
	}()
	for shown := false; !shown; time.Sleep(time.Millisecond) {
		p.mu.Lock()
		shown = out.Len() > 0
		p.mu.Unlock()
	}
	p.end()
	<-gone
	if !strings.HasSuffix(out.String(), "\r"+eraseLine) {
		t.Errorf("at the end the line is still there: %q", &out)
	}
	out.Reset()
	p.step()
	if out.Len() > 0 {
		t.Errorf("shown after the end: %q", &out)
	}
}

// TestProgressOfSeveral: the bar shows how many are done and, once that is known,
// how long the rest will take.
func TestProgressOfSeveral(t *testing.T) {
	bar := "\r[" + strings.Repeat("=", 6) + strings.Repeat(".", 18) + "] 1 of 4 recordings"
	for _, c := range []struct {
		taken time.Duration
		want  string
	}{
		{0, bar + eraseLine},
		{10 * time.Second, bar + ", less than a minute left" + eraseLine},
		{100 * time.Second, bar + ", about 5 min left" + eraseLine},
	} {
		var out bytes.Buffer
		p := &progress{out: &out, total: 4, began: time.Now().Add(-c.taken), ended: make(chan struct{})}
		p.step()
		if got := out.String(); got != c.want {
			t.Errorf("after %v: %q, want %q", c.taken, got, c.want)
		}
	}
	var out bytes.Buffer
	p := &progress{out: &out, total: 1000, done: 999, began: time.Now().Add(-time.Hour), ended: make(chan struct{})}
	if p.step(); strings.Contains(out.String(), "left") {
		t.Errorf("when all are done: %q", &out)
	}
}

// TestProgressInAFile: what is no terminal gets no line.
func TestProgressInAFile(t *testing.T) {
	f, err := os.CreateTemp(t.TempDir(), "")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p := newProgress(f, 4)
	p.step()
	p.end()
	if info, err := f.Stat(); err != nil || info.Size() > 0 {
		t.Errorf("%d bytes (%v), want none", info.Size(), err)
	}
}
