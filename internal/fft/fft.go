// Package fft has the discrete Fourier transforms that everything hears with.
package fft

import (
	"fmt"
	"math"
)

// Complex is the discrete Fourier transform of a fixed number of complex points. It
// keeps its tables and buffers, so it must not be used by two goroutines at once.
//
// It is here because frames are most of the work and their lengths are ours to
// choose: for a power of two alone, a transform by fours that runs through
// memory in order takes a seventh of the time of gonum's, which serves any
// length (docs/performance.md).
//
// Source: Stockham's self-sorting order, decimation in frequency; Van Loan,
// Computational Frameworks for the FFT, 1992, section 1.7.
type Complex struct {
	x, y  []complex128
	turns [][]complex128 // for each pass by fours: factors of the 2nd to 4th output, three for each block
}

// New prepares transforms of n points. It panics unless n is a power of two.
func New(n int) *Complex {
	if n < 1 || n&(n-1) != 0 {
		panic(fmt.Sprintf("fft: a transform of %d points; a power of two is needed", n))
	}
	f := &Complex{x: make([]complex128, n), y: make([]complex128, n)}
	for m := n; m >= 4; m /= 4 {
		turns := make([]complex128, 0, 3*m/4)
		for p := range m / 4 {
			for k := 1; k <= 3; k++ {
				turns = append(turns, unitAt(-float64(p*k)/float64(m)))
			}
		}
		f.turns = append(f.turns, turns)
	}
	return f
}

// unitAt gives the point of the unit circle at so many turns.
func unitAt(turns float64) complex128 {
	sin, cos := math.Sincos(2 * math.Pi * turns)
	return complex(cos, sin)
}

// Input gives the points to fill in before Transform; what they held before is
// of no use.
func (f *Complex) Input() []complex128 { return f.x }

// Transform gives the transform of what Input holds: element k is the sum of
// x[i] exp(-2 pi j i k/n). It stays until Input is filled in again.
func (f *Complex) Transform() []complex128 {
	x, y := f.x, f.y
	run := 1 // neighbours that are turned alike
	for _, turns := range f.turns {
		if run == 1 {
			firstPass(y, x, turns)
		} else {
			pass(y, x, turns, run)
		}
		x, y = y, x
		run *= 4
	}
	if run < len(x) { // a factor of two is left
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

// firstPass is pass for a run of 1, without its inner loop.
func firstPass(y, x, turns []complex128) {
	quarter := len(x) / 4
	xa, xb, xc, xd := x[:quarter], x[quarter:2*quarter], x[2*quarter:3*quarter], x[3*quarter:]
	for p, a := range xa {
		b, c, d := xb[p], xc[p], xd[p]
		t, out := turns[3*p:3*p+3], y[4*p:4*p+4]
		ac, bd := a+c, b+d
		out[0], out[2] = ac+bd, t[1]*(ac-bd)
		ca, db := a-c, b-d
		out[1] = t[0] * complex(real(ca)+imag(db), imag(ca)-real(db))
		out[3] = t[2] * complex(real(ca)-imag(db), imag(ca)+real(db))
	}
}

// pass makes the transforms of four out of those a quarter apart.
func pass(y, x, turns []complex128, run int) {
	quarter := len(x) / 4
	unturned(y[:4*run], x[:run], x[quarter:], x[2*quarter:], x[3*quarter:])
	for p := 1; p < quarter/run; p++ {
		from := run * p
		fours(y[4*from:][:4*run], x[from:][:run], x[quarter+from:], x[2*quarter+from:], x[3*quarter+from:], [3]complex128(turns[3*p:]))
	}
}

// fours writes to the quarters of y the transforms of four of as many a, b, c and
// d, turned. It is by itself, and reads and writes two by two, so that all it
// needs is in registers.
func fours(y, a, b, c, d []complex128, turn [3]complex128) {
	n := len(a)
	b, c, d = b[:n], c[:n], d[:n]
	y0, y1, y2, y3 := y[:n], y[n:][:n], y[2*n:][:n], y[3*n:][:n]
	for i := range a {
		ac, bd := a[i]+c[i], b[i]+d[i]
		y0[i], y2[i] = ac+bd, turn[1]*(ac-bd)
		ca, db := a[i]-c[i], b[i]-d[i]
		y1[i] = turn[0] * complex(real(ca)+imag(db), imag(ca)-real(db)) // ca - j db
		y3[i] = turn[2] * complex(real(ca)-imag(db), imag(ca)+real(db)) // ca + j db
	}
}

// unturned is fours where the factors are 1: all of the last pass.
func unturned(y, a, b, c, d []complex128) {
	n := len(a)
	b, c, d = b[:n], c[:n], d[:n]
	y0, y1, y2, y3 := y[:n], y[n:][:n], y[2*n:][:n], y[3*n:][:n]
	for i := range a {
		ac, bd := a[i]+c[i], b[i]+d[i]
		y0[i], y2[i] = ac+bd, ac-bd
		ca, db := a[i]-c[i], b[i]-d[i]
		y1[i] = complex(real(ca)+imag(db), imag(ca)-real(db)) // ca - j db
		y3[i] = complex(real(ca)-imag(db), imag(ca)+real(db)) // ca + j db
	}
}

// Real is the transform of a fixed number of real points, by a complex one
// of half as many. It must not be used by two goroutines at once.
type Real struct {
	half  *Complex
	turns []complex128 // exp(-2 pi j k/n)
}

// NewReal prepares transforms of n points. It panics unless n is a power of
// two of 2 or more.
func NewReal(n int) *Real {
	r := &Real{half: New(n / 2)}
	for k := range n/4 + 1 {
		r.turns = append(r.turns, unitAt(-float64(k)/float64(n)))
	}
	return r
}

// Input gives the points to fill in, two by two: element i holds points 2i and
// 2i+1 as its real and imaginary part.
func (r *Real) Input() []complex128 { return r.half.Input() }

// Powers writes the squared magnitude of bins 0 to n/2 of the transform of what
// Input holds; dst has that length.
//
// Source: Press and others, Numerical Recipes, section 12.3: the transforms of
// the even and the odd points are the two halves of that of the pairs.
func (r *Real) Powers(dst []float64) {
	z := r.half.Transform()
	n := len(z)
	dst[0] = square(real(z[0]) + imag(z[0]))
	dst[n] = square(real(z[0]) - imag(z[0]))
	for k := 1; k <= n/2; k++ {
		a, b := z[k], z[n-k]
		even := complex(real(a)+real(b), imag(a)-imag(b))
		odd := r.turns[k] * complex(imag(a)+imag(b), real(b)-real(a))
		dst[k] = (square(real(even)+real(odd)) + square(imag(even)+imag(odd))) / 4
		dst[n-k] = (square(real(even)-real(odd)) + square(imag(even)-imag(odd))) / 4
	}
}

func square(v float64) float64 { return v * v }
