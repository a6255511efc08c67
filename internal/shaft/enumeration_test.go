package shaft

import (
	"math"
	"math/rand/v2"
	"testing"
)

// chance gives the probability of a state after another, worked out from what
// the fields of Options say and not from the code that runs. States are counted
// mode after mode; the last is the one without an engine.
func (l *lattice) chance(from, to int) float64 {
	none := l.all() - 1
	switch {
	case from == none && to == none:
		return 1 - l.o.Transition.Start
	case from == none:
		return l.o.Transition.Start * 2 * l.begin(to)
	case to == none:
		return l.o.Transition.Stop
	}
	split := func(s int) (m mode, n, i int) {
		return mode(s / (MaxPeriod * l.freqs)), s / l.freqs % MaxPeriod, s % l.freqs
	}
	a, n, i := split(from)
	b, m, j := split(to)
	d := j - i - l.transitions[1].kernels[b].first
	if d < 0 || d >= len(l.transitions[1].kernels[b].weights) {
		return 0
	}
	return (1 - l.o.Transition.Stop) * l.o.turn(a, b) * l.o.flip(n, m) * float64(l.transitions[1].kernels[b].weights[d])
}

// all gives the number of states of a lattice whose rows are whole.
func (l *lattice) all() int { return int(modes)*MaxPeriod*l.freqs + 1 }

// begin gives the probability of a state at the start.
func (l *lattice) begin(s int) float64 {
	switch {
	case s == l.all()-1:
		return 0.5
	case s < len(l.prior):
		return float64(l.prior[s])
	}
	return 0
}

// drawEvidence draws log-likelihoods for every state of a lattice in so many frames;
// likelihoods holds the same as probabilities, in the order of chance.
func (l *lattice) drawEvidence(frames int) (hs []observation, likelihoods [][]float64) {
	const noEngine = -1 // log-likelihood of the state without an engine
	r := rand.New(rand.NewPCG(1, 1))
	hs, likelihoods = make([]observation, frames), make([][]float64, frames)
	for k := range hs {
		h := &hs[k]
		h.hopsSince = 1
		for _, p := range []*[]float32{&h.logLikelihood, &h.sweepLogLikelihood[rising], &h.sweepLogLikelihood[falling]} {
			*p = make([]float32, l.index.states())
			for i := range *p {
				(*p)[i] = float32(2 * r.NormFloat64())
				likelihoods[k] = append(likelihoods[k], math.Exp(float64((*p)[i])))
			}
		}
		likelihoods[k] = append(likelihoods[k], math.Exp(noEngine))
		h.toLikelihood(1, noEngine)
	}
	return hs, likelihoods
}

// addUpPaths gives the joint probability of the evidence with each state in each of
// three frames, by adding up every path through them.
func (l *lattice) addUpPaths(likelihoods [][]float64) (joint [3][]float64, all float64) {
	s := l.all()
	for k := range joint {
		joint[k] = make([]float64, s)
	}
	for a := range s {
		for b := range s {
			ab := l.begin(a) * likelihoods[0][a] * l.chance(a, b) * likelihoods[1][b]
			for c := range s {
				p := ab * l.chance(b, c) * likelihoods[2][c]
				joint[0][a] += p
				joint[1][b] += p
				joint[2][c] += p
				all += p
			}
		}
	}
	return joint, all
}

// TestForwardBackwardAgainstEnumeration: the posterior of each state is what comes of
// adding up all paths through a lattice small enough for that.
// Source: definition of the posterior of a hidden Markov model.
func TestForwardBackwardAgainstEnumeration(t *testing.T) {
	l := tiny(2)
	frames, likelihoods := l.drawEvidence(3)
	joint, all := l.addUpPaths(likelihoods)
	l.forwardBackward(t.Context(), frames, &vectorPool{states: l.index.states()}, func(k int, p []float32) {
		one := MaxPeriod * l.freqs // states of a mode
		for i, got := range p {
			want := joint[k][l.all()-1]
			if i < one {
				want = joint[k][i] + joint[k][one+i] + joint[k][2*one+i]
			}
			if math.Abs(float64(got)-want/all) > 3e-6 {
				t.Fatalf("frame %d, state %d: %v, want %v", k, i, got, want/all)
			}
		}
	})
}
