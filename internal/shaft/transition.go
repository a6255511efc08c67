package shaft

import (
	"math"

	"topnote/internal/engine"
)

// transition is what may happen from one look to the next.
type transition struct {
	kernels                   [modes]kernel
	held, opens, rests, moves float32 // the throttle stays held, begins to move one way; once it moves, rests or goes on
	starts, stops             float32 // the engine
	// To change the firing period: the chance to keep it, what of one leaves and
	// what of all that leaves one takes in. All go on with the engine.
	stay, leave, enter [MaxPeriod]float32
}

// kernel is the chance of a change of frequency by first, first+1, ... steps
// of the grid from one frame to the next.
type kernel struct {
	first       int
	probability []float32
	uniform     bool // all chances are the same
}

// over gives the options with what may happen in a hop as it is in so many.
func (o Options) over(hops int) Options {
	n := float64(hops)
	for _, chance := range []*float64{&o.Open, &o.Hold, &o.Flip, &o.Start, &o.Stop} {
		*chance = 1 - math.Pow(1-*chance, n)
	}
	o.SteadySD *= math.Sqrt(n)
	o.Hop *= engine.Seconds(n)
	return o
}

// newTransition gives what may happen in a hop.
func newTransition(o Options, sc freqGrid) (c transition) {
	step := math.Ln2 / sc.perOctave
	c.kernels[steady] = gaussianKernel(o.SteadySD / step)
	up := int(math.Round(o.FastestRise * float64(o.Hop) / step))
	down := int(math.Round(o.FastestFall * float64(o.Hop) / step))
	c.kernels[rising] = uniformKernel(0, up, o.TransitionExponent)
	c.kernels[falling] = uniformKernel(-down, 0, o.TransitionExponent)
	c.held, c.opens = float32(1-2*o.Open), float32(o.Open)
	c.rests, c.moves = float32(o.Hold), float32(1-o.Hold-o.Open)
	c.starts, c.stops = float32(o.Start), float32(o.Stop)
	for n, p := range o.Periods {
		goes := 1 - o.Stop
		c.stay[n] = float32(goes * (1 - o.Flip - o.Flip*p/(1-p)))
		c.leave[n] = float32(goes / (1 - p))
		c.enter[n] = float32(o.Flip * p)
	}
	return c
}

// gaussianKernel makes the kernel of a throttle that is held: normal, with a standard
// deviation in steps of the grid.
func gaussianKernel(sd float64) kernel {
	narrow := int(math.Ceil(3 * sd))
	k := kernel{first: -narrow, probability: make([]float32, 2*narrow+1)}
	var z float64
	for i := range k.probability {
		x := float64(k.first+i) / sd
		k.probability[i] = float32(math.Exp(-x * x / 2))
		z += float64(k.probability[i])
	}
	for i := range k.probability {
		k.probability[i] /= float32(z)
	}
	return k
}

// uniformKernel makes the kernel of a throttle that moves. A hand opens it slowly or at
// once: any rate is as likely. Were slow ones likelier, the whole of a fast rise
// would weigh more than that of a slow one to half the speed, and blurred rises
// would end there. The chances add up to 1 at a cost of 1 only; see Options.
func uniformKernel(first, last int, cost float64) kernel {
	n := last - first + 1
	k := kernel{first: first, probability: make([]float32, n), uniform: true}
	for i := range k.probability {
		k.probability[i] = float32(math.Pow(float64(n), -cost))
	}
	return k
}

// forward spreads src over the frequencies it may change to.
func (k kernel) forward(dst, src []float32) { k.gather(dst, src, -k.first-len(k.probability)+1, true) }

// backward gathers src from the frequencies that each may change to.
func (k kernel) backward(dst, src []float32) { k.gather(dst, src, k.first, false) }

// gather writes to each element of dst the sum of src from `from` elements on,
// each times its chance, taken from the last to the first when reversed.
func (k kernel) gather(dst, src []float32, from int, reversed bool) {
	if k.uniform {
		runningSum(dst, src, from, len(k.probability), k.probability[0])
		return
	}
	clear(dst)
	for j, c := range k.probability {
		if reversed {
			c = k.probability[len(k.probability)-1-j]
		}
		d := from + j
		if lo, hi := max(0, -d), min(len(dst), len(src)-d); lo < hi {
			axpy(c, src[lo+d:hi+d], dst[lo:])
		}
	}
}

// runningSum writes to each element i of dst the sum of the elements of src
// from i+from on, n of them, times c. Both have the same length.
func runningSum(dst, src []float32, from, n int, c float32) {
	enter, leave := from+n-1, from-1 // of element 0
	inside := func(i int) int { return min(max(i, 0), len(src)) }
	var sum float64
	for _, v := range src[inside(leave):inside(enter)] {
		sum += float64(v)
	}
	for i := range dst {
		if j := i + enter; uint(j) < uint(len(src)) {
			sum += float64(src[j])
		}
		if j := i + leave; uint(j) < uint(len(src)) {
			sum -= float64(src[j])
		}
		dst[i] = c * float32(max(sum, 0))
	}
}
