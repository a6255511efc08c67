package shaft

import (
	"math"

	"topnote/internal/engine"
)

// statePrior gives the distribution over the states of the mode steady at the start
// of a block: with probability a half there is an engine.
func statePrior(o Options, grid freqGrid, index *stateIndex, known engine.Machine) []float32 {
	speeds := speedPrior(o.Prior, grid, known)
	p := make([]float32, index.states())
	for n := range MaxPeriod {
		for i := range index.row(p, n) {
			index.row(p, n)[i] = float32(0.5 * o.Prior.Periods[n] * speeds[index.first[n]+i])
		}
	}
	return p
}

// speedPrior gives the prior probability of each frequency of the grid. What the user
// entered moves it; nothing is ruled out.
func speedPrior(o PriorOptions, grid freqGrid, known engine.Machine) []float64 {
	const underLimit = 0.95 // of the limit: where a top is expected
	idle, top := o.IdleAt, o.TopAt
	if known.Limits.Idle.Told() {
		idle = known.Limits.Idle
	}
	if known.Limits.Max.Told() {
		top = known.Limits.Max * underLimit
	}
	logFreq := func(v engine.RPM) float64 { return math.Log(float64(v.Hz()) * known.Spec.FiringOrder()) }
	atIdle, atTop := logFreq(idle), logFreq(top)
	span := math.Log(grid.freq(float64(grid.n)) / grid.low)
	p := make([]float64, grid.n)
	var sum float64
	for i := range p {
		x := math.Log(grid.freq(float64(i)))
		p[i] = o.IdleShare*normalDensity(x, atIdle, o.IdleSD) + o.TopShare*normalDensity(x, atTop, o.TopSD) + (1-o.IdleShare-o.TopShare)/span
		sum += p[i]
	}
	for i := range p {
		p[i] /= sum
	}
	return p
}

func normalDensity(x, mean, sd float64) float64 {
	return math.Exp(-0.5*(x-mean)*(x-mean)/(sd*sd)) / (sd * math.Sqrt(2*math.Pi))
}
