package dsp

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestLookups: vector instructions look up what the plain loops do, to the last bit, at
// all lengths around those that are taken together, and write nothing beyond. Source:
// the plain loops.
func TestLookups(t *testing.T) {
	const guard = 2
	r := rand.New(rand.NewPCG(3, 4))
	for n := range 40 {
		x, y, at := make([]float32, n+guard), make([]float32, n+guard), make([]int32, n)
		power, table := make([]float32, n+guard), make([]int32, 100)
		for i := range x {
			x[i], y[i] = float32(60*r.NormFloat64()), float32(r.IntN(5))
			power[i] = float32(math.Exp(20 * r.NormFloat64()))
		}
		for i := range at {
			at[i] = int32(r.IntN(len(table)))
		}
		for i := range table {
			table[i] = int32(r.IntN(1120))
		}
		alike(t, "Exps", x, func(v []float32) { Exps(v[:n], -0.5, 110) }, func(v []float32) { plainExps(v[:n], -0.5, 110) })
		alike(t, "Exps within the table", x, func(v []float32) { Exps(v[:n], 0.1, 20) }, func(v []float32) { plainExps(v[:n], 0.1, 20) })
		alike(t, "Raise32", x, func(v []float32) { Raise32(v[:n], y) }, func(v []float32) { plainRaise(v[:n], y) })
		alike(t, "CountOver", make([]int32, n+guard), func(v []int32) { CountOver(v[:n], x, 30, 3) }, func(v []int32) { plainCountOver(v[:n], x, 30, 3) })
		alike(t, "Roots", x, func(v []float32) { Roots(v[:n], power[:n]) }, func(v []float32) { plainRoots(v[:n], power[:n]) })
		alike(t, "Slope32", x, func(v []float32) { Slope32(v[:n], y, x, 1, 0.3) }, func(v []float32) { plainSlopes(v[:n], y[:n:n], x, 1, 0.3) })
		alike(t, "Slope32, its sum", y, func(v []float32) { Slope32(make([]float32, n), v, x, 1, 0.3) }, func(v []float32) { plainSlopes(make([]float32, n), v, x, 1, 0.3) })
		s := Scored{make([]int16, n+guard), [2][]float32{x, y}, [2]Ramp{{0.025, -9.2, -1.5, 4}, {-0.0156, 5, -2, 0.8}}}
		alike(t, "LookUp", s.Number, func(v []int16) { s.Number = v; s.LookUp(1, table, at) }, func(v []int16) { s.Number = v; s.plainLookUp(1, table, at) })
		for i := range s.Score {
			alike(t, "scores of LookUp", s.Score[i], func(v []float32) { s.Score[i] = v; s.LookUp(1, table, at) }, func(v []float32) { s.Score[i] = v; s.plainLookUp(1, table, at) })
		}
		alike(t, "Heights", make([]int32, n+guard), func(v []int32) { Heights(v[:n], power, 1e-9) }, func(v []int32) { plainHeights(v[:n], power, 1e-9) })
		alike(t, "Steps", make([]int32, n+guard), func(v []int32) { Steps(v[:n], x, -20, 16, 1120) }, func(v []int32) { plainSteps(v[:n], x, stepBy{-20, 16, 1119}) })
		alike(t, "Windowed", make([]complex64, n/2+guard), func(v []complex64) { Windowed(v[:n/2], x, y) }, func(v []complex64) { plainWindowed(v[:n/2], x, y) })
		if n > 0 {
			if got, want := IndexOfLargest(y[:n]), plainIndexOf(y, slices.Max(y[:n])); got != want || y[got] != plainLargest(y[:n]) {
				t.Errorf("the largest of %v is at %d, not at %d", y[:n], want, got)
			}
		}
	}
}

// alike fails the test where two functions do not leave the same in copies of x.
func alike[T comparable](t *testing.T, name string, x []T, got, want func([]T)) {
	t.Helper()
	a, b := slices.Clone(x), slices.Clone(x)
	got(a)
	want(b)
	if !slices.Equal(a, b) {
		t.Errorf("%s of %d elements: %v, want %v", name, len(x), a, b)
	}
}

// TestExp: the exponential of numbers down to the floor. Source: package math.
func TestExp(t *testing.T) {
	for x := -60.0; x <= 0; x += 0.0137 {
		want := max(math.Exp(float64(float32(x))), ExpFloor)
		if got := float64(Exp(float32(x))); math.Abs(got/want-1) > 1e-5 && x > -41.4 {
			t.Fatalf("e^%v is %v, want %v", x, got, want)
		}
	}
	if Exp(0) != 1 {
		t.Errorf("e^0 is %v", Exp(0))
	}
}

// TestHeights: levels of any power to within what the table rounds. Source: definition.
func TestHeights(t *testing.T) {
	power, height := []float32{0}, []int32{0}
	for p := 1e-9; p < 1e9; p *= 1.0137 {
		power[0] = float32(p)
		Heights(height, power, 1e-10)
		if got, want := float64(height[0])*HeightUnit, 10*math.Log10(p+1e-10); math.Abs(got-want) > 0.003 {
			t.Fatalf("%v is %v dB, want %v", p, got, want)
		}
	}
}
