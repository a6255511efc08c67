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
	filter := dsp.ButterworthHighPass(4, above, rate)
	out := make([]float32, len(x)/decimation+1)
	var energy float64
	for i, v := range x {
		y := filter.Step(float64(v))
		energy += y * y
		if i%decimation == decimation-1 {
			out[i/decimation] = float32(0.5 * math.Log(energy/float64(decimation)+1e-10))
			energy = 0
		}
	}
	return out
}
