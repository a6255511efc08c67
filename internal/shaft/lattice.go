package shaft

import (
	"math"

	"topnote/internal/unit"
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
// frequency) and, last, one for "no engine". Probabilities are kept in the
// linear domain and rescaled at every frame.
type lattice struct {
	o       Options
	nf      int
	kernels [modes]kernel
	speeds  []float64 // prior over frequencies, sums to 1
	mixed   [maxPeriod][]float64
	moved   []float64
}

// kernel is the chance of a change of frequency by first, first+1, ... steps
// of the grid from one frame to the next.
type kernel struct {
	first  int
	chance []float64
}

func newLattice(o Options, sc scale, q Query) *lattice {
	if q.Engine != unit.TwoStrokeSingle {
		// Only a two-stroke single four-strokes; others have lines at fractions
		// of their firing because cylinders differ.
		o.Periods = o.OtherPeriods
	}
	l := &lattice{o: o, nf: sc.n, speeds: speedPrior(o, sc, q)}
	step := math.Ln2 / sc.per
	reach := int(math.Round(o.FastestSweep * float64(o.Hop) / step))
	narrow := int(math.Ceil(3 * o.SteadySD / step))
	l.kernels[steady] = newKernel(-narrow, narrow, func(d float64) float64 {
		x := d * step / o.SteadySD
		return math.Exp(-x * x / 2)
	})
	// A hand opens the throttle slowly or at once: any rate is as likely. Were
	// slow ones likelier, the whole of a fast rise would weigh more than that of
	// a slow one to half the speed, and blurred rises would end there.
	same := func(float64) float64 { return 1 }
	l.kernels[rising] = newKernel(0, reach, same)
	l.kernels[falling] = newKernel(-reach, 0, same)
	for n := range l.mixed {
		l.mixed[n] = make([]float64, l.nf)
	}
	l.moved = make([]float64, l.states())
	return l
}

func newKernel(first, last int, weight func(float64) float64) kernel {
	k := kernel{first: first, chance: make([]float64, last-first+1)}
	var z float64
	for i := range k.chance {
		k.chance[i] = weight(float64(first + i))
		z += k.chance[i]
	}
	for i := range k.chance {
		k.chance[i] /= z
	}
	return k
}

// states gives the number of states.
func (l *lattice) states() int { return int(modes)*maxPeriod*l.nf + 1 }

// row gives the states of one mode and period out of a vector of all.
func (l *lattice) row(p []float64, m mode, n int) []float64 {
	at := (int(m)*maxPeriod + n) * l.nf
	return p[at : at+l.nf]
}

// smoothed runs forward and backward over the evidence, shape [frames][states]
// in natural-log units, and gives the posterior of each state, same shape. The
// evidence is overwritten by it.
func (l *lattice) smoothed(ev [][]float32) [][]float32 {
	s := l.states()
	alpha := make([][]float32, len(ev))
	cur, next, lik := make([]float64, s), make([]float64, s), make([]float64, s)
	prior := l.prior()
	copy(next, prior)
	for t := range ev {
		if t > 0 {
			l.step(next, cur, prior)
		}
		likelihood(lik, ev[t])
		for i := range next {
			next[i] *= lik[i]
		}
		normalise(next)
		cur, next = next, cur
		alpha[t] = make([]float32, s)
		for i, v := range cur {
			alpha[t][i] = float32(v)
		}
	}
	beta, tmp := make([]float64, s), make([]float64, s)
	for i := range beta {
		beta[i] = 1
	}
	for t := len(ev) - 1; t >= 0; t-- {
		for i := range beta {
			tmp[i] = beta[i] * float64(alpha[t][i])
		}
		normalise(tmp)
		for i, v := range tmp {
			alpha[t][i] = float32(v)
		}
		likelihood(lik, ev[t])
		for i := range tmp {
			tmp[i] = beta[i] * lik[i]
		}
		l.back(beta, tmp, prior)
		normalise(beta)
	}
	return alpha
}

// prior is the distribution over states at the start of the clip.
func (l *lattice) prior() []float64 {
	p := make([]float64, l.states())
	for n := range maxPeriod {
		for i, v := range l.speeds {
			l.row(p, steady, n)[i] = 0.5 * l.o.Periods[n] * v
		}
	}
	p[len(p)-1] = 0.5
	return p
}

// speedPrior says how likely each frequency is before anything is heard. What
// the user entered moves it; nothing is ruled out.
func speedPrior(o Options, sc scale, q Query) []float64 {
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
		at := func(v unit.RPM) float64 { return math.Log(float64(v.Hz()) * q.Engine.FiringOrder()) }
		p[i] = o.IdleShare*bump(x, at(idle), o.IdleSpread) + o.TopShare*bump(x, at(top), o.TopSpread) + (1-o.IdleShare-o.TopShare)/span
		z += p[i]
	}
	for i := range p {
		p[i] /= z
	}
	return p
}

// flip gives the chance of period m after period n.
func (l *lattice) flip(n, m int) float64 {
	if n == m {
		return 1 - l.o.Flip
	}
	return l.o.Flip * l.o.Periods[m] / (1 - l.o.Periods[n])
}

// turn gives the chance of mode b after mode a.
func (l *lattice) turn(a, b mode) float64 {
	switch {
	case a == steady && b == steady:
		return 1 - 2*l.o.Open
	case a == steady:
		return l.o.Open
	case a == b:
		return 1 - l.o.Hold - l.o.Open
	case b == steady:
		return l.o.Hold
	}
	return l.o.Open
}

// step carries the belief src one frame forward into dst.
func (l *lattice) step(dst, src, prior []float64) {
	none := len(src) - 1
	var engine float64
	for _, v := range src[:none] {
		engine += v
	}
	for b := range modes {
		for n := range maxPeriod {
			mix := l.mixed[n]
			clear(mix)
			for a := range modes {
				w := l.turn(a, b)
				for i, v := range l.row(src, a, n) {
					mix[i] += w * v
				}
			}
		}
		for m := range maxPeriod {
			flipped := l.row(l.moved, b, m)
			clear(flipped)
			for n := range maxPeriod {
				w := l.flip(n, m)
				for i, v := range l.mixed[n] {
					flipped[i] += w * v
				}
			}
			l.kernels[b].forward(l.row(dst, b, m), flipped)
		}
	}
	on := 2 * l.o.Start * src[none]
	for i := range none {
		dst[i] = (1-l.o.Stop)*dst[i] + on*prior[i]
	}
	dst[none] = (1-l.o.Start)*src[none] + l.o.Stop*engine
}

// back carries src, the likelihood of all that follows, one frame backward.
func (l *lattice) back(dst, src, prior []float64) {
	none := len(src) - 1
	var on float64
	for i, v := range src[:none] {
		on += 2 * prior[i] * v
	}
	off := l.o.Stop * src[none]
	for b := range modes {
		for m := range maxPeriod {
			l.kernels[b].backward(l.row(l.moved, b, m), l.row(src, b, m))
		}
	}
	for a := range modes {
		for m := range maxPeriod {
			mix := l.mixed[m]
			clear(mix)
			for b := range modes {
				w := l.turn(a, b)
				for i, v := range l.row(l.moved, b, m) {
					mix[i] += w * v
				}
			}
		}
		for n := range maxPeriod {
			out := l.row(dst, a, n)
			for i := range out {
				out[i] = off
			}
			for m := range maxPeriod {
				w := l.flip(n, m) * (1 - l.o.Stop)
				for i, v := range l.mixed[m] {
					out[i] += w * v
				}
			}
		}
	}
	dst[none] = (1-l.o.Start)*src[none] + l.o.Start*on
}

// forward spreads src over the frequencies it may change to.
func (k kernel) forward(dst, src []float64) {
	clear(dst)
	for j, c := range k.chance {
		d := k.first + j
		lo, hi := max(0, -d), min(len(src), len(src)-d)
		for i := lo; i < hi; i++ {
			dst[i+d] += c * src[i]
		}
	}
}

// backward gathers src from the frequencies that each may change to.
func (k kernel) backward(dst, src []float64) {
	clear(dst)
	for j, c := range k.chance {
		d := k.first + j
		lo, hi := max(0, -d), min(len(src), len(src)-d)
		for i := lo; i < hi; i++ {
			dst[i] += c * src[i+d]
		}
	}
}

func likelihood(dst []float64, ev []float32) {
	top := ev[0]
	for _, v := range ev {
		top = max(top, v)
	}
	for i, v := range ev {
		dst[i] = math.Exp(float64(v - top))
	}
}

func normalise(p []float64) {
	var z float64
	for _, v := range p {
		z += v
	}
	if z <= 0 {
		z = 1
	}
	for i := range p {
		p[i] /= z
	}
}
