package dsp

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	dsp "github.com/mjibson/go-dsp/fft"
	"gonum.org/v1/gonum/dsp/fourier"
)

func randomPoints(n int) []complex64 {
	r := rand.New(rand.NewPCG(uint64(n), 3))
	z := make([]complex64, n)
	for i := range z {
		z[i] = complex64(complex(r.NormFloat64(), r.NormFloat64()))
	}
	return z
}

// wide gives points in 64 bits.
func wide(z []complex64) []complex128 {
	w := make([]complex128, len(z))
	for i, v := range z {
		w[i] = complex128(v)
	}
	return w
}

// TestFFT: the transform is the sum that defines it, at every power of two, and
// again when it is used a second time. Source: definition; gonum beyond 64.
func TestFFT(t *testing.T) {
	for n := 1; n <= 4096; n *= 2 {
		f := NewFFT(n)
		for range 2 {
			z := randomPoints(n)
			copy(f.Input(), z)
			got := f.Transform()
			want := fourier.NewCmplxFFT(n).Coefficients(nil, wide(z))
			for k := range want {
				if n <= 64 {
					want[k] = 0
					for i, v := range wide(z) {
						want[k] += v * cmplx.Rect(1, -2*math.Pi*float64(i*k%n)/float64(n))
					}
				}
				if off := cmplx.Abs(complex128(got[k]) - want[k]); off > 1e-6*math.Sqrt(float64(n)) {
					t.Fatalf("%d points, bin %d: off by %g", n, k, off)
				}
			}
		}
	}
}

// TestReal: powers are those of the complex transform.
func TestReal(t *testing.T) {
	for n := 2; n <= 4096; n *= 2 {
		z := randomPoints(n)
		x := make([]float64, n)
		f := NewRealFFT(n)
		for i, v := range z {
			x[i] = float64(real(v))
		}
		for i := range f.Input() {
			f.Input()[i] = complex64(complex(x[2*i], x[2*i+1]))
		}
		got := make([]float32, n/2+1)
		f.PowerSpectrum(got)
		for k, c := range fourier.NewFFT(n).Coefficients(nil, x) {
			if want := real(c)*real(c) + imag(c)*imag(c); math.Abs(float64(got[k])-want) > 3e-6*float64(n) {
				t.Fatalf("%d points, bin %d: %g, want %g", n, k, got[k], want)
			}
		}
	}
}

func TestNewRefuses(t *testing.T) {
	for _, n := range []int{-1, 0, 3, 12, 1000} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("no panic")
				}
			}()
			NewFFT(n)
		})
	}
}

// BenchmarkFFT holds the power spectrum of real points by this package against
// gonum's and go-dsp's.
func BenchmarkFFT(b *testing.B) {
	for n := 512; n <= 4096; n *= 2 {
		x := make([]float64, n)
		for i, v := range randomPoints(n) {
			x[i] = float64(real(v))
		}
		p, powers := make([]float64, n/2+1), make([]float32, n/2+1)
		b.Run(fmt.Sprintf("own/%d", n), func(b *testing.B) {
			f := NewRealFFT(n)
			b.ReportAllocs()
			for b.Loop() {
				for i := range f.Input() {
					f.Input()[i] = complex64(complex(x[2*i], x[2*i+1]))
				}
				f.PowerSpectrum(powers)
			}
		})
		b.Run(fmt.Sprintf("gonum/%d", n), func(b *testing.B) {
			f := fourier.NewFFT(n)
			c := make([]complex128, n/2+1)
			b.ReportAllocs()
			for b.Loop() {
				for k, v := range f.Coefficients(c, x) {
					p[k] = real(v)*real(v) + imag(v)*imag(v)
				}
			}
		})
		b.Run(fmt.Sprintf("go-dsp/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for k, v := range dsp.FFTReal(x)[:n/2+1] {
					p[k] = real(v)*real(v) + imag(v)*imag(v)
				}
			}
		})
	}
}
