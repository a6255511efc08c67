package dsp

import (
	"fmt"
	"math"
	"math/bits"
)

// FFT is the discrete Fourier transform of a fixed number of complex points, a
// power of two. It has tables and buffers of its own, so it must not be used by two
// goroutines at once.
//
// Transforms of frames are most of the work of this program, and the length of a
// frame is free to choose. A radix-4 transform for powers of two takes a tenth of
// the time of gonum's, which is for any length (docs/performance.md). Its points have 32
// bits, as samples do: what rounding adds is 130 dB under the loudest line, further than
// the last bit of 16-bit sound.
//
// Source: Stockham's self-sorting order, decimation in frequency; Van Loan 1992,
// section 1.7.
type FFT struct {
	x, y     []complex64
	twiddles [][]complex64 // of each radix-4 pass: factors of the 2nd to 4th output, three for each block; of the first one, all of the 2nd output first
}

// TransformSize gives the shortest transform that holds a window of n samples, n over
// 0: the next power of two.
func TransformSize(n int) int { return 1 << bits.Len(uint(n-1)) }

// NewFFT prepares transforms of n points. It panics unless n is a power of two.
func NewFFT(n int) *FFT {
	if n < 1 || n&(n-1) != 0 {
		panic(fmt.Sprintf("dsp: a transform of %d points; a power of two is needed", n))
	}
	f := &FFT{x: make([]complex64, n), y: make([]complex64, n)}
	for m := n; m >= 4; m /= 4 {
		block, output := 3, 1 // how far factors are apart
		if m == n {
			block, output = 1, m/4
		}
		twiddles := make([]complex64, 3*m/4)
		for p := range m / 4 {
			for k := range 3 {
				twiddles[block*p+output*k] = unitAt(-float64(p*(k+1)) / float64(m))
			}
		}
		f.twiddles = append(f.twiddles, twiddles)
	}
	return f
}

// unitAt gives the point of the unit circle at an angle in turns.
func unitAt(turns float64) complex64 {
	sin, cos := math.Sincos(2 * math.Pi * turns)
	return complex(float32(cos), float32(sin))
}

// Input gives the slice to fill with the points before each Transform. Its old
// contents mean nothing.
func (f *FFT) Input() []complex64 { return f.x }

// Transform gives the transform of what Input holds: element k is the sum of
// x[i] exp(-2 pi j i k/n). It is valid until Input is filled again.
func (f *FFT) Transform() []complex64 {
	x, y := f.x, f.y
	stride := 1 // neighbouring points with the same twiddle factor
	for _, twiddles := range f.twiddles {
		switch {
		case stride == 1:
			radix4First(y, x, twiddles)
		case 4*stride == len(x):
			radix4NoTwiddle(y, x)
		default:
			radix4Stage(y, x, twiddles, stride)
		}
		x, y = y, x
		stride *= 4
	}
	if stride < len(x) { // one radix-2 pass is left
		radix2NoTwiddle(y, x)
		x, y = y, x
	}
	f.x, f.y = y, x
	return x
}

// RealFFT is the transform of a fixed number of real points, a power of two, by a
// complex transform of half as many. It must not be used by two goroutines at once.
type RealFFT struct {
	half     *FFT
	twiddles []complex64 // exp(-2 pi j k/n)
}

// NewRealFFT prepares transforms of n points. It panics unless n is a power of
// two of 2 or more.
func NewRealFFT(n int) *RealFFT {
	r := &RealFFT{half: NewFFT(n / 2)}
	for k := range n/4 + 1 {
		r.twiddles = append(r.twiddles, unitAt(-float64(k)/float64(n)))
	}
	return r
}

// Input gives the slice to fill with the points, two by two: element i is point 2i
// as its real and point 2i+1 as its imaginary part.
func (r *RealFFT) Input() []complex64 { return r.half.Input() }

// PowerSpectrum writes to dst the squared magnitudes of bins 0 to n/2 of the transform
// of what Input holds; dst has that length.
//
// Source: Press and others 1992, section 12.3: the transforms of the even and the
// odd points are the two halves of that of the pairs.
func (r *RealFFT) PowerSpectrum(dst []float32) {
	z := r.half.Transform()
	n := len(z)
	dst[0] = square(real(z[0]) + imag(z[0]))
	dst[n] = square(real(z[0]) - imag(z[0]))
	from := 1 + realPowers(dst, z, r.twiddles)
	for k := from; k <= n/2; k++ {
		a, b := z[k], z[n-k]
		even := complex(real(a)+real(b), imag(a)-imag(b))
		odd := times(r.twiddles[k], complex(imag(a)+imag(b), real(b)-real(a)))
		dst[k] = (square(real(even)+real(odd)) + square(imag(even)+imag(odd))) / 4
		dst[n-k] = (square(real(even)-real(odd)) + square(imag(even)-imag(odd))) / 4
	}
}

// RealPartPowers writes to dst the squared magnitudes of bins 1 to len(dst)-1 of the
// transform of the real parts of points whose transform is z. dst has half its length.
func RealPartPowers(dst []float32, z []complex64) {
	for k := 1 + realPartPowers(dst, z); k < len(dst); k++ {
		a, b := z[k], z[len(z)-k]
		dst[k] = (square(real(a)+real(b)) + square(imag(a)-imag(b))) / 4
	}
}

func square(v float32) float32 { return v * v }

// times gives a product in 32 bits; that of the language is rounded from 64.
func times(a, b complex64) complex64 {
	return complex(real(a)*real(b)-imag(a)*imag(b), real(a)*imag(b)+imag(a)*real(b))
}
