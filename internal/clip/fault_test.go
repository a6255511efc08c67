package clip

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"topnote/internal/parallel"
)

// wantPanic checks that a panic came back as an error, with where it was.
func wantPanic(t *testing.T, err error, where string) {
	t.Helper()
	var p *parallel.Panic
	if !errors.As(err, &p) || !strings.Contains(string(p.Stack), where) {
		t.Errorf("%v, want a panic in %s as an error", err, where)
	}
}

// TestPanicInResampler: a panic in the goroutine of a channel ends the stream with
// an error, and not the program.
func TestPanicInResampler(t *testing.T) {
	w := made{rate: 48000, channels: 2, bits: 16, tag: tagPCM}
	s, err := NewStream(context.Background(), bytes.NewReader(w.file(make([]byte, 4*48000))), "made", Default())
	if err != nil {
		t.Fatal(err)
	}
	s.pipelines[1].Resampler = nil
	for err == nil {
		_, err = s.Read(make([]float32, 100))
	}
	wantPanic(t, err, "filter")
	if n, again := s.Read(make([]float32, 100)); n != 0 || !errors.Is(again, err) {
		t.Errorf("after the panic: %d samples, %v", n, again)
	}
}

// TestPanicInFFmpegLog: a panic while the log of ffmpeg is read, in a goroutine of
// the library, ends the decoder with an error.
func TestPanicInFFmpegLog(t *testing.T) {
	w := made{rate: 48000, channels: 1, bits: 32, tag: tagFloat}
	sound := filepath.Join(t.TempDir(), "sound.wav")
	if err := os.WriteFile(sound, w.file(w.encode(tone(48000, 0.01, 0.5))), 0o600); err != nil {
		t.Fatal(err)
	}
	file, err := os.Open(sound)
	if err != nil {
		t.Fatal(err)
	}
	program := fakeFFmpeg(t, "echo '[info] Duration: 1' >&2; cat "+sound)
	d := &ffmpegDecoder{file: childFile{File: file}}
	d.log.line = make([]byte, logLine+1) // a line of more than there can be
	d.ctx, d.cancel = context.WithCancel(context.Background())
	defer d.Close()
	for err = d.start(program, "wav", DefaultLimits()); err == nil; {
		_, err = d.decode(make([]float32, 100))
	}
	wantPanic(t, err, "ffmpegLog")
}

// TestCancelled: when its context has ended, a stream ends with the error of that,
// whichever part of it is at work.
func TestCancelled(t *testing.T) {
	w := made{rate: 48000, channels: 1, bits: 16, tag: tagPCM}
	file := w.file(make([]byte, 2*48000*30))
	ctx, cancel := context.WithCancel(context.Background())
	s, err := NewStream(ctx, bytes.NewReader(file), "made", Default())
	if err != nil {
		t.Fatal(err)
	}
	block := make([]float32, 100)
	if _, err := s.Read(block); err != nil {
		t.Fatal(err)
	}
	cancel()
	samples := 0
	for err == nil {
		var n int
		n, err = s.Read(block)
		samples += n
	}
	if !errors.Is(err, context.Canceled) || samples > blockFrames {
		t.Errorf("%v after another %d samples, want %v", err, samples, context.Canceled)
	}
	if _, err := NewStream(ctx, bytes.NewReader(file), "made", Default()); !errors.Is(err, context.Canceled) {
		t.Errorf("opening gives %v, want %v", err, context.Canceled)
	}
}

// TestCancelledFFmpeg: ffmpeg goes with the context, and then the error is not that
// it was too slow.
func TestCancelledFFmpeg(t *testing.T) {
	leftovers(t)
	ctx, cancel := context.WithCancel(context.Background())
	o := Default()
	o.FFmpeg = fakeFFmpeg(t, "sleep 60")
	time.AfterFunc(100*time.Millisecond, cancel)
	began := time.Now()
	_, err := NewStream(ctx, strings.NewReader(m4aHead), "made", o)
	if !errors.Is(err, context.Canceled) || time.Since(began) > 20*time.Second {
		t.Errorf("%v after %v, want %v", err, time.Since(began), context.Canceled)
	}
}

// TestTooManySamples: hours of many channels, which a small file can hold, are
// refused as soon as they are too many.
func TestTooManySamples(t *testing.T) {
	w := made{rate: 48000, channels: 8, bits: 16, tag: tagPCM}
	file := w.file(make([]byte, 2*8*48000*6))
	o := Default()
	o.Limits.Samples = 8 * 48000 * 6
	if _, err := collect(bytes.NewReader(file), "made", o); err != nil {
		t.Errorf("at the limit: %v", err)
	}
	o.Limits.Samples -= 8
	r := bytes.NewReader(file)
	_, err := collect(r, "made", o)
	wantProblem(t, err, CodeTooLong, "the recording is longer than 0.1 minutes, the most that is read of 8 channels at 48,000 samples a second; cut out the pass and use that")
	l := DefaultLimits()
	if got := l.longest(48000, 2); got < l.Duration {
		t.Errorf("of stereo at 48 kHz %v s are read, want %v", got, l.Duration)
	}
}
