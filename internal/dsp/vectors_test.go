package dsp

import (
	"math"
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
