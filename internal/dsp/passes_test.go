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

// TestPeaks: sums of one and more peaks, within the limit and beyond, are those of the
// plain loop to the last bit, and by their definition. Source: the plain loop, and the
// definition where it is exact.
func TestPeaks(t *testing.T) {
	const limit, guard = 512, 3
	r := rand.New(rand.NewPCG(1, 2))
	for n := AtOnce; n <= 5*AtOnce; n += AtOnce {
		var all []Peaks
		for range 3 {
			levels := make([]int16, n+2)
			weight := make([]float32, n)
			for i := range levels {
				levels[i] = int16(r.IntN(2240) - 640)
			}
			for i := range weight {
				weight[i] = float32(r.NormFloat64())
			}
			all = append(all, Peaks{At: levels[1:], Below: levels, Above: levels[2:], Weight: weight[:n-len(all)/2*AtOnce]})
			if n == AtOnce && len(all) == 2 {
				break // the third would be empty
			}
		}
		alike(t, "AddPeaks", make([]float32, n+guard), func(v []float32) { AddPeaks(v, all, limit) }, func(v []float32) { plainAddPeaks(v, all, limit) })
		got := make([]float32, n)
		AddPeaks(got, all[:1], limit)
		for i, w := range all[0].Weight {
			sum := 2*int(all[0].At[i]) - int(all[0].Below[i]) - int(all[0].Above[i])
			if got[i] != w*float32(max(-limit, min(limit, sum))) {
				t.Errorf("%d elements, at %d: %v for a sum of %d and a weight of %v", n, i, got[i], sum, w)
			}
		}
	}
}
