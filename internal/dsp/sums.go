package dsp

import "math"

// Scaled is a vector times a number.
type Scaled struct {
	By float32
	X  []float32
}

// AddFour32 adds four vectors to the first elements of y, one after the other: so each
// element of y is read and written once.
func AddFour32(y []float32, of *[4]Scaled) {
	n := addFour(y, of)
	for _, v := range of {
		Axpy32(v.By, v.X[n:], y[n:])
	}
}

// Sliding is the sum of some elements that move along a row, times a number.
type Sliding struct {
	Dst, In, Out []float32 // of the same length: the sums, the elements that come in, and those that go
	Sum          float64   // before the first of them
	By           float32
}

// Slide writes two sums of the same length, one beside the other, so that neither waits for
// itself. No sum is under 0, whatever is lost in rounding.
func Slide(a, b *Sliding) { plainSlide(a, b, slide(a, b)) }

// plainSlide is the plain loop, from element k on, the sums before which are in Sum.
func plainSlide(a, b *Sliding, k int) {
	n := len(a.Dst)
	sumA, sumB := a.Sum, b.Sum
	dstA, inA, outA := a.Dst[k:], a.In[k:n], a.Out[k:n]
	dstB, inB, outB := b.Dst[k:n], b.In[k:n], b.Out[k:n]
	for i := range dstA {
		sumA += float64(inA[i]) - float64(outA[i])
		sumB += float64(inB[i]) - float64(outB[i])
		dstA[i] = a.By * float32((sumA+math.Abs(sumA))/2)
		dstB[i] = b.By * float32((sumB+math.Abs(sumB))/2)
	}
}
