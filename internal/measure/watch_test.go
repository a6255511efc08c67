package measure

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"topnote/internal/clip"
	"topnote/internal/shaft"
	"topnote/internal/unit"
)

func openSample(t *testing.T, name string) *os.File {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "samples", name))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// TestWatchedIsFile holds Watched to the report that File gives, and the sound
// that it writes to the one that was measured.
func TestWatchedIsFile(t *testing.T) {
	q := shaft.Query{Engine: unit.TwoStrokeSingle, Limits: shaft.Limits{Max: 13500}}
	f := openSample(t, "over.wav")
	var told clip.Info
	m, err := Watched(context.Background(), f, f.Name(), q, Watch{Clip: clip.Default(), Decoded: func(i clip.Info) { told = i }})
	if err != nil {
		t.Fatal(err)
	}
	want, err := File(f.Name(), q)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want.Report, m.Report); diff != "" {
		t.Errorf("Watched and File differ:\n%s", diff)
	}
	if float64(told.Duration) < 5 {
		t.Errorf("told of %v s of sound", told.Duration)
	}
	path := filepath.Join(t.TempDir(), "sound.wav")
	if err := m.WriteSound(path); err != nil {
		t.Fatal(err)
	}
	sound, err := clip.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if sound.Rate != clip.WorkingRate || len(sound.Samples) != len(want.sound.Samples) {
		t.Errorf("wrote %d samples at %v Hz; %d at %v wanted", len(sound.Samples), sound.Rate, len(want.sound.Samples), clip.WorkingRate)
	}
}

// TestWatchedEnds ends a measurement between two steps, and by a limit.
func TestWatchedEnds(t *testing.T) {
	q := shaft.Query{Engine: unit.TwoStrokeSingle}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Watched(ctx, openSample(t, "rich.wav"), "x", q, Watch{Clip: clip.Default()}); !errors.Is(err, context.Canceled) {
		t.Errorf("with its context ended: %v", err)
	}
	o := clip.Default()
	o.Limits.Duration = 2
	var problem *clip.Problem
	if _, err := Watched(context.Background(), openSample(t, "rich.wav"), "x", q, Watch{Clip: o}); !errors.As(err, &problem) || problem.Code != clip.CodeTooLong {
		t.Errorf("over the limit of time: %v", err)
	}
	var refusal *Refusal
	q.Limits.Max = 1
	if _, err := Watched(context.Background(), openSample(t, "rich.wav"), "x", q, Watch{Clip: o}); !errors.As(err, &refusal) {
		t.Errorf("with a limit that cannot be: %v", err)
	}
}
