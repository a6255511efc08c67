package shaft

import (
	"context"
	"errors"
	"math"
	"slices"
	"sync/atomic"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/parallel"
	"topnote/internal/race"
)

// TestClock: points do not drift against the clock at rates at which a hop is no
// whole number of samples. A glide at the end of a sound shows in what is read there
// how late or early it was read: 1 ms is 0.05 % of the speed.
func TestClock(t *testing.T) {
	const length, glide, slope, within = 12, 9, 0.5, 0.003 // s, s, of ln speed a second, of speed
	speed := func(at engine.Seconds) engine.RPM {
		return engine.RPM(6000 * math.Exp(slope*math.Max(0, float64(at-glide))))
	}
	o := evenly()
	o.Block, o.Margin = 2, 1 // many blocks
	for _, rate := range []engine.Hz{8012, 8000, maxRate}[:race.Fewer(3, 1)] {
		x := make(audio.Memory, length*int(rate))
		var phase float64
		for i := range x {
			phase += float64(speed(engine.Seconds(float64(i)/float64(rate))).Hz() / rate)
			for l := 1.0; l <= 12; l++ {
				x[i] += float32(0.1 / l * math.Sin(2*math.Pi*phase*l+l*l))
			}
		}
		tr, err := FollowWith(t.Context(), audio.Memory(addNoise(x, 1e-3, 1)), rate, engine.Machine{Spec: engine.TwoStrokeSingle}, o)
		if err != nil {
			t.Fatal(err)
		}
		checkTrack(t, tr)
		if want := length*50 + 1; len(tr.Points) != want {
			t.Errorf("%v Hz: %d points, want %d", rate, len(tr.Points), want)
		}
		for _, p := range tr.Points[(glide+1)*50 : (length-1)*50] {
			if off := float64(p.Speed/speed(p.At)) - 1; math.Abs(off) > within {
				t.Fatalf("%v Hz: at %.2f s %.1f rpm, want %.1f: read %.0f ms late", rate, p.At, p.Speed, speed(p.At), 1000*off/slope)
			}
		}
	}
}

// TestSlowAtHighRate: the window of a slow engine is no longer than the transform,
// at any rate.
func TestSlowAtHighRate(t *testing.T) {
	x := audio.Memory(addNoise(steadySeries(3, 20, 60), 1e-3, 1)) // 1,654 rpm, played at maxRate
	tr, err := FollowWith(t.Context(), x, maxRate, engine.Machine{Spec: engine.TwoStrokeSingle}, evenly())
	if err != nil {
		t.Fatal(err)
	}
	if want := 1200 * engine.RPM(maxRate/rate); !speedsNear(tr.Points[50].Speed, want, 0.005) {
		t.Errorf("%.1f rpm, want %.1f", tr.Points[50].Speed, want)
	}
}

// countdown is a context that is cancelled at the nth time that it is looked at.
type countdown struct {
	context.Context
	looks  atomic.Int64
	cancel int64
}

func (c *countdown) Err() error {
	if c.looks.Add(1) >= c.cancel {
		return context.Canceled
	}
	return nil
}

// TestCancelWithinBlock: within a block the context is looked at before every frame,
// every step of the lattice and every reading, and what sees it cancelled does no
// more of them. A frame is 20 ms of sound or more, so that none of these takes longer
// than that sound lasts.
func TestCancelWithinBlock(t *testing.T) {
	const length = 12
	x := addNoise(series(length, func(at engine.Seconds) engine.Hz { return 60 + 4*engine.Hz(at) }, 20), 1e-2, 1)
	o := Default()
	points := length*o.hops(1) + 1
	follow := func(ctx context.Context) error {
		_, err := newFollower(rate, engine.Machine{Spec: engine.TwoStrokeSingle}, o).follow(ctx, x, points)
		return err
	}
	all := countdown{Context: t.Context(), cancel: math.MaxInt64}
	if err := follow(&all); err != nil {
		t.Fatal(err)
	}
	// The frames of three views, both passes of the lattice and the sweeps at every
	// stride, and every second point at the least.
	if want := int64(points/o.Stride*6 + points/2); all.looks.Load() < want {
		t.Errorf("looked at %d times, want %d", all.looks.Load(), want)
	}
	for share := 0.01; share < 1; share += 0.11 {
		ctx := countdown{Context: t.Context(), cancel: int64(share * float64(all.looks.Load()))}
		if err := follow(&ctx); !errors.Is(err, context.Canceled) {
			t.Fatalf("cancelled after %.0f %%: error %v", 100*share, err)
		}
		const most = 5 // of the loops that are left
		if after := ctx.looks.Load() - ctx.cancel; after > most {
			t.Errorf("cancelled after %.0f %%: looked at %d times more", 100*share, after)
		}
	}
}

// hours is so much sound of an engine, made as it is read. It calls read before each
// segment.
type hours struct {
	second audio.Memory
	length int
	read   func()
}

func (h hours) Len() int { return h.length }

func (h hours) Segment(buf []float32, from, to int) ([]float32, error) {
	h.read()
	buf = slices.Grow(buf[:0], to-from)[:to-from]
	for i := range buf {
		buf[i] = h.second[(from+i)%len(h.second)]
	}
	return buf, nil
}

// TestCancelLongSound: of two hours of sound that is cancelled while a block is
// read, each worker reads no more than the block that it has begun.
func TestCancelLongSound(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	var reads, after atomic.Int64
	x := hours{second: addNoise(steadySeries(1, 100, 20), 1e-3, 1), length: 7200 * int(rate)}
	x.read = func() {
		if ctx.Err() != nil {
			after.Add(1)
		}
		if reads.Add(1) == 3 {
			cancel()
		}
	}
	if _, err := Follow(ctx, x, rate, engine.Machine{Spec: engine.TwoStrokeSingle}); !errors.Is(err, context.Canceled) {
		t.Fatalf("error %v, want that of the context", err)
	}
	if after.Load() > maxWorkers {
		t.Errorf("%d of %d blocks were read after it was cancelled", after.Load(), reads.Load())
	}
}

// faulty is a sound whose reading panics.
type faulty struct{ audio.Memory }

func (faulty) Segment([]float32, int, int) ([]float32, error) { panic("no such segment") }

// TestPanic: a panic in a goroutine of Follow comes back as an error, and the slots
// are free again.
func TestPanic(t *testing.T) {
	x := faulty{make(audio.Memory, 300*int(rate))}
	for range 2 * cap(slots) {
		_, err := Follow(t.Context(), x, rate, engine.Machine{Spec: engine.TwoStrokeSingle})
		var p *parallel.Panic
		if !errors.As(err, &p) {
			t.Fatalf("error %v, want a *parallel.Panic", err)
		}
	}
	if len(slots) != 0 {
		t.Errorf("%d slots are still taken", len(slots))
	}
}
