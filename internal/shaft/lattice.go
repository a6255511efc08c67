package shaft

import (
	"context"
	"math"

	"gonum.org/v1/gonum/blas/blas32"

	"topnote/internal/engine"
)

// mode is what the throttle does: a shaft that has begun to speed up goes on
// doing so for a while.
type mode int

const (
	steady mode = iota
	rising
	falling
	modes
)

// lattice is a hidden Markov model. Its states are (mode, firing period,
// frequency) and one for "no engine". Probabilities are kept in the linear
// domain and rescaled at every frame. A belief in all states has a vector, shape
// [rows], for each mode. It keeps its buffers, so it must not be used by two
// goroutines at once.
type lattice struct {
	o           Options
	index       stateIndex
	freqs       int
	prior       []float32    // over the states of the mode steady, sums to 0.5
	transitions []transition // after so many hops; 0 is not used

	sum   []float32 // by frequency
	moved stateVector
	alpha []stateVector // of each frame, from what was heard up to it
}

// stateVector is a number for every state.
type stateVector struct {
	in       [modes][]float32
	noEngine float32
}

func newLattice(o Options, sc freqGrid, r stateIndex, q engine.Machine) *lattice {
	if q.Spec != engine.TwoStrokeSingle {
		// Only a two-stroke single four-strokes; others have lines at fractions
		// of their firing because cylinders differ.
		o.Periods = o.OtherPeriods
	}
	l := &lattice{o: o, index: r, freqs: sc.n}
	l.prior = l.start(speedPrior(o, sc, q))
	l.transitions = make([]transition, o.Stride+1)
	for hops := range l.transitions[1:] {
		l.transitions[hops+1] = newTransition(o.over(hops+1), sc)
	}
	l.sum = make([]float32, l.freqs)
	l.moved = l.newStateVector()
	return l
}

func (l *lattice) newStateVector() (b stateVector) {
	for m := range b.in {
		b.in[m] = make([]float32, l.index.states())
	}
	return b
}

// forwardBackward runs forward and backward over what was heard and calls told with the
// belief in every state at each frame, the last one first, summed over modes:
// shape [firing period][frequency], and then that in "no engine". The vector is
// used again for the next frame.
//
// The model is tempered: likelihoods and the transitions of a moving throttle have
// exponents (Options.EmissionExponent, Options.TransitionExponent), so what it gives
// are scores, whose meaning docs/accuracy.md measures. evidence is the ln of the
// likelihood of all observations.
//
// Source: Rabiner 1989; Bissiri, Holmes and Walker 2016.
func (l *lattice) forwardBackward(ctx context.Context, hs []observation, told func(t int, p []float32)) (evidence float64, err error) {
	for len(l.alpha) < len(hs) {
		l.alpha = append(l.alpha, l.newStateVector())
	}
	alpha := l.alpha[:len(hs)]
	for t := range hs {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		if t == 0 {
			alpha[t].fill(0)
			copy(alpha[t].in[steady], l.prior)
			alpha[t].noEngine = 0.5
		} else {
			l.forwardStep(&alpha[t], &alpha[t-1], &l.transitions[hs[t].hopsSince])
		}
		l.restrict(&alpha[t], &hs[t])
		evidence += math.Log(float64(alpha[t].weigh(&alpha[t], &hs[t])))
	}
	beta, next := l.newStateVector(), l.newStateVector()
	beta.fill(1)
	p := make([]float32, MaxPeriod*l.freqs+1)
	for t := len(hs) - 1; t >= 0; t-- {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		l.posterior(p, &alpha[t], &beta)
		told(t, p)
		next.weigh(&beta, &hs[t])
		l.restrict(&next, &hs[t])
		l.backwardStep(&beta, &next, &l.transitions[hs[t].hopsSince])
	}
	return evidence, nil
}

// restrict rules out the states whose frequency is not within the bounds of an
// observation.
func (l *lattice) restrict(v *stateVector, h *observation) {
	if h.hi == 0 {
		return
	}
	for m := range modes {
		for n := range MaxPeriod {
			row, first := l.index.of(v.in[m], n), l.index.first[n]
			clear(row[:min(max(h.lo-first, 0), len(row))])
			clear(row[min(max(h.hi-first, 0), len(row)):])
		}
	}
}

// posterior writes the product of both, summed over modes, and scaled to sum 1.
func (l *lattice) posterior(p []float32, alpha, beta *stateVector) {
	clear(p)
	none := alpha.noEngine * beta.noEngine
	sum := none
	for m := range modes {
		for n := range MaxPeriod {
			a, b := l.index.of(alpha.in[m], n), l.index.of(beta.in[m], n)
			to := p[n*l.freqs+l.index.first[n]:][:len(a)]
			b = b[:len(a)]
			for i, v := range a {
				to[i] += v * b[i]
			}
			sum += dot32(a, b)
		}
	}
	share := 1 / sum
	for i := range p {
		p[i] *= share
	}
	p[len(p)-1] = none * share
}

// weigh writes a belief times the likelihood of what was heard, so that it sums
// to 1 and each of it is least or more.
func (b *stateVector) weigh(src *stateVector, h *observation) (sum float32) {
	sum = src.noEngine * h.noEngine
	for m, p := range src.in {
		sum += dot32(p, h.of(mode(m)))
	}
	share := 1 / max(sum, probFloor)
	for m, dst := range b.in {
		from, lik := src.in[m][:len(dst)], h.of(mode(m))[:len(dst)]
		for i, v := range from {
			dst[i] = v*lik[i]*share + probFloor
		}
	}
	b.noEngine = src.noEngine*h.noEngine*share + probFloor
	return sum
}

func (b *stateVector) fill(v float32) {
	for _, p := range b.in {
		for i := range p {
			p[i] = v
		}
	}
	b.noEngine = v
}

// start is the distribution over the states of the mode steady at the start of
// the clip, when there is an engine.
func (l *lattice) start(speeds []float64) []float32 {
	p := make([]float32, l.index.states())
	for n := range MaxPeriod {
		for i := range l.index.of(p, n) {
			l.index.of(p, n)[i] = float32(0.5 * l.o.Periods[n] * speeds[l.index.first[n]+i])
		}
	}
	return p
}

// speedPrior says how likely each frequency is before anything is heard. What
// the user entered moves it; nothing is ruled out.
func speedPrior(o Options, sc freqGrid, q engine.Machine) []float64 {
	idle, top := o.IdleAt, o.TopAt
	if q.Limits.Idle.Told() {
		idle = q.Limits.Idle
	}
	if q.Limits.Max.Told() {
		top = q.Limits.Max * 0.95
	}
	bump := func(x, at float64, sd float64) float64 {
		return math.Exp(-0.5*(x-at)*(x-at)/(sd*sd)) / (sd * math.Sqrt(2*math.Pi))
	}
	span := math.Log(sc.at(float64(sc.n)) / sc.low)
	p := make([]float64, sc.n)
	var z float64
	for i := range p {
		x := math.Log(sc.at(float64(i)))
		at := func(v engine.RPM) float64 { return math.Log(float64(v.Hz()) * q.Spec.FiringOrder()) }
		p[i] = o.IdleShare*bump(x, at(idle), o.IdleSpread) + o.TopShare*bump(x, at(top), o.TopSpread) + (1-o.IdleShare-o.TopShare)/span
		z += p[i]
	}
	for i := range p {
		p[i] /= z
	}
	return p
}

// forwardStep carries the belief src one frame forward into dst.
func (l *lattice) forwardStep(dst, src *stateVector, c *transition) {
	l.firingTransition(&l.moved, src, &c.stay, &c.leave, &c.enter)
	s, r, f := l.moved.in[steady], l.moved.in[rising], l.moved.in[falling]
	r, f = r[:len(s)], f[:len(s)]
	for i, a := range s {
		up, down := r[i], f[i]
		s[i] = c.held*a + c.rests*(up+down)
		r[i] = c.moves*up + c.opens*(a+down)
		f[i] = c.moves*down + c.opens*(a+up)
	}
	for m := range modes {
		for n := range MaxPeriod {
			c.kernels[m].forward(l.index.of(dst.in[m], n), l.index.of(l.moved.in[m], n))
		}
	}
	axpy(2*c.starts*src.noEngine, l.prior, dst.in[steady])
	dst.noEngine = (1-c.starts)*src.noEngine + c.stops*(1-src.noEngine)
}

// backwardStep carries src, the likelihood of all that follows, one frame backward.
func (l *lattice) backwardStep(dst, src *stateVector, c *transition) {
	begins := 2 * dot32(l.prior, src.in[steady])
	for m := range modes {
		for n := range MaxPeriod {
			c.kernels[m].backward(l.index.of(l.moved.in[m], n), l.index.of(src.in[m], n))
		}
	}
	s, r, f := l.moved.in[steady], l.moved.in[rising], l.moved.in[falling]
	r, f = r[:len(s)], f[:len(s)]
	for i, a := range s {
		up, down := r[i], f[i]
		s[i] = c.held*a + c.opens*(up+down)
		r[i] = c.moves*up + c.rests*a + c.opens*down
		f[i] = c.moves*down + c.rests*a + c.opens*up
	}
	l.firingTransition(dst, &l.moved, &c.stay, &c.enter, &c.leave)
	stops := c.stops * src.noEngine
	for _, p := range dst.in {
		for i := range p {
			p[i] += stops
		}
	}
	dst.noEngine = (1-c.starts)*src.noEngine + c.starts*begins
}

// firingTransition lets the firing period change, and the engine go on. What leaves a
// period is shared out by what others take in, so one sum serves all of them.
func (l *lattice) firingTransition(dst, src *stateVector, kept, out, in *[MaxPeriod]float32) {
	for m := range modes {
		sum := l.sum
		clear(sum)
		for n := range MaxPeriod {
			axpy(out[n], l.index.of(src.in[m], n), sum[l.index.first[n]:])
		}
		for n := range MaxPeriod {
			from, to := l.index.of(src.in[m], n), l.index.of(dst.in[m], n)
			shared := sum[l.index.first[n]:][:len(from)]
			to = to[:len(from)]
			stay, share := kept[n], in[n]
			for i, v := range from {
				to[i] = stay*v + share*shared[i]
			}
		}
	}
}

// dot32 gives the sum of the products of as many elements.
func dot32(x, y []float32) float32 {
	return blas32.Dot(blas32.Vector{N: len(x), Inc: 1, Data: x}, blas32.Vector{N: len(x), Inc: 1, Data: y})
}

// axpy adds a times x to as many elements of y.
func axpy(a float32, x, y []float32) {
	if len(x) > 0 {
		blas32.Axpy(a, blas32.Vector{N: len(x), Inc: 1, Data: x}, blas32.Vector{N: len(x), Inc: 1, Data: y})
	}
}

// scal multiplies by a.
func scal(a float32, x []float32) {
	blas32.Scal(a, blas32.Vector{N: len(x), Inc: 1, Data: x})
}
