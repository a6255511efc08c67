package firing

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// SparkCutOptions says what is taken for the sparks that a coil cuts to limit
// the speed: several in a row, again and again. Four-stroking repeats every 2nd to
// 4th cycle; this takes longer.
type SparkCutOptions struct {
	MaxFourStroke     float64        // cycles: the rarest pattern of four-stroking
	MinPeriod         float64        // cycles: the shortest period of bursts that is no such pattern
	MaxPeriod         float64        // cycles: the longest; slower is surging, so that many on either side make the mean a cycle is compared with
	MinCycles         int            // fewer say nothing
	MaxFor            engine.Seconds // the first so much of a longer time says all
	MinRepeats        int            // periods that a repetition is averaged over, at the least
	MaxRepeats        int            // and at the most
	Significance      float64        // standard deviations of chance at which belief begins
	SureAt            float64        // and how many more make it certain
	OverPattern       float64        // how much clearer than any pattern of four-stroking the bursts must be
	NearlyBest        float64        // 0 to 1: of the clearest period, from which a shorter one counts as well
	PeriodStep        float64        // cycles, of the search
	OutlierDeviations float64        // standard deviations that a single strength is limited to
}

// SparkCutEvidence is what the cycles say about sparks that are left out in regular
// bursts.
type SparkCutEvidence struct {
	Belief float64   // 0 to 1
	Rate   engine.Hz // bursts per second; 0 where there is no belief
	Depth  float64   // 0 to 1: by how much the strength of the firing falls in a burst
}

// FindSparkCuts looks for regular bursts of lost sparks in the cycles between two
// times, of a long time in its first two minutes.
//
// For each period it compares the correlation of the strengths whole periods apart
// with that half a period off. A period counts from three standard deviations of
// chance on, and only where no pattern of four-stroking is nearly as clear and one
// cycle is like the next: a chain on its sprocket repeats after as many cycles as a
// coil does, but leaves the alternation of four-stroking between.
//
// Source: the lag-one correlation of a chain of misses is -1 for strict
// alternation, 0 for chance and above 0 for long runs (identity of the two-state
// Markov chain).
func FindSparkCuts(c Cycles, from, to engine.Seconds) SparkCutEvidence {
	return Default().SparkCut.find(c, from, to)
}

func (o SparkCutOptions) find(c Cycles, from, to engine.Seconds) SparkCutEvidence {
	to = min(to, from+o.MaxFor)
	c = c.Between(from, to)
	if len(c) < o.MinCycles {
		return SparkCutEvidence{}
	}
	lags := min(len(c)/2, int(float64(o.MaxRepeats)*o.MaxPeriod)+1) // longer ones are not needed
	x := o.relativeTo(c)
	corr := correlations(x, lags)
	pattern, _ := o.bestPeriod(corr, 2, o.MaxFourStroke)
	x = smoothed(x)
	slow := correlations(x, lags)
	best, period := o.bestPeriod(slow, o.MinPeriod, o.MaxPeriod)
	deviations := best * math.Sqrt(float64(len(c))/threeMeanVariance*independentQuarters(x))
	if deviations < o.Significance || best < o.OverPattern*pattern || corr[1] <= 0 {
		return SparkCutEvidence{}
	}
	// A square wave of 1 +- d has a variance of d*d. Half of the difference between
	// the correlations whole and half periods apart is its share of all variance.
	d := math.Sqrt(variance(x) * o.contrast(slow, period) / 2)
	return SparkCutEvidence{
		Belief: min(1, (deviations-o.Significance)/o.SureAt),
		Rate:   engine.Hz(float64(len(c)) / float64(to-from) / period),
		Depth:  min(1, 2*d/(1+d)),
	}
}

// strengths are those of cycles, shape [Quarters][cycles]: where in a cycle it fires
// is not known, and a cycle cut at its firing shares it with the next.
type strengths [Quarters][]float64

// relativeTo gives the strength of each cycle less the mean of those around it in
// the same quarter, over the mean of all quarters around it. A few cycles that are
// far out, as when the throttle closes, are limited, so as not to outweigh all
// others.
func (o SparkCutOptions) relativeTo(c Cycles) (x strengths) {
	var around strengths
	all := make([]float64, len(c))
	for q := range x {
		x[q] = make([]float64, len(c))
		for i, cycle := range c {
			x[q][i] = float64(cycle.RMS[q])
		}
		around[q] = make([]float64, len(c))
		dsp.RunningMean(around[q], x[q], int(o.MaxPeriod))
		for i, v := range around[q] {
			all[i] += v / Quarters
		}
	}
	for q := range x {
		for i, v := range x[q] {
			x[q][i] = 0 // in digital silence
			if all[i] > 0 {
				x[q][i] = (v - around[q][i]) / all[i]
			}
		}
		limit := o.OutlierDeviations * dsp.RobustSD(x[q])
		for i, v := range x[q] {
			x[q][i] = max(-limit, min(limit, v))
		}
	}
	return x
}

// variance gives the mean square of all strengths.
func variance(x strengths) float64 {
	var sum float64
	for _, quarter := range x {
		for _, v := range quarter {
			sum += v * v
		}
	}
	return sum / float64(Quarters*len(x[0]))
}

// threeMeanVariance is by how much the variance of a correlation grows when both
// sides are running means of three.
//
// Source: Bartlett's formula, the sum of the squared correlations of such a
// mean: 1 + 2 (4/9 + 1/9).
const threeMeanVariance = 1 + 2*(4.0/9+1.0/9)

// smoothed gives the running mean over three cycles: what repeats no sooner than
// after six cycles stays, what differs from cycle to cycle goes.
func smoothed(x strengths) (out strengths) {
	for q, y := range x {
		out[q] = make([]float64, len(y))
		dsp.RunningMean(out[q], y, 1)
	}
	return out
}

// independentQuarters gives how many of the quarters count: 1 where all that
// happens is in one of them, all where they are alike.
func independentQuarters(x strengths) float64 {
	var sum, squares float64
	for _, quarter := range x {
		var v float64
		for _, e := range quarter {
			v += e * e
		}
		sum += v
		squares += v * v
	}
	return sum * sum / max(squares, math.SmallestNonzeroFloat64)
}

// correlations gives the autocorrelation over all quarters together, for lags up to
// a longest one.
func correlations(x strengths, longest int) []float64 {
	corr := make([]float64, longest+1)
	dsp.Autocorrelation(corr, 0, len(x[0]), x[:]...)
	return corr
}

// bestPeriod gives the clearest period, from one to another, in cycles, and how
// clear it is; zeros where there is none. What repeats after a period also repeats
// after three of them, so the shortest one that is nearly the clearest is given.
func (o SparkCutOptions) bestPeriod(corr []float64, from, to float64) (best, period float64) {
	for p := from; p <= to; p += o.PeriodStep {
		best = max(best, o.normalizedContrast(corr, p))
	}
	for p := from; p <= to && best > 0; p += o.PeriodStep {
		c := o.normalizedContrast(corr, p)
		if c < o.NearlyBest*best {
			continue
		}
		for next := o.normalizedContrast(corr, p+o.PeriodStep); p+o.PeriodStep <= to && next > c; next = o.normalizedContrast(corr, p+o.PeriodStep) {
			p, c = p+o.PeriodStep, next // up to the top of this peak
		}
		return best, p
	}
	return 0, 0
}

// normalizedContrast gives how clear a period is: the contrast, times the root of half the
// number of periods that it is the mean over, so that chance gives
// 1/sqrt(cycles) whatever the period.
func (o SparkCutOptions) normalizedContrast(corr []float64, period float64) float64 {
	return o.contrast(corr, period) * math.Sqrt(float64(o.repeats(corr, period))/2)
}

// contrast gives how much higher the correlation is whole periods apart than half a
// period off, in the mean; 0 where corr holds too few periods.
func (o SparkCutOptions) contrast(corr []float64, period float64) float64 {
	n := o.repeats(corr, period)
	if n < o.MinRepeats {
		return 0
	}
	var sum float64
	for k := range n {
		sum += linearAt(corr, float64(k+1)*period) - linearAt(corr, (float64(k)+0.5)*period)
	}
	return sum / float64(n)
}

// repeats gives the number of periods that the contrast is the mean over.
func (o SparkCutOptions) repeats(corr []float64, period float64) int {
	return min(o.MaxRepeats, int(float64(len(corr)-1)/period))
}

// linearAt gives x between its elements, along straight lines.
func linearAt(x []float64, at float64) float64 {
	i := int(at)
	if i+1 >= len(x) {
		return x[len(x)-1]
	}
	part := at - float64(i)
	return x[i]*(1-part) + x[i+1]*part
}
