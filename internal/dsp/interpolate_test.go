package dsp

import (
	"math"
	"math/cmplx"
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

// TestTaperedCubics: one value after the other is that of CubicAt, also beyond the ends,
// and vector instructions give what the plain loop gives, to the last bit. Source:
// definition; the plain loop.
func TestTaperedCubics(t *testing.T) {
	x := make([]float32, 64)
	for i := range x {
		x[i] = float32(i*i%17)/7 - 1
	}
	taper := randomPoints(AtOnce)
	for p := -3.0; p < 66; p += 0.37 {
		for _, step := range []float64{0.3, 1, 1.7, 2.9} {
			var got, plain [AtOnce]complex64
			TaperedCubics(got[:], taper, x, p, step)
			for i, v := range got {
				want := CubicAt(x, p+step*float64(i))
				if off := cmplx.Abs(complex128(v) - complex(want, 0)*complex128(taper[i])); off > 2e-5 {
					t.Errorf("%d steps of %v after %v: %v is off by %v", i, step, p, v, off)
				}
			}
			if p >= 1 && p+AtOnce*step < float64(len(x)-2) {
				if plainTaperedCubics(&plain, (*[AtOnce]complex64)(taper), x, p, step); got != plain {
					t.Errorf("from %v on, %v apart: %v, want %v", p, step, got, plain)
				}
			}
		}
	}
}

// TestLinearsAt: on straight lines between samples, silence outside, and by vector
// instructions as by the plain loop, to the last bit. Source: definition; the plain loop.
func TestLinearsAt(t *testing.T) {
	x := make([]float32, 64)
	for i := range x {
		x[i] = float32(i*i%17)/7 - 1
	}
	for n := range 21 {
		for _, from := range []int{-3, 5, 20, 50, 62, 70} {
			p := make([]float64, n)
			for i := range p {
				p[i] = 1.3*float64(i-n/2) + 0.21
			}
			got := make([]float32, n+1)
			LinearsAt(got[:n], x, from, p)
			for i, v := range p {
				want := 0.0
				if at := float64(from) + v; at >= 0 && at < 63 {
					k := int(at)
					want = (1-at+float64(k))*float64(x[k]) + (at-float64(k))*float64(x[k+1])
				}
				if math.Abs(float64(got[i])-want) > 1e-6 {
					t.Errorf("%v after sample %d: %v, want %v", v, from, got[i], want)
				}
			}
			if n > 0 && from == 20 {
				alike(t, "LinearsAt", got, func(y []float32) { LinearsAt(y[:n], x, from, p) }, func(y []float32) { plainLinearsAt(y[:n], x, from, p) })
			}
		}
	}
}
