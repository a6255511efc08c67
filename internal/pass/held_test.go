package pass

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/pass/passtest"
	"topnote/internal/shaft"
)

// TestHolds: the windows that move along a track give, to the last bit, what
// sorting each of them anew gives.
func TestHolds(t *testing.T) {
	t.Parallel()
	o := Default()
	rapid.Check(t, func(t *rapid.T) {
		s := &series{hop: 0.02}
		at := engine.Seconds(0)
		for range rapid.IntRange(0, 120).Draw(t, "points") {
			at += 0.02
			if rapid.IntRange(0, 40).Draw(t, "hole") == 0 {
				at += 1
			}
			p := shaft.Point{At: at}
			if rapid.IntRange(0, 9).Draw(t, "told") > 0 {
				p.Speed = engine.RPM(rapid.IntRange(80, 100).Draw(t, "speed")) // so that many are alike
				p.SD = engine.RPM(rapid.IntRange(1, 5).Draw(t, "sd"))
				p.Confidence = float64(rapid.IntRange(0, 4).Draw(t, "quarters")) / 4
			}
			s.points = append(s.points, p)
		}
		if n := len(s.points); n > 0 && rapid.Bool().Draw(t, "leap") {
			s.jumps = []int{rapid.IntRange(0, n-1).Draw(t, "at")}
		}
		for _, d := range []engine.Seconds{o.HeldFor, o.BriefFor, 0.02} {
			wide := s.count(d)
			for i, got := range heldOver(s, d, o, shared{}, nil) {
				r := span{i, i + wide}
				want := sustained{}
				if r.b <= len(s.points) && float64(s.length(r)) < 2*float64(d) && !s.jumpsWithin(r) {
					want = sortedAnew(s, r, o)
				}
				if got != want {
					t.Fatalf("from point %d for %v s: %+v, want %+v", i, d, got, want)
				}
			}
		}
	})
}

// sortedAnew is what slidingQuantiles.heldIn says, word for word.
func sortedAnew(s *series, r span, o Options) sustained {
	x := s.told(r)
	if float64(len(x)) < o.HeldShare*float64(r.b-r.a) {
		return sustained{}
	}
	y := slices.Clone(x)
	if half := len(x) / 2; half > 0 {
		trend := (dsp.Median(x[len(x)-half:]) - dsp.Median(x[:half])) / float64(len(x)-half)
		for i := range y {
			y[i] -= trend * float64(i)
		}
	}
	middle := dsp.Median(y)
	for i := range y {
		y[i] = math.Abs(y[i] - middle)
	}
	speed := min(dsp.Median(x), dsp.Quantile(dsp.Sorted(x), 1-o.HeldShare)/(1-o.HeldBand))
	apart := max(1, float64(len(x))*s.hop/float64(o.CorrelatedFor))
	var most, confidence []float64
	for _, p := range s.points[r.a:r.b] {
		if v := float64(p.Speed); v > 0 {
			most = append(most, v+o.CoverageFactor*math.Hypot(float64(p.SD), o.FloorSD*v))
			confidence = append(confidence, p.Confidence)
		}
	}
	held := 1 - o.HeldShare
	scatter := dsp.SDPerMAD * dsp.Median(y)
	return sustained{
		speed: speed, claimedSD: s.ownSD(r), sharedSD: math.Sqrt(max(0, s.ownSD(r)*s.ownSD(r)-scatter*scatter)), scatterSD: scatter / math.Sqrt(apart), floorSD: o.FloorSD * speed,
		most: dsp.Quantile(dsp.Sorted(most), held), confidence: dsp.Quantile(dsp.Sorted(confidence), held),
	}
}

// TestBesideALeap: an uneven speed right after a leap is doubted, and another plateau is
// the top; the same unevenness after a rise is none to doubt.
func TestBesideALeap(t *testing.T) {
	for name, leap := range map[string]bool{"a leap": true, "a rise": false} {
		b := passtest.New(1).Hold(1, 2800).Ramp(0.4, 2800, 11000).Hold(2, 11000).Ramp(0.6, 11000, 2800).Hold(1, 2800)
		if !leap {
			b.Ramp(0.4, 2800, 13000)
		}
		b.Noise(0.04, 0.03).Hold(0.6, 13000).Noise(0.001, 0.001).Hold(3, 10900)
		s := Summarise(b.Build(), nil, engine.Machine{Spec: engine.TwoStrokeSingle}, Default())
		if s.TopEnd == nil {
			t.Fatalf("%s: no top", name)
		}
		if off := math.Abs(float64(s.TopEnd.Sustained.Speed)/11000 - 1); (off < 0.01) != leap {
			t.Errorf("%s: the top is %.0f rpm", name, float64(s.TopEnd.Sustained.Speed))
		}
	}
}
