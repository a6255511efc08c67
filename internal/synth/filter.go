package synth

import (
	"math"

	"topnote/internal/engine"
)

// biquad is a second-order filter in transposed direct form II.
type biquad struct {
	b0, b1, b2, a1, a2 float64
	z1, z2             float64
}

func (q *biquad) step(x float64) float64 {
	y := q.b0*x + q.z1
	q.z1 = q.b1*x - q.a1*y + q.z2
	q.z2 = q.b2*x - q.a2*y
	return y
}

// band gives a band-pass of peak gain 1 at f.
// Source: bilinear transform of s/Q / (s^2 + s/Q + 1), textbook.
func band(f engine.Hz, q float64, rate engine.Hz) biquad {
	w := 2 * math.Pi * math.Min(float64(f/rate), 0.49)
	alpha, cos := math.Sin(w)/(2*q), math.Cos(w)
	a0 := 1 + alpha
	return biquad{b0: alpha / a0, b2: -alpha / a0, a1: -2 * cos / a0, a2: (1 - alpha) / a0}
}

// pass gives one second-order section of a low- or high-pass with the given Q.
// Source: bilinear transform of 1/(s^2+s/Q+1) and s^2/(s^2+s/Q+1), textbook.
func pass(high bool, f engine.Hz, q float64, rate engine.Hz) biquad {
	w := 2 * math.Pi * math.Min(float64(f/rate), 0.49)
	alpha, cos := math.Sin(w)/(2*q), math.Cos(w)
	a0 := 1 + alpha
	s := biquad{a1: -2 * cos / a0, a2: (1 - alpha) / a0}
	if high {
		s.b0, s.b1 = (1+cos)/2/a0, -(1+cos)/a0
	} else {
		s.b0, s.b1 = (1-cos)/2/a0, (1-cos)/a0
	}
	s.b2 = s.b0
	return s
}

// butterworth gives the sections of a low- or high-pass of even order.
// Source: poles of the Butterworth filter, Q_k = 1/(2 cos((2k+1)pi/(2n))).
func butterworth(high bool, order int, f engine.Hz, rate engine.Hz) chain {
	var c chain
	for k := range order / 2 {
		q := 1 / (2 * math.Cos(float64(2*k+1)*math.Pi/float64(2*order)))
		c = append(c, pass(high, f, q, rate))
	}
	return c
}

// chain is filters in a row.
type chain []biquad

func (c chain) run(x []float32) {
	for k := range c {
		q := c[k]
		for i, v := range x {
			x[i] = float32(q.step(float64(v)))
		}
		c[k] = q
	}
}

// bank is filters side by side, each with its gain, over a share of the sound
// that goes straight through.
type bank struct {
	straight float64
	filters  []biquad
	gains    []float64
}

func newBank(straight float64, modes []Resonance, rate engine.Hz) *bank {
	b := &bank{straight: straight}
	for _, m := range modes {
		b.filters = append(b.filters, band(m.At, m.Q, rate))
		b.gains = append(b.gains, m.Gain)
	}
	return b
}

func (b *bank) step(x float64) float64 {
	y := b.straight * x
	for k := range b.filters {
		y += b.gains[k] * b.filters[k].step(x)
	}
	return y
}

// decimate keeps every factor-th sample after a linear-phase low-pass: Kaiser
// window, beta 9 (side lobes below -90 dB), pass band to 0.42 of the new rate.
// Its delay is taken out. A factor of 1 gives x itself.
func decimate(x []float32, factor int) []float32 {
	if factor == 1 {
		return x
	}
	const lobes, beta, edge = 20, 9.0, 0.46 // edge: half-gain point, in new rates
	half := lobes * factor
	taps := make([]float64, 2*half+1)
	sum := 0.0
	for i := range taps {
		t := float64(i-half) / float64(factor) * 2 * edge
		sinc := 1.0
		if t != 0 {
			sinc = math.Sin(math.Pi*t) / (math.Pi * t)
		}
		u := float64(i-half) / float64(half)
		taps[i] = sinc * bessel0(beta*math.Sqrt(1-u*u)) / bessel0(beta)
		sum += taps[i]
	}
	for i := range taps {
		taps[i] /= sum
	}
	out := make([]float32, len(x)/factor)
	for k := range out {
		from := k*factor - half
		y := 0.0
		for i := max(0, -from); i < len(taps) && from+i < len(x); i++ {
			y += taps[i] * float64(x[from+i])
		}
		out[k] = float32(y)
	}
	return out
}

// bessel0 is the modified Bessel function I0, by its power series.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1; term > sum*1e-16; k++ {
		term *= (x / 2 / float64(k)) * (x / 2 / float64(k))
		sum += term
	}
	return sum
}

// meanPower gives the mean square; 0 for nothing.
func meanPower(x []float32) float64 {
	if len(x) == 0 {
		return 0
	}
	sum := 0.0
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return sum / float64(len(x))
}

// amplitude turns decibels into a factor on amplitude.
func amplitude(d engine.Decibel) float64 { return math.Pow(10, float64(d)/20) }

// decibels turns mean power into a level against 1.
func decibels(power float64) engine.Decibel { return engine.Decibel(10 * math.Log10(power)) }
