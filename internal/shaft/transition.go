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
	k := kernel{first: first, weights: make([]float32, n)}
	for i := range k.weights {
		k.weights[i] = float32(math.Pow(float64(n), -exponent))
	}
	return k
}

// from gives the element of src that the first of those which go into element 0 of dst is,
// as spread gathers them forward or backward in time.
func (k *kernel) from(forward bool) int {
	if forward {
		return -k.first - len(k.weights) + 1
	}
	return k.first
}

// reach gives how far outside of a row the kernel reaches.
func (k *kernel) reach() int { return max(k.first, -k.first) + len(k.weights) }

// spread writes to each element of dst the weighted sum of those of src that its frequency
// comes from, forward in time, or goes to, backward.
func (l *lattice) spread(c *transition, dst, src *stateVector, forward bool) {
	for n := range MaxPeriod {
		row := l.index.row(dst.in[steady], n)
		weights := c.kernels[steady].weights // even: the same in reverse order
		dsp.Correlate32(row, l.padded[steady].at(l.index.row(src.in[steady], n), c.kernels[steady].from(forward)), weights)
		var s [modes]dsp.Sliding
		for _, m := range [...]mode{rising, falling} {
			k := &c.kernels[m]
			from := k.from(forward)
			x := l.padded[m].at(l.index.row(src.in[m], n), from-1)
			s[m] = newSlidingSum(l.index.row(dst.in[m], n), x, 1-from, len(k.weights), k.weights[0])
		}
		dsp.Slide(&s[rising], &s[falling])
	}
}

// paddedRow is a row between zeros.
type paddedRow struct {
	x    []float32
	zero int // elements on either side
	used int
}

// at gives the row, with zeros before and after it, from some element of it on, which may
// be one before it.
func (p *paddedRow) at(row []float32, from int) []float32 {
	copy(p.x[p.zero:], row)
	if n := len(row); n < p.used {
		clear(p.x[p.zero+n : p.zero+p.used])
	}
	p.used = len(row)
	return p.x[p.zero+from:]
}

// newSlidingSum gives the sums of n elements of x each, the first without element 0. The
// first zeros elements are 0.
func newSlidingSum(dst, x []float32, zeros, n int, c float32) dsp.Sliding {
	s := dsp.Sliding{Dst: dst, In: x[n:][:len(dst)], Out: x[:len(dst)], By: c}
	for _, v := range x[min(max(zeros, 0), n):n] {
		s.Sum += float64(v)
	}
	return s
}
