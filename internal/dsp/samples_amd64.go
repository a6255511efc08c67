//go:build !noasm && !gccgo && !safe

package dsp

import "golang.org/x/sys/cpu"

//go:noescape
func fromInt16AVX2(dst *float32, raw *byte, n int)

func fromInt16(dst []float32, raw []byte) {
	n := inWideEights(len(dst))
	if n > 0 {
		fromInt16AVX2(&dst[0], &raw[:2*len(dst)][0], n)
	}
	plainFromInt16(dst[n:], raw[2*n:])
}

//go:noescape
func largestMagnitudeAVX2(x *float32, n int) uint32

func largestMagnitude(x []float32) (most uint32) {
	n := inWideEights(len(x))
	if n > 0 {
		most = largestMagnitudeAVX2(&x[0], n)
	}
	return max(most, plainLargestMagnitude(x[n:]))
}

//go:noescape
func markAVX2(dst *Marks, x *float32, n int, soft uint32)

func mark(dst []Marks, x []float32, soft uint32) {
	if len(dst) == 0 || !cpu.X86.HasAVX2 {
		plainMark(dst, x, soft)
		return
	}
	markAVX2(&dst[0], &x[1], AtOnce*len(dst), soft)
}

//go:noescape
func roughAVX2(dst *Roughness, x *float32, n int, weight *[AtOnce]float64)

func rough(dst []Roughness, x []float32, weight *[AtOnce]float64) {
	if len(dst) == 0 || !cpu.X86.HasAVX2 {
		plainRough(dst, x, weight)
		return
	}
	roughAVX2(&dst[0], &x[3], AtOnce*len(dst), weight)
}
