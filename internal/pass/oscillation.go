package pass

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// minPeriodsSeen is how many whole periods it takes; fewer come by chance.
const minPeriodsSeen = 3

// oscillation looks for a regular rise and fall of the speed in a span, and in more
// spans with the same period: the first peak of their joint autocorrelation, once
// the trend of each is taken out. The depth is that in r. It returns nil where
// there is none.
func (m *measurer) oscillation(r span, more ...span) *Oscillation {
	x := [][]float64{m.aboutTrend(r)}
	values := len(x[0])
	for _, s := range more {
		y := m.aboutTrend(s)
		x, values = append(x, y), values+len(y)
	}
	least := m.count(m.opt.MinPeriod)
	if values < minPeriodsSeen*least {
		return nil
	}
	corr, lag := firstPeak(x, least, min(values/minPeriodsSeen, m.count(m.opt.MaxPeriod)))
	s := dsp.Sorted(x[0])
	depth := dsp.Quantile(s, 0.95) - dsp.Quantile(s, 0.05)
	if corr < m.opt.MinPeriodicity || depth < m.opt.HeldBand*m.level(r) {
		return nil
	}
	period := lag * m.hop
	return &Oscillation{
		Period: engine.Seconds(period), PeriodSD: engine.Seconds(period * periodSD(corr, float64(values)/lag)),
		Depth: engine.RPM(depth), DepthSD: engine.RPM(math.Hypot(depthSD(x, lag), math.Sqrt2*m.ownSD(r))), Periodicity: corr,
	}
}

// aboutTrend gives the smooth speed of a span about its trend and its middle.
func (m *measurer) aboutTrend(r span) []float64 {
	x := detrended(m.smooth[r.a:r.b])
	middle := dsp.Median(x)
	for i := range x {
		x[i] -= middle
	}
	return x
}

// periodSD gives the relative standard deviation of a period: sqrt((1-r)/r) / (2 pi
// sqrt(n)), where r is the autocorrelation at one period and n the number of
// periods. (1-r)/r is the noise power over that of the oscillation, whose root is
// about the error of phase from one period to the next, in radians.
func periodSD(corr, periods float64) float64 {
	noise := math.Sqrt(max(0, 1-corr) / max(corr, math.SmallestNonzeroFloat64))
	return noise / (2 * math.Pi * math.Sqrt(max(1, periods)))
}

// depthSD gives the standard deviation of the mean depth of the periods in x,
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

// firstPeak gives the height and the place, in points, of the first peak of
// the autocorrelation of the series in x beyond its first dip below zero, for
// lags from least to most; zeros for none. Each lag is normalised by the energy
// of the parts that it compares.
func firstPeak(x [][]float64, least, most int) (corr, lag float64) {
	all := make([]float64, most+1)
	dsp.Autocorrelation(all, 0, math.MaxInt, x...)
	dipped := false
	var before, here float64
	for k := 1; k <= most; k++ {
		next := all[k]
		switch {
		case next < 0:
			dipped = true
		case dipped && k-1 >= least && here > before && here >= next:
			return here, float64(k-1) + dsp.PeakOffset(before, here, next)
		}
		before, here = here, next
	}
	return 0, 0
}
