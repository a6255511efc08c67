//go:build !noasm && !gccgo && !safe

package dsp

import (
	"golang.org/x/sys/cpu"
	"gonum.org/v1/gonum/floats"
)

// Dot32 gives the dot product of two vectors of the same length.
func Dot32(x, y []float32) float32 {
	if len(x) == 0 || !cpu.X86.HasAVX {
		return plainDot(x, y)
	}
	return dotAVX(&x[0], &y[:len(x)][0], len(x))
}

//go:noescape
func dotAVX(x, y *float32, n int) float32

//go:noescape
func correlateAVX(dst, x *float32, n int, weights *float32, taps int)

func correlate(dst, x, weights []float32) {
	n := inEights(len(dst))
	if n > 0 && len(weights) > 0 {
		_ = x[len(dst)+len(weights)-2]
		correlateAVX(&dst[0], &x[0], n, &weights[0], len(weights))
	}
	plainCorrelate(dst[n:], x[n:], weights)
}

// dotting is so many times four dot products of n elements.
type dotting struct {
	x, filter      *float32
	step, n, fours int
}

//go:noescape
func dotsAVX(dst *float32, of *dotting)

func dots(dst, x []float32, step int, filter []float32) {
	fours := len(dst) / 4
	if fours > 0 && cpu.X86.HasAVX && len(filter) >= 16 && len(filter)%8 == 0 {
		_ = x[(4*fours-1)*step:][:len(filter)]
		dotsAVX(&dst[0], &dotting{&x[0], &filter[0], step, len(filter), fours})
	} else {
		fours = 0
	}
	dotByDot(dst[4*fours:], x[min(4*fours*step, len(x)):], step, filter)
}

// Dot64 is Dot32 in 64 bits.
func Dot64(x, y []float64) float64 { return floats.Dot(x, y) }

// Axpy32 adds a times x to the first len(x) elements of y.
func Axpy32(a float32, x, y []float32) {
	n := inEights(len(x))
	if n > 0 {
		axpyAVX(a, &x[0], &y[:len(x)][0], n)
	}
	plainAxpy(a, x[n:], y[n:])
}

// inEights gives how many of so many elements the processor can take by eight.
func inEights(n int) int {
	if !cpu.X86.HasAVX {
		return 0
	}
	return n &^ 7
}

//go:noescape
func axpyAVX(a float32, x, y *float32, n int)

//go:noescape
func productsAVX(dst, a, b *float32, n int, by *[2]float32)

func products(dst, a, b []float32, scale, plus float32) {
	n := inEights(len(dst))
	if n > 0 {
		productsAVX(&dst[0], &a[:len(dst)][0], &b[:len(dst)][0], n, &[...]float32{scale, plus})
	}
	plainProducts(dst[n:], a[n:], b[n:], scale, plus)
}

//go:noescape
func addProductsAVX(dst, a, b *float32, n int)

func addProducts(dst, a, b []float32) {
	n := inEights(len(dst))
	if n > 0 {
		addProductsAVX(&dst[0], &a[:len(dst)][0], &b[:len(dst)][0], n)
	}
	plainAddProducts(dst[n:], a[n:], b[n:])
}

//go:noescape
func blendAVX(dst, a, b *float32, n int, by *[2]float32)

func blend(dst, a, b []float32, x, y float32) {
	n := inEights(len(dst))
	if n > 0 {
		blendAVX(&dst[0], &a[:len(dst)][0], &b[:len(dst)][0], n, &[...]float32{x, y})
	}
	plainBlend(dst[n:], a[n:], b[n:], x, y)
}

//go:noescape
func mixAVX(m *Mix, a, b, c *float32, n int)

func (m Mix) mix(a, b, c []float32) {
	n := inEights(len(a))
	if n > 0 {
		mixAVX(&m, &a[0], &b[:len(a)][0], &c[:len(a)][0], n)
	}
	m.plainMix(a[n:], b[n:], c[n:])
}

//go:noescape
func taperedCubicsAVX(dst, taper *[AtOnce]complex64, x *float32, p, step float64)

func taperedCubics(dst, taper *[AtOnce]complex64, x []float32, p, step float64) {
	if !cpu.X86.HasAVX {
		plainTaperedCubics(dst, taper, x, p, step)
		return
	}
	taperedCubicsAVX(dst, taper, &x[0], p, step)
}

//go:noescape
func cubicsAtAVX(dst, x *float32, p *float64, n int)

func cubicsAt(dst, x []float32, p []float64) {
	n := inEights(len(dst))
	if n > 0 {
		cubicsAtAVX(&dst[0], &x[0], &p[:len(dst)][0], n)
	}
	plainCubicsAt(dst[n:], x, p[n:])
}

//go:noescape
func linearsAtAVX2(dst, x *float32, p *float64, n int)

func linearsAt(dst, x []float32, from int, p []float64) {
	n := inWideEights(len(dst))
	if n > 0 { // places may be before the sample from
		linearsAtAVX2(&dst[0], &x[from], &p[0], n)
	}
	plainLinearsAt(dst[n:], x, from, p[n:])
}

//go:noescape
func turnTimesAVX(turns *float64, n int, by *turning)

func turnTimes(turns []float64, by *turning) {
	n := inEights(len(turns))
	if n > 0 {
		turnTimesAVX(&turns[0], n, by)
	}
	plainTurnTimes(turns[n:], by)
}

//go:noescape
func addPeaksAVX2(dst *float32, all *Peaks, n int, limit int16)

func addPeaks(dst []float32, all []Peaks, limit int16) {
	if len(all) == 0 || !cpu.X86.HasAVX2 {
		plainAddPeaks(dst, all, limit)
		return
	}
	for i := range all {
		p := &all[i]
		n := len(p.Weight)
		_, _, _, _ = dst[n-1], p.At[n-1], p.Below[n-1], p.Above[n-1]
	}
	addPeaksAVX2(&dst[0], &all[0], len(all), limit)
}
