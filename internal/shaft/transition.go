package shaft

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// transition holds the weights of one state following another, from one frame to the
// next.
type transition struct {
	kernels [modes]kernel // of the change of frequency

	// Between modes: a held throttle stays held or begins to move, each way; a moving
	// one settles or goes on.
	held, opens, settles, moves float32

	starts, stops float32 // of the engine

	// Between firing periods: the weight of keeping one, what each gives up of its
	// probability, and its share of what all give up.
	stay, leave, enter [MaxPeriod]float32
}

// maxSlew is the fastest change of ln speed that a shaft can make, 1/s.
const maxSlew = 8

// kernel is the weight of a change of frequency by first, first+1, ... points of the
// grid.
type kernel struct {
	first   int
	weights []float32
	uniform bool // all weights are the same
}

// over gives the options with the transitions of so many hops as if they were one.
func (o Options) over(hops int) Options {
	n := float64(hops)
	for _, p := range []*float64{&o.Transition.Open, &o.Transition.Settle, &o.Transition.Flip, &o.Transition.Start, &o.Transition.Stop} {
		*p = 1 - math.Pow(1-*p, n)
	}
	o.Transition.SteadySD *= math.Sqrt(n)
	o.Hop *= engine.Seconds(n)
	return o
}

// newTransition gives the transition of one hop, with the prior of each firing period.
func newTransition(o Options, grid freqGrid, periods [MaxPeriod]float64) (c transition) {
	t := o.Transition
	step := math.Ln2 / grid.perOctave
	c.kernels[steady] = gaussianKernel(t.SteadySD / step)
	up := int(math.Round(t.MaxRise * float64(o.Hop) / step))
	down := int(math.Round(t.MaxFall * float64(o.Hop) / step))
	c.kernels[rising] = uniformKernel(0, up, t.Exponent)
	c.kernels[falling] = uniformKernel(-down, 0, t.Exponent)
	c.held, c.opens = float32(1-2*t.Open), float32(t.Open)
	c.settles, c.moves = float32(t.Settle), float32(1-t.Settle-t.Open)
	c.starts, c.stops = float32(t.Start), float32(t.Stop)
	for n, p := range periods {
		goes := 1 - t.Stop
		c.stay[n] = float32(goes * (1 - t.Flip - t.Flip*p/(1-p)))
		c.leave[n] = float32(goes / (1 - p))
		c.enter[n] = float32(t.Flip * p)
	}
	return c
}

// gaussianKernel gives the kernel of a held throttle, with a standard deviation in
// points of the grid.
func gaussianKernel(sd float64) kernel {
	half := int(math.Ceil(3 * sd))
	k := kernel{first: -half, weights: make([]float32, 2*half+1)}
	var sum float64
	for i := range k.weights {
		x := float64(k.first+i) / sd
		k.weights[i] = float32(math.Exp(-x * x / 2))
		sum += float64(k.weights[i])
	}
	for i := range k.weights {
		k.weights[i] /= float32(sum)
	}
	return k
}

// uniformKernel gives the kernel of a moving throttle. A hand opens it slowly or at
// once, so any rate is as likely. Were slow rates likelier, the whole of a fast rise
// would have less weight than a slow rise to half the speed, and blurred rises would
// end there. The weights add up to 1 with an exponent of 1 only; see
// TransitionOptions.
func uniformKernel(first, last int, exponent float64) kernel {
	n := last - first + 1
	k := kernel{first: first, weights: make([]float32, n), uniform: true}
	for i := range k.weights {
		k.weights[i] = float32(math.Pow(float64(n), -exponent))
	}
	return k
}

// forward spreads src over the frequencies that follow.
func (k kernel) forward(dst, src []float32) { k.gather(dst, src, -k.first-len(k.weights)+1, true) }

// backward gathers src from the frequencies that follow.
func (k kernel) backward(dst, src []float32) { k.gather(dst, src, k.first, false) }

// gather writes to each element i of dst the weighted sum of the elements of src from
// i+from on, with the weights in reverse order for the forward step.
func (k kernel) gather(dst, src []float32, from int, reversed bool) {
	if k.uniform {
		runningSum(dst, src, from, len(k.weights), k.weights[0])
		return
	}
	clear(dst)
	for j, c := range k.weights {
		if reversed {
			c = k.weights[len(k.weights)-1-j]
		}
		d := from + j
		if lo, hi := max(0, -d), min(len(dst), len(src)-d); lo < hi {
			dsp.Axpy32(c, src[lo+d:hi+d], dst[lo:])
		}
	}
}

// runningSum writes to each element i of dst the sum of the elements of src from
// i+from on, n of them, times c. Both have the same length.
func runningSum(dst, src []float32, from, n int, c float32) {
	enter, leave := from+n-1, from-1 // of element 0
	inside := func(i int) int { return min(max(i, 0), len(src)) }
	var sum float64
	for _, v := range src[inside(leave):inside(enter)] {
		sum += float64(v)
	}
	for lo := 0; lo < len(dst); { // in parts in which both ends stay inside, or outside
		hi := len(dst)
		for _, end := range [...]int{-enter, len(src) - enter, -leave, len(src) - leave} {
			if end > lo {
				hi = min(hi, end)
			}
		}
		to := dst[lo:hi]
		var in, out []float32
		if j := lo + enter; uint(j) < uint(len(src)) {
			in = src[j:][:len(to)]
		}
		if j := lo + leave; uint(j) < uint(len(src)) {
			out = src[j:][:len(to)]
		}
		sum = slideSum(to, in, out, sum, c)
		lo = hi
	}
}

// slideSum moves a running sum on: it adds each element of in and subtracts that of
// out, nil for none, and writes the sum, which is never under 0, times c. Nothing waits
// for more than one addition.
func slideSum(dst, in, out []float32, sum float64, c float32) float64 {
	switch {
	case len(in) > 0 && len(out) > 0:
		for i := range dst {
			sum += float64(in[i]) - float64(out[i])
			dst[i] = c * float32((sum+math.Abs(sum))/2)
		}
	case len(in) > 0:
		for i := range dst {
			sum += float64(in[i])
			dst[i] = c * float32(sum)
		}
	default:
		for i := range dst {
			if i < len(out) {
				sum -= float64(out[i])
			}
			dst[i] = c * float32((sum+math.Abs(sum))/2)
		}
	}
	return sum
}
