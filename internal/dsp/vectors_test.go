package dsp

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestVectors: products and sums of all lengths around those that are unrolled, and
// elements beyond the length stay. Source: definition.
func TestVectors(t *testing.T) {
	for n := range 40 {
		x, y := make([]float32, n), make([]float32, n+3)
		x64, y64 := make([]float64, n), make([]float64, n)
		var want float64
		for i := range x {
			x[i], y[i] = float32(i%7)-3, float32(i%5)+0.5
			x64[i], y64[i] = float64(x[i]), float64(y[i])
			want += x64[i] * y64[i]
		}
		y[n] = 11
		if got := float64(Dot32(x, y[:n])); got != want { // halves add up without rounding
			t.Errorf("%d elements: %v, want %v", n, got, want)
		}
		if got := Dot64(x64, y64); got != want {
			t.Errorf("%d elements of 64 bits: %v, want %v", n, got, want)
		}
		Axpy32(0.25, x, y)
		for i, v := range x64 {
			if sum := y64[i] + 0.25*v; math.Abs(float64(y[i])-sum) > 1e-6 {
				t.Errorf("%d elements, at %d: %v, want %v", n, i, y[i], sum)
			}
		}
		if y[n] != 11 || y[n+1] != 0 {
			t.Errorf("%d elements: %v was beyond", n, y[n:])
		}
	}
}

// TestLoops: vector instructions give what the plain loops give, to the last bit, at
// all lengths around those that are taken together, and write nothing beyond. Source:
// the plain loops.
func TestLoops(t *testing.T) {
	const guard = 2
	r := rand.New(rand.NewPCG(1, 2))
	random := func(n int) []float32 {
		x := make([]float32, n+guard)
		for i := range x {
			x[i] = r.Float32() - 0.3
		}
		return x
	}
	for n := range 40 {
		a, b, c := random(n), random(n), random(n)
		check := func(name string, got, want func(a, b, c []float32)) {
			t.Helper()
			x, y := [3][]float32{}, [3][]float32{}
			for k, v := range [...][]float32{a, b, c} {
				x[k], y[k] = slices.Clone(v), slices.Clone(v)
			}
			got(x[0][:n], x[1][:n], x[2][:n])
			want(y[0][:n], y[1][:n], y[2][:n])
			for k := range x {
				if !slices.Equal(x[k], y[k]) {
					t.Errorf("%s of %d elements differs from the plain loop", name, n)
				}
			}
		}
		m := Mix{0.9, 0.1, 0.7, 0.2, 0.3}
		check("Mix", m.Apply, m.plainMix)
		check("Products32", func(a, b, c []float32) { Products32(a, b, c, 0.7, 0.1) }, func(a, b, c []float32) { plainProducts(a, b, c, 0.7, 0.1) })
		check("AddProducts32", AddProducts32, plainAddProducts)
		check("Blend32", func(a, b, c []float32) { Blend32(a, a, c, 0.7, 0.1) }, func(a, b, c []float32) { plainBlend(a, a, c, 0.7, 0.1) })
		check("Axpy32", func(a, b, _ []float32) { Axpy32(0.7, a, b) }, func(a, b, _ []float32) { plainAxpy(0.7, a, b) })
		filter := random(n)[:n]
		places, turns := make([]float64, n), make([]float64, n+guard)
		for i := range places {
			places[i], turns[i] = 1+0.7*float64(i), float64(a[i])
		}
		check("CubicsAt", func(a, b, c []float32) { CubicsAt(a, slices.Concat(b, c), places) }, func(a, b, c []float32) { plainCubicsAt(a, slices.Concat(b, c), places) })
		alike(t, "TurnTimes", turns, func(v []float64) { TurnTimes(v[:n], 0.9, -0.6) }, func(v []float64) { plainTurnTimes(v[:n], &turning{0.9, 0.9 * 0.9, -1.2}) })
		check("Correlate32", func(a, b, c []float32) { Correlate32(a, slices.Concat(b, c), filter[:n/2]) }, func(a, b, c []float32) { plainCorrelate(a, slices.Concat(b, c), filter[:n/2]) })
		check("Dots32", func(a, b, c []float32) { Dots32(a[:n/3], slices.Concat(b, c, b), 4, filter) }, func(a, b, c []float32) { dotByDot(a[:n/3], slices.Concat(b, c, b), 4, filter) })
		if got, want := Dot32(a[:n], b[:n]), plainDot(a[:n], b[:n]); math.Abs(float64(got-want)) > 1e-5 {
			t.Errorf("the product of %d elements is %v, by the plain loop %v", n, got, want)
		}
	}
}
