//go:build !noasm && !gccgo && !safe

package dsp

import "golang.org/x/sys/cpu"

// The passes of FFT two points at a time, with the same operations on each in the same
// order as the plain loops, so that results are the same to the last bit.

//go:noescape
func radix2NoTwiddleAVX(y, x *complex128, half int)

//go:noescape
func radix4FirstAVX(y, x, twiddles *complex128, quarter int)

//go:noescape
func radix4StageAVX(y, x, twiddles *complex128, quarter, stride int)

//go:noescape
func radix4NoTwiddleAVX(y, x *complex128, quarter int)

//go:noescape
func realPowersAVX(dst *float64, z, twiddles *complex128, n, pairs int)

//go:noescape
func realPartPowersAVX(dst *float64, z *complex128, n, pairs int)

// inPairs reports whether the processor can take so many points by two.
func inPairs(n int) bool { return cpu.X86.HasAVX && n >= 2 }

func radix2NoTwiddle(y, x []complex128) {
	if half := len(x) / 2; inPairs(half) {
		radix2NoTwiddleAVX(&y[:len(x)][0], &x[0], half)
		return
	}
	plainRadix2NoTwiddle(y, x)
}

func radix4First(y, x, twiddles []complex128) {
	if quarter := len(x) / 4; inPairs(quarter) {
		radix4FirstAVX(&y[:len(x)][0], &x[0], &twiddles[:3*quarter][0], quarter)
		return
	}
	plainRadix4First(y, x, twiddles)
}

func radix4Stage(y, x, twiddles []complex128, stride int) {
	if quarter := len(x) / 4; inPairs(stride) {
		radix4StageAVX(&y[:len(x)][0], &x[0], &twiddles[:3*quarter/stride][0], quarter, stride)
		return
	}
	plainRadix4Stage(y, x, twiddles, stride)
}

func radix4NoTwiddle(y, x []complex128) {
	if quarter := len(x) / 4; inPairs(quarter) {
		radix4NoTwiddleAVX(&y[:len(x)][0], &x[0], quarter)
		return
	}
	plainRadix4NoTwiddle(y, x)
}

// realPowers writes the powers of the first bins from the second on, and of as many from
// the last but one down, as PowerSpectrum gives them. It gives how many.
func realPowers(dst []float64, z, twiddles []complex128) int {
	pairs := (len(z)/2 - 1) / 2
	if !inPairs(pairs) {
		return 0
	}
	realPowersAVX(&dst[:len(z)+1][0], &z[0], &twiddles[:2*pairs+1][0], len(z), pairs)
	return 2 * pairs
}

// realPartPowers writes the powers of bins from the second on, as RealPartPowers gives
// them. It gives how many.
func realPartPowers(dst []float64, z []complex128) int {
	pairs := (len(dst) - 1) / 2
	if !inPairs(pairs) {
		return 0
	}
	realPartPowersAVX(&dst[0], &z[:2*len(dst)][0], len(z), pairs)
	return 2 * pairs
}
