package diagnose

import "math"

// course is how what is left came about over the passes that were looked at.
type course struct {
	told   bool    // there were passes enough
	slowly float64 // belief that it came slowly, against at once
	leap   int     // index of the pass before which it leapt, if it did
	crept  figure  // percent that had crept in before that, from the first pass of the course
}

// minCourse is how many passes a course needs: two have no course.
const minCourse = 3

// courseOf weighs three accounts of what is left against each other: a slow
// growth (with time, or with its square), a leap between two passes from then to
// now, and both. Each is fitted by least squares with a free level. What both
// account for is shared by how much of the change from then to now each part
// makes.
//
// Source: likelihoods of normal models, averaged over their places, with the
// factor of the Bayesian information criterion for the one that has more to fit.
func (p *pair) courseOf() course {
	days, rests := p.days, p.rests
	from, to := p.thenAt(), p.nowAt()
	if len(days) < minCourse || from < 0 || to < 0 {
		return course{}
	}
	c := course{told: true}
	var slowly, atOnce, best float64
	places := float64(to - from)
	for _, power := range []float64{1, 2} {
		growth := grown(days, power)
		slowly += math.Exp(-misfit(rests, growth)/2) / 2
		for at := from + 1; at <= to; at++ {
			leap := after(at)
			alone := math.Exp(-misfit(rests, leap) / 2)
			if alone >= best {
				best, c.leap = alone, at
			}
			atOnce += alone / places / 2
			grew, leapt, left, ok := fitTwo(rests, growth, leap)
			if !ok {
				continue
			}
			both := math.Exp(-left/2) / places / 2 / math.Sqrt(float64(len(days)))
			g, l := math.Abs(grew.v*(growth(to)-growth(from))), math.Abs(leapt.v)
			slowly += both * g / (g + l)
			atOnce += both * l / (g + l)
		}
	}
	c.slowly = evenly // where no account fits
	if slowly+atOnce > 0 {
		c.slowly = slowly / (slowly + atOnce)
	}
	if before := c.leap - 1; before > 0 {
		c.crept = figure{rests[before].v, math.Hypot(rests[before].sd, rests[0].sd)}
	}
	return c
}

// grown is the shape of a growth with a power of time, from 0 at the first day to
// 1 at the last; flat where all are one day.
func grown(days []float64, power float64) func(int) float64 {
	span := days[len(days)-1] - days[0]
	return func(i int) float64 {
		if span <= 0 {
			return 0
		}
		return math.Pow((days[i]-days[0])/span, power)
	}
}

// after is the shape of a leap before the pass at.
func after(at int) func(int) float64 {
	return func(i int) float64 {
		if i >= at {
			return 1
		}
		return 0
	}
}

// misfit gives the sum of squared deviations, each against its own, that is left
// of figures after a level and a multiple of shape are fitted to them.
func misfit(figures []figure, shape func(int) float64) float64 {
	var w, x, y, xx, xy, yy float64
	for i, f := range figures {
		weight, at := 1/square(f.sd), shape(i)
		w += weight
		x += weight * at
		y += weight * f.v
		xx += weight * at * at
		xy += weight * at * f.v
		yy += weight * f.v * f.v
	}
	around := xx - x*x/w
	left := yy - y*y/w
	if around > 0 {
		left -= square(xy-x*y/w) / around
	}
	return max(0, left)
}

// takesBack gives the belief that what came at once takes back what had crept in
// before: it goes the other way, and ends nearer to where it began.
func (p *pair) takesBack() float64 {
	c := p.came
	if !c.told || c.leap < 2 {
		return 0
	}
	leap := p.rests[p.nowAt()].v - p.rests[c.leap-1].v
	if leap*c.crept.v >= 0 || math.Abs(c.crept.v+leap) > math.Abs(c.crept.v) {
		return 0
	}
	return normalAbove(math.Abs(c.crept.v), c.crept.sd, p.opt.Worth)
}
