package dsp

// CubicAt gives a signal at p samples from its first one, between samples by the
// cubic through four points whose slopes at the middle two are those of their
// neighbours; 0 where it would need samples beyond either end.
//
// Source: Catmull and Rom 1974.
func CubicAt(x []float32, p float64) float64 {
	i := int(p)
	if i < 1 || i+2 >= len(x) {
		return 0
	}
	near := x[i-1 : i+3]
	d := p - float64(i)
	a, b, c, e := float64(near[0]), float64(near[1]), float64(near[2]), float64(near[3])
	return b + 0.5*d*(c-a+d*(2*a-5*b+4*c-e+d*(3*(b-c)+e-a)))
}
