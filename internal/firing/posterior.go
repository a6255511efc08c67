package firing

import (
	"math"

	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// distribution is a probability for each state.
type distribution [states]float64

// normalized gives the distribution scaled to the sum 1.
func (p distribution) normalized() distribution {
	var sum float64
	for _, v := range p {
		sum += v
	}
	for i := range p {
		p[i] /= sum
	}
	return p
}

// step carries a distribution one hop on: with probability flip the state changes,
// to any other alike.
func (p distribution) step(flip float64) distribution {
	for i := range p {
		p[i] = (1-flip)*p[i] + flip*(1-p[i])/(states-1)
	}
	return p
}

// times gives the product with a likelihood.
func (p distribution) times(e *evidence) distribution {
	for i := range p {
		p[i] *= math.Exp(e.state[i])
	}
	return p
}

// forwardBackward gives the posterior over the states at each point of a run.
//
// Source: Rabiner 1989.
func forwardBackward(ev []evidence, flip float64) []distribution {
	posterior := make([]distribution, len(ev))
	var forward, backward distribution
	for i := range forward {
		forward[i], backward[i] = 1.0/states, 1
	}
	for t := range ev {
		forward = forward.times(&ev[t]).normalized()
		posterior[t] = forward
		forward = forward.step(flip)
	}
	for t := len(ev) - 1; t >= 0; t-- {
		for i, v := range backward {
			posterior[t][i] *= v
		}
		posterior[t] = posterior[t].normalized()
		backward = backward.times(&ev[t]).normalized().step(flip)
	}
	return posterior
}

// probability turns the posterior of missed firings, which takes neighbouring points
// for independent and is far too sure, into a probability, 0 to 1, that means it. The
// odds of the posterior count for their root, as two such points do for one, and all
// evidence for the root of the speed, as so many revolutions do. Fitted to 240 made
// passes of every machine, tune and damage (part tune of TestMachines in measure) and
// to 130 sweeps (TestSweeps), each point with its true firing; TestMachines prints how
// it holds.
func (o Options) probability(missing float64, speed engine.RPM) float64 {
	const surest, reference = 1e-4, 10000 // a posterior that is surer means no more
	logit := math.Log((missing + surest) / (1 - missing + surest))
	return 1 / (1 + math.Exp(-math.Sqrt(float64(speed/reference))*(o.Bias+logit/2)))
}

// decide gives the firing period where a posterior is clear, 0 where it is not, and
// the probability of missed firings. What is missed in no single pattern is told as
// the pattern it is nearest to.
func (o Options) decide(p distribution, pattern shaft.Firing, speed engine.RPM) (shaft.Firing, float64) {
	var missing float64 // posterior of missed firings in some pattern
	best := every2nd
	for n := every2nd; n <= mixed; n++ {
		missing += p[n]
		if p[n] > p[best] {
			best = n
		}
	}
	four := o.probability(missing, speed)
	switch {
	case p[every1st] >= o.Sure:
		return 1, four
	case missing < o.Sure:
		return 0, four
	case best == mixed:
		return pattern, four
	}
	return shaft.Firing(best + 1), four
}
