package shaft

import (
	"cmp"
	"math"
	"slices"
)

// oversampling is how many points of a ruler make a step of the grid. A line is then
// looked for within 0.08 % of its place; the grid itself is up to 0.65 % off.
const oversampling = 8

// logFreqAxis is an axis of frequency, even in its logarithm, on which a comb of
// lines has the same shape at every frequency: what stands on the j-th lines of
// all combs of the grid is one stretch of the ruler, log2(j) octaves on. So all
// combs are added up at once, line by line, and no line is looked up twice.
//
// Readings on a ruler have shape [finer][n]: element r*n+q is the frequency of
// grid point first+q+r/finer, so that such a stretch is one of the memory, too.
type logFreqAxis struct {
	first int // point of the grid
	n     int
	bin   []int32 // of the spectrum, for each reading
}

// newLogFreqAxis makes a ruler from a point of the grid up to a frequency, for a
// spectrum with so many hertz between bins.
func newLogFreqAxis(s freqGrid, first int, top, binWidth float64) logFreqAxis {
	u := logFreqAxis{first: first, n: max(0, s.from(top)-first)}
	u.bin = make([]int32, oversampling*u.n)
	for r := range oversampling {
		for q := range u.n {
			f := s.at(float64(first+q) + float64(r)/oversampling)
			u.bin[r*u.n+q] = int32(math.Round(min(f, top) / binWidth))
		}
	}
	return u
}

// harmonic is one line of all combs: the stretch of n readings of a ruler that is
// added to the first n points, and how much it counts.
type harmonic struct {
	at, n  int
	weight float32
}

// harmonic gives the readings at a multiple of the frequencies of n points of the
// grid from one on. Where they leave the ruler there are fewer.
func (u *logFreqAxis) harmonic(s freqGrid, multiple float64, from, n int, weight float64) harmonic {
	shift := math.Round(math.Log2(multiple) * s.perOctave * oversampling)
	step := math.Floor(shift / oversampling)
	q := from - u.first + int(step)
	return harmonic{
		at: (int(shift)-oversampling*int(step))*u.n + q, n: max(0, min(n, u.n-q)), weight: float32(weight),
	}
}

// addTo adds the readings of the tooth to dst.
func (t harmonic) addTo(dst, readings []float32) {
	axpy(t.weight, readings[t.at:t.at+t.n], dst)
}

// comb is teeth that are added up.
type comb []harmonic

// addUp writes the sum of the teeth to dst.
func (c comb) addUp(dst, readings []float32) {
	clear(dst)
	for _, t := range c {
		t.addTo(dst, readings)
	}
}

// warpedScores is one thing that levels count for, of each bin and, on the ruler, where
// teeth look: they leave out most of it.
type warpedScores[T float32 | quantizedLevel] struct {
	bins     []T // shape [bins]
	readings []T // of the ruler
	patches  []patch
}

// patch is a stretch of readings that teeth look at, from one on, and the bins that
// they are read from.
type patch struct {
	at  int
	bin []int32
}

// newWarpedScores makes the layer that some teeth look at.
func newWarpedScores[T float32 | quantizedLevel](u logFreqAxis, bins int, teeth comb) warpedScores[T] {
	l := warpedScores[T]{bins: make([]T, bins), readings: make([]T, len(u.bin))}
	inOrder := slices.SortedFunc(slices.Values(teeth), func(a, b harmonic) int { return cmp.Compare(a.at, b.at) })
	end := 0
	for _, t := range inOrder {
		from := max(t.at, end)
		if end = max(end, t.at+t.n); from < end {
			l.patches = append(l.patches, patch{from, u.bin[from:end]})
		}
	}
	return l
}

// warp lays what the bins count on the ruler, and gives the readings.
func (l *warpedScores[T]) warp() []T {
	counts := l.bins
	for _, p := range l.patches {
		to := l.readings[p.at:][:len(p.bin)]
		for i, b := range p.bin {
			to[i] = counts[b]
		}
	}
	return l.readings
}
