package shaft

import (
	"cmp"
	"math"
	"slices"

	"topnote/internal/dsp"
)

// oversampling is the number of values on the log-frequency axis to a point of the
// grid, so that a harmonic is read within 0.08 % of its frequency; the points
// themselves are up to 0.65 % off.
const oversampling = 8

// logFreqAxis is an axis of the logarithm of frequency, on which a comb has the same
// shape at every frequency: harmonic j of all candidates is one slice, log2(j) octaves
// up. So all combs are summed harmonic by harmonic.
//
// Values on the axis have shape [oversampling][n]: element r*n+q is the frequency of
// grid point first+q+r/oversampling, so that such a slice is contiguous in memory.
type logFreqAxis struct {
	first int // point of the grid
	n     int
	bin   []int32 // of the spectrum, for each value
}

// newLogFreqAxis makes the axis from a point of the grid up to a frequency, for a
// spectrum with so many hertz between bins.
func newLogFreqAxis(g freqGrid, first int, top, binWidth float64) logFreqAxis {
	a := logFreqAxis{first: first, n: max(0, g.ceil(top)-first)}
	a.bin = make([]int32, oversampling*a.n)
	for r := range oversampling {
		for q := range a.n {
			f := g.freq(float64(first+q) + float64(r)/oversampling)
			a.bin[r*a.n+q] = int32(math.Round(min(f, top) / binWidth))
		}
	}
	return a
}

// harmonic is one harmonic of all candidates: the slice of n values that is added to
// the first n of them, and its weight.
type harmonic struct {
	at, n  int
	weight float32
}

// harmonic gives the slice at a multiple of the frequencies of n points of the grid
// from one on. Where the axis ends there are fewer.
func (a *logFreqAxis) harmonic(g freqGrid, multiple float64, from, n int, weight float64) harmonic {
	shift := math.Round(math.Log2(multiple) * g.perOctave * oversampling)
	step := math.Floor(shift / oversampling)
	q := from - a.first + int(step)
	return harmonic{
		at: (int(shift)-oversampling*int(step))*a.n + q, n: max(0, min(n, a.n-q)), weight: float32(weight),
	}
}

// comb is harmonics that are summed.
type comb []harmonic

// sum writes the weighted sum of the harmonics to dst.
func (c comb) sum(dst, values []float32) {
	clear(dst)
	for ; len(c) >= 4; c = c[4:] {
		var four [4]dsp.Scaled
		for i, h := range c[:4] {
			four[i] = dsp.Scaled{By: h.weight, X: values[h.at : h.at+h.n]}
		}
		dsp.AddFour32(dst, &four)
	}
	for _, h := range c {
		dsp.Axpy32(h.weight, values[h.at:h.at+h.n], dst)
	}
}

// warp is the values on the log-frequency axis that harmonics read: not all.
type warp []span

// span is consecutive such values, from one on, and the bins that they come from.
type span struct {
	at  int
	bin []int32
}

// newWarp gives the values that some harmonics read.
func newWarp(a logFreqAxis, harmonics comb) (w warp) {
	end := 0
	for _, h := range slices.SortedFunc(slices.Values(harmonics), func(a, b harmonic) int { return cmp.Compare(a.at, b.at) }) {
		from := max(h.at, end)
		if end = max(end, h.at+h.n); from < end {
			w = append(w, span{from, a.bin[from:end]})
		}
	}
	return w
}
