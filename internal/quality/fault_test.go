package quality

import (
	"context"
	"errors"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/noise"
	"topnote/internal/parallel"
)

// faulty is a sound that does something else from a sample on.
type faulty struct {
	audio.Memory
	from int
	do   func() error
}

func (f faulty) Segment(buf []float32, from, to int) ([]float32, error) {
	if to > f.from {
		if err := f.do(); err != nil {
			return nil, err
		}
	}
	return f.Memory.Segment(buf, from, to)
}

// TestFaults: a panic in the goroutine that makes the spectra is an error, as is
// a sound that cannot be read back or a context that ends meanwhile.
func TestFaults(t *testing.T) {
	x := tones(200, 0.05, 0.02, 20)
	conditions := must(noise.Assess(t.Context(), x, rate, noise.Mains{}, noise.Default()))
	unread := errors.New("cannot be read back")
	for name, c := range map[string]struct {
		do   func(end func()) error
		want func(error) bool
	}{
		"panic":  {func(func()) error { panic("broken") }, func(err error) bool { var p *parallel.Panic; return errors.As(err, &p) }},
		"unread": {func(func()) error { return unread }, func(err error) bool { return errors.Is(err, unread) }},
		"ended":  {func(end func()) error { end(); return nil }, func(err error) bool { return errors.Is(err, context.Canceled) }},
	} {
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		in := Input{
			Sound:      &clip.Sound{Rate: rate, Samples: faulty{x, len(x) / 2, func() error { return c.do(cancel) }}},
			Conditions: conditions, Track: steady(12000, 20), Engine: engine.TwoStrokeSingle,
		}
		if _, err := Assess(ctx, in, Default()); !c.want(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
