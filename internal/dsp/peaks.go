package dsp

// Peaks are places in levels, of the length of Weight, that are compared with the places
// on either side. Twice a level less two others may not be beyond 16 bits. The length is a
// multiple of AtOnce: weights of 0 fill it up.
type Peaks struct {
	At, Below, Above []int16
	Weight           []float32
}

// AddPeaks adds to each element of dst, for some peaks one after the other and times their
// weight, what twice the level at a place is over those below and above it, but within
// limit either way.
func AddPeaks(dst []float32, all []Peaks, limit int16) { addPeaks(dst, all, limit) }

// No processor predicts which limit a sum is beyond: min and max are no branches.
func plainAddPeaks(dst []float32, all []Peaks, limit int16) {
	high := int32(limit)
	for _, p := range all {
		dst, at, below, above := dst[:len(p.Weight)], p.At[:len(p.Weight)], p.Below[:len(p.Weight)], p.Above[:len(p.Weight)]
		for i, w := range p.Weight {
			sum := 2*int32(at[i]) - int32(below[i]) - int32(above[i])
			dst[i] += w * float32(min(max(sum, -high), high))
		}
	}
}
