package dsp

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestSamples: vector instructions read, mark and measure samples as the plain loops do,
// to the last bit, and write nothing beyond. Source: the plain loops.
func TestSamples(t *testing.T) {
	const guard = 2
	r := rand.New(rand.NewPCG(5, 6))
	for n := range 40 {
		raw, x := make([]byte, 2*n), make([]float32, AtOnce*n+3)
		for i := range raw {
			raw[i] = byte(r.IntN(256))
		}
		for i := range x {
			x[i] = float32(r.IntN(5)-2) * perInt16
		}
		if n > 4 {
			x[n] = float32(r.NormFloat64())
		}
		weight := [AtOnce]float64{0.1, 0.2, 0.3, 0.7, 1.1, 1.3, 1.7, 1.9}
		alike(t, "FromInt16", make([]float32, n+guard), func(v []float32) { FromInt16(v[:n], raw) }, func(v []float32) { plainFromInt16(v[:n], raw) })
		alike(t, "Mark", make([]Marks, n+guard), func(v []Marks) { Mark(v[:n], x, perInt16) }, func(v []Marks) { plainMark(v[:n], x, math.Float32bits(perInt16)) })
		alike(t, "Rough", make([]Roughness, n+guard), func(v []Roughness) { Rough(v[:n], x, &weight) }, func(v []Roughness) { plainRough(v[:n], x, &weight) })
		if got, want := LargestMagnitude(x[:n]), plainLargestMagnitude(x[:n]); got != want {
			t.Errorf("the largest magnitude of %d numbers has the bits %x, want %x", n, got, want)
		}
	}
}

// TestMarks: which samples are loud, which equal the one before, and how many are chosen.
// Source: definition.
func TestMarks(t *testing.T) {
	dst := make([]Marks, 1)
	Mark(dst, []float32{0.5, 0.5, 0.5, -0.5, -0.1, -0.1, 0.2, 0.2, 0.25}, 0.15)
	if dst[0].Loud() != 0b11100111 || dst[0].Same() != 0b01000011 {
		t.Errorf("loud %b, same %b", dst[0].Loud(), dst[0].Same())
	}
	r := rand.New(rand.NewPCG(7, 8))
	x := make([]float32, 1+16000*AtOnce)
	for i := range x {
		x[i] = float32(r.IntN(2000)-1000) * perInt16
	}
	dst = make([]Marks, 16000)
	Mark(dst, x, 0)
	chosen := 0
	for _, m := range dst {
		for b := m.Chosen(); b > 0; b &= b - 1 {
			chosen++
		}
	}
	if want := 500 * AtOnce; math.Abs(float64(chosen-want)) > 0.1*float64(want) {
		t.Errorf("%d of %d samples are chosen, want one in 32", chosen, len(x)-1)
	}
}
