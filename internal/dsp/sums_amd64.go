//go:build !noasm && !gccgo && !safe

package dsp

import "golang.org/x/sys/cpu"

//go:noescape
func addFourAVX(y *float32, n int, x *[4]*float32, by *[4]float32)

// addFour adds as many elements as the processor can take together, and gives how many.
func addFour(y []float32, of *[4]Scaled) int {
	n := inEights(min(len(of[0].X), len(of[1].X), len(of[2].X), len(of[3].X)))
	if n > 0 {
		_ = y[n-1]
		addFourAVX(&y[0], n, &[...]*float32{&of[0].X[0], &of[1].X[0], &of[2].X[0], &of[3].X[0]},
			&[...]float32{of[0].By, of[1].By, of[2].By, of[3].By})
	}
	return n
}

//go:noescape
func slideAVX(a, b *Sliding, n int)

// slide writes as many sums as the processor can take together, leaves the last of them
// in Sum, and gives how many.
func slide(a, b *Sliding) int {
	n := len(a.Dst) &^ 3
	if n == 0 || !cpu.X86.HasAVX {
		return 0
	}
	_, _, _, _, _ = a.In[n-1], a.Out[n-1], b.Dst[n-1], b.In[n-1], b.Out[n-1]
	slideAVX(a, b, n)
	return n
}
