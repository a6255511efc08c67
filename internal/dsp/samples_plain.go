//go:build !amd64 || noasm || gccgo || safe

package dsp

func fromInt16(dst []float32, raw []byte)        { plainFromInt16(dst, raw) }
func largestMagnitude(x []float32) uint32        { return plainLargestMagnitude(x) }
func mark(dst []Marks, x []float32, soft uint32) { plainMark(dst, x, soft) }
func rough(dst []Roughness, x []float32, weight *[AtOnce]float64) {
	plainRough(dst, x, weight)
}
