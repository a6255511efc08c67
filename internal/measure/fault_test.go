package measure

import (
	"context"
	"errors"
	"sync"
	"testing"
	"time"

	"topnote/internal/audio"
	"topnote/internal/audio/audiotest"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/parallel"
)

// watched is a sound that calls a function with the length of each segment that is
// read of it.
type watched struct {
	audio.Memory
	lock  *sync.Mutex // of reads
	reads func(length int)
}

func (w watched) Segment(buf []float32, from, to int) ([]float32, error) {
	func() {
		w.lock.Lock()
		defer w.lock.Unlock()
		w.reads(to - from)
	}()
	return w.Memory.Segment(buf, from, to)
}

// soundOf gives a sample as a sound that is watched.
func soundOf(t *testing.T, reads func(length int)) *clip.Sound {
	t.Helper()
	f := openSample(t, "rich.wav")
	sound, err := clip.Read(f, f.Name())
	if err != nil {
		t.Fatal(err)
	}
	sound.Samples = watched{audiotest.All(sound.Samples), new(sync.Mutex), reads}
	return sound
}

// TestPanics: a panic in either of the goroutines that work side by side comes back
// as an error. What is read by hops of 0.2 s are the conditions, and all at once the
// shaft.
func TestPanics(t *testing.T) {
	machine := engine.Machine{Spec: engine.TwoStrokeSingle}
	whole := soundOf(t, func(int) {}).Samples.Len()
	for name, length := range map[string]int{"conditions": int(clip.WorkingRate) / 5, "shaft": whole} {
		happened := false
		sound := soundOf(t, func(n int) {
			if n == length {
				happened = true
				panic("broken")
			}
		})
		_, err := measure(context.Background(), sound, machine)
		if p := (*parallel.Panic)(nil); !errors.As(err, &p) || !happened {
			t.Errorf("%s: panicked: %v; error %v", name, happened, err)
		}
	}
}

// TestCancelled: wherever in its way a measurement is, it ends soon after its
// context has. A tenth of a second is required (issue 13); the test allows more, and
// several tries, for machines that do other things.
func TestCancelled(t *testing.T) {
	machine := engine.Machine{Spec: engine.TwoStrokeSingle}
	all := 0
	sound := soundOf(t, func(int) { all++ })
	if _, err := measure(t.Context(), sound, machine); err != nil {
		t.Fatal(err)
	}
	for _, share := range []float64{0, 0.01, 0.1, 0.5, 0.9} {
		const soon, tries = time.Second, 10
		late := cancelledAfter(t, machine, int(share*float64(all)))
		for try := 1; late > soon && try < tries; try++ {
			late = min(late, cancelledAfter(t, machine, int(share*float64(all))))
		}
		if late > soon {
			t.Errorf("cancelled after %.0f %% of its reads, it ended %v later", 100*share, late)
		}
	}
}

// cancelledAfter cancels a measurement after so many reads of its sound, and gives how
// long it went on.
func cancelledAfter(t *testing.T, machine engine.Machine, reads int) time.Duration {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	var ended time.Time
	sound := soundOf(t, func(int) {
		if reads--; reads < 0 && ended.IsZero() {
			cancel()
			ended = time.Now()
		}
	})
	if _, err := measure(ctx, sound, machine); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled, it ends with %v", err)
	}
	return time.Since(ended)
}
