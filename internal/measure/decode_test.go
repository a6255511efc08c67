package measure

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/entry"
	"topnote/internal/picture"
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
	q := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500}}
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
	if err := soundFile(m, path); err != nil {
		t.Fatal(err)
	}
	wrote, err := clip.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if wrote.Rate != clip.WorkingRate || wrote.Samples.Len() != want.sound.Samples.Len() {
		t.Errorf("wrote %d samples at %v Hz; %d at %v wanted", wrote.Samples.Len(), wrote.Rate, want.sound.Samples.Len(), clip.WorkingRate)
	}
}

// soundFile writes the sound of m to a new file.
func soundFile(m Measurement, path string) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	return errors.Join(m.WriteSound(f), f.Close())
}

// TestWatchedEnds ends a measurement between two steps, and by a limit.
func TestWatchedEnds(t *testing.T) {
	q := engine.Machine{Spec: engine.TwoStrokeSingle}
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
	var refusal *entry.Refusal
	q.Limits.Max = 1
	if _, err := Watched(context.Background(), openSample(t, "rich.wav"), "x", q, Watch{Clip: o}); !errors.As(err, &refusal) {
		t.Errorf("with a limit that cannot be: %v", err)
	}
}

// TestLongSound: a sound that does not stay in memory is measured, drawn and
// written as one that does, and when it is closed no picture of it is wrong.
func TestLongSound(t *testing.T) {
	q := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500}}
	whole, long := clip.Default(), clip.Default()
	long.InMemory = 1
	const name = "mixed.wav"
	want, err := Watched(context.Background(), openSample(t, name), name, q, Watch{Clip: whole})
	if err != nil {
		t.Fatal(err)
	}
	got, err := Watched(context.Background(), openSample(t, name), name, q, Watch{Clip: long})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want.Report, got.Report); diff != "" {
		t.Errorf("the reports differ:\n%s", diff)
	}
	formsOf := func(m Measurement) (forms []string) {
		var page, drawing bytes.Buffer
		file := filepath.Join(t.TempDir(), "sound.wav")
		if err := errors.Join(m.WriteHTML(&page), m.Draw(&drawing, picture.PNG, picture.DefaultSize), soundFile(m, file)); err != nil {
			t.Fatal(err)
		}
		wave, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return []string{page.String(), drawing.String(), string(wave)}
	}
	if a, b := formsOf(want), formsOf(got); !slices.Equal(a, b) {
		t.Errorf("the page, the picture or the sound differ")
	}
	sides, err := Compare([]Measurement{got, want})
	if err != nil || sides.Report.Passes[0].Orders == nil || cmp.Diff(sides.Report.Passes[0].Orders, sides.Report.Passes[1].Orders) != "" {
		t.Errorf("the orders side by side differ (%v)", err)
	}

	got.Close()
	got.Close()
	_, err = Compare([]Measurement{want, got})
	for what, err := range map[string]error{
		"Compare": err, "Draw": got.Draw(io.Discard, picture.SVG, picture.DefaultSize), "Inline": got.Inline(io.Discard),
		"WriteHTML": got.WriteHTML(io.Discard), "WriteSound": soundFile(got, filepath.Join(t.TempDir(), "x.wav")),
	} {
		var problem *clip.Problem
		if !errors.As(err, &problem) || !errors.Is(err, fs.ErrClosed) {
			t.Errorf("%s of a closed one: %v", what, err)
		}
	}
}
