package dsp

// The plain loops are for a browser above all, where there are no vector instructions.
// Those of sums check bounds once for eight elements, and add up in four sums, which do
// not wait for one another. Vector instructions do the same to the last bit, but for
// the order of the sums in a dot product.

// Products32 writes the products of two vectors, times a scale, plus a number.
func Products32(dst, a, b []float32, scale, plus float32) { products(dst, a, b, scale, plus) }

// AddProducts32 adds the products of two vectors to dst.
func AddProducts32(dst, a, b []float32) { addProducts(dst, a, b) }

// Dots32 writes the dot products of a filter, some elements long, and the elements of x
// from the first one on, a step on, and so on, as many as there are in dst. Each is what
// Dot32 gives, to the last bit.
func Dots32(dst, x []float32, step int, filter []float32) { dots(dst, x, step, filter) }

// Correlate32 writes to each element of dst the sum of the elements of x from there on,
// times weights. x goes on to the last of these.
func Correlate32(dst, x, weights []float32) { correlate(dst, x, weights) }

// Blend32 writes x times a plus y times b, vectors of the length of dst, which may be
// one of them.
func Blend32(dst, a, b []float32, x, y float32) { blend(dst, a, b, x, y) }

// Mix is how much of three vectors goes into each: a first one and two others that are
// alike.
type Mix struct {
	First, ToFirst           float32 // into the first: of itself, and of either of the others
	Other, FromFirst, Across float32 // into either of the others: of itself, of the first and of the other one
}

// Apply mixes three vectors of the same length in place.
func (m Mix) Apply(first, other, another []float32) { m.mix(first, other, another) }

func (m Mix) plainMix(a, b, c []float32) {
	b, c = b[:len(a)], c[:len(a)]
	for i, x := range a {
		y, z := b[i], c[i]
		from := m.FromFirst * x
		a[i] = m.First*x + m.ToFirst*(y+z)
		b[i] = m.Other*y + from + m.Across*z
		c[i] = m.Other*z + from + m.Across*y
	}
}

func plainProducts(dst, a, b []float32, scale, plus float32) {
	a, b = a[:len(dst)], b[:len(dst)]
	for i, v := range a {
		dst[i] = v*b[i]*scale + plus
	}
}

func plainAddProducts(dst, a, b []float32) {
	a, b = a[:len(dst)], b[:len(dst)]
	for i, v := range a {
		dst[i] += v * b[i]
	}
}

func plainBlend(dst, a, b []float32, x, y float32) {
	a, b = a[:len(dst)], b[:len(dst)]
	for i, v := range a {
		dst[i] = x*v + y*b[i]
	}
}

func plainDot[T float32 | float64](x, y []T) T {
	var s, t, u, v T
	i := 0
	for ; i+8 <= len(x); i += 8 {
		a, b := (*[8]T)(x[i:]), (*[8]T)(y[i:])
		s += a[0]*b[0] + a[4]*b[4]
		t += a[1]*b[1] + a[5]*b[5]
		u += a[2]*b[2] + a[6]*b[6]
		v += a[3]*b[3] + a[7]*b[7]
	}
	for ; i < len(x); i++ {
		s += x[i] * y[i]
	}
	return s + t + u + v
}

func dotByDot(dst, x []float32, step int, filter []float32) {
	for i := range dst {
		dst[i] = Dot32(x[i*step:][:len(filter)], filter)
	}
}

func plainCorrelate(dst, x, weights []float32) {
	clear(dst)
	for j, w := range weights {
		plainAxpy(w, x[j:][:len(dst)], dst)
	}
}

func plainAxpy(a float32, x, y []float32) {
	i := 0
	for ; i+8 <= len(x); i += 8 {
		from, to := (*[8]float32)(x[i:]), (*[8]float32)(y[i:])
		to[0] += a * from[0]
		to[1] += a * from[1]
		to[2] += a * from[2]
		to[3] += a * from[3]
		to[4] += a * from[4]
		to[5] += a * from[5]
		to[6] += a * from[6]
		to[7] += a * from[7]
	}
	for ; i < len(x); i++ {
		y[i] += a * x[i]
	}
}
