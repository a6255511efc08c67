package dsp

import "math"

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

// CubicsAt writes the signal as CubicAt gives it, in 32 bits, at places that only go up.
// p has the length of dst.
func CubicsAt(dst, x []float32, p []float64) {
	if n := len(dst); n > 0 && p[0] >= 1 && p[n-1] < float64(len(x)-2) {
		cubicsAt(dst, x, p)
		return
	}
	plainCubicsAt(dst, x, p)
}

func plainCubicsAt(dst, x []float32, p []float64) {
	p = p[:len(dst)]
	for i, v := range p {
		dst[i] = float32(CubicAt(x, v))
	}
}

// TurnTimes turns numbers of turns into the time that they take, at so many turns a second
// that change by slope in a second.
func TurnTimes(turns []float64, speed, slope float64) {
	turnTimes(turns, &turning{speed, speed * speed, 2 * slope})
}

type turning struct{ speed, squared, twiceSlope float64 }

func plainTurnTimes(turns []float64, by *turning) {
	for i, d := range turns { // speed t + slope t^2/2 = d
		turns[i] = 2 * d / (by.speed + math.Sqrt(max(by.squared+by.twiceSlope*d, 0)))
	}
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
