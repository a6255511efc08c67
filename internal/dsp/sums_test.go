package dsp

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// TestSums: vector instructions give what the plain loops give, to the last bit, at all
// lengths around those that are taken together, and write nothing beyond. Source: the
// plain loops.
func TestSums(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	random := func(n int) []float32 {
		x := make([]float32, n)
		for i := range x {
			x[i] = r.Float32() - 0.3
		}
		return x
	}
	for n := range 40 {
		x := random(5 * 48)
		a := [2]Sliding{{random(n + 2), x[:n], x[48:], 0.3, 0.7}, {random(n + 2), x[96:], x[144:], 0.1, 0.9}}
		b := a
		for i := range b {
			a[i].Dst, b[i].Dst = a[i].Dst[:n], slices.Clone(a[i].Dst)[:n]
		}
		Slide(&a[0], &a[1])
		plainSlide(&b[0], &b[1], 0)
		for i := range b {
			if !slices.Equal(a[i].Dst[:n+2], b[i].Dst[:n+2]) {
				t.Errorf("%d sums differ from those of the plain loop", n)
			}
		}

		got := random(n + 9)
		want := slices.Clone(got)
		four := [4]Scaled{{0.7, x[:n]}, {0.3, x[48:][:n+3]}, {-0.2, x[96:][:n+9]}, {0.9, x[144:][:n]}}
		AddFour32(got, &four)
		for _, v := range four {
			plainAxpy(v.By, v.X, want)
		}
		if !slices.Equal(got, want) {
			t.Errorf("four vectors of %d elements differ from one after the other", n)
		}
	}
}

// TestSideBySide: filters that are worked on at once give what each gives by itself, to
// the last bit, however the sound is cut. Source: Biquad.Step.
func TestSideBySide(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	x := make([]float32, 500)
	for i := range x {
		x[i] = r.Float32() - 0.5
	}
	one, two := NewHighPass(300, 8000, 0.7), [2]Biquad(ButterworthHighPass(4, 2000, 8000))
	trio, first, second := Trio{One: one, Two: two}, one, one
	var sum, sumOne, energies float64
	for from, n := 0, 1; from < len(x); from, n = from+n, n+3 {
		part := x[from:min(from+n, len(x))]
		energy, energyOfOne, series := make([]float64, n), make([]float64, n), make([]float64, n)
		trio.Run(part, energy, energyOfOne, series)
		before := sumOne
		var alone float64
		for i, v := range part {
			y := one.Step(float64(v))
			sum, sumOne, alone = sum+float64(v)*float64(v), sumOne+y*y, alone+y*y
			if w := two[1].Step(two[0].Step(float64(v))); energy[i] != sum || energyOfOne[i] != sumOne || series[i] != w {
				t.Fatalf("sample %d: %v, %v and %v, want %v, %v and %v", from+i, energy[i], energyOfOne[i], series[i], sum, sumOne, w)
			}
		}
		if got := first.Energy(part, 0); got != alone {
			t.Fatalf("from sample %d on an energy of %v, want %v", from, got, alone)
		}
		third := second
		a, b := Energies(&second, &third, part, before)
		if energies = a; a != b || a != sumOne {
			t.Fatalf("from sample %d on %v and %v, want %v", from, a, b, sumOne)
		}
	}
	if energies == 0 {
		t.Error("nothing was filtered")
	}
}
