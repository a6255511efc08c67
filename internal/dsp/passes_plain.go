//go:build !amd64 || noasm || gccgo || safe

package dsp

func radix2NoTwiddle(y, x []complex128)                   { plainRadix2NoTwiddle(y, x) }
func radix4First(y, x, twiddles []complex128)             { plainRadix4First(y, x, twiddles) }
func radix4Stage(y, x, twiddles []complex128, stride int) { plainRadix4Stage(y, x, twiddles, stride) }
func radix4NoTwiddle(y, x []complex128)                   { plainRadix4NoTwiddle(y, x) }

// realPowers and realPartPowers give how many powers they wrote.
func realPowers([]float64, []complex128, []complex128) int { return 0 }
func realPartPowers([]float64, []complex128) int           { return 0 }
