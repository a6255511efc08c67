package firing

import (
	"math"
	"math/rand/v2"
	"testing"

	"topnote/internal/engine"
)

// steady gives cycles at so many a second, whose strength scatters by 5 % and is
// scaled by f.
func steady(rate float64, n int, f func(i int) float64) Cycles {
	r := rand.New(rand.NewPCG(1, 7))
	var c Cycles
	for i := range n {
		cycle := Cycle{At: engine.Seconds(float64(i) / rate)}
		for q := range cycle.RMS {
			cycle.RMS[q] = float32(f(i) * (1 + 0.05*r.NormFloat64()))
		}
		c = append(c, cycle)
	}
	return c
}

// TestFindSparkCuts: bursts are found at their rate and depth, whatever the level;
// patterns of four-stroking and chance are none.
func TestFindSparkCuts(t *testing.T) {
	const rate, n = 210, 600 // cycles a second, and in all
	bursts := func(period, lost int, strength float64) func(int) float64 {
		return func(i int) float64 {
			if i%period < lost {
				return strength
			}
			return 1
		}
	}
	for _, tt := range []struct {
		name   string
		f      func(int) float64
		period float64 // cycles; 0: none
	}{
		{"3 of 10", bursts(10, 3, 0.4), 10},
		{"6 of 20, hardly weaker", bursts(20, 6, 0.8), 20},
		{"2 of 6", bursts(6, 2, 0.4), 6},
		{"3 of 10, while it gets louder", func(i int) float64 { return bursts(10, 3, 0.4)(i) * (1 + float64(i)/200) }, 10},
		{"every second", bursts(2, 1, 0.4), 0},
		{"every third", bursts(3, 1, 0.4), 0},
		{"every fourth", bursts(4, 3, 0.4), 0},
		{"every second, on a chain that repeats every 12", func(i int) float64 { return bursts(2, 1, 0.4)(i) * bursts(12, 4, 0.9)(i) }, 0},
		{"clean", func(int) float64 { return 1 }, 0},
		{"digital silence", func(int) float64 { return 0 }, 0},
	} {
		e := FindSparkCuts(steady(rate, n, tt.f), 0, engine.Seconds(float64(n)/rate))
		if tt.period == 0 {
			if e != (SparkCutEvidence{}) {
				t.Errorf("%s: %+v", tt.name, e)
			}
			continue
		}
		if want := rate / tt.period; e.Belief < 1 || math.Abs(float64(e.Rate)/want-1) > 0.02 {
			t.Errorf("%s: %+v, want %.1f bursts a second", tt.name, e, want)
		}
	}
}

// TestSparkCutDepth: depth is how much weaker firings are in a burst than between,
// for bursts that last half of the time, as the square wave that it is derived
// from does.
func TestSparkCutDepth(t *testing.T) {
	const period = 20
	for _, strength := range []float64{0.9, 0.7, 0.5} {
		c := steady(210, 1200, func(i int) float64 {
			if i%period < period/2 {
				return strength
			}
			return 1
		})
		if e := FindSparkCuts(c, 0, 6); math.Abs(e.Depth-(1-strength)) > 0.03 {
			t.Errorf("firings of %.1f in a burst: depth %.3f, want %.1f", strength, e.Depth, 1-strength)
		}
	}
}

// TestTooFewCycles: from less than MinCycles, or outside of all, nothing is found.
func TestTooFewCycles(t *testing.T) {
	c := steady(210, 600, func(i int) float64 { return 1 - 0.6*float64(i%10/7) })
	if e := FindSparkCuts(c, 0, 2); e.Belief == 0 {
		t.Fatalf("no bursts in all of it: %+v", e)
	}
	for _, span := range [][2]engine.Seconds{{0, 0.28}, {-5, -1}, {10, 20}, {2, 1}} {
		if e := FindSparkCuts(c, span[0], span[1]); e != (SparkCutEvidence{}) {
			t.Errorf("from %v to %v s: %+v", span[0], span[1], e)
		}
	}
	if e := FindSparkCuts(nil, 0, 1); e != (SparkCutEvidence{}) {
		t.Errorf("without cycles: %+v", e)
	}
}
