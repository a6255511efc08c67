package shaft

import (
	"math"
	"testing"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// TestFreqGrid: multiples of a frequency of the grid are on the grid, too. 53 steps make an
// octave, 84.003 a twelfth (53 log2 3) and 106 two octaves.
// Source: definition of the logarithm.
func TestFreqGrid(t *testing.T) {
	o := Default()
	s := newFreqGrid(o, engine.TwoStrokeSingle)
	for n, want := range map[int]int{1: 0, 2: 53, 3: 84, 4: 106} {
		if got := s.shift(n); got != want {
			t.Errorf("f to %d f is %d steps, want %d", n, got, want)
		}
		for _, i := range []float64{0, 17, 100} {
			a, b := s.freq(i), s.freq(i-float64(s.shift(n)))*float64(n)
			if steps := math.Abs(math.Log2(a/b)) * s.perOctave; steps > 0.004 {
				t.Errorf("%d: %.4f steps off", n, steps)
			}
		}
	}
	for _, e := range []engine.Spec{engine.TwoStrokeSingle, {Strokes: 2, Cylinders: 2}, {Strokes: 4, Cylinders: 1}} {
		s := newFreqGrid(o, e)
		slow, fast := float64(e.FiringFrequency(o.MinSpeed)), float64(e.FiringFrequency(o.MaxSpeed))
		if math.Abs(s.freq(0)/slow-1) > 1e-12 || s.freq(float64(s.engineEnd-1)) < fast || s.engineEnd > s.n {
			t.Errorf("%+v: the grid runs from %.2f to %.2f Hz, want %.2f to %.2f", e, s.freq(0), s.freq(float64(s.engineEnd-1)), slow, fast)
		}
	}
}

func TestClippedLinear(t *testing.T) {
	r := ClippedLinear{Zero: 3, Slope: 0.5, Low: -1, High: 2}
	for level, want := range map[float64]float64{3: 0, 5: 1, 7: 2, 100: 2, 1: -1, -100: -1} {
		if got := r.At(level); got != want {
			t.Errorf("at %v dB: %v, want %v", level, got, want)
		}
	}
}

// tiny gives a lattice of few states, with every kind of change in it.
func tiny(freqs int) *lattice { return tinyOf(freqs, Default()) }

func tinyOf(freqs int, o Options) *lattice {
	o.Transition.MaxRise, o.Transition.MaxFall, o.Transition.SteadySD = 20, 20, 0.3 // reach a step of this coarse grid
	o.Transition.Open, o.Transition.Settle, o.Transition.Flip, o.Transition.Start, o.Transition.Stop = 0.1, 0.2, 0.15, 0.12, 0.07
	sc := freqGrid{low: 40, perOctave: 2, n: freqs, engineEnd: freqs}
	return newLattice(o, sc, newStateIndex(sc, 1, MaxPeriod), engine.Machine{Spec: engine.TwoStrokeSingle})
}

// usual gives the lattice of a two-stroke single.
func usual(o Options) *lattice {
	q := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 13500, Idle: 2700}}
	return newFollower(8000, q, o).lattice
}

// flip gives the chance of period m after period n, by the meaning of the
// fields of Options.
func (o Options) flip(n, m int) float64 {
	if n == m {
		return 1 - o.Transition.Flip
	}
	p := o.periods(engine.TwoStrokeSingle)
	return o.Transition.Flip * p[m] / (1 - p[n])
}

// turn gives the chance of mode b after mode a, the same way.
func (o Options) turn(a, b mode) float64 {
	switch {
	case a == steady && b == steady:
		return 1 - 2*o.Transition.Open
	case a == steady:
		return o.Transition.Open
	case a == b:
		return 1 - o.Transition.Settle - o.Transition.Open
	case b == steady:
		return o.Transition.Settle
	}
	return o.Transition.Open
}

// TestTransitionsSumToOne: where sweeps are not tempered, what may follow a state is
// certain to be one of them. Source: definition of a Markov chain.
func TestTransitionsSumToOne(t *testing.T) {
	one := func(what string, sum float64) {
		t.Helper()
		if math.Abs(sum-1) > 1e-6 {
			t.Errorf("%s: chances sum to %v", what, sum)
		}
	}
	o := Default()
	o.Transition.Exponent = 1
	for _, l := range []*lattice{tinyOf(3, o), usual(o)} {
		for hops, c := range l.transitions[1:] {
			for m, k := range c.kernels {
				var s float64
				for i, c := range k.weights {
					s += float64(c)
					if d := k.first + i; (mode(m) == rising && d < 0) || (mode(m) == falling && d > 0) {
						t.Errorf("in %d hops mode %d may go %d steps", hops+1, m, d)
					}
				}
				one("change of frequency", s)
			}
			one("throttle held", float64(c.held+2*c.opens))
			one("throttle moving", float64(c.opens+c.settles+c.moves))
			var enters float32
			for _, v := range c.enter {
				enters += v
			}
			for n := range MaxPeriod {
				one("change of firing", float64(c.stops+c.stay[n]+c.leave[n]*enters))
			}
		}
		for a := range modes {
			one("change of mode", l.o.turn(a, steady)+l.o.turn(a, rising)+l.o.turn(a, falling))
		}
		for n := range MaxPeriod {
			one("change of firing", l.o.flip(n, 0)+l.o.flip(n, 1)+l.o.flip(n, 2)+l.o.flip(n, 3))
		}
		var s float64
		for _, v := range l.prior {
			s += 2 * float64(v)
		}
		if l.freqs == 3 { // of the usual one, states are left out that cannot be
			one("the start", s)
		}
	}
}

// TestSweepsAreTempered: a step of a sweep weighs as much as the chance that it has
// among its choices, to the power of TransitionExponent, and no choice is left out.
// These weights add up to more than 1: a tempered model is no Markov chain
// (docs/method.md, 5). Nothing else is tempered.
func TestSweepsAreTempered(t *testing.T) {
	o, even := Default(), Default()
	even.Transition.Exponent = 1
	if o.Transition.Exponent >= 1 || o.Transition.Exponent <= 0 {
		t.Fatalf("an exponent of %v tempers nothing", o.Transition.Exponent)
	}
	tempered, plain := usual(o), usual(even)
	for hops := 1; hops < len(tempered.transitions); hops++ {
		for m, k := range tempered.transitions[hops].kernels {
			chances := plain.transitions[hops].kernels[m].weights
			if len(k.weights) != len(chances) {
				t.Fatalf("in %d hops mode %d has %d steps, %d without tempering", hops, m, len(k.weights), len(chances))
			}
			rate := map[mode]float64{rising: o.Transition.MaxRise, falling: o.Transition.MaxFall}[mode(m)]
			farthest := rate * float64(hops) * float64(o.Hop) / math.Ln2 * float64(o.PerOctave)
			if mode(m) != steady && math.Abs(float64(len(chances)-1)-farthest) > 0.5 {
				t.Errorf("in %d hops mode %d goes up to %d steps, want %.1f", hops, m, len(chances)-1, farthest)
			}
			for i, got := range k.weights {
				want := float64(chances[i])
				if mode(m) != steady {
					want = math.Pow(want, o.Transition.Exponent)
				}
				if math.Abs(float64(got)/want-1) > 1e-5 {
					t.Fatalf("in %d hops mode %d, step %d: %v, want %v", hops, m, i, got, want)
				}
			}
		}
	}
}

// TestForwardBackwardNumbers: a long stretch of one-sided evidence neither overflows
// nor leaves numbers behind that are none.
func TestForwardBackwardNumbers(t *testing.T) {
	l := tiny(3)
	frames := make([]observation, 500)
	for k := range frames {
		frames[k].hopsSince = 1
		frames[k].logLikelihood = make([]float32, l.index.states())
		frames[k].logLikelihood[1] = 80
		frames[k].logLikelihood[2] = -100
		frames[k].toLikelihood(1, 0)
	}
	l.forwardBackward(t.Context(), frames, &vectorPool{states: l.index.states()}, func(k int, p []float32) {
		var sum float64
		for _, v := range p {
			sum += float64(v)
		}
		if math.Abs(sum-1) > 1e-4 || (k < 499 && p[1] < 0.99) {
			t.Fatalf("frame %d: beliefs sum to %v, %v in the only state that fits", k, sum, p[1])
		}
	})
}

// TestRunningSum: the sum of the elements of a window, as far as there are any.
// Source: definition.
func TestRunningSum(t *testing.T) {
	x := []float32{1, 2, 4, 8, 16, 32}
	for from := -8; from <= 8; from++ {
		for n := 1; n <= 8; n++ {
			got := make([]float32, len(x))
			const pad = 20
			p := paddedRow{x: make([]float32, len(x)+2*pad), zero: pad}
			s := newSlidingSum(got, p.at(x, from-1), 1-from, n, 0.5)
			other := newSlidingSum(make([]float32, len(x)), make([]float32, len(x)+1), 0, 1, 1)
			dsp.Slide(&s, &other)
			for i := range x {
				var want float32
				for j := i + from; j < i+from+n; j++ {
					if j >= 0 && j < len(x) {
						want += x[j] / 2
					}
				}
				if got[i] != want {
					t.Fatalf("from %d, %d elements: element %d is %v, want %v", from, n, i, got[i], want)
				}
			}
		}
	}
}

// TestCombs: the sums over shared slices of the log-frequency axis are those over
// the lines of each comb, within the half step that the axis rounds by.
func TestCombs(t *testing.T) {
	f := newFollower(8000, engine.Machine{Spec: engine.TwoStrokeSingle}, Default())
	w, err := f.observationModel(f.o.Spectra[1], nil)
	if err != nil {
		t.Fatal(err)
	}
	readings := make([]float32, len(w.axis.bin))
	place := func(k int) float64 { // frequency of a reading
		return f.grid.freq(float64(w.axis.first+k%w.axis.n) + float64(k/w.axis.n)/oversampling)
	}
	for k := range readings {
		readings[k] = float32(math.Log(place(k)))
	}
	got := make([]float32, f.grid.n-w.axis.first)
	w.lineComb.sum(got, readings)
	for i, v := range got {
		var want, weights float64
		g := f.grid.freq(float64(w.axis.first + i))
		for j := 1.0; j <= float64(w.Harmonics) && j*g < 0.995*float64(w.Top); j++ {
			weight := 1 / (1 + (j/w.HalfWeightAt)*(j/w.HalfWeightAt))
			want, weights = want+weight*math.Log(j*g), weights+weight
		}
		const step = math.Ln2 / 53 / oversampling
		if last := weights * step / 2; math.Abs(float64(v)-want) > last+1e-3 && g*float64(w.Harmonics) < float64(w.Top) {
			t.Fatalf("comb of %.2f Hz: %v, want %v within %v", g, v, want, last)
		}
	}
}

// TestSecondReading: a posterior with two peaks gives a reading and a second
// one, with their shares.
func TestSecondReading(t *testing.T) {
	sc := newFreqGrid(Default(), engine.TwoStrokeSingle)
	p := make([]float32, MaxPeriod*sc.n+1)
	p[150] = 0.7          // every time
	p[sc.n+150+53] = 0.25 // at twice the frequency, every second time
	p[len(p)-1] = 0.05
	got := newPosteriorDecoder(sc, 1).point(p)
	want := engine.Hz(sc.freq(150)).RPM()
	if math.Abs(float64(got.Speed/want)-1) > 1e-9 || got.Fires != 1 || math.Abs(got.Confidence-0.7) > 1e-6 {
		t.Errorf("got %+v, want %v firing every time", got, want)
	}
	// The second is looked for on the grid, in a band of seven points.
	if math.Abs(float64(got.Alternative/(2*want))-1) > 0.05 || math.Abs(got.AlternativeShare-0.25) > 1e-6 {
		t.Errorf("the other reading is %v with %.2f, want %v with 0.25", got.Alternative, got.AlternativeShare, 2*want)
	}
}
