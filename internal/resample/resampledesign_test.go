package resample

import (
	"math"
	"testing"
)

// TestDesign holds the filters themselves, by their Fourier sum, against the
// attenuation that Kaiser's formula was asked for. The formula was fitted to one
// edge of a band; here the edges at plus and minus the same frequency both leave
// their ripple, which costs the stop band 2 dB and at most doubles the pass
// band's.
func TestDesign(t *testing.T) {
	f := Default()
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
