package shaft

import (
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"topnote/internal/engine"
	"topnote/internal/race"
	"topnote/internal/synth"
)

// streamScene is a saw that idles, is opened, four-strokes at its top and returns.
func streamScene(seed uint64) synth.Scene {
	profile := synth.Pass{Idle: 2800, Top: 12400, IdleFor: 1.5, RiseIn: 0.5, HoldFor: 3, FallIn: 1.2, ReturnFor: 1}.Profile()
	s := synth.NewScene(seed, profile, synth.ByPhase(profile, map[string]synth.Firing{"": synth.Clean(), synth.FullThrottle: synth.Every(2, 0.4)}))
	s.Rate = rate
	return s
}

func mustStream(t testing.TB, known engine.Machine) *Stream {
	t.Helper()
	s, err := NewStream(rate, known)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// readings gives all readings that wait.
func readings(s *Stream) (all []Reading) {
	for {
		r, ok := s.Reading()
		if !ok {
			return all
		}
		all = append(all, r)
	}
}

// TestStreamAgainstFollow: the speeds of a stream are those that Follow finds with the
// whole of the sound, each at most a third of a second late.
func TestStreamAgainstFollow(t *testing.T) {
	const (
		late      = 0.35 // s: the bar of the readings, resampling included
		near      = 0.02 // of speed
		nearShare = 0.985
		toldShare = 0.9
	)
	known := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500}}
	for seed := range uint64(race.Fewer(3, 1)) {
		x := streamScene(seed).Render().Samples
		tr, err := Follow(t.Context(), x, rate, known)
		if err != nil {
			t.Fatal(err)
		}
		s := mustStream(t, known)
		s.Push(x)
		var both, told, same int
		for i, r := range readings(s) {
			if want := engine.Seconds(float64(i)) * s.Hop(); math.Abs(float64(r.At-want)) > 1e-9 {
				t.Fatalf("reading %d is of %v s, want %v", i, r.At, want)
			}
			if r.Heard-r.At > late || r.Heard < r.At {
				t.Fatalf("a reading of %v s is told from %v s of sound", r.At, r.Heard)
			}
			if r.At < 0.5 || !tr.Points[i].Speed.Told() {
				continue
			}
			told++
			if r.Speed.Told() {
				both++
				if math.Abs(float64(r.Speed/tr.Points[i].Speed)-1) < near {
					same++
				}
			}
		}
		if float64(both) < toldShare*float64(told) || float64(same) < nearShare*float64(both) {
			t.Errorf("seed %d: of %d points %d are told in time, %d of them the same", seed, told, both, same)
		}
	}
}

// TestStreamPieces: readings do not depend on how the sound is cut into pieces, or on
// when they are taken.
func TestStreamPieces(t *testing.T) {
	x := streamScene(9).Render().Samples[:race.Fewer(4, 2)*int(rate)]
	whole := mustStream(t, engine.Machine{Spec: engine.TwoStrokeSingle})
	whole.Push(x)
	want := readings(whole)
	if len(want) < 50 {
		t.Fatalf("%d readings", len(want))
	}
	inPieces := func(most int, draw func() int) []Reading {
		s := mustStream(t, engine.Machine{Spec: engine.TwoStrokeSingle})
		var got []Reading
		for rest := []float32(x); len(rest) > 0; {
			n := min(draw(), most, len(rest))
			s.Push(rest[:n])
			rest = rest[n:]
			got = append(got, readings(s)...)
		}
		return got
	}
	if got := inPieces(1, func() int { return 1 }); !slices.Equal(got, want) {
		t.Error("sample by sample, the readings differ")
	}
	for seed := range uint64(race.Fewer(6, 1)) { // rapid would cut a hundred times
		rng := rand.New(rand.NewPCG(seed, 0))
		most := 1 + rng.IntN(len(x))
		if got := inPieces(most, func() int { return 1 + rng.IntN(most) }); !slices.Equal(got, want) {
			t.Errorf("in pieces of up to %d samples, seed %d, the readings differ", most, seed)
		}
	}
}

// held gives the numbers that a stream keeps: its memory but for what is fixed.
func (s *Stream) held() int {
	n := cap(s.sound) + cap(s.hiss) + cap(s.readings) + cap(s.another.with) + cap(s.another.without)
	for _, part := range s.another.seconds {
		n += len(part.count)
	}
	for _, t := range []*streamTrack{s.all, s.another.rest} {
		if t != nil {
			n += (len(t.f.pool.vectors)+3*len(t.lattice.alpha))*t.f.pool.states + len(t.lattice.bests.vectors)*t.f.grid.n
			n += cap(t.f.frames) + cap(t.points.doubt.evidence)
		}
	}
	return n
}

// TestStreamMemory: a stream keeps no more after two minutes than after ten seconds,
// and no more of anything than of a few seconds of sound.
func TestStreamMemory(t *testing.T) {
	x := streamScene(3).Render().Samples
	s := mustStream(t, engine.Machine{Spec: engine.TwoStrokeSingle})
	push := func(n int) (most int) {
		for range n {
			for rest := []float32(x); len(rest) > 0; {
				k := min(800, len(rest))
				s.Push(rest[:k])
				readings(s)
				rest = rest[k:]
			}
			most = max(most, s.held())
		}
		return most
	}
	early := push(2)
	if late := push(race.Fewer(14, 2)); late > early {
		t.Errorf("%d numbers are held after some passes, %d after many", early, late)
	}
	if most := 4 << 20 / 4; early > most {
		t.Errorf("%d numbers are held, at most %d wanted", early, most)
	}
}

// TestStreamFarOn: after two hours of sound, which are only counted here, a stream
// reads what it reads at the start.
func TestStreamFarOn(t *testing.T) {
	const hops = 2 * 3600 * 50 // a multiple of the stride
	x := streamScene(4).Render().Samples[:4*int(rate)]
	near, far := mustStream(t, engine.Machine{Spec: engine.TwoStrokeSingle}), mustStream(t, engine.Machine{Spec: engine.TwoStrokeSingle})
	far.next += hops
	far.heard = int(rate) * hops / 50
	far.all.f.skipped = far.heard
	far.need += far.heard
	near.Push(x)
	far.Push(x)
	all := readings(far)
	wants := readings(near)
	all = all[len(all)-len(wants):]
	for i, want := range wants {
		got := all[i]
		if want.At < 1 { // the far one does not know that nothing was before
			continue
		}
		if math.Abs(float64(got.At-want.At)-hops/50) > 1e-6 || !speedsNear(max(got.Speed, 1), max(want.Speed, 1), 1e-4) {
			t.Fatalf("at %v s: %v rpm, two hours later %v", want.At, want.Speed, got.Speed)
		}
	}
}

// TestStreamRefuses: what Follow refuses.
func TestStreamRefuses(t *testing.T) {
	if _, err := NewStream(44100, engine.Machine{Spec: engine.TwoStrokeSingle}); !errors.Is(err, ErrRate) {
		t.Errorf("44.1 kHz: %v", err)
	}
	if _, err := NewStream(rate, engine.Machine{Spec: engine.Spec{Strokes: 3, Cylinders: 1}}); !errors.Is(err, engine.ErrSpec) {
		t.Errorf("three strokes: %v", err)
	}
}

// TestStreamOddInput: silence, a constant, clipping and single samples give readings
// without a speed, and none that is no number.
func TestStreamOddInput(t *testing.T) {
	for name, x := range map[string][]float32{
		"silence": make([]float32, 2*int(rate)), "constant": constant(2*int(rate), 1), "noise": addNoise(make([]float32, 2*int(rate)), 0.1, 1),
	} {
		s := mustStream(t, engine.Machine{Spec: engine.TwoStrokeSingle})
		s.Push(x)
		for _, r := range readings(s) {
			if r.Speed.Told() || math.IsNaN(float64(r.Clarity)) || math.IsNaN(r.Confidence) {
				t.Fatalf("%s: %+v", name, r)
			}
		}
	}
}

// BenchmarkStream two hours of sound at a time: the live heap does not grow with them.
func BenchmarkStream(b *testing.B) {
	x := streamScene(5).Render().Samples
	s := mustStream(b, engine.Machine{Spec: engine.TwoStrokeSingle})
	seconds := 0.0
	for b.Loop() {
		s.Push(x)
		readings(s)
		seconds += float64(len(x)) / float64(rate)
	}
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	b.ReportMetric(float64(m.HeapAlloc)/(1<<20), "MB")
	b.ReportMetric(seconds/float64(b.N), "sound-s/op")
}
