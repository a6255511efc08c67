package shaft

import (
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/audio"
	"topnote/internal/audio/audiotest"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/synth"
)

func rms(x []float32) float64 {
	var e float64
	for _, v := range x {
		e += float64(v) * float64(v)
	}
	return math.Sqrt(e / float64(len(x)))
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
	// No firing frequency here is a multiple of 50 or 60 Hz: lines there that do
	// not move at all are mains hum by definition.
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			x := addNoise(steadySeries(3, tt.firing, 20), 1e-3, 1)
			tr, err := Follow(t.Context(), audio.Memory(x), rate, engine.Machine{Spec: tt.engine})
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

// TestRates: sound may be at any rate that Follow says it takes, and at no other. The
// same samples at another rate are an engine at another speed.
func TestRates(t *testing.T) {
	x := audio.Memory(addNoise(steadySeries(3, 155, 20), 1e-3, 1)) // 9,300 rpm
	for _, r := range []engine.Hz{slowestRate, 7350, 7799, 8000, 10900, fastestRate} {
		tr, err := Follow(t.Context(), x, r, engine.Machine{Spec: engine.TwoStrokeSingle})
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
	for _, r := range []engine.Hz{slowestRate - 1, fastestRate + 1, 0, engine.Hz(math.NaN())} {
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

// TestFollowOddInput: nothing that a file can hold upsets the tracker.
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
	engines := []engine.Spec{engine.TwoStrokeSingle, {Strokes: 4, Cylinders: 1}, {Strokes: 4, Cylinders: 12}, {Strokes: 2, Cylinders: 12}}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			for _, e := range engines {
				tr, err := Follow(t.Context(), audio.Memory(tt.x), rate, engine.Machine{Spec: e})
				if err != nil {
					t.Fatalf("%+v: %v", e, err)
				}
				checkTrack(t, tr)
				if tt.quiet && e == engine.TwoStrokeSingle && spoken(tr) > 0 {
					t.Errorf("a speed for %.2f s", spoken(tr))
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

// steadyEngine draws a short sound of a steady, loud engine, at speeds whose
// double is still searched.
func steadyEngine(t *rapid.T) ([]float32, engine.RPM) {
	speed := engine.RPM(rapid.IntRange(7000, 8700).Draw(t, "rpm"))
	s := synth.NewScene(rapid.Uint64Range(0, 99).Draw(t, "seed"), synth.Steady(speed, 1.6), synth.Always(synth.Clean()))
	s.Rate = rate
	return s.Render().Samples, speed
}

func mustFollow(t *rapid.T, x audio.Memory, rate engine.Hz) []Point {
	tr, err := Follow(t.Context(), x, rate, engine.Machine{Spec: engine.TwoStrokeSingle})
	if err != nil {
		t.Fatal(err)
	}
	return tr.Points
}

// sameLines reports whether two readings put the lines of the engine at the same
// places. A clip of nothing but a steady 7,000 rpm has the lines of 14,000 firing
// every 2nd turn. What tells the two is little, so any change may tip it; none may
// move the lines. Nor are those the same to the last bit: one more or less that
// stands out of the noise moves a reading.
func sameLines(a, b Point) bool {
	const within = 0.02
	every := func(p Point) engine.RPM { return engine.RPM(max(p.Fires, 1)) }
	return speedsNear(a.Speed, b.Speed, within) || speedsNear(a.Speed/every(a), b.Speed/every(b), within)
}

// sameSpeed reports whether two speeds are the same within a share of the greater.
func speedsNear(a, b engine.RPM, within float64) bool {
	return math.Abs(float64(a-b)) <= within*float64(max(a, b))
}

// checks keeps a property to a few draws, unless more are asked for: each
// follows an engine twice.
func checks(t *testing.T, property func(*rapid.T)) {
	t.Helper()
	for name, value := range map[string]string{"rapid.checks": "6", "rapid.shrinktime": "5s"} {
		if f := flag.Lookup(name); f.Value.String() == f.DefValue {
			if err := f.Value.Set(value); err != nil {
				t.Fatal(err)
			}
		}
	}
	rapid.Check(t, property)
}

// TestGainAndPolarity: which way up a recording is does not change the speed at
// all, and how loud it is hardly does.
func TestGainAndPolarity(t *testing.T) {
	checks(t, func(t *rapid.T) {
		x, _ := steadyEngine(t)
		gain := float32(rapid.SampledFrom([]float64{-1, 0.25, -0.1, 2}).Draw(t, "gain"))
		y := make([]float32, len(x))
		for i, v := range x {
			y[i] = gain * v
		}
		a, b := mustFollow(t, x, rate), mustFollow(t, y, rate)
		for i := 5; i < len(a)-5; i++ { // at the ends half a window is digital silence, which has a level
			if same := a[i].Speed == b[i].Speed; gain == -1 && !same || !speedsNear(a[i].Speed, b[i].Speed, closeTo) {
				t.Fatalf("at %.2f s: %.1f rpm, and %.1f rpm at %g times the level", a[i].At, a[i].Speed, b[i].Speed, gain)
			}
		}
	})
}

// TestTimeShift: silence before a recording moves its track and nothing else,
// away from where the two meet.
func TestTimeShift(t *testing.T) {
	checks(t, func(t *rapid.T) {
		x, _ := steadyEngine(t)
		hops := rapid.IntRange(5, 40).Draw(t, "hops")
		by := hops * int(0.02*float64(rate))
		a, b := mustFollow(t, x, rate), mustFollow(t, append(make([]float32, by), x...), rate)
		for i := 15; i < len(a)-1; i++ {
			if !sameLines(a[i], b[i+hops]) {
				t.Fatalf("at %.2f s: %+v, %d hops later %+v", a[i].At, a[i], hops, b[i+hops])
			}
		}
	})
}

// TestTwiceTheRate: the same samples, said to be twice as fast, are an engine
// at twice the speed, whatever the rate that they are analysed at.
func TestTwiceTheRate(t *testing.T) {
	at := func(rt *rapid.T, x audio.Memory, rate engine.Hz) []Point {
		path := filepath.Join(t.TempDir(), "engine.wav")
		if err := clip.WriteWAVFile(path, x, rate); err != nil {
			rt.Fatal(err)
		}
		s, err := clip.Open(path)
		if err != nil {
			rt.Fatal(err)
		}
		return mustFollow(rt, audiotest.All(s.Samples), s.Rate)
	}
	checks(t, func(t *rapid.T) {
		x, _ := steadyEngine(t)
		once, twice := at(t, x, rate), at(t, x, 2*rate)
		for i := 10; i < len(twice)-10; i++ { // windows are as long for both, and the speed wanders
			want := once[2*i]
			want.Speed *= 2
			if !sameLines(twice[i], want) {
				t.Fatalf("at %.2f s: %+v, want %+v", twice[i].At, twice[i], want)
			}
		}
	})
}

// TestEngineAtMains: an engine that happens to turn at the frequency of the
// mains, and wanders as engines do, is not taken for hum.
func TestEngineAtMains(t *testing.T) {
	for _, speed := range []engine.RPM{3000, 3600, 6000} {
		for seed := range uint64(2) {
			s := synth.NewScene(seed, synth.Steady(speed, 4), synth.Always(synth.Clean()))
			s.Rate = rate
			var got passScore
			got.follow(t, render(s), Default())
			if close := percent(got.close, got.frames); close < 90 {
				t.Errorf("%v rpm, seed %d: %.1f %% of frames within 1 %%", speed, seed, close)
			}
		}
	}
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
