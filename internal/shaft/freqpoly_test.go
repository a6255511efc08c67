package shaft

import (
	"math"
	"testing"

	"topnote/internal/engine"
)

// TestFitFreqPolynomial: a parabola of ln speed is found as it is, whatever a point
// says that does not claim to be sure.
func TestFitFreqPolynomial(t *testing.T) {
	const slope, bend, middle = 3.0, -20.0, 10
	hop := float64(Default().Hop)
	ps := points(2*middle+1, func(i int) engine.RPM {
		s := float64(i-middle) * hop
		return engine.RPM(6000 * math.Exp(slope*s+bend*s*s/2))
	})
	ps[middle].Speed *= 1.03
	ps[middle].SD = 0.3 * ps[middle].Speed
	c, ok := fitFreqPolynomial(ps, middle, 1, Default().Hop)
	if !ok {
		t.Fatal("no course through 21 points")
	}
	if math.Abs(c.f-100) > 0.02 || math.Abs(c.chirpRate-slope) > 0.02 || math.Abs(c.chirpAccel-bend) > 0.5 {
		t.Errorf("course %+v, want 100 Hz, %v and %v", c, slope, bend)
	}
	for i := range ps {
		if i < middle-1 || i > middle+1 {
			ps[i].Speed = 0
		}
	}
	if _, ok := fitFreqPolynomial(ps, middle, 1, Default().Hop); ok {
		t.Error("a course through three points")
	}
}

// sweep makes five lines of a rise that bends, each late by so many cycles of
// its own, with the middle of the sound at f hertz.
func sweep(f float64, c freqPolynomial, late float64) []float32 {
	x := make([]float32, 1600)
	middle := float64(len(x)) / 2
	// turns integrates exp(slope s + bend s^2/2) by Simpson's rule.
	turns := func(to float64) float64 {
		const steps = 64
		h, sum := to/steps, 0.0
		for k := 0; k <= steps; k++ {
			s := float64(k) * h
			w := 2.0 + 2*float64(k%2)
			if k == 0 || k == steps {
				w = 1
			}
			sum += w * math.Exp(c.chirpRate*s+c.chirpAccel*s*s/2)
		}
		return f * sum * h / 3
	}
	for l := 1.0; l <= 5; l++ {
		for i := range x {
			s := (float64(i) - middle) / float64(rate)
			x[i] += float32(math.Sin(2*math.Pi*l*turns(s-late/(l*f)) + l*l))
		}
	}
	return x
}

// TestRefineAlongPolynomial: a fast rise is read as it is at its middle, where its
// bend is known and where its lines come late by half a cycle each; and the
// test can tell that it would not be if either were left out.
func TestRefineAlongPolynomial(t *testing.T) {
	const f = 120.0
	o := Default()
	c := freqPolynomial{f: f, chirpRate: 4, chirpAccel: -40}
	straight := freqPolynomial{f: f, chirpRate: c.chirpRate}
	prompt := o
	prompt.Refine.GroupDelay = 0
	for _, tt := range []struct {
		name      string
		o         Options
		x         []float32
		c         freqPolynomial
		low, high float64 // percent off
	}{
		{"bend known", prompt, sweep(f, c, 0), c, 0, 0.1},
		{"bend left out", prompt, sweep(f, c, 0), straight, 0.4, 3},
		{"half a cycle late", o, sweep(f, c, o.Refine.GroupDelay), c, 0, 0.2},
		{"lateness left out", prompt, sweep(f, c, o.Refine.GroupDelay), c, 0.3, 3},
	} {
		v, ok := newRefiner(tt.o, rate).estimate(tt.x, float64(len(tt.x))/2/float64(rate), 1, tt.c)
		if !ok {
			t.Errorf("%s: not refined", tt.name)
			continue
		}
		if off := 100 * math.Abs(v.f/f-1); off < tt.low || off > tt.high {
			t.Errorf("%s: %.3f %% off, want %v to %v", tt.name, off, tt.low, tt.high)
		}
	}
}
