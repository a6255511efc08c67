package dsp

import (
	"math"
	"testing"
)

// TestHann: the points are those of the formula, and four copies a quarter of the
// length apart add up to a constant, which the symmetric window does not give.
func TestHann(t *testing.T) {
	for _, n := range []int{4, 64, 100} {
		w := Hann(n)
		if len(w) != n {
			t.Fatalf("%d points, want %d", len(w), n)
		}
		for i, v := range w {
			if want := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n)); math.Abs(v-want) > 1e-15 {
				t.Errorf("%d points: point %d is %v, want %v", n, i, v, want)
			}
			sum := w[i] + w[(i+n/4)%n] + w[(i+n/2)%n] + w[(i+3*n/4)%n]
			if math.Abs(sum-2) > 1e-14 {
				t.Errorf("%d points: copies add up to %v at %d, want 2", n, sum, i)
			}
		}
	}
}

// TestWindowedSinc holds a low-pass against the attenuation that Kaiser's
// formulas were given, by its Fourier sum: 60 dB from 0.15 cycles per sample on,
// and a gain of 1 up to 0.05. One edge leaves the same ripple on both sides of
// it, and the edge at the negative frequency as much again.
func TestWindowedSinc(t *testing.T) {
	const attenuation, pass, stop = 60, 0.05, 0.15
	half := (KaiserOrder(attenuation, 2*math.Pi*(stop-pass)) + 1) / 2
	s := NewWindowedSinc((pass+stop)/2, half, KaiserBeta(attenuation))
	gain := func(f float64) float64 {
		var sum float64
		for i := -half; i <= half; i++ {
			sum += s.At(float64(i)) * math.Cos(2*math.Pi*f*float64(i))
		}
		return math.Abs(sum)
	}
	ripple := 2 * math.Pow(10, -attenuation/20.0)
	for i := range 101 {
		share := float64(i) / 100
		if g := gain(pass * share); math.Abs(g-1) > ripple {
			t.Errorf("gain %v at %v cycles per sample, want 1 within %v", g, pass*share, ripple)
		}
		if f := stop + (0.5-stop)*share; gain(f) > ripple {
			t.Errorf("gain %v at %v cycles per sample, want under %v", gain(f), f, ripple)
		}
	}
	if v := s.At(float64(half) + 0.01); v != 0 {
		t.Errorf("%v beyond the end of the window, want 0", v)
	}
}

func TestKaiserFormulas(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
		tolerance float64 // half the last digit printed in the source
		source    string
	}{
		{"beta for 65 dB", KaiserBeta(65), 6.20426, 5e-6, "SciPy manual, kaiser_beta, example"},
		{"beta for 60 dB", KaiserBeta(60), 5.653, 5e-4, "0.1102 (60 - 8.7), by hand"},
		{"order for 60 dB, 0.2 pi", float64(KaiserOrder(60, 0.2*math.Pi)), 37, 0, "52/(2.285 x 0.2 pi) = 36.2, by hand"},
		{"beta for 21 dB", KaiserBeta(21), 0, 1e-12, "the formula's lower end: a rectangular window"},
		{"beta for 10 dB", KaiserBeta(10), 0, 1e-12, "the same"},
		{"beta above 50 dB joins beta below", KaiserBeta(50.001) - KaiserBeta(50), 0, 0.02, "the branches of the formula differ by 0.018 there, by hand"},
	} {
		if math.Abs(c.got-c.want) > c.tolerance {
			t.Errorf("%s: %v, want %v (%s)", c.name, c.got, c.want, c.source)
		}
	}
}

// TestBesselI0 holds the power series against the integral
// (1/pi) of exp(x cos t) over t from 0 to pi.
//
// Source: Abramowitz and Stegun 1964, 9.6.16. The rule of trapezia converges faster
// than any power for a periodic integrand.
func TestBesselI0(t *testing.T) {
	const steps = 200
	for _, x := range []float64{0, 0.1, 1, 2.5, 5, 8.3, 20} {
		sum := (math.Exp(x) + math.Exp(-x)) / 2
		for i := 1; i < steps; i++ {
			sum += math.Exp(x * math.Cos(math.Pi*float64(i)/steps))
		}
		if got, want := BesselI0(x), sum/steps; math.Abs(got/want-1) > 1e-13 {
			t.Errorf("I0(%v) = %v, want %v", x, got, want)
		}
	}
}
