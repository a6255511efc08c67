package dsp

// Peaks are places in levels, of the length of Weight, that are compared with the places
// on either side. Twice a level less two others may not be beyond 16 bits.
type Peaks struct {
	At, Below, Above []int16
	Weight           []float32
}

// AddTo adds to each element of dst, times its weight, what twice the level at a place is
// over those below and above it, but within limit either way.
func (p *Peaks) AddTo(dst []float32, limit int16) { p.addTo(dst, limit) }

// plainAddTo is the plain loop, from one element on. No processor predicts which limit a
// sum is beyond: min and max are no branches.
func (p *Peaks) plainAddTo(dst []float32, from int, limit int16) {
	n := len(p.Weight)
	dst, at, below, above := dst[from:n], p.At[from:n], p.Below[from:n], p.Above[from:n]
	weight := p.Weight[from:n]
	high := int32(limit)
	for i, v := range at {
		sum := 2*int32(v) - int32(below[i]) - int32(above[i])
		dst[i] += weight[i] * float32(min(max(sum, -high), high))
	}
}
