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
	return cubic((*[4]float32)(x[i-1:]), p-float64(i))
}

// CubicRun writes the signal to dst as CubicAt gives it, at p samples from the first
// one and every step, over 0, from there on.
func CubicRun(dst []float64, x []float32, p, step float64) {
	last := p + float64(len(dst))*step
	if !(p >= 1 && last < float64(len(x)-2)) {
		for i := range dst {
			dst[i] = CubicAt(x, p)
			p += step
		}
		return
	}
	cubics(dst, x, p, step)
}

func plainCubics(dst []float64, x []float32, p, step float64) {
	for i := range dst {
		at := int(p)
		dst[i] = cubic((*[4]float32)(x[at-1:]), p-float64(at))
		p += step
	}
}

// cubic gives the signal d samples, 0 to 1, after the second of four.
func cubic(near *[4]float32, d float64) float64 {
	a, b, c, e := float64(near[0]), float64(near[1]), float64(near[2]), float64(near[3])
	return b + 0.5*d*(c-a+d*(2*a-5*b+4*c-e+d*(3*(b-c)+e-a)))
}
