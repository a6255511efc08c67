package shaft

import (
	"math"
	"math/rand/v2"
	"testing"

	"topnote/internal/unit"
)

// TestScale: fractions of a grid point are grid points. 53 steps make an
// octave, 84.003 a twelfth (53 log2 3) and 106 two octaves.
// Source: definition of the logarithm.
func TestScale(t *testing.T) {
	o := Default()
	s := newScale(o, unit.TwoStrokeSingle)
	for n, want := range map[int]int{1: 0, 2: 53, 3: 84, 4: 106} {
		if got := s.shift(n); got != want {
			t.Errorf("f to %d f is %d steps, want %d", n, got, want)
		}
		for _, i := range []float64{0, 17, 100} {
			a, b := s.at(i), s.at(i-float64(s.shift(n)))*float64(n)
			if steps := math.Abs(math.Log2(a/b)) * s.per; steps > 0.004 {
				t.Errorf("%d: %.4f steps off", n, steps)
			}
		}
	}
	for _, e := range []unit.Engine{unit.TwoStrokeSingle, {Strokes: 2, Cylinders: 2}, {Strokes: 4, Cylinders: 1}} {
		s := newScale(o, e)
		slow, fast := float64(e.FiringFrequency(o.Slowest)), float64(e.FiringFrequency(o.Fastest))
		if math.Abs(s.at(0)/slow-1) > 1e-12 || s.at(float64(s.run-1)) < fast || s.run > s.n {
			t.Errorf("%+v: the grid runs from %.2f to %.2f Hz, want %.2f to %.2f", e, s.at(0), s.at(float64(s.run-1)), slow, fast)
		}
	}
}

func TestRamp(t *testing.T) {
	r := Ramp{Zero: 3, Slope: 0.5, Low: -1, High: 2}
	for level, want := range map[float32]float32{3: 0, 5: 1, 7: 2, 100: 2, 1: -1, -100: -1} {
		if got := r.at(level); got != want {
			t.Errorf("at %v dB: %v, want %v", level, got, want)
		}
		if got := r.of(float64(level)); got != float64(want) {
			t.Errorf("of %v: %v, want %v", level, got, want)
		}
	}
}

// tiny gives a lattice of few states, with every kind of change in it.
func tiny(freqs int) *lattice {
	o := Default()
	o.FastestSweep, o.SteadySD = 20, 0.3 // reach a step of this coarse grid
	o.Open, o.Hold, o.Flip, o.Start, o.Stop = 0.1, 0.2, 0.15, 0.12, 0.07
	return newLattice(o, scale{low: 40, per: 2, n: freqs, run: freqs}, Query{Engine: unit.TwoStrokeSingle})
}

// TestChancesSumToOne: what may follow a state is certain to be one of them.
func TestChancesSumToOne(t *testing.T) {
	one := func(what string, sum float64) {
		t.Helper()
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("%s: chances sum to %v", what, sum)
		}
	}
	for _, l := range []*lattice{tiny(3), newLattice(Default(), newScale(Default(), unit.TwoStrokeSingle), Query{Engine: unit.TwoStrokeSingle, Limits: Limits{Max: 13500, Idle: 2700}})} {
		for m, k := range l.kernels {
			var s float64
			for i, c := range k.chance {
				s += c
				if d := k.first + i; (mode(m) == rising && d < 0) || (mode(m) == falling && d > 0) {
					t.Errorf("mode %d may go %d steps", m, d)
				}
			}
			one("change of frequency", s)
		}
		for a := range modes {
			one("change of mode", l.turn(a, steady)+l.turn(a, rising)+l.turn(a, falling))
		}
		for n := range maxPeriod {
			one("change of firing", l.flip(n, 0)+l.flip(n, 1)+l.flip(n, 2)+l.flip(n, 3))
		}
		var s float64
		for _, v := range l.prior() {
			s += v
		}
		one("the start", s)
	}
}

// chance gives the probability of a state after another, worked out from what
// the fields of Options say and not from the code that runs.
func (l *lattice) chance(from, to int) float64 {
	none := l.states() - 1
	prior := l.prior()
	switch {
	case from == none && to == none:
		return 1 - l.o.Start
	case from == none:
		return l.o.Start * 2 * prior[to]
	case to == none:
		return l.o.Stop
	}
	split := func(s int) (m mode, n, i int) {
		return mode(s / (maxPeriod * l.nf)), s / l.nf % maxPeriod, s % l.nf
	}
	a, n, i := split(from)
	b, m, j := split(to)
	d := j - i - l.kernels[b].first
	if d < 0 || d >= len(l.kernels[b].chance) {
		return 0
	}
	return (1 - l.o.Stop) * l.turn(a, b) * l.flip(n, m) * l.kernels[b].chance[d]
}

// TestSmoothedAgainstEnumeration: the posterior of each state is what comes of
// adding up all paths through a lattice small enough for that.
// Source: definition of the posterior of a hidden Markov model.
func TestSmoothedAgainstEnumeration(t *testing.T) {
	l := tiny(2)
	s := l.states()
	r := rand.New(rand.NewPCG(1, 1))
	const frames = 3
	ev := make([][]float32, frames)
	lik := make([][]float64, frames)
	for k := range ev {
		ev[k], lik[k] = make([]float32, s), make([]float64, s)
		for i := range ev[k] {
			ev[k][i] = float32(2 * r.NormFloat64())
			lik[k][i] = math.Exp(float64(ev[k][i]))
		}
	}
	chance := make([][]float64, s)
	for i := range chance {
		chance[i] = make([]float64, s)
		for j := range chance[i] {
			chance[i][j] = l.chance(i, j)
		}
	}
	var want [frames][]float64
	for k := range want {
		want[k] = make([]float64, s)
	}
	var all float64
	prior := l.prior()
	for a := range s {
		for b := range s {
			for c := range s {
				p := prior[a] * lik[0][a] * chance[a][b] * lik[1][b] * chance[b][c] * lik[2][c]
				want[0][a] += p
				want[1][b] += p
				want[2][c] += p
				all += p
			}
		}
	}
	got := l.smoothed(ev)
	for k := range got {
		for i, v := range got[k] {
			if math.Abs(float64(v)-want[k][i]/all) > 1e-6 {
				t.Fatalf("frame %d, state %d: %v, want %v", k, i, v, want[k][i]/all)
			}
		}
	}
}

// TestSmoothedNumbers: a long stretch of one-sided evidence neither overflows
// nor leaves numbers behind that are none.
func TestSmoothedNumbers(t *testing.T) {
	l := tiny(3)
	ev := make([][]float32, 500)
	for k := range ev {
		ev[k] = make([]float32, l.states())
		ev[k][1] = 80
		ev[k][2] = -100
	}
	for k, p := range l.smoothed(ev) {
		var sum float64
		for _, v := range p {
			sum += float64(v)
		}
		if math.Abs(sum-1) > 1e-4 || (k < 499 && p[1] < 0.99) {
			t.Fatalf("frame %d: beliefs sum to %v, %v in the only state that fits", k, sum, p[1])
		}
	}
}

// TestDecodeSecondReading: belief that is split is told as a reading and
// another one, with their shares.
func TestDecodeSecondReading(t *testing.T) {
	sc := newScale(Default(), unit.TwoStrokeSingle)
	p := make([]float32, int(modes)*maxPeriod*sc.n+1)
	p[150] = 0.7          // steady, every time
	p[sc.n+150+53] = 0.25 // at twice the frequency, every second time
	p[len(p)-1] = 0.05
	got := decode(p, sc, 1)
	want := unit.Hz(sc.at(150)).RPM()
	if math.Abs(float64(got.Speed/want)-1) > 1e-9 || got.Fires != 1 || math.Abs(got.Confidence-0.7) > 1e-6 {
		t.Errorf("got %+v, want %v firing every time", got, want)
	}
	// The second is looked for on the grid, in a band of seven points.
	if math.Abs(float64(got.Other/(2*want))-1) > 0.05 || math.Abs(got.OtherShare-0.25) > 1e-6 {
		t.Errorf("the other reading is %v with %.2f, want %v with 0.25", got.Other, got.OtherShare, 2*want)
	}
}
