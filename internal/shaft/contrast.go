package shaft

// contrast holds whole orders over fractional ones. An engine that misses
// firings keeps the whole ones stronger: pump, fan and piston turn whether it
// fires or not.
type contrast struct {
	ramp  Ramp
	from  int // point of the grid at which the whole orders begin
	whole mean
	parts [maxPeriod]mean // for each firing period, from its own point on
	at    [maxPeriod]int  // that point of the grid
	down  [maxPeriod]int  // from there to the spacing of the lines
}

// mean is a comb with its teeth averaged at each point.
type mean struct {
	comb
	share []float32 // of one tooth, at each point
	of    []float32 // result, shape [points]
}

func newMean(c comb, n int) mean { return mean{c, c.shares(n), make([]float32, n)} }

func (m *mean) take(readings []float32) {
	m.sum(m.of, readings)
	for i, s := range m.share {
		m.of[i] *= s
	}
}

// newContrast makes the contrast of so many whole orders, for the states whose
// line spacings stand on a ruler.
func newContrast(s scale, u ruler, r *rows, orders int, ramp Ramp) contrast {
	c := contrast{ramp: ramp, from: max(r.first[1], u.first+s.shift(2))}
	c.at[0] = max(r.first[0], u.first)
	tooth := func(multiple float64, from, n int) tooth { return u.tooth(s, multiple, from, n, 1) }
	n := max(0, r.last[1]-c.from)
	var whole comb
	for k := 1; k <= orders; k++ {
		whole = append(whole, tooth(float64(k), c.from, n))
	}
	c.whole = newMean(whole, n)
	for p := 2; p <= maxPeriod; p++ {
		at := max(r.first[p-1], u.first+s.shift(p))
		n := max(0, r.last[p-1]-at)
		var part comb
		for j := 1; j <= p*orders; j++ {
			if j%p != 0 {
				part = append(part, tooth(float64(j)/float64(p), at, n))
			}
		}
		c.at[p-1], c.down[p-1], c.parts[p-1] = at, s.shift(p), newMean(part, n)
	}
	return c
}

// take takes in what stands on the ruler.
func (c *contrast) take(readings []float32) {
	c.whole.take(readings)
	for p := 1; p < maxPeriod; p++ {
		c.parts[p].take(readings)
	}
}

// addTo adds the evidence of firing period n+1, over 1, to a row of states from
// point c.at[n] of the grid on.
func (c *contrast) addTo(row []float32, n int) {
	ramp := c.ramp.fast()
	part := c.parts[n].of[:len(row)]
	whole := c.whole.of[c.at[n]-c.from:][:len(row)]
	for i := range row {
		row[i] += ramp.at(whole[i] - part[i])
	}
}
