package clip

import "math"

// kaiserBeta gives the shape of the Kaiser window whose low-pass has the given
// stop band, attenuation in dB, over 0.
//
// Source: Oppenheim and Schafer, Discrete-Time Signal Processing, 1989,
// equation 7.62, after Kaiser 1974.
func kaiserBeta(attenuation float64) float64 {
	switch a := attenuation; {
	case a > 50:
		return 0.1102 * (a - 8.7)
	case a >= 21:
		return 0.5842*math.Pow(a-21, 0.4) + 0.07886*(a-21)
	default:
		return 0
	}
}

// kaiserOrder gives the order of such a filter (its length less one): width is
// the distance from pass band to stop band in radians per sample.
//
// Source: as kaiserBeta, equation 7.63.
func kaiserOrder(attenuation, width float64) int {
	return int(math.Ceil((attenuation - 8) / (2.285 * width)))
}

// besselI0 is the modified Bessel function of the first kind and order zero,
// by its power series, for x of 0 to 20.
//
// Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 9.6.12.
func besselI0(x float64) float64 {
	const enough = 1e-17
	sum, term := 1.0, 1.0
	for k := 1.0; term > enough*sum; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return sum
}

// lowPass is a windowed sinc as a function of continuous time, counted in
// samples of its input.
type lowPass struct {
	cut  float64 // middle of the transition, cycles per sample, under 0.5
	half float64 // the response is zero beyond this many samples
	beta float64
	peak float64 // of the window before it is scaled to 1
}

func newLowPass(cut float64, half int, attenuation float64) lowPass {
	beta := kaiserBeta(attenuation)
	return lowPass{cut: cut, half: float64(half), beta: beta, peak: besselI0(beta)}
}

// at gives the impulse response t samples away from its middle. The sum over
// all t a whole sample apart is 1 within the ripple of the pass band.
func (p lowPass) at(t float64) float64 {
	inside := 1 - (t/p.half)*(t/p.half)
	switch {
	case inside < 0:
		return 0
	case t == 0:
		return 2 * p.cut
	}
	sinc := math.Sin(2*math.Pi*p.cut*t) / (math.Pi * t)
	return sinc * besselI0(p.beta*math.Sqrt(inside)) / p.peak
}
