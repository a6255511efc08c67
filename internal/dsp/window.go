package dsp

import (
	"math"

	"github.com/mjibson/go-dsp/window"

	"topnote/internal/engine"
)

// Hann gives the periodic Hann window of n points, 0.5 - 0.5 cos(2 pi i/n): the
// kind whose overlapped copies, n/2 or n/4 apart, add up to a constant. go-dsp's
// is the symmetric kind.
func Hann(n int) []float64 { return window.Hann(n + 1)[:n] }

// Hann32 is Hann in 32 bits.
func Hann32(n int) []float32 {
	w := make([]float32, n)
	for i, v := range Hann(n) {
		w[i] = float32(v)
	}
	return w
}

// KaiserBeta gives the shape of the Kaiser window whose low-pass has the given
// attenuation in its stop band, in dB; 0 (a rectangular window) up to 21 dB.
//
// Source: Oppenheim and Schafer 1989, equation 7.62, after Kaiser 1974.
func KaiserBeta(attenuation engine.Decibel) float64 {
	switch a := float64(attenuation); {
	case a > 50:
		return 0.1102 * (a - 8.7)
	case a >= 21:
		return 0.5842*math.Pow(a-21, 0.4) + 0.07886*(a-21)
	default:
		return 0
	}
}

// KaiserOrder gives the order of such a filter, its length less one. width is
// the distance from pass band to stop band, in radians per sample.
//
// Source: as KaiserBeta, equation 7.63.
func KaiserOrder(attenuation engine.Decibel, width float64) int {
	return int(math.Ceil((float64(attenuation) - 8) / (2.285 * width)))
}

// BesselI0 is the modified Bessel function of the first kind and order zero, by
// its power series, for x of 0 to 20.
//
// Source: Abramowitz and Stegun 1964, 9.6.12.
func BesselI0(x float64) float64 {
	const enough = 1e-17
	sum, term := 1.0, 1.0
	for k := 1.0; term > enough*sum; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return sum
}

// WindowedSinc is the impulse response of a low-pass in continuous time: a sinc
// under a Kaiser window.
type WindowedSinc struct {
	cutoff float64
	half   float64
	beta   float64
	peak   float64 // of the window before it is scaled to 1
}

// NewWindowedSinc gives the low-pass with the middle of its transition at cutoff,
// in cycles per sample and under 0.5, whose response is zero from half samples
// off its middle on. beta is the shape of the window, as by KaiserBeta.
func NewWindowedSinc(cutoff float64, half int, beta float64) WindowedSinc {
	return WindowedSinc{cutoff: cutoff, half: float64(half), beta: beta, peak: BesselI0(beta)}
}

// At gives the response t samples off its middle. The sum over all t that are
// whole samples apart is 1 within the ripple of the pass band.
func (s WindowedSinc) At(t float64) float64 {
	inside := 1 - (t/s.half)*(t/s.half)
	switch {
	case inside < 0:
		return 0
	case t == 0:
		return 2 * s.cutoff
	}
	sinc := math.Sin(2*math.Pi*s.cutoff*t) / (math.Pi * t)
	return sinc * BesselI0(s.beta*math.Sqrt(inside)) / s.peak
}
