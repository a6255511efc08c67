//go:build !amd64 || noasm || gccgo || safe

package dsp

// Dot32 gives the dot product of two vectors of the same length.
func Dot32(x, y []float32) float32 { return plainDot(x, y) }

// Dot64 is Dot32 in 64 bits.
func Dot64(x, y []float64) float64 { return plainDot(x, y) }

// Axpy32 adds a times x to the first len(x) elements of y.
func Axpy32(a float32, x, y []float32) { plainAxpy(a, x, y) }

func dots(dst, x []float32, step int, filter []float32) { dotByDot(dst, x, step, filter) }

func correlate(dst, x, weights []float32) { plainCorrelate(dst, x, weights) }

func products(dst, a, b []float32, scale, plus float32) { plainProducts(dst, a, b, scale, plus) }
func addProducts(dst, a, b []float32)                   { plainAddProducts(dst, a, b) }
func blend(dst, a, b []float32, x, y float32)           { plainBlend(dst, a, b, x, y) }
func (m Mix) mix(a, b, c []float32)                     { m.plainMix(a, b, c) }

func cubicsAt(dst, x []float32, p []float64)            { plainCubicsAt(dst, x, p) }
func linearsAt(dst, x []float32, from int, p []float64) { plainLinearsAt(dst, x, from, p) }
func turnTimes(turns []float64, by *turning)            { plainTurnTimes(turns, by) }
func taperedCubics(dst, taper *[AtOnce]complex64, x []float32, p, step float64) {
	plainTaperedCubics(dst, taper, x, p, step)
}

func addPeaks(dst []float32, all []Peaks, limit int16) { plainAddPeaks(dst, all, limit) }
