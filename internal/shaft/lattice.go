package shaft

import (
	"context"
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// mode is what the throttle does: a shaft that has begun to speed up goes on doing
// so for a while.
type mode int

const (
	steady mode = iota
	rising
	falling
	modes
)

// lattice is a hidden Markov model. Its states are (mode, firing period, frequency)
// and one for "no engine". Probabilities are kept in the linear domain and rescaled
// at every frame. It keeps its buffers, so it must not be used by two goroutines at
// once.
//
// The model is tempered: likelihoods and the transitions of a moving throttle have
// exponents (Options.EmissionExponent, TransitionOptions.Exponent), so its posteriors
// are scores, whose meaning docs/accuracy.md measures.
//
// Source: Rabiner 1989; Bissiri, Holmes and Walker 2016.
type lattice struct {
	o           Options
	index       stateIndex
	freqs       int
	prior       []float32    // over the states of the mode steady; its sum is 0.5
	transitions []transition // by the number of hops; 0 is not used

	sum    []float32        // by frequency
	padded [modes]paddedRow // of what moves
	moved  stateVector      // between the two halves of a step
	alpha  []stateVector    // forward probabilities, of each frame
}

// stateVector is a number for every state: shape [modes][states of a mode], and one.
type stateVector struct {
	in       [modes][]float32
	noEngine float32
}

func newLattice(o Options, grid freqGrid, index stateIndex, known engine.Machine) *lattice {
	periods := o.periods(known.Spec)
	l := &lattice{o: o, index: index, freqs: grid.n, prior: statePrior(periods, grid, &index)}
	l.transitions = make([]transition, o.Stride+1)
	for hops := range l.transitions[1:] {
		l.transitions[hops+1] = newTransition(o.over(hops+1), grid, periods)
	}
	l.sum = make([]float32, l.freqs)
	for m := range l.padded {
		most := 0
		for hops := range l.transitions[1:] {
			most = max(most, l.transitions[hops+1].kernels[m].reach())
		}
		l.padded[m] = paddedRow{x: make([]float32, l.freqs+2*most), zero: most}
	}
	l.moved = l.newStateVector()
	return l
}

// periods gives the prior of each firing period, a geometric distribution. Only a
// two-stroke single four-strokes; others have lines at fractions of their firing
// frequency because cylinders differ.
func (o *Options) periods(e engine.Spec) (p [MaxPeriod]float64) {
	odds := o.Prior.MissOdds
	if e != engine.TwoStrokeSingle {
		odds = o.Prior.OtherMissOdds
	}
	for n := range p {
		p[n] = math.Pow(odds, float64(n)) * (1 - odds) / (1 - math.Pow(odds, MaxPeriod))
	}
	return p
}

func (l *lattice) newStateVector() (v stateVector) {
	for m := range v.in {
		v.in[m] = make([]float32, l.index.states())
	}
	return v
}

// forwardBackward calls do with the posterior of each frame, the last one first,
// summed over modes: shape [firing period][frequency], and then that of "no engine".
// The vector is used again for the next frame; pool has those of the forward pass.
// evidence is the log likelihood of all frames. The error is that of ctx.
func (l *lattice) forwardBackward(ctx context.Context, frames []observation, pool *vectorPool, do func(t int, p []float32)) (evidence float64, err error) {
	l.alpha = l.alpha[:0]
	for range frames {
		l.alpha = append(l.alpha, pool.stateVector())
	}
	alpha := l.alpha
	for t := range frames {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		var before *stateVector
		if t > 0 {
			before = &alpha[t-1]
		}
		evidence += l.forward(&alpha[t], before, &frames[t])
	}
	beta, next := l.newStateVector(), l.newStateVector()
	beta.fill(1)
	p := make([]float32, MaxPeriod*l.freqs+1)
	for t := len(frames) - 1; t >= 0; t-- {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		l.posterior(p, &alpha[t], &beta)
		do(t, p)
		l.backward(&beta, &next, &frames[t])
	}
	return evidence, nil
}

// forward writes the forward probabilities of a frame to alpha, from those of the
// frame before; nil: from the prior. It gives the log likelihood of the frame.
func (l *lattice) forward(alpha, before *stateVector, frame *observation) (evidence float64) {
	if before == nil {
		alpha.fill(0)
		copy(alpha.in[steady], l.prior)
		alpha.noEngine = 0.5
	} else {
		l.forwardStep(alpha, before, &l.transitions[frame.hopsSince])
	}
	l.restrict(alpha, frame)
	return math.Log(float64(alpha.setProduct(alpha, frame)))
}

// backward turns beta, the likelihoods of all frames after one, into those of that
// frame and all after it, at the frame before. work is overwritten.
func (l *lattice) backward(beta, work *stateVector, frame *observation) {
	work.setProduct(beta, frame)
	l.restrict(work, frame)
	l.backwardStep(beta, work, &l.transitions[frame.hopsSince])
}

// restrict rules out the states whose frequency is not one that the search is held to.
func (l *lattice) restrict(v *stateVector, frame *observation) {
	if frame.hi == 0 {
		return
	}
	for m := range modes {
		for n := range MaxPeriod {
			row, first := l.index.row(v.in[m], n), l.index.first[n]
			clear(row[:min(max(frame.lo-first, 0), len(row))])
			clear(row[min(max(frame.hi-first, 0), len(row)):])
		}
	}
}

// posterior writes the product of forward and backward probabilities, summed over
// modes and scaled to the sum 1.
func (l *lattice) posterior(p []float32, alpha, beta *stateVector) {
	clear(p)
	none := alpha.noEngine * beta.noEngine
	sum := none
	for m := range modes {
		for n := range MaxPeriod {
			a, b := l.index.row(alpha.in[m], n), l.index.row(beta.in[m], n)
			to := p[n*l.freqs+l.index.first[n]:][:len(a)]
			dsp.AddProducts32(to, a, b)
			sum += dsp.Dot32(a, b)
		}
	}
	scale := 1 / sum
	for i := range p {
		p[i] *= scale
	}
	p[len(p)-1] = none * scale
}

// setProduct writes src times the likelihood of a frame, scaled to the sum 1, each at
// least probFloor. It gives the sum before.
func (v *stateVector) setProduct(src *stateVector, frame *observation) (sum float32) {
	sum = src.noEngine * frame.noEngine
	for m, p := range src.in {
		sum += dsp.Dot32(p, frame.of(mode(m)))
	}
	scale := 1 / max(sum, probFloor)
	for m, dst := range v.in {
		dsp.Products32(dst, src.in[m], frame.of(mode(m)), scale, probFloor)
	}
	v.noEngine = src.noEngine*frame.noEngine*scale + probFloor
	return sum
}

func (v *stateVector) fill(x float32) {
	for _, p := range v.in {
		for i := range p {
			p[i] = x
		}
	}
	v.noEngine = x
}

// forwardStep writes to dst the probabilities src one transition later.
func (l *lattice) forwardStep(dst, src *stateVector, c *transition) {
	l.firingTransition(&l.moved, src, &c.stay, &c.leave, &c.enter)
	dsp.Mix{First: c.held, ToFirst: c.settles, Other: c.moves, FromFirst: c.opens, Across: c.opens}.Apply(
		l.moved.in[steady], l.moved.in[rising], l.moved.in[falling])
	l.spread(c, dst, &l.moved, true)
	dsp.Axpy32(2*c.starts*src.noEngine, l.prior, dst.in[steady])
	dst.noEngine = (1-c.starts)*src.noEngine + c.stops*(1-src.noEngine)
}

// backwardStep writes to dst the likelihoods src, of all frames that follow, one
// transition earlier.
func (l *lattice) backwardStep(dst, src *stateVector, c *transition) {
	begins := 2 * dsp.Dot32(l.prior, src.in[steady])
	l.spread(c, &l.moved, src, false)
	dsp.Mix{First: c.held, ToFirst: c.opens, Other: c.moves, FromFirst: c.settles, Across: c.opens}.Apply(
		l.moved.in[steady], l.moved.in[rising], l.moved.in[falling])
	l.firingTransition(dst, &l.moved, &c.stay, &c.enter, &c.leave)
	stops := c.stops * src.noEngine
	for _, p := range dst.in {
		for i := range p {
			p[i] += stops
		}
	}
	dst.noEngine = (1-c.starts)*src.noEngine + c.starts*begins
}

// firingTransition changes the firing period of an engine that goes on. Each period
// gives up a share (out) and takes a share (in) of what all give up, so that one sum
// serves all of them.
func (l *lattice) firingTransition(dst, src *stateVector, stay, out, in *[MaxPeriod]float32) {
	for m := range modes {
		sum := l.sum
		clear(sum)
		for n := range MaxPeriod {
			dsp.Axpy32(out[n], l.index.row(src.in[m], n), sum[l.index.first[n]:])
		}
		for n := range MaxPeriod {
			from, to := l.index.row(src.in[m], n), l.index.row(dst.in[m], n)
			dsp.Blend32(to, from, sum[l.index.first[n]:], stay[n], in[n])
		}
	}
}
