package quality

import (
	"math"
	"math/rand/v2"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/noise"
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

// TestCombProminence: the height of lines over the noise between them is what the
// identities of a windowed sine want. A line of amplitude a in white noise of
// variance v has, under a Hann window of n samples, a power of (a n/4)^2 at its
// bin over a mean of 3/8 n v; the mean of the decibels of noise is 2.5 dB under
// the decibels of its mean (Euler's constant: the logarithm of an exponential
// variable).
func TestCombProminence(t *testing.T) {
	const level, noise, tolerance = 0.02, 0.05, 1.0
	o := Default()
	n := float64(o.Window) * float64(rate)
	want := 10*math.Log10(math.Pow(level*n/4, 2)/(3.0/8*n*noise*noise)) + 2.5
	x := tones(200, level, noise, 4)
	if got := usual(t, x, 12000); math.Abs(got-want) > tolerance {
		t.Errorf("lines stand %.1f dB out, want %.1f", got, want)
	}
	// In noise alone the highest of three bins counts as a line; see Options.
	if got := usual(t, tones(4000, 0, noise, 4), 12000); math.Abs(got-3) > tolerance {
		t.Errorf("noise stands %.1f dB out of itself, want about 3", got)
	}
}

func usual(t *testing.T, x audio.Memory, speed engine.RPM) float64 {
	t.Helper()
	v := typical(along(t, x, steady(speed, 4)).all)
	if v == nil {
		t.Fatal("not told")
	}
	return float64(*v)
}

// along gives what is found in a sound along a track.
func along(t *testing.T, x audio.Memory, track shaft.Track) alongTrack {
	t.Helper()
	in := Input{
		Sound: &clip.Sound{Rate: rate, Samples: x}, Track: track, Engine: engine.TwoStrokeSingle,
		Conditions: must(noise.Assess(t.Context(), x, rate, noise.Mains{}, noise.Default())),
	}
	return must(assessAlong(t.Context(), in, newTrackIndex(track, in.Engine, Default()), Default()))
}

// TestInterferer: a second comb of lines is found at its speed, and the engine's
// own lines, its half orders included, are no second engine.
func TestInterferer(t *testing.T) {
	o := Default()
	find := func(x audio.Memory, fires shaft.Firing) (whole, passing interferer) {
		track := steady(12000, 4)
		for i := range track.Points {
			track.Points[i].Fires = fires
		}
		found := along(t, x, track)
		return found.steady, found.passing
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
		whole, passing := find(x, c.fires)
		found := whole.height >= float64(o.MinSteady) && passing.height >= float64(o.MinPassing)
		if want := c.other == 127; found != want {
			t.Errorf("%s: %+v and %+v", name, whole, passing)
		}
		if c.other == 127 && math.Abs(float64(whole.speed)/7620-1) > 0.015 /* a step and a half of the grid */ {
			t.Errorf("%s: at %.0f rpm", name, whole.speed)
		}
	}
}

// TestCombSearch: a search holds one comb for each step of the grid, within the spectrum.
func TestCombSearch(t *testing.T) {
	o := Default()
	stft, err := spectrum.NewSTFT(spectrum.STFTOptions{Rate: rate, Length: o.Window, Top: o.Top, Floor: spectrum.DefaultFloor()})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range newCombSearch(stft, 0, o.Comb).combs {
		if len(c.line) < o.Comb.MinLines || c.gap[len(c.gap)-1] >= stft.Bins() {
			t.Errorf("%.0f rpm: lines %v, gaps %v of %d bins", c.speed, c.line, c.gap, stft.Bins())
		}
	}
}
