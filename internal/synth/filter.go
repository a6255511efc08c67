package synth

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// filterBank is parallel filters, each with its gain, and a direct path.
type filterBank struct {
	straight float64
	filters  []dsp.Biquad
	gains    []float64
}

func newFilterBank(straight float64, modes []Resonance, rate engine.Hz) *filterBank {
	b := &filterBank{straight: straight}
	for _, m := range modes {
		b.filters = append(b.filters, dsp.NewBandPass(m.At, rate, m.Q))
		b.gains = append(b.gains, m.Gain)
	}
	return b
}

func (b *filterBank) step(x float64) float64 {
	y := b.straight * x
	for k := range b.filters {
		y += b.gains[k] * b.filters[k].Step(x)
	}
	return y
}

// decimate keeps every factor-th sample after a linear-phase low-pass: Kaiser
// window, beta 9 (side lobes below -90 dB), pass band to 0.42 of the new rate, its
// delay removed. A factor of 1 gives x itself.
func decimate(x []float32, factor int) []float32 {
	if factor == 1 {
		return x
	}
	const lobes, beta, edge = 20, 9.0, 0.46 // edge: half-gain point, in new rates
	half := lobes * factor
	taps := make([]float64, 2*half+1)
	low := dsp.NewWindowedSinc(edge/float64(factor), half, beta)
	sum := 0.0
	for i := range taps {
		taps[i] = low.At(float64(i - half))
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

// amplitude converts decibels to a factor on amplitude.
func amplitude(d engine.Decibel) float64 { return math.Pow(10, float64(d)/20) }

// decibels converts mean power to a level against 1.
func decibels(power float64) engine.Decibel { return engine.Decibel(10 * math.Log10(power)) }
