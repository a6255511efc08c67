package quality

import (
	"math"
	"math/rand/v2"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/shaft"
	"topnote/internal/spectrum"
)

// tones gives sines of equal strength at multiples of f, in noise.
func tones(f, level, noise float64, length engine.Seconds) audio.Memory {
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float32, int(float64(length)*float64(rate)))
	for i := range x {
		v := noise * r.NormFloat64()
		for h := f; h < 3500; h += f {
			v += level * math.Sin(2*math.Pi*h*float64(i)/float64(rate)+h)
		}
		x[i] = float32(v)
	}
	return x
}

// steady gives a track of one speed.
func steady(speed engine.RPM, length engine.Seconds) shaft.Track {
	t := shaft.Track{Hop: 0.02}
	for at := engine.Seconds(0); at < length; at += t.Hop {
		t.Points = append(t.Points, shaft.Point{At: at, Speed: speed, SD: 10, Confidence: 1, Fires: 1})
	}
	return t
}

// TestClearness: the height of lines over the noise between them is what the
// identities of a windowed sine want. A line of amplitude a in white noise of
// variance v has, under a Hann window of n samples, a power of (a n/4)^2 at its
// bin over a mean of 3/8 n v; the mean of the decibels of noise lies 2.5 dB under
// the decibels of its mean (Euler's constant: the logarithm of an exponential
// variable).
func TestClearness(t *testing.T) {
	const level, noise, tolerance = 0.02, 0.05, 1.0
	o := Default()
	n := float64(o.Window) * float64(rate)
	want := 10*math.Log10(math.Pow(level*n/4, 2)/(3.0/8*n*noise*noise)) + 2.5
	x := tones(200, level, noise, 4)
	if got := usual(t, x, 12000); math.Abs(got-want) > tolerance {
		t.Errorf("lines stand %.1f dB out, want %.1f", got, want)
	}
	// In noise alone the highest of three bins stands for a line; see Options.
	if got := usual(t, tones(4000, 0, noise, 4), 12000); math.Abs(got-3) > tolerance {
		t.Errorf("noise stands %.1f dB out of itself, want about 3", got)
	}
}

func usual(t *testing.T, x audio.Memory, speed engine.RPM) float64 {
	t.Helper()
	o := Default()
	s, _, _, _ := look(x, rate, follow(steady(speed, 4), engine.TwoStrokeSingle, o), must(measureLevels(x, rate, o)), 0, o)
	if s.snr() == nil {
		t.Fatal("not told")
	}
	return float64(*s.snr())
}

// TestFilters: Butterworth filters let half of the power through at their
// corner, and fall by 12 dB an octave (identity).
func TestFilters(t *testing.T) {
	const corner, tolerance = 100, 0.3
	for _, c := range []struct {
		f         float64
		low, high float64 // dB
	}{{25, 0, -24.1}, {100, -3.01, -3.01}, {400, -24.1, 0}} {
		low, high := lowPass(corner, rate), highPass(corner, rate)
		var in, outLow, outHigh float64
		for i := range 16000 {
			x := math.Sin(2 * math.Pi * c.f * float64(i) / float64(rate))
			a, b := low.step(x), high.step(x)
			if i >= 8000 { // settled
				in, outLow, outHigh = in+x*x, outLow+a*a, outHigh+b*b
			}
		}
		if got := 10 * math.Log10(outLow/in); math.Abs(got-c.low) > tolerance {
			t.Errorf("low-pass at %v Hz: %.2f dB, want %.2f", c.f, got, c.low)
		}
		if got := 10 * math.Log10(outHigh/in); math.Abs(got-c.high) > tolerance {
			t.Errorf("high-pass at %v Hz: %.2f dB, want %.2f", c.f, got, c.high)
		}
	}
}

// TestRival: a second comb of lines is found where it stands, and the engine's
// own lines, its half orders included, are no second engine.
func TestRival(t *testing.T) {
	o := Default()
	hear := func(x audio.Memory, fires shaft.Firing) (always, while interferer) {
		track := steady(12000, 4)
		for i := range track.Points {
			track.Points[i].Fires = fires
		}
		_, always, while, _ = look(x, rate, follow(track, engine.TwoStrokeSingle, o), must(measureLevels(x, rate, o)), 0, o)
		return always, while
	}
	one := tones(200, 0.05, 0.02, 4)
	for name, c := range map[string]struct {
		other float64 // Hz; 0: none
		fires shaft.Firing
	}{
		"alone": {0, 1}, "beside one at 7,620 rpm": {127, 1}, "half orders": {100, 2}, "half orders misread": {100, 1}, "quarter orders not told": {50, 0},
	} {
		x := append([]float32{}, one...)
		if c.other > 0 {
			for i, v := range tones(c.other, 0.05, 0.02, 4) {
				x[i] += v
			}
		}
		always, while := hear(x, c.fires)
		found := always.height >= float64(o.RivalOver) && while.height >= float64(o.RivalWhile)
		if want := c.other == 127; found != want {
			t.Errorf("%s: %+v and %+v", name, always, while)
		}
		if c.other == 127 && math.Abs(float64(always.speed)/7620-1) > 0.015 /* a step and a half of the grid */ {
			t.Errorf("%s: at %.0f rpm", name, always.speed)
		}
	}
}

// TestSwing: a tone whose loudness swings by an amplitude in the rhythm of
// syllables is found to swing by it; slower and faster swings do not count.
func TestSwing(t *testing.T) {
	const amplitude, tolerance = 6.0, 0.7 // dB
	o := Default()
	for f, want := range map[float64]float64{4: amplitude, 5.5: amplitude, 0.5: 0, 15: 0} {
		r := rand.New(rand.NewPCG(1, 3))
		x := make(audio.Memory, 2*int(rate))
		for i := range x {
			level := amplitude * math.Sin(2*math.Pi*f*float64(i)/float64(rate))
			x[i] = float32(0.05 * r.NormFloat64() * math.Pow(10, level/20))
		}
		n := int(math.Round(float64(o.SpeechWindow / o.SpeechStep)))
		// Noise in bands of 400 Hz, read over 32 ms, swings by itself: a deviation of
		// about 2 dB in a reading, of which a sixth is in the rhythm.
		e := newEnvelope(rate, o)
		e.follow(x, 10, n)
		if got := e.swing(o); math.Abs(got-want) > tolerance && !(want == 0 && got < 1.5) {
			t.Errorf("swing at %v Hz: %.2f dB, want %.2f", f, got, want)
		}
	}
}

// TestSpeechIn: syllables with a pitch are speech; the same syllables of noise
// are not, nor is a steady tone of the same pitch.
func TestSpeechIn(t *testing.T) {
	const pitch = 131 // Hz
	o := Default()
	r := rand.New(rand.NewPCG(1, 4))
	for name, c := range map[string]struct {
		voiced, syllables bool
		want              bool
	}{
		"syllables with a pitch": {true, true, true}, "syllables of noise": {false, true, false}, "a steady tone": {true, false, false},
	} {
		x := make(audio.Memory, 5*int(rate))
		for i := range x {
			v := r.NormFloat64()
			if c.voiced {
				v = 0
				for h := 1.0; h <= 12; h++ { // a voice falls with frequency
					v += 1 / h * math.Sin(2*math.Pi*pitch*h*float64(i)/float64(rate))
				}
			}
			if c.syllables && i%2000 > 1000 { // four a second
				v *= 0.1
			}
			x[i] = float32(0.1*v + 0.002*r.NormFloat64())
		}
		if got := must(speechIn(x, rate, o)).length(); (got >= o.SpeechFor) != c.want {
			t.Errorf("%s: speech for %.1f s", name, got)
		}
	}
}

// TestLevels: a look is as loud as its sound.
func TestLevels(t *testing.T) {
	o := Default()
	l := must(measureLevels(tones(1000, 0.1, 0, 2), rate, o)) // 1, 2 and 3 kHz
	want := 10 * math.Log10(3*0.1*0.1/2)
	if got := l.at(1); math.Abs(got-want) > 0.2 {
		t.Errorf("%.2f dB, want %.2f", got, want)
	}
	if len(l.engine) != 10 || l.low[5] > want-50 {
		t.Errorf("%d looks, %.1f dB below the engine", len(l.engine), l.low[5])
	}
}

// TestHunt: a hunt holds one comb for each step of the grid, within the plan.
func TestHunt(t *testing.T) {
	o := Default()
	plan, err := spectrum.NewSTFT(spectrum.STFTOptions{Rate: rate, Length: o.Window, Size: o.Size, Top: o.Top, Floor: spectrum.DefaultFloor()})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range newCombSearch(plan, 0, o).combs {
		if len(c.line) < o.MinRival || c.gap[len(c.gap)-1] >= plan.Bins() {
			t.Errorf("%.0f rpm: lines %v, gaps %v of %d bins", c.speed, c.line, c.gap, plan.Bins())
		}
	}
}
