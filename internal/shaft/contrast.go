package shaft

import "math"

// contrast compares whole orders with the fractional orders right beside them. An
// engine that misses firings still has stronger whole orders, since pump, fan and
// piston turn whether it fires or not. Orders further away are not compared:
// resonances and the slope of the spectrum raise one order over another, too.
type contrast struct {
	zero, slope float32 // evidence for missed firings per decibel over zero
	limit       *clipTable
	orders      [MaxPeriod][]wholeOrder // of each firing period, shape [orders]
	sum         [MaxPeriod][]float32    // result in decibels, shape [points from first on]
	first       [MaxPeriod]int          // point of the grid from which line spacings are resolved
	shift       [MaxPeriod]int          // points from a frequency down to the spacing of its lines
}

// quantizedLevel is a level in steps of which levelSteps make a decibel, the
// resolution of the table of scores and half of it.
type quantizedLevel int16

const levelSteps = 2 * tableSteps

func quantize(level float32) quantizedLevel {
	return quantizedLevel(math.Round(float64(level) * levelSteps))
}

// clipTable gives the contrast of an order, in decibels, for each difference between
// twice its level and the two levels beside it. Negative indices wrap.
type clipTable [1 << 14]float32

func newClipTable(limit float32) *clipTable {
	b := new(clipTable)
	for steps := range len(b) / 2 {
		v := min(float32(steps)/(2*levelSteps), limit)
		b[steps], b[(len(b)-steps)%len(b)] = v, -v
	}
	b[len(b)/2] = -limit
	return b
}

func (b *clipTable) at(steps quantizedLevel) float32 { return b[uint(steps)%uint(len(b))] }

// wholeOrder is one whole order of all candidates, and the fractional orders on either
// side of it.
type wholeOrder struct {
	order, below, above harmonic
	weight              []float32 // of each candidate; over all orders they add up to 1
}

// newContrast makes the contrast for the states whose line spacings are on an axis.
// Orders with a masked bin are not used.
func newContrast(g freqGrid, a logFreqAxis, x *stateIndex, o ContrastOptions, masked []bool) contrast {
	c := contrast{zero: float32(o.Zero), slope: float32(o.Slope), limit: newClipTable(float32(o.Limit))}
	c.first[0] = max(x.first[0], a.first)
	for p := 2; p <= MaxPeriod; p++ {
		first := max(x.first[p-1], a.first+g.shift(p))
		n := max(0, x.last[p-1]-first)
		c.first[p-1], c.shift[p-1], c.sum[p-1] = first, g.shift(p), make([]float32, n)
		for k := 1; k <= o.Orders; k++ {
			at := func(order float64) harmonic { return a.harmonic(g, order, first, n, 1) }
			c.orders[p-1] = append(c.orders[p-1], newWholeOrder(at, k, p, a.bin, masked))
		}
		normalizeWeights(c.orders[p-1], n)
	}
	return c
}

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

// normalizeWeights scales the weights of the orders so that they add up to 1 for each
// of n candidates, or to 0 where no order is used.
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
				o.weight[i] /= s
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

// compute takes the contrast of all candidates from the levels on the axis.
func (c *contrast) compute(levels []quantizedLevel) {
	for p := 1; p < MaxPeriod; p++ {
		sum := c.sum[p]
		clear(sum)
		for _, o := range c.orders[p] {
			o.addTo(sum, levels, c.limit)
		}
	}
}

// addTo adds the weighted contrast of the order to dst. It is the innermost loop of
// all: a function by itself, so that all it needs is in registers, and with a table
// instead of clamp, since no processor predicts which limit a level is beyond.
func (o *wholeOrder) addTo(dst []float32, levels []quantizedLevel, limit *clipTable) {
	n := len(o.weight)
	dst, weight := dst[:n], o.weight[:n]
	order, below, above := levels[o.order.at:][:n], levels[o.below.at:][:n], levels[o.above.at:][:n]
	for i, v := range order {
		dst[i] += weight[i] * limit.at(2*v-below[i]-above[i])
	}
}

// addTo adds the evidence of firing period n+1 over 1 to a row of states, from point
// c.first[n] of the grid on, and writes it to contrastRow.
func (c *contrast) addTo(row, contrastRow []float32, n int) {
	sum, contrastRow := c.sum[n][:len(row)], contrastRow[:len(row)]
	for i := range row {
		contrastRow[i] = c.slope * (sum[i] - c.zero)
		row[i] += contrastRow[i]
	}
}
