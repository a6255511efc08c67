package shaft

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"topnote/internal/binom"
	"topnote/internal/engine"
	"topnote/internal/race"
)

// leastSD gives the Cramer-Rao bound on the standard deviation of a
// fundamental, in hertz, from n samples with white noise of a standard
// deviation: sqrt(12/((2 pi)^2 eta n (n^2-1))) of the rate, eta the sum of
// l^2 A_l^2/(2 sigma^2).
//
// Source: Kay 1993, equation 3.41, for one tone; Christensen and Jakobsson 2009 for
// the sum.
func leastSD(n int, amplitudes []float64, sigma float64) float64 {
	var eta float64
	for l, a := range amplitudes {
		eta += float64((l+1)*(l+1)) * a * a / (2 * sigma * sigma)
	}
	m := float64(n)
	return math.Sqrt(12/(4*math.Pi*math.Pi*eta*m*(m*m-1))) * float64(rate)
}

// tenLines are the amplitudes of the signal of the tables: 1/l.
func tenLines() (a []float64, power float64) {
	for l := 1.0; l <= 10; l++ {
		a = append(a, 1/l)
		power += 1 / (2 * l * l)
	}
	return a, power
}

// TestLeastSD holds the bound to worked values, in rpm at order 1: 0.1 s and
// 0.25 s at 8 kHz. Source: Kay's equation, evaluated apart from this code.
func TestLeastSD(t *testing.T) {
	a, power := tenLines()
	for _, tt := range []struct {
		seconds, snr, want float64
	}{{0.1, 0, 4.60}, {0.1, 10, 1.46}, {0.1, 20, 0.460}, {0.25, 10, 0.368}} {
		sigma := math.Sqrt(power * math.Pow(10, -tt.snr/10))
		got := 60 * leastSD(int(tt.seconds*float64(rate)), a, sigma)
		if math.Abs(got/tt.want-1) > 0.01 {
			t.Errorf("%v s at %v dB: %.3f rpm, want %.3f", tt.seconds, tt.snr, got, tt.want)
		}
	}
}

// TestRefineAgainstBound: how near the refined speed of a steady engine in white
// noise comes to what any estimator could do with the same samples, and whether the
// errors keep to the standard deviation that the track gives. Issue 3, point 4, aims at 1.5
// times the bound at 10 dB and above, and at 95 % of errors within two deviations.
func TestRefineAgainstBound(t *testing.T) {
	if race.Enabled {
		t.Skip("one goroutine, 1,800 times: the race detector has nothing to find")
	}
	const (
		f, draws = 203.7, 600 // Hz; the sampling error of a standard deviation is 3 %
		length   = 1600       // samples
		asked    = 1.004      // of f: what the lattice's grid leaves
		covered  = 0.95       // share of errors within two standard deviations
	)
	a, power := tenLines()
	o := Default()
	r := newRefiner(o, rate)
	window := int(max(o.Refine.MinWindow, o.Refine.WindowCycles/f) * float64(rate))
	t.Log("| SNR dB | bound rpm | got rpm | ratio | claimed rpm | bias rpm | within 2 sd % |")
	t.Log("| --- | --- | --- | --- | --- | --- | --- |")
	for _, snr := range []float64{0, 10, 20} {
		sigma := math.Sqrt(power * math.Pow(10, -snr/10))
		var sum, square, claimed float64
		inside := 0
		for k := range draws {
			v, ok := r.estimate(addNoise(tenLinesOf(f, length, a, k), sigma, uint64(k)), length/2/float64(rate), 1, freqPolynomial{f: asked * f})
			if !ok {
				t.Fatalf("%v dB, draw %d: not refined", snr, k)
			}
			sum, square, claimed = sum+v.f-f, square+(v.f-f)*(v.f-f), claimed+v.sd
			ps := []Point{{Speed: engine.Hz(v.f).RPM(), SD: engine.Hz(v.sd).RPM()}}
			inflateSD(ps, 1, o.SD)
			if math.Abs(float64(ps[0].Speed-engine.Hz(f).RPM())) <= 2*float64(ps[0].SD) {
				inside++
			}
		}
		bias := sum / draws
		got := math.Sqrt(square/draws - bias*bias)
		bound := leastSD(window, a, sigma)
		t.Logf("| %.0f | %.3f | %.3f | %.2f | %.3f | %.3f | %.1f |", snr, 60*bound, 60*got, got/bound, 60*claimed/draws, 60*bias, percent(inside, draws))
		if snr >= 10 && got > 1.5*bound {
			t.Errorf("%v dB: %.2f times the bound, want 1.5", snr, got/bound)
		}
		if got < 0.9*bound { // three of its sampling errors
			t.Errorf("%v dB: %.2f times the bound: nothing can be better, so the test is wrong", snr, got/bound)
		}
		if least := binom.Min(draws, covered); inside < least {
			t.Errorf("%v dB: %d of %d errors within two standard deviations, want %d", snr, inside, draws, least)
		}
		if c := claimed / draws / got; c < 0.5 || c > 2 { // before inflateSD; further off it would say nothing of the noise
			t.Errorf("%v dB: claims %.2f times its standard deviation", snr, c)
		}
	}
}

// tenLinesOf gives a steady series of lines of given amplitudes on f, starting at
// phases of draw k.
func tenLinesOf(f float64, length int, amplitudes []float64, k int) []float32 {
	x := make([]float32, length)
	for i := range x {
		for l, v := range amplitudes {
			x[i] += float32(v * math.Sin(2*math.Pi*f*float64(l+1)*float64(i)/float64(rate)+float64(k*(l+1)*(l+1))))
		}
	}
	return x
}

// TestRefineLines: the estimate uses as many lines as the options give, however the
// frequency of the highest is rounded.
func TestRefineLines(t *testing.T) {
	o := Default()
	r := newRefiner(o, rate)
	x := make([]float32, 1600)
	for f := 60.0; f < 250; f += 7.1 {
		for i := range x {
			x[i] = 0
			for l := range o.Refine.Harmonics {
				x[i] += float32(math.Sin(2 * math.Pi * f * float64(l+1) * float64(i) / float64(rate)))
			}
		}
		if got, ok := r.estimate(x, 0.1, 1, freqPolynomial{f: f}); !ok || got.lines != o.Refine.Harmonics {
			t.Errorf("%.1f Hz: %d lines, want %d", f, got.lines, o.Refine.Harmonics)
		}
	}
}

// TestRefineWithout: lines of a second engine near those of one that idles move the
// speed that is read, unless they are left out; where the speed moves they are not.
func TestRefineWithout(t *testing.T) {
	const f, second = 51.7, 208.2 // Hz; the fourth line of the one and the first of the other lie 1.4 Hz apart
	var beside mask
	x := make([]float32, 1600)
	for l := 1.0; l*second < 3400; l++ {
		beside = append(beside, engine.Hz(l*second))
		for i := range x {
			x[i] += float32(2 / l * math.Sin(2*math.Pi*second*l*float64(i)/float64(rate)))
		}
	}
	for l := 1.0; l <= 20; l++ {
		for i := range x {
			x[i] += float32(1 / l * math.Sin(2*math.Pi*f*l*float64(i)/float64(rate)))
		}
	}
	r := newRefiner(Default(), rate)
	off := func(m mask, c freqPolynomial) float64 {
		r.setMask(m)
		got, ok := r.estimate(x, 0.1, 1, c)
		if !ok {
			t.Fatal("not read")
		}
		return math.Abs(got.f/f - 1)
	}
	still, moving := freqPolynomial{f: f * 1.01}, freqPolynomial{f: f * 1.01, chirpRate: 2 * r.o.Refine.MovingFrom}
	if with, without := off(nil, still), off(beside, still); without > 0.002 || with < 3*without {
		t.Errorf("off by %.3f %% with them, %.3f %% without", 100*with, 100*without)
	}
	var most mask // nearly all that it has itself
	for l := 1; l <= 60; l++ {
		most = append(most, engine.Hz(l)*f)
	}
	if with, without := off(nil, still), off(most, still); with != without {
		t.Errorf("with most lines in the mask, off by %.3f %%, without a mask by %.3f %%", 100*without, 100*with)
	}
	if with, without := off(nil, moving), off(beside, moving); with != without {
		t.Errorf("while the speed moves, off by %.3f %% with them, %.3f %% without", 100*with, 100*without)
	}
}

// TestTaper: highest side lobes of the half sine and its square, Hann, and the
// derivative is one.
// Source: Harris 1978, table 1, cosine-lobe windows.
func TestTaper(t *testing.T) {
	const n, finer = 720, 64
	for power, want := range map[float64]float64{1: -23, 2: -31.5} {
		x := make([]float64, finer*n)
		for i, v := range newTaper(n, power) {
			x[i] = float64(real(v))
		}
		c := fourier.NewFFT(len(x)).Coefficients(nil, x)
		k := 1
		for cmplx.Abs(c[k]) < cmplx.Abs(c[k-1]) {
			k++
		}
		var top float64
		for _, v := range c[k:] {
			top = max(top, cmplx.Abs(v))
		}
		if got := 20 * math.Log10(top/cmplx.Abs(c[0])); math.Abs(got-want) > 0.1 {
			t.Errorf("power %v: highest side lobe %.2f dB, want %v", power, got, want)
		}
	}
	h := newTaper(n, Default().Refine.TaperPower)
	for i := 1; i < n-1; i++ {
		if d := (real(h[i+1]) - real(h[i-1])) / 2 * n; math.Abs(float64(d-imag(h[i]))) > 0.02*math.Pi {
			t.Fatalf("derivative at %d is %v, the difference is %v", i, imag(h[i]), d)
		}
	}
}

// TestRandomEffectsMean: the weighted mean of lines, and its standard deviation.
// Source: inverse-variance weighting; with two lines s apart and no noise to
// explain it the spread cannot be less than s/2.
func TestRandomEffectsMean(t *testing.T) {
	off, sd := randomEffectsMean([]line{{order: 1, off: 0.001, sd: 0.001}, {order: 2, off: 0.0004, sd: 0.0005}})
	// weights 1 and 4 in units of 1e6: (0.001 + 4 x 0.0004)/5 and 1/sqrt(5e6)
	if math.Abs(off-0.00052) > 1e-9 || math.Abs(sd-1/math.Sqrt(5e6)) > 1e-9 {
		t.Errorf("offset %v sd %v, want 0.00052 and %v", off, sd, 1/math.Sqrt(5e6))
	}
	off, sd = randomEffectsMean([]line{{order: 1, off: 0.01, sd: 1e-5}, {order: 1, off: -0.01, sd: 1e-5}})
	if math.Abs(off) > 1e-9 || sd < 0.009 {
		t.Errorf("two lines that disagree: offset %v sd %v, want 0 and 0.01", off, sd)
	}
}

// points makes a point with a speed at every hop.
func points(n int, speed func(i int) engine.RPM) []Point {
	ps := make([]Point, n)
	for i := range ps {
		ps[i] = Point{At: engine.Seconds(i) * Default().Hop, Speed: speed(i), SD: 10, Confidence: 1, Fires: 1}
	}
	return ps
}

// TestChirpRates: an exponential is a straight line in ln speed.
func TestChirpRates(t *testing.T) {
	hop := float64(Default().Hop)
	ps := points(40, func(i int) engine.RPM { return engine.RPM(3000 * math.Exp(2.5*hop*float64(i))) })
	ps[20].Speed = 0
	for i, v := range chirpRates(ps, Default().Hop) {
		want := 2.5
		if i == 20 {
			want = 0
		}
		if math.Abs(v-want) > 1e-6 {
			t.Errorf("point %d: %v a second, want %v", i, v, want)
		}
	}
}

// TestUnevenness: a steady sweep is even; independent errors show as their
// standard deviation. Source: the variance of x-2y+z is 6 of one's.
func TestUnevenness(t *testing.T) {
	for i, v := range unevenness(points(40, func(i int) engine.RPM { return engine.RPM(3000 * math.Exp(0.05*float64(i))) })) {
		if v > 1e-6 {
			t.Fatalf("point %d of a sweep: %v", i, v)
		}
	}
	e := addNoise(make([]float32, 4000), 0.01, 8)
	var square float64
	us := unevenness(points(len(e), func(i int) engine.RPM { return engine.RPM(9000 * math.Exp(float64(e[i]))) }))
	for _, v := range us {
		square += v * v / float64(len(us))
	}
	if got := math.Sqrt(square); math.Abs(got/0.01-1) > 0.05 {
		t.Errorf("independent errors of 1 %% show as %.2f %%", 100*got)
	}
}

// TestInflateSD: with no unevenness, what is left is the noise and the least.
func TestInflateSD(t *testing.T) {
	o := Default()
	ps := points(30, func(int) engine.RPM { return 12000 })
	inflateSD(ps, 1, o.SD)
	want := math.Hypot(o.SD.NoiseFactor*10, float64(o.SD.Min.RPM()))
	for i, p := range ps {
		if math.Abs(float64(p.SD)/want-1) > 1e-6 {
			t.Fatalf("point %d: SD %v, want %v", i, p.SD, want)
		}
	}
}

// TestGate: what is kept lasts, is clear somewhere, and is nowhere lost.
func TestGate(t *testing.T) {
	o := Default()
	second := int(1 / o.Hop)
	level := func(n int, dB float64) []float64 {
		v := make([]float64, n)
		for i := range v {
			v[i] = dB
		}
		return v
	}
	join := func(parts ...[]float64) (all []float64) {
		for _, p := range parts {
			all = append(all, p...)
		}
		return all
	}
	above, under := float64(o.Gate.PeakProminence)+1, float64(o.Gate.MinProminence)-1
	middle := float64(o.Gate.MinProminence+o.Gate.PeakProminence) / 2
	tests := []struct {
		name  string
		clear []float64
		told  [2]int // seconds told, from and to; the rest is not
		total int    // points told, about
	}{
		{"clear", level(3*second, above), [2]int{0, 3}, 3 * second},
		{"nowhere clear", level(3*second, middle), [2]int{}, 0},
		{"clear in one second of three", join(level(second, middle), level(second, above+4), level(second, middle)), [2]int{0, 3}, 3 * second},
		{"lost at the end", join(level(3*second, above), level(3*second, under-10)), [2]int{0, 2}, 3 * second},
		{"too short", level(int(o.Gate.MinRun/o.Hop)-1, above), [2]int{}, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			ps := points(len(tt.clear), func(int) engine.RPM { return 9000 })
			gate(ps, tt.clear, o)
			told := 0
			for i, p := range ps {
				if p.Speed.Told() {
					told++
				} else if i >= tt.told[0]*second && i < tt.told[1]*second {
					t.Fatalf("point %d lost its speed", i)
				} else if p.SD != 0 || p.Fires != 0 || p.Confidence != 0 {
					t.Fatalf("point %d keeps %+v", i, p)
				}
			}
			if math.Abs(float64(told-tt.total)) > float64(second)/2 {
				t.Errorf("%d points told, want about %d", told, tt.total)
			}
		})
	}
}

// TestRight: lines that were refined well are a second witness of a speed that the
// lattice found; others, and points without a speed, say no more than the lattice.
func TestRight(t *testing.T) {
	for _, tt := range []struct {
		p    Point
		want float64
	}{
		{Point{Speed: 10000, SD: 50, Confidence: 0.7}, 0.91},
		{Point{Speed: 10000, SD: 150, Confidence: 0.7}, 0.7},
		{Point{Speed: 10000, SD: 50, Confidence: 1}, 1},
		{Point{Confidence: 0.7}, 0.7},
	} {
		if got := tt.p.Right(); math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("%+v is right with %g, want %g", tt.p, got, tt.want)
		}
	}
}
