//go:build !noasm && !gccgo && !safe

package dsp

import "golang.org/x/sys/cpu"

// The passes of FFT four points at a time, with the same operations on each in the same
// order as the plain loops, so that results are the same to the last bit.

//go:noescape
func radix2NoTwiddleAVX(y, x *complex64, half int)

//go:noescape
func radix4FirstAVX(y, x, twiddles *complex64, quarter int)

//go:noescape
func radix4StageAVX(y, x, twiddles *complex64, quarter, stride int)

//go:noescape
func radix4NoTwiddleAVX(y, x *complex64, quarter int)

//go:noescape
func realPowersAVX(dst *float32, z, twiddles *complex64, n, fours int)

//go:noescape
func realPartPowersAVX(dst *float32, z *complex64, n, fours int)

// inFours reports whether the processor can take so many points, a power of two, by four.
func inFours(n int) bool { return cpu.X86.HasAVX && n >= 4 }

func radix2NoTwiddle(y, x []complex64) {
	if half := len(x) / 2; inFours(half) {
		radix2NoTwiddleAVX(&y[:len(x)][0], &x[0], half)
		return
	}
	plainRadix2NoTwiddle(y, x)
}

func radix4First(y, x, twiddles []complex64) {
	if quarter := len(x) / 4; inFours(quarter) {
		radix4FirstAVX(&y[:len(x)][0], &x[0], &twiddles[:3*quarter][0], quarter)
		return
	}
	plainRadix4First(y, x, twiddles)
}

func radix4Stage(y, x, twiddles []complex64, stride int) {
	if quarter := len(x) / 4; inFours(stride) {
		radix4StageAVX(&y[:len(x)][0], &x[0], &twiddles[:3*quarter/stride][0], quarter, stride)
		return
	}
	plainRadix4Stage(y, x, twiddles, stride)
}

func radix4NoTwiddle(y, x []complex64) {
	if quarter := len(x) / 4; inFours(quarter) {
		radix4NoTwiddleAVX(&y[:len(x)][0], &x[0], quarter)
		return
	}
	plainRadix4NoTwiddle(y, x)
}

// realPowers writes the powers of the first bins from the second on, and of as many from
// the last but one down, as PowerSpectrum gives them. It gives how many.
func realPowers(dst []float32, z, twiddles []complex64) int {
	fours := (len(z)/2 - 1) / 4
	if !inFours(4 * fours) {
		return 0
	}
	realPowersAVX(&dst[:len(z)+1][0], &z[0], &twiddles[:4*fours+1][0], len(z), fours)
	return 4 * fours
}

// realPartPowers writes the powers of bins from the second on, as RealPartPowers gives
// them. It gives how many.
func realPartPowers(dst []float32, z []complex64) int {
	fours := (len(dst) - 1) / 4
	if !inFours(4 * fours) {
		return 0
	}
	realPartPowersAVX(&dst[0], &z[:2*len(dst)][0], len(z), fours)
	return 4 * fours
}
