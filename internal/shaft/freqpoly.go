package shaft

import (
	"context"
	"math"
	"slices"

	"topnote/internal/engine"
)

// freqPolynomial is how the firing frequency goes around an instant: ln f is a parabola
// of time. A rise bends so much within a window that a straight line would not
// do.
type freqPolynomial struct {
	f          float64 // Hz, at the instant
	sd         float64 // of f, relative
	chirpRate  float64 // of ln f, 1/s
	chirpAccel float64 // of slope, 1/s^2
}

// ratio gives the frequency at a time s from the instant over that at it, to
// third order; it is bounded so that no course runs backward.
func (c freqPolynomial) ratio(s float64) float64 {
	const least, most = 0.2, 5
	a, b := c.chirpRate, c.chirpAccel
	return min(max(1+s*(a+s*((a*a+b)/2+s*a*(a*a+3*b)/6)), least), most)
}

// refine replaces the speeds of the grid by refined ones, with the standard
// deviation that the noise explains, and gives how clear each point's lines
// are, in decibels. The grid's own points say how the speed goes around each;
// where it moves, the refined ones then say it better, and points are read
// again.
func (f *follower) refine(ctx context.Context, ps []Point, x []float32) (clear []float64, err error) {
	slope := slopes(ps, f.o.Hop)
	clear = make([]float64, len(ps))
	read := make([]bool, len(ps)) // off its lines
	first := func(i int) {
		p := &ps[i]
		if !p.Speed.Told() {
			return
		}
		v, ok := f.refiner.at(x, float64(p.At), p.period(), freqPolynomial{f: p.firing(f.order), chirpRate: slope[i]})
		p.SD = engine.RPM(f.o.PriorSD) * p.Speed
		if ok {
			p.set(v.f, v.sd, f.order)
		}
		clear[i], read[i] = v.prominence, ok
	}
	for i := 0; i < len(ps) && ctx.Err() == nil; i += 2 {
		first(i)
	}
	for i := 1; i < len(ps) && ctx.Err() == nil; i += 2 {
		if !f.o.midway(ps, clear, i) {
			first(i)
		}
	}
	f.again(ctx, ps, x, clear, read)
	return clear, ctx.Err()
}

// midway puts a point half-way between its neighbours where these are clear and
// agree: the windows are some hops long. It reports whether it could.
func (o *Options) midway(ps []Point, clear []float64, i int) bool {
	if i+1 == len(ps) || min(clear[i-1], clear[i+1]) < float64(o.ClearSomewhere) {
		return false
	}
	a, p, b := ps[i-1], &ps[i], ps[i+1]
	if !sameSpeed(a, b, o.RefineAgree) || !sameSpeed(a, *p, o.RefineReach) {
		return false
	}
	p.Speed, p.SD = (a.Speed+b.Speed)/2, (a.SD+b.SD)/2
	clear[i] = (clear[i-1] + clear[i+1]) / 2
	return true
}

// again reads the points that move along the course of those around them. read
// tells which could be read the first time.
func (f *follower) again(ctx context.Context, ps []Point, x []float32, clear []float64, read []bool) {
	first := slices.Clone(ps)
	for i := 0; i < len(ps) && ctx.Err() == nil; i++ {
		p := &ps[i]
		c, ok := fitFreqPolynomial(first, i, f.order, f.o.Hop)
		if !ok || math.Abs(c.chirpRate) < f.o.RefineMoves {
			continue
		}
		v, ok := f.refiner.at(x, float64(p.At), p.period(), c)
		switch {
		case ok:
			p.set(v.f, v.sd, f.order)
			clear[i] = v.prominence
		case !read[i]:
			p.set(c.f, math.Hypot(c.sd, f.o.PriorSD)*c.f, f.order)
		}
	}
}

// firing gives the frequency of the firing of an engine with so many a turn, in
// hertz, were none missed.
func (p *Point) firing(order float64) float64 { return float64(p.Speed.Hz()) * order }

// period gives the firing period to look for lines of.
func (p *Point) period() int { return max(1, int(p.Fires)) }

// set sets the speed from a firing frequency and its standard deviation, in hertz.
func (p *Point) set(f, sd, order float64) {
	p.Speed, p.SD = engine.Hz(f/order).RPM(), engine.Hz(sd/order).RPM()
}

// fitFreqPolynomial fits a parabola to ln speed over the points around one, by what
// their standard deviations let each say. It reports false where there are too
// few.
func fitFreqPolynomial(ps []Point, i int, order float64, hop engine.Seconds) (freqPolynomial, bool) {
	const (
		reach  = 4     // points either side
		fewest = 5     // points in all
		leap   = 0.6   // of ln speed: a point that far off belongs to another reading
		least  = 0.005 // of a standard deviation, relative: a parabola fits no better
	)
	if !ps[i].Speed.Told() {
		return freqPolynomial{}, false
	}
	var m [3][4]float64 // normal equations of value, slope and bend
	n := 0
	for j := max(0, i-reach); j <= min(len(ps)-1, i+reach); j++ {
		if !ps[j].Speed.Told() {
			continue
		}
		y := math.Log(float64(ps[j].Speed / ps[i].Speed))
		if math.Abs(y) > leap {
			continue
		}
		n++
		t := float64(j-i) * float64(hop)
		sd := float64(ps[j].SD / ps[j].Speed)
		w := 1 / (sd*sd + least*least)
		v := [4]float64{1, t, t * t / 2, y}
		for a := range m {
			for b := range v {
				m[a][b] += w * v[a] * v[b]
			}
		}
	}
	if n < fewest {
		return freqPolynomial{}, false
	}
	sd := 1 / math.Sqrt(m[0][0])
	v := solve(m)
	return freqPolynomial{f: ps[i].firing(order) * math.Exp(v[0]), sd: sd, chirpRate: v[1], chirpAccel: v[2]}, true
}

// solve solves three symmetric equations, each with its right side last, by
// elimination. They must be positive definite.
func solve(m [3][4]float64) (x [3]float64) {
	for a := range m {
		for b := range m {
			if b == a {
				continue
			}
			k := m[b][a] / m[a][a]
			for c := range m[b] {
				m[b][c] -= k * m[a][c]
			}
		}
	}
	for a := range m {
		x[a] = m[a][3] / m[a][a]
	}
	return x
}
