package pass

import (
	"math"

	"topnote/internal/dsp"
)

// drift gives the slope of the speed over a span: the median slope between
// medians of blocks, with the standard deviation that the scatter of the
// blocks about that line leaves it. It returns nil under four blocks.
func (m *measurer) drift(r span) *Rate {
	const minBlocks, maxBlocks = 4, 100 // the slope needs all pairs of blocks
	wide := max(m.count(m.opt.BriefFor), (r.b-r.a)/maxBlocks)
	var t, x, own []float64
	for a := r.a; a+wide <= r.b; a += wide {
		block := span{a, a + wide}
		told := m.told(block)
		if float64(len(told)) < m.opt.HeldShare*float64(wide) {
			continue
		}
		level := dsp.Median(told)
		t = append(t, float64(m.at(a)))
		x = append(x, level)
		own = append(own, m.withSD(block, level, m.opt).sd())
	}
	if len(x) < minBlocks {
		return nil
	}
	k := slope(t, x)
	middle := dsp.Median(t)
	var spread float64
	off := make([]float64, len(x))
	for i := range x {
		off[i] = x[i] - k*(t[i]-middle)
		spread += sq(t[i] - middle)
	}
	scattered := math.Hypot(dsp.RobustSD(off)*ar1Inflation(off), dsp.Median(own))
	return &Rate{PerSecond: k, SD: scattered / math.Sqrt(spread)}
}

// ar1Inflation gives by how much the standard deviation of a mean, or of a slope, grows
// because neighbours deviate alike: a speed that wanders slowly fakes a trend.
//
// Source: the variance of the mean of a first-order autoregressive series of
// correlation r is (1+r)/(1-r) times that of independent values (any textbook).
func ar1Inflation(off []float64) float64 {
	const most = 0.7 // of a correlation that comes from a dozen values
	var both, square float64
	for i, v := range off {
		square += sq(v)
		if i > 0 {
			both += v * off[i-1]
		}
	}
	r := min(most, max(0, both/max(square, math.SmallestNonzeroFloat64)))
	return math.Sqrt((1 + r) / (1 - r))
}
