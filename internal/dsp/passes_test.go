package dsp

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestPasses: the passes of a transform for this processor give what the plain loops
// give, to the last bit, and write nothing beyond. Source: the plain loops.
func TestPasses(t *testing.T) {
	const guard = 3
	for n := 4; n <= 2048; n *= 2 {
		x, twiddles := randomPoints(n), randomPoints(3*n/4 + 1)[:3*n/4]
		check := func(name string, got, want func(y []complex64)) {
			a, b := make([]complex64, n+guard), make([]complex64, n+guard)
			got(a)
			want(b)
			if !slices.Equal(a, b) {
				t.Errorf("%s of %d points differs from the plain loop", name, n)
			}
		}
		check("radix 2", func(y []complex64) { radix2NoTwiddle(y, x) }, func(y []complex64) { plainRadix2NoTwiddle(y, x) })
		check("first", func(y []complex64) { radix4First(y, x, twiddles) }, func(y []complex64) { plainRadix4First(y, x, twiddles) })
		check("last", func(y []complex64) { radix4NoTwiddle(y, x) }, func(y []complex64) { plainRadix4NoTwiddle(y, x) })
		for stride := 4; stride <= n/4; stride *= 4 {
			check("stage", func(y []complex64) { radix4Stage(y, x, twiddles[:3*n/4/stride], stride) },
				func(y []complex64) { plainRadix4Stage(y, x, twiddles[:3*n/4/stride], stride) })
		}
	}
}

// TestRealPartPowers: powers of the real parts of points are those of a transform of
// these alone. Source: identity.
func TestRealPartPowers(t *testing.T) {
	for n := 4; n <= 4096; n *= 2 {
		z := randomPoints(n)
		whole, alone := NewFFT(n), NewFFT(n)
		copy(whole.Input(), z)
		for i, v := range z {
			alone.Input()[i] = complex(real(v), 0)
		}
		got := make([]float32, n/2)
		RealPartPowers(got, whole.Transform())
		for k, v := range alone.Transform()[:n/2] {
			if want := square(real(v)) + square(imag(v)); k > 0 && math.Abs(float64(got[k]-want)) > 1e-5*float64(n) {
				t.Fatalf("%d points, bin %d: %g, want %g", n, k, got[k], want)
			}
		}
		if got[0] != 0 {
			t.Errorf("%d points: bin 0 was written", n)
		}
	}
}

// TestPeaks: sums of all lengths around those that are taken together, within
// the limit and beyond, are those of the plain loop to the last bit. Source: the plain
// loop, and the definition where it is exact.
func TestPeaks(t *testing.T) {
	const limit = 512
	r := rand.New(rand.NewPCG(1, 2))
	for n := range 40 {
		levels := make([][]int16, 3)
		for i := range levels {
			for range n {
				levels[i] = append(levels[i], int16(r.IntN(2240)-640))
			}
		}
		weight, got, want := make([]float32, n), make([]float32, n+1), make([]float32, n+1)
		for i := range weight {
			weight[i] = float32(r.NormFloat64())
		}
		p := Peaks{At: levels[0], Below: levels[1], Above: levels[2], Weight: weight}
		p.AddTo(got, limit)
		p.plainAddTo(want[:n], 0, limit)
		if !slices.Equal(got, want) {
			t.Errorf("%d elements: %v, want %v", n, got, want)
		}
		for i, w := range weight {
			sum := 2*int(levels[0][i]) - int(levels[1][i]) - int(levels[2][i])
			if got[i] != w*float32(max(-limit, min(limit, sum))) {
				t.Errorf("%d elements, at %d: %v for a sum of %d and a weight of %v", n, i, got[i], sum, w)
			}
		}
	}
}
