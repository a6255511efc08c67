package pass

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// drift gives the slope of the speed over a span: the median slope between
// medians of blocks, with the standard deviation that the scatter of the
// blocks about that line leaves it. It returns nil under four blocks.
func (m *measurer) drift(r span) *Rate {
	const minBlocks, maxBlocks = 4, 100 // the slope needs all pairs of blocks
	wide := max(m.count(m.opt.BlockFor), (r.b-r.a)/maxBlocks)
	var t, x, own []float64
	for a := r.a; a+wide <= r.b; a += wide {
		block := span{a, a + wide}
		told := m.told(block)
		if float64(len(told)) < m.opt.MinTold*float64(wide) {
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

// minSwings is how many whole swings it takes; fewer come by chance.
const minSwings = 3

// oscillation looks for a regular rise and fall of the speed in a span, and in more
// that ought to swing alike: the first maximum of their autocorrelation, once
// the trend of each is taken out. The depth is that in r. It returns nil where
// there are none.
func (m *measurer) oscillation(r span, more ...span) *Oscillation {
	x := [][]float64{m.swinging(r)}
	values := len(x[0])
	for _, s := range more {
		y := m.swinging(s)
		x, values = append(x, y), values+len(y)
	}
	least := m.count(m.opt.MinSwing)
	if values < minSwings*least {
		return nil
	}
	like, lag := firstRepeat(x, least, min(values/minSwings, m.count(m.opt.MaxSwing)))
	s := dsp.Sorted(x[0])
	depth := dsp.Quantile(s, 0.95) - dsp.Quantile(s, 0.05)
	if like < m.opt.SwingLike || depth < m.opt.SwingDepth*m.level(r) {
		return nil
	}
	period := lag * m.hop
	return &Oscillation{
		Period: engine.Seconds(period), PeriodSD: engine.Seconds(period * phaseSD(like, float64(values)/lag)),
		Depth: engine.RPM(depth), DepthSD: engine.RPM(math.Hypot(depthSD(x, lag), math.Sqrt2*m.ownSD(r))), Strength: like,
	}
}

// swinging gives the smooth speed of a span about its trend and its middle.
func (m *measurer) swinging(r span) []float64 {
	x := detrended(m.smooth[r.a:r.b])
	middle := dsp.Median(x)
	for i := range x {
		x[i] -= middle
	}
	return x
}

// phaseSD gives the standard deviation of a period that was read from swings
// with a likeness of one to the next, as a share of it. What a swing has not in
// common with the next, against what it has, is the sine of half a turn's error
// between the two; a mean over all swings has the less of it.
func phaseSD(like, swings float64) float64 {
	unlike := math.Sqrt(max(0, 1-like) / max(like, math.SmallestNonzeroFloat64))
	return unlike / (2 * math.Pi * math.Sqrt(max(1, swings)))
}

// depthSD gives the standard deviation of the mean depth of the swings in x,
// each lag points long, from the scatter of their depths.
func depthSD(x [][]float64, lag float64) float64 {
	var depths []float64
	for _, y := range x {
		for a := 0.0; int(a+lag) <= len(y); a += lag {
			one := dsp.Sorted(y[int(a):int(a+lag)])
			depths = append(depths, dsp.Quantile(one, 1)-dsp.Quantile(one, 0))
		}
	}
	return dsp.RobustSD(depths) / math.Sqrt(max(1, float64(len(depths))))
}

// firstRepeat gives the height and the place, in points, of the first peak of
// the autocorrelation of the series in x beyond its first dip below zero, for
// lags from least to most; zeros for none. Each lag is normalised by the energy
// of the parts that it compares.
func firstRepeat(x [][]float64, least, most int) (like, lag float64) {
	all := autocorrelation(most, x...)
	dipped := false
	var before, here float64
	for k := 1; k <= most; k++ {
		next := all[k]
		switch {
		case next < 0:
			dipped = true
		case dipped && k-1 >= least && here > before && here >= next:
			// A parabola through three points finds the peak between them.
			bend := before - 2*here + next
			return here, float64(k-1) + (before-next)/(2*bend)
		}
		before, here = here, next
	}
	return 0, 0
}
