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

// TestProgressOfSeveral: the bar shows how many are done.
func TestProgressOfSeveral(t *testing.T) {
	var out bytes.Buffer
	p := &progress{out: &out, total: 4, ended: make(chan struct{})}
	p.step()
	if got, want := out.String(), "\r["+strings.Repeat("=", 6)+strings.Repeat(".", 18)+"] 1 of 4 recordings"+eraseLine; got != want {
		t.Errorf("%q, want %q", got, want)
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
