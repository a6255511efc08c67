package shaft

import (
	"math"

	"topnote/internal/engine"
)

// envelope gives the strength of the sound above a frequency, in nepers over
// its slow mean, at rate/decimate. Every firing lets off a burst of hiss, so
// the firing frequency stands in it even where a telephone has cut off the low
// orders.
func envelope(x []float32, rate, above engine.Hz, decimate int) []float32 {
	hp := newHighPass(float64(above / rate))
	out := make([]float32, len(x)/decimate+1)
	var e float64
	for i, v := range x {
		y := hp.next(float64(v))
		e += y * y
		if i%decimate == decimate-1 {
			out[i/decimate] = float32(0.5 * math.Log(e/float64(decimate)+1e-10))
			e = 0
		}
	}
	return out
}

// highPass is a fourth-order Butterworth high-pass as two second-order
// sections. Source: bilinear transform of the Butterworth prototype.
type highPass [2]struct{ b0, b1, b2, a1, a2, z1, z2 float64 }

func newHighPass(f float64) *highPass {
	var h highPass
	k := math.Tan(math.Pi * f)
	for i, q := range []float64{0.54119610, 1.3065630} {
		norm := 1 / (1 + k/q + k*k)
		h[i].b0, h[i].b1, h[i].b2 = norm, -2*norm, norm
		h[i].a1, h[i].a2 = 2*(k*k-1)*norm, (1-k/q+k*k)*norm
	}
	return &h
}

func (h *highPass) next(x float64) float64 {
	for i := range h {
		s := &h[i]
		y := s.b0*x + s.z1
		s.z1 = s.b1*x - s.a1*y + s.z2
		s.z2 = s.b2*x - s.a2*y
		x = y
	}
	return x
}
