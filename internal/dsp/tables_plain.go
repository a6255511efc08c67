//go:build !amd64 || noasm || gccgo || safe

package dsp

func exps(x []float32, scale, top float32)                { plainExps(x, scale, top) }
func heights(dst []int32, power []float32, floor float32) { plainHeights(dst, power, floor) }
func steps(dst []int32, x []float32, by stepBy)           { plainSteps(dst, x, by) }
func (s *Scored) lookUp(from int, table, places []int32)  { s.plainLookUp(from, table, places) }
func largest(x []float32) float32                         { return plainLargest(x) }
func indexOf(x []float32, v float32) int                  { return plainIndexOf(x, v) }
func raise(dst, x []float32)                              { plainRaise(dst, x) }
func countOver(count []int32, x []float32, least float32, by int32) {
	plainCountOver(count, x, least, by)
}
func roots(dst, x []float32)                            { plainRoots(dst, x) }
func slopes(dst, sum, x []float32, zero, slope float32) { plainSlopes(dst, sum, x, zero, slope) }
func windowed(dst []complex64, x, window []float32)     { plainWindowed(dst, x, window) }
