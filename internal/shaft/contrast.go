package shaft

import (
	"math"

	"topnote/internal/dsp"
)

// contrast compares whole orders with the fractional orders right beside them. An
// engine that misses firings still has stronger whole orders, since pump, fan and
// piston turn whether it fires or not. Orders further away are not compared:
// resonances and the slope of the spectrum raise one order over another, too.
type contrast struct {
	zero, slope float32                 // evidence for missed firings per decibel over zero
	limit       int16                   // of one order, in half steps of a level
	levels      []quantizedLevel        // on the axis, to be written before each frame
	orders      [MaxPeriod][]wholeOrder // of each firing period, shape [orders]
	peaks       [MaxPeriod][]dsp.Peaks  // the same, in levels
	sum         [MaxPeriod][]float32    // result in decibels, shape [points from first on]
	first       [MaxPeriod]int          // point of the grid from which line spacings are resolved
	shift       [MaxPeriod]int          // points from a frequency down to the spacing of its lines
}

// quantizedLevel is a level over any other, in steps.
type quantizedLevel = int16

// wholeOrder is one whole order of all candidates, and the fractional orders on either
// side of it.
type wholeOrder struct {
	order, below, above harmonic
	weight              []float32 // of each candidate, for half a step; over all orders they add up to 1 for a decibel
}

// newContrast makes the contrast for the states whose line spacings are on an axis.
// Orders with a masked bin are not used.
func newContrast(g freqGrid, a logFreqAxis, x *stateIndex, o ContrastOptions, masked []bool) contrast {
	c := contrast{zero: float32(o.Zero), slope: float32(o.Slope), limit: int16(math.Round(float64(o.Limit) * 2 * levelSteps))}
	c.levels = make([]quantizedLevel, len(a.bin)+dsp.AtOnce)
	c.first[0] = max(x.first[0], a.first)
	for p := 2; p <= MaxPeriod; p++ {
		first := max(x.first[p-1], a.first+g.shift(p))
		n := max(0, x.last[p-1]-first)
		c.first[p-1], c.shift[p-1], c.sum[p-1] = first, g.shift(p), make([]float32, filled(n))
		for k := 1; k <= o.Orders; k++ {
			at := func(order float64) harmonic { return a.harmonic(g, order, first, n, 1) }
			c.orders[p-1] = append(c.orders[p-1], newWholeOrder(at, k, p, a.bin, masked))
		}
		normalizeWeights(c.orders[p-1], n)
		for _, o := range c.orders[p-1] {
			if n := filled(len(o.weight)); n > 0 {
				weight := append(make([]float32, 0, n), o.weight...)[:n]
				c.peaks[p-1] = append(c.peaks[p-1], dsp.Peaks{
					At: c.levels[o.order.at:][:n], Below: c.levels[o.below.at:][:n], Above: c.levels[o.above.at:][:n], Weight: weight,
				})
			}
		}
	}
	return c
}

// filled gives how many elements hold n of them where they are taken together.
func filled(n int) int { return (n + dsp.AtOnce - 1) / dsp.AtOnce * dsp.AtOnce }

// newWholeOrder makes whole order k of an engine that fires every pth cycle.
func newWholeOrder(at func(order float64) harmonic, k, p int, bin []int32, masked []bool) wholeOrder {
	o := wholeOrder{order: at(float64(k)), below: at(float64(k) - 1/float64(p)), above: at(float64(k) + 1/float64(p))}
	o.weight = make([]float32, o.above.n)
	for i := range o.weight {
		if !masked[bin[o.order.at+i]] && !masked[bin[o.below.at+i]] && !masked[bin[o.above.at+i]] {
			o.weight[i] = float32(1 / math.Sqrt(float64(k))) // the first few orders of a pump are the strongest
		}
	}
	return o
}

// normalizeWeights scales the weights of the orders so that they add up to 1 a decibel
// for each of n candidates, or to 0 where no order is used.
func normalizeWeights(orders []wholeOrder, n int) {
	sum := make([]float32, n)
	for _, o := range orders {
		for i, w := range o.weight {
			sum[i] += w
		}
	}
	for _, o := range orders {
		for i, s := range sum[:len(o.weight)] {
			if s > 0 {
				o.weight[i] /= s * 2 * levelSteps
			}
		}
	}
}

// harmonics gives all harmonics that are read.
func (c *contrast) harmonics() (all comb) {
	for _, orders := range c.orders {
		for _, o := range orders {
			all = append(all, o.order, o.below, o.above)
		}
	}
	return all
}

// compute takes the contrast of all candidates from the levels.
func (c *contrast) compute() {
	for p, sum := range c.sum {
		clear(sum)
		dsp.AddPeaks(sum, c.peaks[p], c.limit)
	}
}

// addTo adds the evidence of firing period n+1 over 1 to a row of states, from point
// c.first[n] of the grid on, and writes it to contrastRow.
func (c *contrast) addTo(row, contrastRow []float32, n int) {
	dsp.Slope32(contrastRow[:len(row)], row, c.sum[n], c.zero, c.slope)
}
