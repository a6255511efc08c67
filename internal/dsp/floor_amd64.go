//go:build !noasm && !gccgo && !safe

package dsp

//go:noescape
func cumulateAVX2(dst, x *int32, n int)

func cumulate(dst, x []int32) {
	n, sum := inWideEights(len(x)), int32(0)
	if n > 0 {
		cumulateAVX2(&dst[:len(x)][0], &x[0], n)
		sum = dst[n-1]
	}
	plainCumulate(dst[n:], x[n:], sum)
}

// means is the means of some elements: sums up to the first before each and up to the
// last, and what a sum is multiplied by.
type means struct {
	before, after *int32
	share         *float32
}

// of gives the first means, of which there are so many at least.
func (f *Floor) of(n int) *means {
	return &means{&f.sums[0], &f.sums[f.width:][:n][0], &f.share[:n][0]}
}

//go:noescape
func clipMeansAVX2(dst, x *int32, n int, m *means, over int32)

func (f *Floor) clipMeans(dst, x []int32, over int32) {
	n := inWideEights(len(dst))
	if n > 0 {
		clipMeansAVX2(&dst[0], &x[:n][0], n, f.of(n), over)
	}
	f.plainClipMeans(dst, x, over, n)
}

//go:noescape
func overMeansAVX2(dst *float32, x *int32, n int, m *means, unit float32)

func (f *Floor) overMeans(dst []float32, x []int32) {
	n := inWideEights(len(dst))
	if n > 0 {
		overMeansAVX2(&dst[0], &x[:n][0], n, f.of(n), HeightUnit)
	}
	f.plainOverMeans(dst, x, n)
}
