package shaft

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// envelope gives the level of the sound above a frequency, in nepers, at
// rate/decimation. Every firing lets off a burst of hiss, so its envelope has lines at
// multiples of the firing frequency even where a telephone has cut off the low orders.
func envelope(x []float32, rate, above engine.Hz, decimation int) []float32 {
	m := newEnvelopeMeter(rate, above, decimation)
	return append(m.push(make([]float32, 0, len(x)/decimation+1), x), 0)
}

// envelopeMeter gives the envelope of a sound that comes in pieces.
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
	for _, v := range x {
		y := m.filter.Step(float64(v))
		m.energy += y * y
		if m.n++; m.n == m.decimation {
			dst = append(dst, float32(0.5*math.Log(m.energy/float64(m.decimation)+1e-10)))
			m.n, m.energy = 0, 0
		}
	}
	return dst
}
