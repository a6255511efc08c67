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
// frame is free to choose. A radix-4 transform for powers of two takes a seventh of
// the time of gonum's, which is for any length (docs/performance.md).
//
// Source: Stockham's self-sorting order, decimation in frequency; Van Loan 1992,
// section 1.7.
type FFT struct {
	x, y     []complex128
	twiddles [][]complex128 // of each radix-4 pass: factors of the 2nd to 4th output, three for each block
}

// TransformSize gives the shortest transform that holds a window of n samples, n over
// 0: the next power of two.
func TransformSize(n int) int { return 1 << bits.Len(uint(n-1)) }

// NewFFT prepares transforms of n points. It panics unless n is a power of two.
func NewFFT(n int) *FFT {
	if n < 1 || n&(n-1) != 0 {
		panic(fmt.Sprintf("dsp: a transform of %d points; a power of two is needed", n))
	}
	f := &FFT{x: make([]complex128, n), y: make([]complex128, n)}
	for m := n; m >= 4; m /= 4 {
		twiddles := make([]complex128, 0, 3*m/4)
		for p := range m / 4 {
			for k := 1; k <= 3; k++ {
				twiddles = append(twiddles, unitAt(-float64(p*k)/float64(m)))
			}
		}
		f.twiddles = append(f.twiddles, twiddles)
	}
	return f
}

// unitAt gives the point of the unit circle at an angle in turns.
func unitAt(turns float64) complex128 {
	sin, cos := math.Sincos(2 * math.Pi * turns)
	return complex(cos, sin)
}

// Input gives the slice to fill with the points before each Transform. Its old
// contents mean nothing.
func (f *FFT) Input() []complex128 { return f.x }

// Transform gives the transform of what Input holds: element k is the sum of
// x[i] exp(-2 pi j i k/n). It is valid until Input is filled again.
func (f *FFT) Transform() []complex128 {
	x, y := f.x, f.y
	stride := 1 // neighbouring points with the same twiddle factor
	for _, twiddles := range f.twiddles {
		if stride == 1 {
			radix4First(y, x, twiddles)
		} else {
			radix4Stage(y, x, twiddles, stride)
		}
		x, y = y, x
		stride *= 4
	}
	if stride < len(x) { // one radix-2 pass is left
		half := len(x) / 2
		lo, hi, sum, difference := x[:half], x[half:], y[:half], y[half:]
		for i, a := range lo {
			b := hi[i]
			sum[i], difference[i] = a+b, a-b
		}
		x, y = y, x
	}
	f.x, f.y = y, x
	return x
}

// radix4First is the pass with a stride of 1, without an inner loop.
func radix4First(y, x, twiddles []complex128) {
	quarter := len(x) / 4
	xa, xb, xc, xd := x[:quarter], x[quarter:2*quarter], x[2*quarter:3*quarter], x[3*quarter:]
	for p, a := range xa {
		b, c, d := xb[p], xc[p], xd[p]
		t, out := twiddles[3*p:3*p+3], y[4*p:4*p+4]
		ac, bd := a+c, b+d
		out[0], out[2] = ac+bd, t[1]*(ac-bd)
		ca, db := a-c, b-d
		out[1] = t[0] * complex(real(ca)+imag(db), imag(ca)-real(db))
		out[3] = t[2] * complex(real(ca)-imag(db), imag(ca)+real(db))
	}
}

// radix4Stage is a pass of radix-4 butterflies with a stride over 1.
func radix4Stage(y, x, twiddles []complex128, stride int) {
	quarter := len(x) / 4
	radix4NoTwiddle(y[:4*stride], x, quarter)
	for p := 1; p < quarter/stride; p++ {
		from := stride * p
		radix4Butterfly(y[4*from:][:4*stride], x[from:], quarter, [3]complex128(twiddles[3*p:]))
	}
}

// radix4Butterfly writes to the quarters of y the transforms of four points of x that
// are a quarter of the whole apart, times the twiddle factors. It is a function of
// its own, and reads and writes in pairs, so that everything stays in registers.
func radix4Butterfly(y, x []complex128, quarter int, twiddle [3]complex128) {
	n := len(y) / 4
	a, b, c, d := x[:n], x[quarter:][:n], x[2*quarter:][:n], x[3*quarter:][:n]
	y0, y1, y2, y3 := y[:n], y[n:][:n], y[2*n:][:n], y[3*n:][:n]
	for i := range a {
		ac, bd := a[i]+c[i], b[i]+d[i]
		y0[i], y2[i] = ac+bd, twiddle[1]*(ac-bd)
		ca, db := a[i]-c[i], b[i]-d[i]
		y1[i] = twiddle[0] * complex(real(ca)+imag(db), imag(ca)-real(db)) // ca - j db
		y3[i] = twiddle[2] * complex(real(ca)-imag(db), imag(ca)+real(db)) // ca + j db
	}
}

// radix4NoTwiddle is radix4Butterfly with factors of 1, as in all of the last pass.
func radix4NoTwiddle(y, x []complex128, quarter int) {
	n := len(y) / 4
	a, b, c, d := x[:n], x[quarter:][:n], x[2*quarter:][:n], x[3*quarter:][:n]
	y0, y1, y2, y3 := y[:n], y[n:][:n], y[2*n:][:n], y[3*n:][:n]
	for i := range a {
		ac, bd := a[i]+c[i], b[i]+d[i]
		y0[i], y2[i] = ac+bd, ac-bd
		ca, db := a[i]-c[i], b[i]-d[i]
		y1[i] = complex(real(ca)+imag(db), imag(ca)-real(db)) // ca - j db
		y3[i] = complex(real(ca)-imag(db), imag(ca)+real(db)) // ca + j db
	}
}

// RealFFT is the transform of a fixed number of real points, a power of two, by a
// complex transform of half as many. It must not be used by two goroutines at once.
type RealFFT struct {
	half     *FFT
	twiddles []complex128 // exp(-2 pi j k/n)
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
func (r *RealFFT) Input() []complex128 { return r.half.Input() }

// PowerSpectrum writes to dst the squared magnitudes of bins 0 to n/2 of the transform
// of what Input holds; dst has that length.
//
// Source: Press and others 1992, section 12.3: the transforms of the even and the
// odd points are the two halves of that of the pairs.
func (r *RealFFT) PowerSpectrum(dst []float64) {
	z := r.half.Transform()
	n := len(z)
	dst[0] = square(real(z[0]) + imag(z[0]))
	dst[n] = square(real(z[0]) - imag(z[0]))
	for k := 1; k <= n/2; k++ {
		a, b := z[k], z[n-k]
		even := complex(real(a)+real(b), imag(a)-imag(b))
		odd := r.twiddles[k] * complex(imag(a)+imag(b), real(b)-real(a))
		dst[k] = (square(real(even)+real(odd)) + square(imag(even)+imag(odd))) / 4
		dst[n-k] = (square(real(even)-real(odd)) + square(imag(even)-imag(odd))) / 4
	}
}

func square(v float64) float64 { return v * v }
