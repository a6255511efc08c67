package firing

import (
	"math"

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
// for independent and is too sure, into a probability, 0 to 1, that means it: its odds
// count for their root, as two such points do for one. Nothing of it is fitted;
// TestMachines of measure prints how it holds.
func probability(missing float64) float64 {
	const surest = 1e-4 // a posterior that is surer means no more
	logit := math.Log((missing + surest) / (1 - missing + surest))
	return 1 / (1 + math.Exp(-logit/2))
}

// hardly is the probability under which firings are taken not to be missed in a pattern,
// though they are no more even for that: what an interval of two standard deviations
// leaves out.
const hardly = 0.05

// decide gives the firing period where a posterior is clear, 0 where it is not, and
// the probability of missed firings. What is missed in no single pattern is told as
// the pattern it is nearest to.
func (o Options) decide(p distribution, pattern shaft.Firing) (shaft.Firing, float64) {
	var missing float64 // posterior of missed firings in some pattern
	best := every2nd
	for n := every2nd; n <= mixed; n++ {
		missing += p[n]
		if p[n] > p[best] {
			best = n
		}
	}
	four := probability(missing)
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
