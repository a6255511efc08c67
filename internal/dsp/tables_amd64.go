//go:build !noasm && !gccgo && !safe

package dsp

import "golang.org/x/sys/cpu"

// inWideEights is inEights for a processor that looks up eight numbers at once.
func inWideEights(n int) int {
	if !cpu.X86.HasAVX2 {
		return 0
	}
	return n &^ 7
}

//go:noescape
func expsAVX2(x *float32, n int, by *[2]float32)

func exps(x []float32, scale, top float32) {
	n := inWideEights(len(x))
	if n > 0 {
		expsAVX2(&x[0], n, &[...]float32{scale, top})
	}
	plainExps(x[n:], scale, top)
}

//go:noescape
func heightsAVX2(dst *int32, power *float32, n int, floor float32)

func heights(dst []int32, power []float32, floor float32) {
	n := inWideEights(len(dst))
	if n > 0 {
		heightsAVX2(&dst[0], &power[:len(dst)][0], n, floor)
	}
	plainHeights(dst[n:], power[n:], floor)
}

//go:noescape
func stepsAVX2(dst *int32, x *float32, n int, by *stepBy)

func steps(dst []int32, x []float32, by stepBy) {
	n := inWideEights(len(dst))
	if n > 0 {
		stepsAVX2(&dst[0], &x[:len(dst)][0], n, &by)
	}
	plainSteps(dst[n:], x[n:], by)
}

// lookingUp is where LookUp reads and writes.
type lookingUp struct {
	by            *[2]Ramp
	number        *int16
	first, second *float32 // scores
	table, places *int32
}

//go:noescape
func lookUpAVX2(in *lookingUp, n int)

func (s *Scored) lookUp(from int, table, places []int32) {
	n := inWideEights(len(places))
	if n > 0 {
		end := from + n
		lookUpAVX2(&lookingUp{&s.By, &s.Number[from:end][0], &s.Score[0][from:end][0], &s.Score[1][from:end][0], &table[0], &places[0]}, n)
	}
	s.plainLookUp(from+n, table, places[n:])
}

//go:noescape
func largestAVX(x *float32, n int) float32

func largest(x []float32) float32 {
	n := inEights(len(x))
	if n == 0 {
		return plainLargest(x)
	}
	top := largestAVX(&x[0], n)
	for _, v := range x[n:] {
		top = max(top, v)
	}
	return top
}

//go:noescape
func indexOfAVX(x *float32, n int, v float32) int

func indexOf(x []float32, v float32) int {
	n := inEights(len(x))
	if n == 0 {
		return plainIndexOf(x, v)
	}
	if i := indexOfAVX(&x[0], n, v); i < n {
		return i
	}
	return n + plainIndexOf(x[n:], v)
}

//go:noescape
func raiseAVX(dst, x *float32, n int)

func raise(dst, x []float32) {
	n := inEights(len(dst))
	if n > 0 {
		raiseAVX(&dst[0], &x[:len(dst)][0], n)
	}
	plainRaise(dst[n:], x[n:])
}

//go:noescape
func countOverAVX2(count *int32, x *float32, n int, least float32, by int32)

func countOver(count []int32, x []float32, least float32, by int32) {
	n := inWideEights(len(count))
	if n > 0 {
		countOverAVX2(&count[0], &x[0], n, least, by)
	}
	plainCountOver(count[n:], x[n:], least, by)
}

//go:noescape
func rootsAVX(dst, x *float32, n int)

func roots(dst, x []float32) {
	n := inEights(len(dst))
	if n > 0 {
		rootsAVX(&dst[0], &x[0], n)
	}
	plainRoots(dst[n:], x[n:])
}

//go:noescape
func slopesAVX(dst, sum, x *float32, n int, by *[2]float32)

func slopes(dst, sum, x []float32, zero, slope float32) {
	n := inEights(len(dst))
	if n > 0 {
		slopesAVX(&dst[0], &sum[:len(dst)][0], &x[:len(dst)][0], n, &[...]float32{zero, slope})
	}
	plainSlopes(dst[n:], sum[n:], x[n:], zero, slope)
}

//go:noescape
func windowedAVX(dst *complex64, x, window *float32, n int)

func windowed(dst []complex64, x, window []float32) {
	n := inEights(2 * len(dst))
	if n > 0 {
		windowedAVX(&dst[0], &x[:2*len(dst)][0], &window[:2*len(dst)][0], n)
	}
	plainWindowed(dst[n/2:], x[n:], window[n:])
}
