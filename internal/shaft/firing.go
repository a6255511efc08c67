package shaft

import (
	"math"
	"slices"
)

// FiringOptions says how the firing period is told once the speed is known: the
// sound is cut into turns, and turns are held against those 1, 2, 3 ... later.
type FiringOptions struct {
	PerTurn int           // samples a turn
	Around  int           // turns that a comparison is averaged over
	Long    int           // turns that the strength of turns is compared over: it scatters more
	Wave    ClippedLinear // evidence of a repeat in the shape of the turns
	Force   ClippedLinear // evidence of a repeat in their strength
	Miss    ClippedLinear // evidence, for every missing state, of strong turns followed by weak ones
	Ragged  ClippedLinear // evidence of turns that differ in strength without order; of a quarter turn, relative
	Lattice float64       // weight of the lattice's own belief
	Unusual float64       // charge for misses in no one pattern, and for raggedness
	Doubt   float64       // the lattice's belief is never taken for less than this
	Flip    float64       // chance in a hop that the firing changes
	Sure    float64       // belief under which the firing is not told
}

// The states that firing is told apart in: every 1st to 4th, misses in no one
// pattern (of every 2nd and 3rd by turns), and ragged.
const (
	everyTurn = iota
	every2nd
	every3rd
	every4th
	unsteady
	ragged
	firings
)

// lags are how many turns ahead a turn is compared.
const lags = 6

// classifyFiring sets the firing of every point with a speed. belief is the
// lattice's, shape [points][period].
func classifyFiring(ps []Point, x []float32, rate, order float64, belief [][maxPeriod]float64, o FiringOptions) {
	eachRun(ps, func(from, to int) {
		run := ps[from:to]
		ts := angularResample(x, rate, run, order, o.PerTurn)
		if len(ts.wave) < o.Around {
			for i := range run {
				run[i].Fires = 0
			}
			return
		}
		shape := autocorrelation(ts.synchronousResidual(o.Around), o.Around)
		force := ts.cycleRMS(o.Long)
		strength := autocorrelation(force, o.Long)
		ev := make([][firings]float64, len(run))
		kind := make([]Firing, len(run)) // of an unsteady point
		k := 0
		for i, p := range run {
			for k+1 < len(ts.start) && ts.start[k+1] <= p.At {
				k++
			}
			ev[i], kind[i] = o.logLikelihood(shape[k], strength[k], coefficientOfVariation(force, k, o.Around), belief[from+i])
		}
		post := smoothFiring(ev, o.Flip)
		for i := range run {
			run[i].Fires = decideFiring(post[i], kind[i], o.Sure)
		}
	})
}

// logLikelihood gives the evidence of each state at one turn, and the pattern that an
// unsteady engine is nearest to.
func (o FiringOptions) logLikelihood(shape, strength [lags]float64, cv float64, belief [maxPeriod]float64) (e [firings]float64, near Firing) {
	for n := range maxPeriod {
		e[n] = o.Lattice * math.Log(math.Max(belief[n], o.Doubt))
	}
	lattice := slices.Max(e[:maxPeriod])
	miss := o.Miss.of(max(strength[1], strength[2], strength[3]) - strength[0])
	best := math.Inf(-1)
	for n := 2; n <= maxPeriod; n++ {
		e[n-1] += o.Wave.of(periodicity(shape, n)) + o.Force.of(periodicity(strength, n)) + miss
		if e[n-1] > best {
			best, near = e[n-1], Firing(n)
		}
	}
	e[unsteady] = lattice + miss - o.Unusual
	e[ragged] = lattice + o.Ragged.of(cv) - o.Unusual
	return e, near
}

// periodicity gives how much more like a turn those at multiples of n are than the
// others.
func periodicity(r [lags]float64, n int) float64 {
	var in, out, ni, no float64
	for k, v := range r {
		if (k+1)%n == 0 {
			in, ni = in+v, ni+1
		} else {
			out, no = out+v, no+1
		}
	}
	return in/ni - out/no
}

func (r ClippedLinear) of(v float64) float64 { return min(max(r.Slope*(v-r.Zero), r.Low), r.High) }

// coefficientOfVariation gives the relative standard deviation of the strength of the turns
// around one.
func coefficientOfVariation(force [][]float32, k, around int) float64 {
	lo, hi := max(0, k-around/2), min(len(force), k+around/2+1)
	var s float64
	for _, v := range force[lo:hi] {
		s += dot(v, v)
	}
	return math.Sqrt(s / float64((hi-lo)*quarters))
}

func decideFiring(p [firings]float64, near Firing, sure float64) Firing {
	var four float64 // belief that turns are missed in some pattern
	best := every2nd
	for n := every2nd; n <= unsteady; n++ {
		four += p[n]
		if p[n] > p[best] {
			best = n
		}
	}
	switch {
	case p[everyTurn] >= sure:
		return 1
	case four < sure:
		return 0
	case best == unsteady:
		return near
	}
	return Firing(best + 1)
}

// smoothFiring runs forward and backward over the evidence.
func smoothFiring(ev [][firings]float64, flip float64) [][firings]float64 {
	post := make([][firings]float64, len(ev))
	step := func(p [firings]float64) [firings]float64 {
		for i := range p {
			p[i] = (1-flip)*p[i] + flip*(1-p[i])/(firings-1)
		}
		return p
	}
	norm := func(p [firings]float64) [firings]float64 {
		var z float64
		for _, v := range p {
			z += v
		}
		for i := range p {
			p[i] /= z
		}
		return p
	}
	var cur [firings]float64
	for i := range cur {
		cur[i] = 1.0 / firings
	}
	for t, e := range ev {
		for i := range cur {
			cur[i] *= math.Exp(e[i])
		}
		cur = norm(cur)
		post[t] = cur
		cur = step(cur)
	}
	var beta [firings]float64
	for i := range beta {
		beta[i] = 1
	}
	for t := len(ev) - 1; t >= 0; t-- {
		for i := range beta {
			post[t][i] *= beta[i]
		}
		post[t] = norm(post[t])
		for i := range beta {
			beta[i] *= math.Exp(ev[t][i])
		}
		beta = step(norm(beta))
	}
	return post
}
