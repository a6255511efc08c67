package resample

import (
	"fmt"
	"math"
	"testing"
)

// BenchmarkResampler is the resampler alone, filters made once.
func BenchmarkResampler(b *testing.B) {
	for _, rate := range []int{11025, 16000, 22050, 44100, 47999, 48000, 96000, 192000} {
		b.Run(fmt.Sprint(rate), func(b *testing.B) {
			r := New(Design(rate, Default()))
			x := tone(rate, 0.01, 0.5)
			var out []float32
			b.ReportAllocs()
			for b.Loop() {
				out = r.Push(out[:0], x)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}

// BenchmarkDesign is the making of the filters.
func BenchmarkDesign(b *testing.B) {
	for _, rate := range []int{11025, 44100, 47999, 48000} {
		b.Run(fmt.Sprint(rate), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Design(rate, Default())
			}
		})
	}
}

// tone gives a sine of so many cycles a sample.
func tone(n int, cycles, level float64) []float32 {
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(level * math.Sin(2*math.Pi*cycles*float64(i)))
	}
	return x
}
