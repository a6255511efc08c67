package dsp

import (
	"fmt"
	"math"

	"topnote/internal/engine"
)

// Biquad is a filter of second order with the state of one sound, in transposed
// direct form II. The zero Biquad gives zeros.
type Biquad struct {
	b0, b1, b2, a1, a2 float64
	z1, z2             float64
}

// Step takes the next sample and gives the filtered one.
func (q *Biquad) Step(x float64) float64 {
	y := q.b0*x + q.z1
	q.z1 = q.b1*x - q.a1*y + q.z2
	q.z2 = q.b2*x - q.a2*y
	return y
}

// maxCorner is the highest corner of a filter over the rate. The bilinear
// transform has none at half the rate.
const maxCorner = 0.49

// NewLowPass gives a second-order low-pass: its gain is 1 at 0 and q at corner. A
// corner above 0.49 of the rate is placed there.
//
// Source: bilinear transform of 1 / (s^2 + s/q + 1); Oppenheim and Schafer 1989,
// section 7.1.
func NewLowPass(corner, rate engine.Hz, q float64) Biquad {
	cos, alpha, a0 := bilinear(corner, rate, q)
	b0 := (1 - cos) / 2 / a0
	return Biquad{b0: b0, b1: (1 - cos) / a0, b2: b0, a1: -2 * cos / a0, a2: (1 - alpha) / a0}
}

// NewHighPass gives a second-order high-pass: its gain is 1 at half the rate and
// q at corner. A corner above 0.49 of the rate is placed there.
//
// Source: as NewLowPass, of s^2 / (s^2 + s/q + 1).
func NewHighPass(corner, rate engine.Hz, q float64) Biquad {
	cos, alpha, a0 := bilinear(corner, rate, q)
	b0 := (1 + cos) / 2 / a0
	return Biquad{b0: b0, b1: -(1 + cos) / a0, b2: b0, a1: -2 * cos / a0, a2: (1 - alpha) / a0}
}

// NewBandPass gives a second-order band-pass: its gain is 1 at centre, and
// 1/sqrt(2) at two frequencies that are centre/q apart before the transform
// warps them. A centre above 0.49 of the rate is placed there.
//
// Source: as NewLowPass, of (s/q) / (s^2 + s/q + 1).
func NewBandPass(centre, rate engine.Hz, q float64) Biquad {
	cos, alpha, a0 := bilinear(centre, rate, q)
	return Biquad{b0: alpha / a0, b2: -alpha / a0, a1: -2 * cos / a0, a2: (1 - alpha) / a0}
}

// bilinear gives what the coefficients of a section have in common: the cosine
// of its corner, and the denominator 1+alpha, -2 cos, 1-alpha over a0.
func bilinear(corner, rate engine.Hz, q float64) (cos, alpha, a0 float64) {
	sin, cos := math.Sincos(2 * math.Pi * math.Min(float64(corner/rate), maxCorner))
	alpha = sin / (2 * q)
	return cos, alpha, 1 + alpha
}

// Filter is second-order sections in series, with the state of one sound. It
// must not be used by two goroutines at once.
type Filter []Biquad

// Step takes the next sample and gives the filtered one.
func (f Filter) Step(x float64) float64 {
	for i := range f {
		x = f[i].Step(x)
	}
	return x
}

// Apply filters x in place, section by section: between them samples are rounded
// to float32.
func (f Filter) Apply(x []float32) {
	for k := range f {
		section := f[k] // a copy, so that its state stays in registers
		for i, v := range x {
			x[i] = float32(section.Step(float64(v)))
		}
		f[k] = section
	}
}

// ButterworthLowPass gives a low-pass of an even order with a maximally flat pass
// band: its gain is 1 at 0 and 1/sqrt(2) at corner. A corner above 0.49 of the
// rate is placed there. It panics on an order that is odd or under 2.
//
// Source: the poles of the Butterworth filter, in pairs of q = 1/(2 cos((2k+1)
// pi/(2 order))); as NewLowPass.
func ButterworthLowPass(order int, corner, rate engine.Hz) Filter {
	return butterworth(order, func(q float64) Biquad { return NewLowPass(corner, rate, q) })
}

// ButterworthHighPass gives a high-pass with a gain of 1 at half the rate;
// otherwise as ButterworthLowPass.
func ButterworthHighPass(order int, corner, rate engine.Hz) Filter {
	return butterworth(order, func(q float64) Biquad { return NewHighPass(corner, rate, q) })
}

func butterworth(order int, section func(q float64) Biquad) Filter {
	if order < 2 || order%2 != 0 {
		panic(fmt.Sprintf("dsp: a Butterworth filter of order %d; an even order from 2 is needed", order))
	}
	f := make(Filter, order/2)
	for k := range f {
		f[k] = section(1 / (2 * math.Cos(float64(2*k+1)*math.Pi/float64(2*order))))
	}
	return f
}
