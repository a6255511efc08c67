package dsp

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestFloor: levels over their floor are those of running means in 64 bits, with peaks
// clipped, also where there are fewer levels than a mean has, and the same to the last bit
// by the plain loops. Source: definition, RunningMean; the plain loops.
func TestFloor(t *testing.T) {
	const clip, passes, within = 87082, 3, 2e-4 // heights, a little over 4 dB; dB
	r := rand.New(rand.NewPCG(5, 6))
	for _, n := range []int{1, 2, 7, 8, 40, 57, 911} {
		for _, half := range []int{1, 5, 38} {
			heights, level := make([]int32, n), make([]float64, n)
			for i := range heights {
				heights[i] = int32(r.NormFloat64() * 10 / HeightUnit)
				level[i] = float64(heights[i]) * HeightUnit
			}
			mean, clipped := make([]float64, n), slices.Clone(level)
			RunningMean(mean, level, half)
			for range passes - 1 {
				for i, v := range level {
					clipped[i] = min(v, mean[i]+clip*HeightUnit)
				}
				RunningMean(mean, clipped, half)
			}
			f, got := NewFloor(n, half), make([]float32, n)
			f.Over(got, heights, clip, passes)
			for i, v := range got {
				if want := level[i] - mean[i]; math.Abs(float64(v)-want) > within {
					t.Fatalf("%d levels, half %d: at %d %v over the floor, want %v", n, half, i, v, want)
				}
			}
			plain := make([]int32, n)
			plainCumulate(plain, f.clipped, 0)
			if !slices.Equal(plain, f.sums[half+1:][:n]) {
				t.Errorf("%d levels: sums differ from the plain loop", n)
			}
			alike(t, "clipMeans", plain, func(v []int32) { f.clipMeans(v, heights, clip) }, func(v []int32) { f.plainClipMeans(v, heights, clip, 0) })
			alike(t, "overMeans", got, func(v []float32) { f.overMeans(v, heights) }, func(v []float32) { f.plainOverMeans(v, heights, 0) })
		}
	}
}
