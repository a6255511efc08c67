package firing

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

const (
	rate engine.Hz      = 8000
	hop  engine.Seconds = 0.02
)

// pattern gives the strength of n revolutions by a repeated pattern, less its mean.
func pattern(n int, of ...float32) [][]float32 {
	var mean float32
	for _, v := range of {
		mean += v / float32(len(of))
	}
	out := make([][]float32, n)
	for i := range out {
		out[i] = []float32{of[i%len(of)] - mean}
	}
	return out
}

// TestPeriodicity holds correlations between revolutions to identities.
//
// Source: for a pattern of one firing in N the correlation k revolutions apart is 1
// where N divides k and -1/(N-1) elsewhere; for a two-state chain, with q the
// chance to miss after a firing and r the chance to fire after a miss, it is
// 1-q-r one revolution apart.
func TestPeriodicity(t *testing.T) {
	const n, around = 400, 24 // revolutions; a whole number of every pattern
	for every := 2; every <= shaft.MaxPeriod; every++ {
		fires := make([]float32, every)
		fires[0] = 1
		got := dsp.ShortTimeAutocorrelation(pattern(n, fires...), lags, around)[n/2]
		// What repeats gives then: 1 less -1/(N-1).
		if v, want := periodicity(got, every), 1+1/float64(every-1); math.Abs(v-want) > 0.05 {
			t.Errorf("every %d repeats by %.3f, want %.3f", every, v, want)
		}
	}
	const long = 40000
	for _, c := range []struct{ q, r float64 }{{0.5, 0.5}, {0.3, 0.7}, {0.9, 0.8}, {0.1, 0.2}, {1, 1}} {
		rng := rand.New(rand.NewPCG(2, 3))
		u := make([][]float32, long)
		fired, mean := true, float32(c.r/(c.q+c.r))
		for i := range u {
			u[i] = []float32{-mean}
			if fired {
				u[i][0]++
			}
			fired = rng.Float64() < map[bool]float64{true: 1 - c.q, false: c.r}[fired]
		}
		got, want := dsp.ShortTimeAutocorrelation(u, lags, long)[long/2][0], 1-c.q-c.r
		if math.Abs(got-want) > 0.02 { // four of its standard deviations
			t.Errorf("q %.1f r %.1f: %.3f one revolution apart, want %.3f", c.q, c.r, got, want)
		}
	}
}

// series gives a harmonic series on a fundamental that may climb: amplitude 0.1/l
// for line l.
func series(length engine.Seconds, fundamental func(engine.Seconds) engine.Hz, lines int) audio.Memory {
	x := make(audio.Memory, int(float64(length)*float64(rate)))
	var phase float64
	for i := range x {
		for l := 1; l <= lines; l++ {
			x[i] += float32(0.1 / float64(l) * math.Sin(2*math.Pi*phase*float64(l)+float64(l*l)))
		}
		phase += float64(fundamental(engine.Seconds(float64(i)/float64(rate))) / rate)
	}
	return x
}

// track gives a track of n points at a speed, all periods as likely.
func track(n int, speed func(at engine.Seconds) engine.RPM) shaft.Track {
	t := shaft.Track{Hop: hop, Points: make([]shaft.Point, n)}
	for i := range t.Points {
		at := engine.Seconds(i) * hop
		t.Points[i] = shaft.Point{At: at, Speed: speed(at), SD: 10, Confidence: 1, Fires: 1, PeriodShare: [shaft.MaxPeriod]float32{0.25, 0.25, 0.25, 0.25}}
	}
	return t
}

// mustClassify gives a track and its cycles as Classify does.
func mustClassify(t *testing.T, o Options, x audio.Signal, tr shaft.Track) (shaft.Track, Cycles) {
	t.Helper()
	tr, cycles, err := o.Classify(t.Context(), x, rate, tr, engine.TwoStrokeSingle)
	if err != nil {
		t.Fatal(err)
	}
	return tr, cycles
}

// TestResample: a steady engine is cut into as many revolutions as it makes, each
// like the last, also while the speed climbs.
func TestResample(t *testing.T) {
	for _, climb := range []float64{0, 0.3} {
		hz := func(at engine.Seconds) engine.Hz { return engine.Hz(90 * math.Exp(climb*float64(at))) }
		x := series(2, hz, 6)
		tr := track(90, func(at engine.Seconds) engine.RPM { return hz(at).RPM() })
		c := classifier{Options: Default(), sound: x, rate: rate}
		c.begin(tr.Points)
		if err := c.resampleTo(len(c.run)); err != nil {
			t.Fatal(err)
		}
		var made float64
		for i := range int(1.78 * float64(rate)) {
			made += float64(hz(engine.Seconds(float64(i)/float64(rate))) / rate)
		}
		revs := c.revs
		if math.Abs(float64(len(revs.wave))-made) > 1 || len(revs.start) != len(revs.wave) || len(c.cycles) != len(revs.wave) {
			t.Errorf("climbing by %v: %d revolutions, want %.1f", climb, len(revs.wave), made)
		}
		a, b := revs.wave[10], revs.wave[len(revs.wave)-10]
		if r := dot(a, b) / math.Sqrt(dot(a, a)*dot(b, b)); r < 0.98 {
			t.Errorf("climbing by %v: early and late revolutions are %.3f alike", climb, r)
		}
	}
}

func dot(a, b []float32) (sum float64) {
	for i, v := range a {
		sum += float64(v) * float64(b[i])
	}
	return sum
}

// pulses gives decaying pulses at a speed: every revolution a weak one, every nth a
// strong one, no two of them the same, and a little noise.
func pulses(length engine.Seconds, speed engine.RPM, every int) audio.Memory {
	rng := rand.New(rand.NewPCG(4, uint64(every)))
	x := make(audio.Memory, int(float64(length)*float64(rate)))
	gap := float64(rate) / float64(speed.Hz()) // samples; no whole number
	for k := 0; float64(k)*gap < float64(len(x)); k++ {
		a := 0.15
		if k%every == 0 {
			a = 0.5
		}
		a *= 1 + 0.05*rng.NormFloat64()
		first := int(math.Ceil(float64(k) * gap))
		for i := first; i < min(len(x), first+200); i++ {
			d := float64(i) - float64(k)*gap
			x[i] += float32(a * d / 12 * math.Exp(-d/12) * math.Sin(0.6*d))
		}
	}
	for i := range x {
		x[i] += float32(0.01 * rng.NormFloat64())
	}
	return x
}

const pulseSpeed engine.RPM = 8765

// TestClassify: revolutions that alternate in a pattern are told by it, whatever the
// lattice took them for, and their strengths show it.
func TestClassify(t *testing.T) {
	for every := 1; every <= shaft.MaxPeriod; every++ {
		in := track(95, func(engine.Seconds) engine.RPM { return pulseSpeed })
		tr, cycles := mustClassify(t, Default(), pulses(2, pulseSpeed, every), in)
		for i, p := range tr.Points[10:85] {
			if int(p.Fires) != every {
				t.Errorf("every %d: told %d at point %d", every, p.Fires, i+10)
				break
			}
			if (p.MissEvidence > 0) != (every > 1) {
				t.Errorf("every %d: evidence of %.2f of missed firings at point %d", every, p.MissEvidence, i+10)
				break
			}
			if in.Points[i+10].Fires != 1 {
				t.Fatal("the track handed in was changed")
			}
		}
		var strength [shaft.MaxPeriod]float64 // of the cycles by their place in the pattern
		for k, c := range cycles {
			for _, v := range c.RMS {
				strength[k%every] += float64(v)
			}
		}
		if lo, hi := slices.Min(strength[:every]), slices.Max(strength[:every]); every > 1 && hi < 1.5*lo || every == 1 && len(cycles) < 200 {
			t.Errorf("every %d: %d cycles of strengths %v", every, len(cycles), strength)
		}
	}
}

// TestBlocks: a run that is worked through in blocks is classified as it is at once,
// with one cycle for every revolution.
func TestBlocks(t *testing.T) {
	x := append(pulses(7, pulseSpeed, 3), pulses(6, pulseSpeed, 1)...)
	in := track(640, func(engine.Seconds) engine.RPM { return pulseSpeed })
	whole, all := mustClassify(t, Default(), x, in)
	o := Default()
	o.Block, o.Margin = 3, 2
	parts, cycles := mustClassify(t, o, x, in)
	differ := 0
	for i, p := range whole.Points {
		if p.Fires != parts.Points[i].Fires {
			differ++
		}
	}
	if differ > 3 { // of 640; the change itself may move by a hop or two
		t.Errorf("%d points differ", differ)
	}
	if len(cycles) != len(all) {
		t.Fatalf("%d cycles, at once %d", len(cycles), len(all))
	}
	for i, c := range cycles {
		if c != all[i] {
			t.Fatalf("cycle %d is %+v, at once %+v", i, c, all[i])
		}
	}
	some := all.Between(2, 3)
	if want := float64(pulseSpeed.Hz()); math.Abs(float64(len(some))-want) > 1 || some[0].At < 2 || some[len(some)-1].At >= 3 {
		t.Errorf("%d cycles from 2 to 3 s, want %.1f", len(some), want)
	}
}

// TestClassifyShort: too few revolutions are not told.
func TestClassifyShort(t *testing.T) {
	tr, _ := mustClassify(t, Default(), make(audio.Memory, 4000), track(8, func(engine.Seconds) engine.RPM { return 3000 }))
	for i, p := range tr.Points {
		if p.Fires.Told() || p.MissEvidence != 0 {
			t.Errorf("point %d: told %d from %d revolutions", i, p.Fires, 8)
		}
	}
}

// TestClassifyNothing: a track without a speed has no cycles.
func TestClassifyNothing(t *testing.T) {
	for _, n := range []int{0, 1, 50} {
		tr, cycles := mustClassify(t, Default(), make(audio.Memory, 8000), track(n, func(engine.Seconds) engine.RPM { return 0 }))
		if len(tr.Points) != n || len(cycles) != 0 || len(cycles.Between(0, 1)) != 0 {
			t.Errorf("%d points: %d came back, with %d cycles", n, len(tr.Points), len(cycles))
		}
	}
}

// TestClassifyFaults: a context that has ended and a signal that cannot be read back
// are errors.
func TestClassifyFaults(t *testing.T) {
	in := track(95, func(engine.Seconds) engine.RPM { return pulseSpeed })
	x := pulses(2, pulseSpeed, 1)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, _, err := Classify(ctx, x, rate, in, engine.TwoStrokeSingle); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: error %v", err)
	}
	if _, _, err := Classify(t.Context(), unreadable{x}, rate, in, engine.TwoStrokeSingle); !errors.Is(err, errUnreadable) {
		t.Errorf("unreadable: error %v", err)
	}
}

var errUnreadable = errors.New("unreadable")

type unreadable struct{ audio.Memory }

func (unreadable) Segment([]float32, int, int) ([]float32, error) { return nil, errUnreadable }
