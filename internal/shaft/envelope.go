package shaft

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// envelopeMeter gives the envelope of a sound that comes in pieces: the level of what is
// above a frequency, in nepers, at rate/decimation. Every firing lets off a burst of hiss, so its
// envelope has lines at multiples of the firing frequency even where a telephone has cut
// off the low orders.
type envelopeMeter struct {
	filter     dsp.Filter
	decimation int
	n          int // samples of the next level so far
	energy     float64
}

func newEnvelopeMeter(rate, above engine.Hz, decimation int) *envelopeMeter {
	return &envelopeMeter{filter: dsp.ButterworthHighPass(4, above, rate), decimation: decimation}
}

// push takes the next samples and appends the levels that are complete to dst.
func (m *envelopeMeter) push(dst, x []float32) []float32 {
	var filtered [256]float64
	for len(x) > 0 {
		n := min(len(x), len(filtered))
		for i, v := range x[:n] {
			filtered[i] = m.filter.Step(float64(v))
		}
		dst, x = m.add(dst, filtered[:n]), x[n:]
	}
	return dst
}

// add is push for samples that are filtered already.
func (m *envelopeMeter) add(dst []float32, filtered []float64) []float32 {
	n, energy := m.n, m.energy
	for _, y := range filtered {
		energy += y * y
		if n++; n == m.decimation {
			dst = append(dst, float32(0.5*math.Log(energy/float64(m.decimation)+1e-10)))
			n, energy = 0, 0
		}
	}
	m.n, m.energy = n, energy
	return dst
}
