//go:build !noasm && !gccgo && !safe

package dsp

import (
	"golang.org/x/sys/cpu"
	"gonum.org/v1/gonum/blas/gonum"
	"gonum.org/v1/gonum/floats"
)

// Dot32 gives the dot product of two vectors of the same length. gonum's uses vector
// instructions here: 2.8 times the speed of the best plain loop at 136 elements.
func Dot32(x, y []float32) float32 { return gonum.Implementation{}.Sdot(len(x), x, 1, y, 1) }

// Dot64 is Dot32 in 64 bits.
func Dot64(x, y []float64) float64 { return floats.Dot(x, y) }

// Axpy32 adds a times x to the first len(x) elements of y.
func Axpy32(a float32, x, y []float32) {
	n := len(x) &^ 7
	if n == 0 || !cpu.X86.HasAVX {
		gonum.Implementation{}.Saxpy(len(x), a, x, 1, y, 1)
		return
	}
	axpyAVX(a, &x[0], &y[:len(x)][0], n)
	for i := n; i < len(x); i++ {
		y[i] += a * x[i]
	}
}

//go:noescape
func axpyAVX(a float32, x, y *float32, n int)

func (p Peaks) addTo(dst []float32, limit int16) {
	n := len(p.Weight)
	q := p.from(0, n&^7)
	if n > 7 {
		clippedPeaksSSE2(&dst[:n][0], &q, n&^7, limit)
	}
	p.from(n&^7, n).plainAddTo(dst[n&^7:n], limit)
}

//go:noescape
func clippedPeaksSSE2(dst *float32, p *Peaks, n int, limit int16)
