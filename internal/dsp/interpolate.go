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

// TaperedCubics writes the signal to dst as CubicAt gives it, but in 32 bits, at p samples
// from the first one and every step, over 0, from there on; times both parts of a taper.
// There are AtOnce of them.
func TaperedCubics(dst, taper []complex64, x []float32, p, step float64) {
	to, by := (*[AtOnce]complex64)(dst), (*[AtOnce]complex64)(taper)
	if p >= 1 && p+AtOnce*step < float64(len(x)-2) {
		taperedCubics(to, by, x, p, step)
		return
	}
	for i, t := range by {
		v := float32(CubicAt(x, p+float64(i)*step))
		to[i] = complex(v*real(t), v*imag(t))
	}
}

func plainTaperedCubics(dst, taper *[AtOnce]complex64, x []float32, p, step float64) {
	for i, t := range taper {
		place := p + float64(i)*step
		at := int(place)
		v := cubic((*[4]float32)(x[at-1:]), float32(place-float64(at)))
		dst[i] = complex(v*real(t), v*imag(t))
	}
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

// LinearsAt writes the signal to dst, on straight lines between samples, at places that
// only go up and are counted from one sample; 0 beyond either end. p has the length of dst.
func LinearsAt(dst, x []float32, from int, p []float64) {
	n := len(dst)
	p = p[:n]
	if n > 0 && from >= 0 && from < len(x) && float64(from)+p[0] >= 0 && float64(from)+p[n-1] < float64(len(x)-1) {
		linearsAt(dst, x, from, p)
		return
	}
	for i, v := range p {
		dst[i] = 0
		if v += float64(from); v >= 0 && v < float64(len(x)-1) {
			plainLinearsAt(dst[i:i+1], x, from, p[i:])
		}
	}
}

func plainLinearsAt(dst, x []float32, from int, p []float64) {
	for i := range dst {
		whole := math.Floor(p[i])
		part := float32(p[i] - whole)
		near := x[from+int(whole):][:2]
		dst[i] = (1-part)*near[0] + part*near[1]
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

// cubic gives the signal d samples, 0 to 1, after the second of four.
func cubic[T float32 | float64](near *[4]float32, d T) T {
	a, b, c, e := T(near[0]), T(near[1]), T(near[2]), T(near[3])
	return b + 0.5*d*(c-a+d*(2*a-5*b+4*c-e+d*(3*(b-c)+e-a)))
}
