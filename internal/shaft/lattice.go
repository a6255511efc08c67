package shaft

import "math"

// lattice is a hidden Markov model over (firing period, frequency) and one
// state for "no engine". Probabilities are kept in the linear domain and
// rescaled at every frame.
type lattice struct {
	o      Options
	nf     int
	kernel []float64 // chance of a change of frequency by -half..half steps
	half   int
}

func newLattice(o Options, nf int) *lattice {
	step := math.Ln2 / float64(o.PerOctave)
	half := int(math.Round(0.13 / step))
	k := make([]float64, 2*half+1)
	var gs, ls float64
	g := func(d float64) float64 { return math.Exp(-d * d / (2 * o.SteadySD * o.SteadySD)) }
	l := func(d float64) float64 { return math.Exp(-math.Abs(d) / o.SweepScale) }
	for i := range k {
		d := float64(i-half) * step
		gs += g(d)
		ls += l(d)
	}
	for i := range k {
		d := float64(i-half) * step
		k[i] = (1-o.SweepShare)*g(d)/gs + o.SweepShare*l(d)/ls
	}
	return &lattice{o: o, nf: nf, kernel: k, half: half}
}

// states gives the number of states: four periods by nf frequencies, then none.
func (l *lattice) states() int { return maxPeriod*l.nf + 1 }

// smoothed runs forward and backward over the evidence, shape [frames][states]
// in natural-log units, and gives the posterior of each state, same shape.
func (l *lattice) smoothed(ev [][]float32) [][]float32 {
	T, S := len(ev), l.states()
	alpha := make([][]float32, T)
	cur, next, lik := make([]float64, S), make([]float64, S), make([]float64, S)
	prior := l.prior()
	for t := range T {
		if t == 0 {
			copy(next, prior)
		} else {
			l.step(next, cur, prior)
		}
		likelihood(lik, ev[t])
		for s := range next {
			next[s] *= lik[s]
		}
		normalise(next)
		cur, next = next, cur
		alpha[t] = make([]float32, S)
		for s, v := range cur {
			alpha[t][s] = float32(v)
		}
	}
	beta := make([]float64, S)
	for s := range beta {
		beta[s] = 1
	}
	tmp := make([]float64, S)
	for t := T - 1; t >= 0; t-- {
		var z float64
		for s := range beta {
			tmp[s] = beta[s] * float64(alpha[t][s])
			z += tmp[s]
		}
		for s := range beta {
			alpha[t][s] = float32(tmp[s] / z)
		}
		likelihood(lik, ev[t])
		for s := range tmp {
			tmp[s] = beta[s] * lik[s]
		}
		l.back(beta, tmp, prior)
		normalise(beta)
	}
	return alpha
}

// prior is the distribution over states when an engine begins to be heard,
// none included at its end.
func (l *lattice) prior() []float64 {
	p := make([]float64, l.states())
	for n := range maxPeriod {
		for i := range l.nf {
			p[n*l.nf+i] = 0.5 * l.o.Periods[n] / float64(l.nf)
		}
	}
	p[len(p)-1] = 0.5
	return p
}

// flips gives the chance of period m after period n.
func (l *lattice) flips(n, m int) float64 {
	if n == m {
		return 1 - l.o.Flip
	}
	return l.o.Flip * l.o.Periods[m] / (1 - l.o.Periods[n])
}

func (l *lattice) step(dst, src, prior []float64) {
	none := len(src) - 1
	mixed := make([]float64, l.nf)
	for m := range maxPeriod {
		for i := range mixed {
			mixed[i] = 0
		}
		for n := range maxPeriod {
			w := l.flips(n, m)
			for i, v := range src[n*l.nf : (n+1)*l.nf] {
				mixed[i] += w * v
			}
		}
		l.move(dst[m*l.nf:(m+1)*l.nf], mixed)
	}
	on := l.o.Start * src[none]
	var engine float64
	for i := range none {
		engine += src[i]
		dst[i] = (1-l.o.Stop)*dst[i] + on*2*prior[i]
	}
	dst[none] = (1-l.o.Start)*src[none] + l.o.Stop*engine
}

func (l *lattice) back(dst, src, prior []float64) {
	none := len(src) - 1
	var on float64
	for i := range none {
		on += 2 * prior[i] * src[i]
	}
	moved := make([]float64, none)
	for m := range maxPeriod {
		l.move(moved[m*l.nf:(m+1)*l.nf], src[m*l.nf:(m+1)*l.nf])
	}
	for n := range maxPeriod {
		for i := range l.nf {
			var v float64
			for m := range maxPeriod {
				v += l.flips(n, m) * moved[m*l.nf+i]
			}
			dst[n*l.nf+i] = (1-l.o.Stop)*v + l.o.Stop*src[none]
		}
	}
	dst[none] = (1-l.o.Start)*src[none] + l.o.Start*on
}

// move spreads src over neighbouring frequencies by the kernel.
func (l *lattice) move(dst, src []float64) {
	for i := range dst {
		lo, hi := max(0, i-l.half), min(len(src), i+l.half+1)
		k := l.kernel[lo-i+l.half:]
		var v float64
		for j, s := range src[lo:hi] {
			v += k[j] * s
		}
		dst[i] = v
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
