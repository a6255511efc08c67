package firing

import (
	"math"
	"slices"

	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// The states: firing every 1st to 4th revolution, misses in no single pattern (of
// every 2nd and 3rd by turns), and strengths without order.
const (
	every1st = iota
	every2nd
	every3rd
	every4th
	mixed
	ragged
	states
)

// lags is how many revolutions ahead a revolution is compared.
const lags = 6

// evidence is the log likelihood of each state at one point.
type evidence struct {
	state   [states]float64
	pattern shaft.Firing // that mixed misses are nearest to
}

// at gives the evidence at one revolution, from its short-time autocorrelation by
// shape and by strength, shape [lags], the coefficient of variation of the strength
// around it, and the point of the track that it is in, with its posterior over firing
// periods. The comparison lasts for so many revolutions, however slow they are: at idle
// misses in no single pattern are then those of a while, and say less of the point.
func (o Options) at(shape, strength []float64, cv float64, point shaft.Point) (e evidence) {
	weight := revolutionsIn(point.Speed)
	for n, p := range point.PeriodShare {
		e.state[n] = o.PriorWeight * math.Log(math.Max(float64(p), o.MinShare))
	}
	highest := slices.Max(e.state[:shaft.MaxPeriod])
	miss := o.Miss.At(max(strength[1], strength[2], strength[3]) - strength[0])
	best := math.Inf(-1)
	for n := 2; n <= shaft.MaxPeriod; n++ {
		e.state[n-1] += o.Shape.At(periodicity(shape, n)) + o.Strength.At(periodicity(strength, n)) + miss
		if e.state[n-1] > best {
			best, e.pattern = e.state[n-1], shaft.Firing(n)
		}
	}
	e.state[mixed] = highest + min(miss, weight*miss) - o.Penalty
	e.state[ragged] = highest + o.Ragged.At(cv) - o.Penalty
	for i := range e.state {
		e.state[i] *= weight
	}
	return e
}

// missed gives the evidence of the likeliest way to miss firings over that of the
// likelier way not to.
func (e *evidence) missed() float64 {
	return slices.Max(e.state[every2nd:ragged]) - max(e.state[every1st], e.state[ragged])
}

// revolutionsIn gives the weight, up to 1, of the evidence at one point: points are as
// far apart in time at any speed, and the slower it turns, the fewer revolutions one of
// them adds to those of the last. Without it a few ragged firings of an idle pass for
// missed ones.
func revolutionsIn(speed engine.RPM) float64 {
	const reference = 10000 // the speed that the slopes of the options are for
	return min(1, float64(speed/reference))
}

// periodicity gives how much higher an autocorrelation is, in the mean, at the lags
// that are multiples of n than at the others.
func periodicity(r []float64, n int) float64 {
	var at, between, multiples, others float64
	for k, v := range r {
		if (k+1)%n == 0 {
			at, multiples = at+v, multiples+1
		} else {
			between, others = between+v, others+1
		}
	}
	return at/multiples - between/others
}

// coefficientOfVariation gives that of the strength of the revolutions around the
// kth. strength is relative, shape [revolutions][Quarters].
func coefficientOfVariation(strength [][]float32, k, average int) float64 {
	lo, hi := max(0, k-average/2), min(len(strength), k+average/2+1)
	var sum float64
	for _, v := range strength[lo:hi] {
		sum += float64(v[0]*v[0] + v[1]*v[1] + v[2]*v[2] + v[3]*v[3])
	}
	return math.Sqrt(sum / float64((hi-lo)*Quarters))
}
