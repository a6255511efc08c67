package shaft

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/synth"
)

const rate engine.Hz = 8000

func percent(part, whole int) float64 { return 100 * float64(part) / float64(max(whole, 1)) }

// checkTrack holds any track to what its type promises.
func checkTrack(t testing.TB, tr Track) {
	t.Helper()
	for i, p := range tr.Points {
		for what, v := range map[string]float64{"speed": float64(p.Speed), "SD": float64(p.SD), "confidence": p.Confidence, "other": float64(p.Alternative), "share": p.AlternativeShare} {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				t.Fatalf("point %d: %s is %v", i, what, v)
			}
		}
		if want := float64(i) * float64(tr.Hop); math.Abs(float64(p.At)-want) > 1e-9 {
			t.Fatalf("point %d is at %v s, want %v", i, p.At, want)
		}
		if p.Speed.Told() != (p.SD > 0) || p.Confidence > 1+1e-6 || p.Fires > MaxPeriod || (p.Fires.Told() && !p.Speed.Told()) {
			t.Fatalf("point %d is inconsistent: %+v", i, p)
		}
	}
}

// noise adds white noise of a standard deviation to x.
func addNoise(x []float32, sd float64, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 3))
	for i := range x {
		x[i] += float32(sd * r.NormFloat64())
	}
	return x
}

// series gives a harmonic series on a fundamental that may glide: amplitude
// 0.1/l for line l, below 3400 Hz, starting at phases of their own.
func series(length engine.Seconds, fundamental func(engine.Seconds) engine.Hz, lines int) []float32 {
	x := make([]float32, int(float64(length)*float64(rate)))
	var phase float64
	for i := range x {
		f := float64(fundamental(engine.Seconds(float64(i) / float64(rate))))
		for l := 1; l <= lines && float64(l)*f < 3400; l++ {
			x[i] += float32(0.1 / float64(l) * math.Sin(2*math.Pi*phase*float64(l)+float64(l*l)))
		}
		phase += f / float64(rate)
	}
	return x
}

func steadySeries(length engine.Seconds, f engine.Hz, lines int) []float32 {
	return series(length, func(engine.Seconds) engine.Hz { return f }, lines)
}

// evenly gives options for shafts that turn as evenly as none does.
func evenly() Options {
	o := Default()
	o.Calls.Wander, o.Presence.Even = 0, 0
	return o
}

// TestHarmonicSeries: an engine of a known speed that fires evenly.
// Source: firing frequency = rpm/60 times cylinders, half of that for a
// four-stroke (identity of the working cycle); the frequencies are worked out
// by hand beside each speed.
func TestHarmonicSeries(t *testing.T) {
	single, twin := engine.TwoStrokeSingle, engine.Spec{Strokes: 2, Cylinders: 2}
	four, fourTwin := engine.Spec{Strokes: 4, Cylinders: 1}, engine.Spec{Strokes: 4, Cylinders: 2}
	tests := []struct {
		name   string
		engine engine.Spec
		firing engine.Hz
		want   engine.RPM
	}{
		{"two-stroke at idle", single, 46.6667, 2800},
		{"two-stroke at 6,600", single, 110, 6600},
		{"two-stroke at 9,300", single, 155, 9300},
		{"two-stroke at 12,500", single, 208.3333, 12500},
		{"two-stroke at 14,700", single, 245, 14700},
		{"two-stroke twin at 9,300", twin, 310, 9300},
		{"four-stroke at 3,240", four, 27, 3240},
		{"four-stroke at 7,500", four, 62.5, 7500},
		{"four-stroke twin at 6,600", fourTwin, 110, 6600},
	}
	const within = 0.001 // of the speed, an engine without noise to speak of
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			x := addNoise(steadySeries(3, tt.firing, 20), 1e-3, 1)
			tr, err := FollowWith(t.Context(), audio.Memory(x), rate, engine.Machine{Spec: tt.engine}, evenly())
			if err != nil {
				t.Fatal(err)
			}
			checkTrack(t, tr)
			var n int
			for _, p := range tr.Points[15 : len(tr.Points)-15] {
				if math.Abs(float64(p.Speed/tt.want)-1) > within {
					t.Fatalf("at %.2f s: %.1f rpm, want %.1f", p.At, p.Speed, tt.want)
				}
				if math.Abs(float64(p.Speed-tt.want)) < 2*float64(p.SD) {
					n++
				}
			}
			if got := percent(n, len(tr.Points)-30); got < 95 {
				t.Errorf("%.1f %% of the errors lie within two standard deviations", got)
			}
		})
	}
}

// TestRates: Follow takes sound at any rate that its comment names, and at no other. The
// same samples at another rate are an engine at another speed.
func TestRates(t *testing.T) {
	x := audio.Memory(addNoise(steadySeries(3, 155, 20), 1e-3, 1)) // 9,300 rpm
	for _, r := range []engine.Hz{minRate, 7350, 7799, 8000, 10900, maxRate} {
		tr, err := FollowWith(t.Context(), x, r, engine.Machine{Spec: engine.TwoStrokeSingle}, evenly())
		if err != nil {
			t.Fatal(err)
		}
		checkTrack(t, tr)
		want := 9300 * engine.RPM(r/rate)
		for _, p := range tr.Points[15 : len(tr.Points)-15] {
			if !speedsNear(p.Speed, want, 0.002) {
				t.Fatalf("%.0f Hz, at %.2f s: %.1f rpm, want %.1f", r, p.At, p.Speed, want)
			}
		}
	}
	for _, r := range []engine.Hz{minRate - 1, maxRate + 1, 0, engine.Hz(math.NaN())} {
		if _, err := Follow(t.Context(), x, r, engine.Machine{Spec: engine.TwoStrokeSingle}); !errors.Is(err, ErrRate) {
			t.Errorf("%v Hz: %v, want ErrRate", r, err)
		}
	}
}

// TestGlide: the reading follows an even sweep without lag.
func TestGlide(t *testing.T) {
	speed := func(at engine.Seconds) engine.Hz { return engine.RPM(3000 * math.Exp(0.45*float64(at))).Hz() }
	tr, err := Follow(t.Context(), audio.Memory(addNoise(series(3, speed, 20), 1e-3, 2)), rate, engine.Machine{Spec: engine.TwoStrokeSingle})
	if err != nil {
		t.Fatal(err)
	}
	const within = 0.003
	for _, p := range tr.Points[15 : len(tr.Points)-15] {
		if want := speed(p.At).RPM(); math.Abs(float64(p.Speed/want)-1) > within {
			t.Errorf("at %.2f s: %.1f rpm, want %.1f", p.At, p.Speed, want)
		}
	}
}

// TestFollowOddInput: any samples give a valid track; what is no engine gives no speed.
func TestFollowOddInput(t *testing.T) {
	full := make([]float32, 2*int(rate))
	r := rand.New(rand.NewPCG(5, 6))
	for i := range full {
		full[i] = float32(1 - 2*r.IntN(2))
	}
	square := make([]float32, 2*int(rate))
	for i := range square {
		square[i] = float32(1 - 2*(i/40%2))
	}
	tests := []struct {
		name  string
		x     []float32
		quiet bool // no speed may be told
	}{
		{"no sample", nil, true},
		{"one sample", []float32{0.5}, true},
		{"two samples", []float32{0.5, -0.5}, true},
		{"silence", make([]float32, 3*int(rate)), true},
		{"steady pressure", constant(3*int(rate), 1), true},
		{"one click", append(make([]float32, 8000), append([]float32{1}, make([]float32, 8000)...)...), true},
		{"full-scale noise", full, true},
		{"full-scale square wave", square, false},
	}
	engines := []engine.Spec{engine.TwoStrokeSingle, {Strokes: 4, Cylinders: 1}, {Strokes: 4, Cylinders: 3}, {Strokes: 2, Cylinders: 12}}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			for _, e := range engines {
				tr, err := Follow(t.Context(), audio.Memory(tt.x), rate, engine.Machine{Spec: e})
				if err != nil {
					t.Fatalf("%+v: %v", e, err)
				}
				checkTrack(t, tr)
				if tt.quiet && e == engine.TwoStrokeSingle && tr.Told() > 0 {
					t.Errorf("a speed for %.2f s", tr.Told())
				}
			}
		})
	}
	if _, err := Follow(t.Context(), nil, rate, engine.Machine{}); !errors.Is(err, engine.ErrSpec) {
		t.Errorf("an engine without strokes: %v, want ErrEngine", err)
	}
}

func constant(n int, v float32) []float32 {
	x := make([]float32, n)
	for i := range x {
		x[i] = v
	}
	return x
}

// speedsNear reports whether two speeds are the same within a share of the greater.
func speedsNear(a, b engine.RPM, within float64) bool {
	return math.Abs(float64(a-b)) <= within*float64(max(a, b))
}

// BenchmarkFollow10s follows ten seconds of a pass.
func BenchmarkFollow10s(b *testing.B) {
	s := synth.NewScene(1, synth.Pass{Idle: 2800, Top: 12500, IdleFor: 2, RiseIn: 0.6, HoldFor: 4, FallIn: 1.4, ReturnFor: 2}.Profile(), synth.Always(synth.Every(2, 0.2)))
	s.Rate = rate
	x := s.Render().Samples
	seconds := float64(len(x)) / float64(rate)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Follow(b.Context(), x, rate, engine.Machine{Spec: engine.TwoStrokeSingle}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(seconds*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}
