package dsp

// Floor gives the level of the noise under the lines of a spectrum: a running mean of its
// levels, repeated with what is high over it clipped. It keeps its buffers, so it must not
// be used by two goroutines at once. Its sums are whole numbers: none is lost in rounding,
// in whatever order they are taken.
type Floor struct {
	width   int       // of the mean: an odd number of levels
	share   []float32 // of one level in each mean: near the ends there are fewer
	sums    []int32   // of the levels up to each, as far as they go on either side
	clipped []int32
}

// NewFloor prepares floors of n levels, over 0: means over those within half, over 0, of
// each.
func NewFloor(n, half int) *Floor {
	f := &Floor{width: 2*half + 1, sums: make([]int32, n+2*half+1), clipped: make([]int32, n)}
	for i := range n {
		f.share = append(f.share, 1/float32(min(i+half, n-1)-max(i-half, 0)+1))
	}
	return f
}

// Over writes how far the first levels, given in heights, are over their floor, in
// decibels: over the mean of what is at most clip over the mean before, passes means in
// all.
func (f *Floor) Over(dst []float32, heights []int32, clip int32, passes int) {
	heights = heights[:len(f.share)]
	f.sum(heights)
	for range passes - 1 {
		f.clipMeans(f.clipped, heights, clip)
		f.sum(f.clipped)
	}
	f.overMeans(dst, heights)
}

// sum sums levels up to each. A sum that wraps around does no harm: differences of two
// do not.
func (f *Floor) sum(x []int32) {
	half := f.width / 2
	to := f.sums[half+1:]
	cumulate(to, x)
	all := to[len(x)-1]
	for i := range to[len(x):] {
		to[len(x)+i] = all
	}
}

func plainCumulate(dst, x []int32, sum int32) {
	dst = dst[:len(x)]
	for i, v := range x {
		sum += v
		dst[i] = sum
	}
}

// plainClipMeans writes x, but no more than so much over its means.
func (f *Floor) plainClipMeans(dst, x []int32, over int32, from int) {
	before, after, share := f.sums[:len(dst)], f.sums[f.width:][:len(dst)], f.share[:len(dst)]
	x = x[:len(dst)]
	for i := from; i < len(dst); i++ {
		dst[i] = min(x[i], int32(float32(after[i]-before[i])*share[i])+over)
	}
}

// plainOverMeans writes how far x is over its means, in decibels.
func (f *Floor) plainOverMeans(dst []float32, x []int32, from int) {
	before, after, share := f.sums[:len(dst)], f.sums[f.width:][:len(dst)], f.share[:len(dst)]
	x = x[:len(dst)]
	for i := from; i < len(dst); i++ {
		dst[i] = HeightUnit * (float32(x[i]) - float32(after[i]-before[i])*share[i])
	}
}
