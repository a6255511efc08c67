package shaft

import (
	"math"
	"math/rand/v2"
	"testing"

	"topnote/internal/engine"
)

// pattern gives the strength of n turns by a repeated pattern, less its mean.
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

// TestLikeness holds correlations between turns to identities.
//
// Source: for a pattern of one firing in N the correlation k turns apart is 1
// where N divides k and -1/(N-1) elsewhere; for a two-state chain, with q the
// chance to miss after a firing and r the chance to fire after a miss, it is
// 1-q-r one turn apart.
func TestLikeness(t *testing.T) {
	const n, around = 400, 24 // turns; a whole number of every pattern
	for every := 2; every <= maxPeriod; every++ {
		fires := make([]float32, every)
		fires[0] = 1
		got := autocorrelation(pattern(n, fires...), around)[n/2]
		for k, v := range got {
			want := -1 / float64(every-1)
			if (k+1)%every == 0 {
				want = 1
			}
			if math.Abs(v-want) > 0.05 {
				t.Errorf("every %d, %d turns apart: %.3f, want %.3f", every, k+1, v, want)
			}
		}
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
		got, want := autocorrelation(u, long)[long/2][0], 1-c.q-c.r
		if math.Abs(got-want) > 0.02 { // four of its standard deviations
			t.Errorf("q %.1f r %.1f: %.3f one turn apart, want %.3f", c.q, c.r, got, want)
		}
	}
}

// TestLikenessOfNothing: no turns, one turn and silent turns have no likeness.
func TestLikenessOfNothing(t *testing.T) {
	for _, u := range [][][]float32{{}, {{1}}, pattern(50, 0)} {
		for _, r := range autocorrelation(u, 25) {
			for k, v := range r {
				if v != 0 {
					t.Errorf("%d turns, %d apart: %v", len(u), k+1, v)
				}
			}
		}
	}
}

// TestCutTurns: a steady engine is cut into as many turns as it makes, each
// like the last, also while the speed climbs.
func TestCutTurns(t *testing.T) {
	for _, climb := range []float64{0, 0.3} {
		hz := func(at engine.Seconds) engine.Hz { return engine.Hz(90 * math.Exp(climb*float64(at))) }
		x := series(2, hz, 6)
		ps := points(90, func(i int) engine.RPM { return hz(engine.Seconds(i) * Default().Hop).RPM() })
		ts := angularResample(x, float64(rate), ps, 1, 48)
		var made float64
		for i := range int(1.78 * float64(rate)) {
			made += float64(hz(engine.Seconds(float64(i)/float64(rate))) / rate)
		}
		if math.Abs(float64(len(ts.wave))-made) > 1 || len(ts.start) != len(ts.wave) {
			t.Errorf("climbing by %v: %d turns, want %.1f", climb, len(ts.wave), made)
		}
		a, b := ts.wave[10], ts.wave[len(ts.wave)-10]
		if r := dot(a, b) / math.Sqrt(dot(a, a)*dot(b, b)); r < 0.98 {
			t.Errorf("climbing by %v: early and late turns are %.3f alike", climb, r)
		}
	}
}

// TestTellFiring: turns that alternate in a pattern are told by it, whatever
// the lattice believed.
func TestTellFiring(t *testing.T) {
	const speed engine.RPM = 8765
	o := Default()
	rng := rand.New(rand.NewPCG(4, 4))
	for every := 1; every <= maxPeriod; every++ {
		// Decaying pulses: every turn a weak one, every nth a strong one.
		x := make([]float32, 2*int(rate))
		gap := float64(rate) / float64(speed.Hz()) // samples; no whole number
		for k := 0; float64(k)*gap < float64(len(x)); k++ {
			a := 0.15
			if k%every == 0 {
				a = 0.5
			}
			a *= 1 + 0.05*rng.NormFloat64() // no two firings are the same
			first := int(math.Ceil(float64(k) * gap))
			for i := first; i < min(len(x), first+200); i++ {
				d := float64(i) - float64(k)*gap
				x[i] += float32(a * d / 12 * math.Exp(-d/12) * math.Sin(0.6*d))
			}
		}
		addNoise(x, 0.01, uint64(every))
		ps := points(95, func(int) engine.RPM { return speed })
		belief := make([][maxPeriod]float64, len(ps))
		for i := range belief {
			belief[i] = [maxPeriod]float64{0.25, 0.25, 0.25, 0.25}
		}
		classifyFiring(ps, x, float64(rate), 1, belief, o.Firing)
		for i, p := range ps[10:85] {
			if int(p.Fires) != every {
				t.Errorf("every %d: told %d at point %d", every, p.Fires, i+10)
				break
			}
		}
	}
}

// TestTellFiringShort: too few turns are not told.
func TestTellFiringShort(t *testing.T) {
	ps := points(8, func(int) engine.RPM { return 3000 })
	classifyFiring(ps, make([]float32, 4000), float64(rate), 1, make([][maxPeriod]float64, len(ps)), Default().Firing)
	for i, p := range ps {
		if p.Fires.Told() {
			t.Errorf("point %d: told %d from %d turns", i, p.Fires, 8)
		}
	}
}
