package diagnose

import (
	"math"
)

// onset is how a residual came about over the passes of the window.
type onset struct {
	told    bool     // there were enough passes
	gradual float64  // probability that it grew, rather than came in a step
	step    int      // index of the first pass after the likeliest step
	before  estimate // percent of residual just before that step, against the first pass
}

// Passes that an onset needs, and a separation into a part that grew and a part
// that came in a step: that has three unknowns.
const (
	minOnset      = 3
	minSeparation = 5
)

// fitOnset weighs three accounts of the residual against each other: a growth
// (with time, or with its square), a step between two passes from then to now,
// and both. Each is fitted by least squares with a free level. The weight of an
// account of both is shared by how much of the change each of its parts makes.
//
// Source: likelihoods of normal models, averaged over the places of the step,
// with the penalty of the Bayesian information criterion for the account with one
// unknown more.
func (c *comparison) fitOnset() onset {
	from, to := c.thenIndex(), c.nowIndex()
	if len(c.days) < minOnset || from < 0 || to < 0 {
		return onset{}
	}
	o := onset{told: true}
	var gradual, sudden, best float64
	places := float64(to - from)
	for at := from + 1; at <= to; at++ {
		alone := likelihood(c.residuals, stepAt(at))
		if alone >= best {
			best, o.step = alone, at
		}
		sudden += alone / places
	}
	penalty := math.Sqrt(float64(len(c.days)))
	for _, power := range []float64{1, 2} {
		growth := growthOf(c.days, power)
		gradual += likelihood(c.residuals, growth) / 2
		for at := from + 1; at <= to; at++ {
			both, ok := fitShapes(c.residuals, growth, stepAt(at))
			if !ok {
				continue
			}
			weight := math.Exp(-both.chiSquared/2) / places / 2 / penalty
			grew := math.Abs(both.factors[0].value * (growth(to) - growth(from)))
			stepped := math.Abs(both.factors[1].value)
			gradual += weight * grew / (grew + stepped)
			sudden += weight * stepped / (grew + stepped)
		}
	}
	o.gradual = even // where no account fits
	if gradual+sudden > 0 {
		o.gradual = gradual / (gradual + sudden)
	}
	if last := o.step - 1; last > 0 {
		o.before = estimate{c.residuals[last].value, math.Hypot(c.residuals[last].sd, c.residuals[0].sd)}
	}
	return o
}

// likelihood gives that of one shape, at its best fit, without a constant factor.
// A shape that does not vary counts as none.
func likelihood(figures []estimate, s shape) float64 {
	f, ok := fitShapes(figures, s)
	if !ok {
		f, ok = fitShapes(figures)
	}
	if !ok {
		return 0
	}
	return math.Exp(-f.chiSquared / 2)
}

// growthOf is a growth with a power of time, from 0 at the first day to 1 at the
// last; 0 where all are one day.
func growthOf(days []float64, power float64) shape {
	span := days[len(days)-1] - days[0]
	return func(i int) float64 {
		if span <= 0 {
			return 0
		}
		return math.Pow((days[i]-days[0])/span, power)
	}
}

// stepAt is a step from 0 to 1 before the observation at an index.
func stepAt(at int) shape {
	return func(i int) float64 {
		if i >= at {
			return 1
		}
		return 0
	}
}

// probReversal gives the probability that the step takes back what had grown
// before it: it goes the other way, and ends nearer to where the window began.
func (c *comparison) probReversal() float64 {
	o := c.onset
	if !o.told || o.step < 2 {
		return 0
	}
	step := c.residuals[c.nowIndex()].value - c.residuals[o.step-1].value
	if step*o.before.value >= 0 || math.Abs(o.before.value+step) > math.Abs(o.before.value) {
		return 0
	}
	return estimate{math.Abs(o.before.value), o.before.sd}.probAbove(c.opt.MinResidual)
}

// separate parts the residual into what grew over the passes and what came in a
// step. It is told where there were enough passes and both parts are more than
// chance.
func (c *comparison) separate() (gradual, sudden estimate, told bool) {
	if !c.onset.told || len(c.days) < minSeparation || c.onset.step < 2 {
		return estimate{}, estimate{}, false
	}
	growth := growthOf(c.days, 1)
	both, ok := fitShapes(c.residuals, growth, stepAt(c.onset.step))
	if !ok {
		return estimate{}, estimate{}, false
	}
	span := growth(c.nowIndex()) - growth(c.thenIndex())
	gradual = estimate{both.factors[0].value * span, both.factors[0].sd * span}
	sudden = both.factors[1]
	for _, part := range []estimate{gradual, sudden} {
		if !part.significant() || math.Abs(part.value) < c.opt.MinResidual {
			return estimate{}, estimate{}, false
		}
	}
	return gradual, sudden, true
}
