//go:build !amd64 || noasm || gccgo || safe

package dsp

// The loops here are for a browser above all, where there are no vector instructions:
// they check bounds once for eight elements, and add up in four sums, which do not
// wait for one another.

// Dot32 gives the dot product of two vectors of the same length.
func Dot32(x, y []float32) float32 { return plainDot(x, y) }

// Dot64 is Dot32 in 64 bits.
func Dot64(x, y []float64) float64 { return plainDot(x, y) }

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

// Axpy32 adds a times x to the first len(x) elements of y.
func Axpy32(a float32, x, y []float32) {
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

func (p Peaks) addTo(dst []float32, limit int16) { p.plainAddTo(dst, limit) }
