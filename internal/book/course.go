package book

import "math"

// course is how what is left came about over the passes that were looked at.
type course struct {
	told   bool    // there were passes enough
	slowly float64 // belief that it came slowly, against at once
	leap   int     // index of the pass before which it leapt, if it did
	crept  figure  // percent that had crept in before that, from the first pass of the course
}

// courseLeast is how many passes a course needs: two have no course.
const courseLeast = 3

// courseOf weighs two accounts of what is left against each other: a slow growth
// (straight or with the square of time, from some pass on) and a leap between
// two passes. Each is fitted by least squares with a free level; the better fit
// is believed more.
//
// Source: likelihood ratio of two normal models, the leap's averaged over its
// places.
func (p *pair) courseOf() course {
	days, rests := p.series()
	from, to := p.thenAt(), p.nowAt()
	if len(days) < courseLeast || from < 0 || to < 0 {
		return course{}
	}
	c := course{told: true}
	grow := 0.0
	for _, power := range []float64{1, 2} {
		grow += math.Exp(-misfit(rests, func(i int) float64 { return math.Pow(days[i]-days[0], power) })/2) / 2
	}
	leap, best := 0.0, 0.0
	for at := from + 1; at <= to; at++ {
		fit := math.Exp(-misfit(rests, func(i int) float64 {
			if i >= at {
				return 1
			}
			return 0
		}) / 2)
		leap += fit / float64(to-from)
		if fit >= best {
			best, c.leap = fit, at
		}
	}
	if grow+leap > 0 {
		c.slowly = grow / (grow + leap)
	} else {
		c.slowly = 0.5 // neither account fits
	}
	if before := c.leap - 1; before > 0 {
		c.crept = figure{rests[before].v, math.Hypot(rests[before].sd, rests[0].sd)}
	}
	return c
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
func (p *pair) takesBack(c course) float64 {
	if !c.told || c.leap < 2 {
		return 0
	}
	_, rests := p.series()
	leap := rests[p.nowAt()].v - rests[c.leap-1].v
	if leap*c.crept.v >= 0 || math.Abs(c.crept.v+leap) > math.Abs(c.crept.v) {
		return 0
	}
	return normalAbove(math.Abs(c.crept.v), c.crept.sd, p.opt.Worth)
}
