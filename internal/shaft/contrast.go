package shaft

import "math"

// contrast holds whole orders over the fractional ones right beside them. An
// engine that misses firings keeps the whole ones stronger: pump, fan and piston
// turn whether it fires or not. What is further off says nothing: resonances
// and the slope of the spectrum raise one order over another, too.
type contrast struct {
	ramp   ClippedLinear
	limits *clipTable
	orders [MaxPeriod][]order   // for each firing period, from its own point on
	of     [MaxPeriod][]float32 // result, shape [points]
	at     [MaxPeriod]int       // that point of the grid
	down   [MaxPeriod]int       // from there to the spacing of the lines
}

// quantizedLevel is a level as it counts in a contrast, in steps of which levelSteps make
// a decibel. The table of counts has none in between.
type quantizedLevel int16

const levelSteps = 2 * tableSteps

func quantize(level float32) quantizedLevel {
	return quantizedLevel(math.Round(float64(level) * levelSteps))
}

// clipTable is what a whole order counts, in decibels, for each difference between
// twice its height and the two beside it: more differences than the table of counts
// can have. Those below 0 stand at the end.
type clipTable [1 << 14]float32

func newClipTable(most float32) *clipTable {
	b := new(clipTable)
	for steps := range len(b) / 2 {
		v := min(float32(steps)/(2*levelSteps), most)
		b[steps], b[(len(b)-steps)%len(b)] = v, -v
	}
	b[len(b)/2] = -most
	return b
}

func (b *clipTable) at(steps quantizedLevel) float32 { return b[uint(steps)%uint(len(b))] }

// order is a whole order of all points of the grid, beside the fractional ones on
// either side.
type order struct {
	whole, under, over harmonic
	weight             []float32 // at each point; over all orders they add up to 1
}

// newContrast makes the contrast for the states whose line spacings stand on a
// ruler. Orders with a masked bin say nothing.
func newContrast(s freqGrid, u logFreqAxis, r *stateIndex, o *Options, masked []bool) contrast {
	c := contrast{ramp: o.Contrast, limits: newClipTable(float32(o.MaxContrast))}
	c.at[0] = max(r.first[0], u.first)
	for p := 2; p <= MaxPeriod; p++ {
		at := max(r.first[p-1], u.first+s.shift(p))
		n := max(0, r.last[p-1]-at)
		c.at[p-1], c.down[p-1], c.of[p-1] = at, s.shift(p), make([]float32, n)
		for k := 1; k <= o.ContrastOrders; k++ {
			tooth := func(multiple float64) harmonic { return u.harmonic(s, multiple, at, n, 1) }
			c.orders[p-1] = append(c.orders[p-1], newOrder(tooth, k, p, u.bin, masked))
		}
		normalizeWeights(c.orders[p-1], n)
	}
	return c
}

// newOrder makes whole order k of an engine that fires every pth turn.
func newOrder(tooth func(multiple float64) harmonic, k, p int, bin []int32, masked []bool) order {
	o := order{whole: tooth(float64(k)), under: tooth(float64(k) - 1/float64(p)), over: tooth(float64(k) + 1/float64(p))}
	o.weight = make([]float32, o.over.n)
	for i := range o.weight {
		if !masked[bin[o.whole.at+i]] && !masked[bin[o.under.at+i]] && !masked[bin[o.over.at+i]] {
			o.weight[i] = float32(1 / math.Sqrt(float64(k))) // a pump is heard in its first few
		}
	}
	return o
}

// normalizeWeights scales the weights of the orders so that they add up to 1 at each of n
// points, or to 0 where none says anything.
func normalizeWeights(orders []order, n int) {
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

// harmonics gives all that is looked at.
func (c *contrast) harmonics() (all comb) {
	for _, orders := range c.orders {
		for _, o := range orders {
			all = append(all, o.whole, o.under, o.over)
		}
	}
	return all
}

// take takes in what stands on the ruler.
func (c *contrast) take(readings []quantizedLevel) {
	for p := 1; p < MaxPeriod; p++ {
		of := c.of[p]
		clear(of)
		for _, o := range c.orders[p] {
			o.addTo(of, readings, c.limits)
		}
	}
}

// addTo adds to dst what the order counts. It is the innermost loop of all: by
// itself, so that all it needs is in registers, and with a table instead of clamp:
// levels scatter so that no processor foresees which bound they are beyond.
func (o *order) addTo(dst []float32, readings []quantizedLevel, bound *clipTable) {
	n := len(o.weight)
	dst, weight := dst[:n], o.weight[:n]
	whole, under, over := readings[o.whole.at:][:n], readings[o.under.at:][:n], readings[o.over.at:][:n]
	for i, v := range whole {
		dst[i] += weight[i] * bound.at(2*v-under[i]-over[i])
	}
}

// addTo adds the evidence of firing period n+1, over 1, to a row of states from
// point c.at[n] of the grid on, and writes it by itself to whole.
func (c *contrast) addTo(row, whole []float32, n int) {
	ramp := c.ramp.single()
	of, whole := c.of[n][:len(row)], whole[:len(row)]
	for i := range row {
		whole[i] = ramp.at(of[i])
		row[i] += whole[i]
	}
}
