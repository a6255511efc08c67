//go:build !amd64 || noasm || gccgo || safe

package dsp

func exps(x []float32, scale, top float32)                { plainExps(x, scale, top) }
func levels(dst, power []float64, floor float64)          { plainDecibels(dst, power, floor) }
func steps(dst []int32, x []float32, by stepBy)           { plainSteps(dst, x, by) }
func gather(dst, table []float32, at []int32)             { plainGather(dst, table, at) }
func gatherShort(dst []int16, table, at []int32)          { plainGatherShort(dst, table, at) }
func largest(x []float32) float32                         { return plainLargest(x) }
func indexOf(x []float32, v float32) int                  { return plainIndexOf(x, v) }
func raise(dst, x []float32)                              { plainRaise(dst, x) }
func slopes(dst, sum, x []float32, zero, slope float32)   { plainSlopes(dst, sum, x, zero, slope) }
func windowed(dst []complex128, x []float32, w []float64) { plainWindowed(dst, x, w) }
func over(dst []float32, x, y []float64)                  { plainOver(dst, x, y) }
