package dsp

import (
	"fmt"
	"math"
	"testing"

	"topnote/internal/engine"
)

// gainOf measures the gain of a filter for a tone, in dB, once it has settled: over
// whole cycles of the tone.
func gainOf(step func(float64) float64, tone, rate engine.Hz) float64 {
	cycle := float64(rate / tone)
	settle, whole := int(200*cycle), int(math.Round(50*cycle))
	var in, out float64
	for i := range settle + whole {
		v := math.Sin(2 * math.Pi * float64(i) / cycle)
		y := step(v)
		if i >= settle {
			in, out = in+v*v, out+y*y
		}
	}
	return 10 * math.Log10(out/in)
}

// TestButterworth: 3 dB at the corner and the slope of the order, for low- and
// high-pass. Source: |H|^2 = 1/(1+(f/corner)^(2 order)), with both frequencies
// warped by the bilinear transform to tan(pi f/rate).
func TestButterworth(t *testing.T) {
	const corner, rate = 1500, 8000
	warped := func(f float64) float64 { return math.Tan(math.Pi * f / rate) }
	for _, order := range []int{2, 4, 6} {
		for _, f := range []float64{400, 800, 1500, 2000, 3200} {
			ratio := math.Pow(warped(f)/warped(corner), 2*float64(order))
			for _, c := range []struct {
				name   string
				filter Filter
				want   float64
			}{
				{"low-pass", ButterworthLowPass(order, corner, rate), -10 * math.Log10(1+ratio)},
				{"high-pass", ButterworthHighPass(order, corner, rate), -10 * math.Log10(1+1/ratio)},
			} {
				got := gainOf(c.filter.Step, engine.Hz(f), rate)
				if math.Abs(got-c.want) > 0.01 {
					t.Errorf("%s of order %d at %v Hz: %.3f dB, want %.3f", c.name, order, f, got, c.want)
				}
			}
		}
	}
}

// TestSections: low- and high-pass have a gain of q at their corner, the
// band-pass 1 at its centre and half the power at the edges of its band. Source:
// the prototypes at s = j, and at s = j (sqrt(1+1/(2q)^2) ± 1/(2q)).
func TestSections(t *testing.T) {
	const corner, rate, q = 900, 8000, 2.5
	edge := func(sign float64) engine.Hz {
		s := math.Sqrt(1+1/(4*q*q)) + sign/(2*q)
		return engine.Hz(rate / math.Pi * math.Atan(s*math.Tan(math.Pi*corner/rate)))
	}
	decibels := func(gain float64) float64 { return 20 * math.Log10(gain) }
	for _, c := range []struct {
		name   string
		filter Biquad
		tone   engine.Hz
		want   float64
	}{
		{"low-pass at its corner", NewLowPass(corner, rate, q), corner, decibels(q)},
		{"high-pass at its corner", NewHighPass(corner, rate, q), corner, decibels(q)},
		{"band-pass at its centre", NewBandPass(corner, rate, q), corner, 0},
		{"band-pass at its lower edge", NewBandPass(corner, rate, q), edge(-1), decibels(math.Sqrt(0.5))},
		{"band-pass at its upper edge", NewBandPass(corner, rate, q), edge(1), decibels(math.Sqrt(0.5))},
	} {
		if got := gainOf(c.filter.Step, c.tone, rate); math.Abs(got-c.want) > 0.02 {
			t.Errorf("%s: %.3f dB, want %.3f", c.name, got, c.want)
		}
	}
}

// TestApply: block by block gives what sample by sample gives, but for rounding
// to float32 between the sections.
func TestApply(t *testing.T) {
	step, apply := ButterworthLowPass(4, 500, 8000), ButterworthLowPass(4, 500, 8000)
	x := make([]float32, 1000)
	want := make([]float64, len(x))
	for i := range x {
		x[i] = float32(math.Sin(0.01 * float64(i*i)))
		want[i] = step.Step(float64(x[i]))
	}
	apply.Apply(x[:300])
	apply.Apply(x[300:])
	for i, v := range x {
		if math.Abs(float64(v)-want[i]) > 1e-6 {
			t.Fatalf("sample %d: %v, want %v", i, v, want[i])
		}
	}
}

// TestHighestCorner: a corner that the rate does not allow still gives a filter
// that settles.
func TestHighestCorner(t *testing.T) {
	f := ButterworthLowPass(4, 9000, 8000)
	var y float64
	for range 1000 {
		y = f.Step(1)
	}
	if math.Abs(y-1) > 1e-9 {
		t.Errorf("settles at %v for a steady 1, want 1", y)
	}
}

func TestButterworthRefuses(t *testing.T) {
	for _, order := range []int{-2, 0, 1, 3} {
		t.Run(fmt.Sprint(order), func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("no panic")
				}
			}()
			ButterworthHighPass(order, 100, 8000)
		})
	}
}
