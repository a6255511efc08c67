package clip

import (
	"math"
	"testing"
)

func TestKaiserFormulas(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
		tolerance float64 // half the last digit printed in the source
		source    string
	}{
		{"beta for 65 dB", kaiserBeta(65), 6.20426, 5e-6, "SciPy manual, kaiser_beta, example"},
		{"beta for 60 dB", kaiserBeta(60), 5.653, 5e-4, "Oppenheim and Schafer 1989, design example of 7.4.2, from memory"},
		{"order for 60 dB, 0.2 pi", float64(kaiserOrder(60, 0.2*math.Pi)), 37, 0, "the same example, from memory"},
		{"beta for 21 dB", kaiserBeta(21), 0, 1e-12, "the formula's lower end: a rectangular window"},
		{"beta for 10 dB", kaiserBeta(10), 0, 1e-12, "the same"},
		{"beta above 50 dB joins beta below", kaiserBeta(50.001) - kaiserBeta(50), 0, 0.02, "both branches meet, from memory"},
	} {
		if math.Abs(c.got-c.want) > c.tolerance {
			t.Errorf("%s: %v, want %v (%s)", c.name, c.got, c.want, c.source)
		}
	}
}

// TestBesselI0 holds the power series against the integral
// (1/pi) of exp(x cos t) over t from 0 to pi.
//
// Source: Abramowitz and Stegun, 9.6.16. The rule of trapezia converges faster
// than any power for a periodic integrand.
func TestBesselI0(t *testing.T) {
	const steps = 200
	for _, x := range []float64{0, 0.1, 1, 2.5, 5, 8.3, 20} {
		sum := (math.Exp(x) + math.Exp(-x)) / 2
		for i := 1; i < steps; i++ {
			sum += math.Exp(x * math.Cos(math.Pi*float64(i)/steps))
		}
		if got, want := besselI0(x), sum/steps; math.Abs(got/want-1) > 1e-13 {
			t.Errorf("I0(%v) = %v, want %v", x, got, want)
		}
	}
}

// TestDesign holds the filters themselves, by their Fourier sum, against the
// attenuation that Kaiser's formula was asked for. The formula was fitted to one
// edge of a band; here the edges at plus and minus the same frequency both leave
// their ripple, which costs the stop band 2 dB and at most doubles the pass
// band's.
func TestDesign(t *testing.T) {
	f := Default().Filter
	for _, s := range []spec{oneStage(16000, 1, f), divide(48000, 3, f), divide(192000, 12, f), divide(384000, 20, f)} {
		h := newPolyphase(s).filter(0)
		gain := func(hz float64) float64 {
			var re, im float64
			for i, v := range h {
				sin, cos := math.Sincos(2 * math.Pi * hz / s.rate * float64(i))
				re += float64(v) * cos
				im += float64(v) * sin
			}
			return decibels(math.Hypot(re, im))
		}
		const points = 500
		stop, ripple := math.Inf(-1), 0.0
		for i := range points {
			share := float64(i) / points
			stop = max(stop, gain(s.stop+(s.rate/2-s.stop)*share))
			ripple = max(ripple, math.Abs(gain(s.pass*share)))
		}
		t.Logf("%.0f Hz, %d taps: stop band %.1f dB, pass band %.5f dB", s.rate, len(h), stop, ripple)
		const slack = 2
		if want := -float64(f.Attenuation) + slack; stop > want {
			t.Errorf("%.0f Hz, %d taps: stop band %.1f dB, want %.1f", s.rate, len(h), stop, want)
		}
		// One edge leaves the same ripple in pass and stop band.
		if want := decibels(1 + 2*math.Pow(10, -float64(f.Attenuation)/20)); ripple > want {
			t.Errorf("%.0f Hz, %d taps: pass band %.5f dB, want %.5f", s.rate, len(h), ripple, want)
		}
	}
}
