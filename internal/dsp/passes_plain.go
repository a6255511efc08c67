//go:build !amd64 || noasm || gccgo || safe

package dsp

func radix2NoTwiddle(y, x []complex64)                   { plainRadix2NoTwiddle(y, x) }
func radix4First(y, x, twiddles []complex64)             { plainRadix4First(y, x, twiddles) }
func radix4Stage(y, x, twiddles []complex64, stride int) { plainRadix4Stage(y, x, twiddles, stride) }
func radix4NoTwiddle(y, x []complex64)                   { plainRadix4NoTwiddle(y, x) }

// realPowers and realPartPowers give how many powers they wrote.
func realPowers([]float32, []complex64, []complex64) int { return 0 }
func realPartPowers([]float32, []complex64) int          { return 0 }
