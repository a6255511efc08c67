package dsp

import (
	"math"
	"testing"
)

// TestCubicAt: a cubic through four points is exact for a parabola, and
// there is silence outside. Source: definition.
func TestCubicAt(t *testing.T) {
	x := make([]float32, 20)
	f := func(p float64) float64 { return 0.25*p*p - 2*p + 1 }
	for i := range x {
		x[i] = float32(f(float64(i)))
	}
	for p := 1.0; p < 17.9; p += 0.3 {
		if got := CubicAt(x, p); math.Abs(got-f(p)) > 1e-5 {
			t.Errorf("at %.1f: %v, want %v", p, got, f(p))
		}
	}
	for _, p := range []float64{-5, 0.5, 18.5, 19, 100} {
		if got := CubicAt(x, p); got != 0 {
			t.Errorf("at %v, outside: %v", p, got)
		}
	}
}

// TestCubicRun: one value after the other is that of CubicAt, also beyond the ends.
// Source: definition.
func TestCubicRun(t *testing.T) {
	x := []float32{1, -2, 3, 5, 4, -1, 0, 2, 2, 1}
	for p := -3.0; p < 12; p += 0.37 {
		var got [4]float64
		CubicRun(got[:], x, p, 0.75)
		for i, v := range got {
			if want := CubicAt(x, p+0.75*float64(i)); math.Abs(v-want) > 1e-12 {
				t.Errorf("%d steps after %v: %v, want %v", i, p, v, want)
			}
		}
	}
}

// TestCubics: vector instructions give what the plain loop gives, to the last bit.
// Source: the plain loop.
func TestCubics(t *testing.T) {
	x := make([]float32, 64)
	for i := range x {
		x[i] = float32(i*i%17)/7 - 1
	}
	for n := range 21 {
		for _, step := range []float64{0.3, 1, 1.7, 2.9} {
			got, want := make([]float64, n+1), make([]float64, n+1)
			CubicRun(got[:n], x, 1.2, step)
			plainCubics(want[:n], x, 1.2, step)
			for i, v := range want {
				if got[i] != v {
					t.Errorf("%d places %v apart, at %d: %v, want %v", n, step, i, got[i], v)
				}
			}
		}
	}
}
