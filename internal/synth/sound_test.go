package synth

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"github.com/mjibson/go-dsp/fft"

	"pgregory.net/rapid"

	"topnote/internal/engine"
)

// tone gives the amplitude of x at a frequency, over a Hann window.
func tone(x []float32, f, rate engine.Hz) float64 {
	var re, im, sum float64
	for i, v := range x {
		w := 1 - math.Cos(2*math.Pi*float64(i)/float64(len(x)))
		s, c := math.Sincos(2 * math.Pi * float64(f/rate) * float64(i))
		re += w * float64(v) * c
		im += w * float64(v) * s
		sum += w
	}
	return 2 * math.Hypot(re, im) / sum
}

// octave gives the power of x between f and 2f, in dB, by Welch's method.
func octave(x []float32, f, rate engine.Hz) float64 {
	const n = 8192
	sum := 0.0
	for at := 0; at+n <= len(x); at += n {
		seg := make([]float64, n)
		for i := range seg {
			seg[i] = float64(x[at+i]) * (1 - math.Cos(2*math.Pi*float64(i)/n))
		}
		for k, z := range fft.FFTReal(seg)[:n/2] {
			if g := engine.Hz(k) * rate / n; g >= f && g < 2*f {
				sum += cmplx.Abs(z) * cmplx.Abs(z)
			}
		}
	}
	return 10 * math.Log10(sum)
}

func TestNoiseColours(t *testing.T) {
	const rate = 24000
	tests := []struct {
		name      string
		kind      Kind
		perOctave float64 // dB of octave bands, from 150 Hz to 9.6 kHz
	}{
		{"white", White, 3}, // source: equal power per hertz, so twice as much in each octave
		{"pink", Pink, 0},   // source: equal power per octave
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			x := make([]float32, 6*rate)
			Background{Kind: tt.kind}.render(x, rate, newRand(1, 1))
			last := octave(x, 150, rate)
			for f := engine.Hz(300); f < 9000; f *= 2 {
				now := octave(x, f, rate)
				if math.Abs(now-last-tt.perOctave) > 0.7 {
					t.Errorf("octave at %v Hz stands %.2f dB over the one below, want %v", f, now-last, tt.perOctave)
				}
				last = now
			}
		})
	}
}

func TestWindIsLowAndGusty(t *testing.T) {
	const rate = 16000
	x := make([]float32, 10*rate)
	Background{Kind: Wind}.render(x, rate, newRand(1, 1))
	if low, high := octave(x, 50, rate), octave(x, 800, rate); low-high < 30 {
		t.Errorf("wind at 50 Hz stands %.1f dB over 800 Hz, want 30 or more", low-high)
	}
	var soft, loud = math.Inf(1), 0.0
	for i := 0; i+rate/4 <= len(x); i += rate / 4 {
		p := meanPower(x[i : i+rate/4])
		soft, loud = min(soft, p), max(loud, p)
	}
	if 10*math.Log10(loud/soft) < 10 {
		t.Errorf("gusts span %.1f dB, want 10 or more", 10*math.Log10(loud/soft))
	}
}

func TestSignalToNoiseIsAsAsked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(-10, 40).Draw(t, "dB")
		kind := rapid.SampledFrom([]Kind{White, Pink, Wind, Hum50, SecondEngine}).Draw(t, "kind")
		s := still(Steady(9000, 0.5), Clean())
		s.Rate = rapid.SampledFrom([]engine.Hz{8000, 22050, 48000}).Draw(t, "rate")
		s.Seed, s.Phone = rapid.Uint64().Draw(t, "seed"), Phone{}
		own := make([]float32, int(s.Rate)/2)
		oversampled(own, s.Rate, func(x []float32, rate engine.Hz) { s.Voice.render(x, rate, s.Run(), s.Seed) })
		s.Backgrounds = []Background{{Kind: kind, Below: engine.Decibel(want)}}
		rest := s.renderBackgrounds(own)
		got := 10 * math.Log10(meanPower(own)/meanPower(rest))
		if math.Abs(got-want) > 0.01 {
			t.Fatalf("level over %v is %.3f dB, want %.3f", kind, got, want)
		}
	})
}

// A clean engine has its lines at the orders of the shaft and nowhere between.
func TestLinesStandAtTheShaft(t *testing.T) {
	for _, rate := range []engine.Hz{8000, 22050, 48000} {
		s := still(Steady(9000, 1), Clean()) // order 1 at 150 Hz
		s.Rate = rate
		x := s.Render().Samples
		x = x[len(x)/4:]
		for k := 1; k <= 12; k++ {
			on, off := tone(x, engine.Hz(k)*150, rate), tone(x, engine.Hz(k)*150+60, rate)
			if 20*math.Log10(on/off) < 60 {
				t.Errorf("%v Hz: order %d stands %.1f dB over the gap, want 60", rate, k, 20*math.Log10(on/off))
			}
		}
	}
}

// Half order against order 1 of alternating firing, as rendered:
// |a-b|/(a+b), facts.md 4.2, times the spectrum of one pulse at the two
// frequencies. A pulse is the difference of two exponentials through a
// one-pole high-pass: |P| = f/sqrt(f^2+fc^2) / |(1/fall+jw)(1/rise+jw)|.
func TestRenderedHalfOrder(t *testing.T) {
	const rpm, depth = 8400, 0.4
	spectrum := func(f float64) float64 {
		fall, rise := fallTurns*60/rpm+fallTime, riseSharp
		w := 2 * math.Pi * f
		return f / math.Hypot(f, radiateFrom) / (math.Hypot(1/fall, w) * math.Hypot(1/rise, w))
	}
	s := still(Steady(rpm, 2), Every(2, depth))
	s.Rate = 96000 // so that the difference filter is close to its ideal
	x := s.Render().Samples
	x = x[len(x)/4:]
	for k := 1; k <= 5; k += 2 { // orders 0.5, 1.5, 2.5
		f := rpm / 60 * float64(k) / 2
		got := tone(x, engine.Hz(f), s.Rate) / tone(x, rpm/60, s.Rate)
		want := (1 - depth) / (1 + depth) * spectrum(f) / spectrum(rpm/60)
		if math.Abs(got/want-1) > 0.02 {
			t.Errorf("order %v over order 1 = %.4f, want %.4f", float64(k)/2, got, want)
		}
	}
}

func TestPhoneDamage(t *testing.T) {
	p := Steady(9000, 1)
	render := func(ph Phone, rate engine.Hz) []float32 {
		s := still(p, Clean())
		s.Rate, s.Phone = rate, ph
		return s.Render().Samples
	}
	plain := render(Phone{Peak: -3}, 48000)
	t.Run("high-pass of 300 Hz takes order 1 down", func(t *testing.T) {
		got := render(Phone{Peak: -3, HighPass: 300}, 48000)
		lost := func(f engine.Hz) float64 {
			return 20 * math.Log10(tone(plain[12000:], f, 48000)/tone(got[12000:], f, 48000))
		}
		// Source: Butterworth, |H|^2 = 1/(1+(fc/f)^4): 12.3 dB at half the corner,
		// 0.05 dB at three times.
		if want := 12.3; math.Abs(lost(150)-lost(900)-want+0.05) > 0.1 {
			t.Errorf("150 Hz fell %.2f dB against 900 Hz, want %.2f", lost(150)-lost(900), want-0.05)
		}
	})
	t.Run("telephone keeps 300 to 3400 Hz", func(t *testing.T) {
		got := render(Telephone(), 8000)
		if r := tone(got[2000:], 150, 8000) / tone(got[2000:], 600, 8000); r > 0.03 {
			t.Errorf("order 1 at 150 Hz is %.3f of order 4, want it gone", r)
		}
	})
	t.Run("clipping by 14 dB", func(t *testing.T) {
		rails := 0
		for _, v := range render(Phone{Peak: 14, Bits: 16}, 48000) {
			if v > 1 || v < -1 {
				t.Fatalf("sample %v is out of range", v)
			}
			if v >= 1-1.0/32768 || v == -1 {
				rails++
			}
		}
		if rails < 480 {
			t.Errorf("%d samples at the rails in a second, want 1 %% or more", rails)
		}
	})
	t.Run("sixteen bits", func(t *testing.T) {
		for _, v := range render(Phone{Peak: -3, Bits: 16}, 48000)[:1000] {
			if x := float64(v) * 32768; x != math.Round(x) {
				t.Fatalf("sample %v is not a step of 1/32768", v)
			}
		}
	})
}

func TestGainControlLevelsOut(t *testing.T) {
	const rate = 16000
	x := make([]float32, 6*rate)
	for i := range x {
		a := 0.02
		if i > 3*rate {
			a = 0.5
		}
		x[i] = float32(a * math.Sin(2*math.Pi*440*float64(i)/rate))
	}
	UsualAGC().run(x, rate)
	soft, loud := meanPower(x[5*rate/2:3*rate]), meanPower(x[11*rate/2:])
	if d := 10 * math.Log10(loud/soft); d > 8 {
		t.Errorf("28 dB of difference became %.1f dB, want under 8", d)
	}
}

func TestPlacesWithoutAnEngine(t *testing.T) {
	for _, kind := range []Kind{White, Pink, Wind, Hum50, Hum60, Birds, Chords, Fan} {
		s := Scene{Rate: 16000, Seed: 3, Profile: Profile{Length: 2}, Backgrounds: []Background{{Kind: kind}}, Phone: Recorder()}
		o := s.Render()
		if meanPower(o.Samples) == 0 {
			t.Errorf("kind %d is silent", kind)
		}
		if o.Truth.SpeedAt(1) != 0 || o.Truth.FiresAt(1) != 0 || len(o.Samples) != 32000 {
			t.Errorf("kind %d: truth tells of an engine, or the length is wrong", kind)
		}
	}
	silence := Scene{Rate: 16000, Profile: Profile{Length: 1}, Phone: Recorder()}.Render()
	if meanPower(silence.Samples) != 0 {
		t.Error("silence sounds")
	}
}

func BenchmarkRender(b *testing.B) {
	for _, rate := range []engine.Hz{8000, 16000, 22050, 48000} {
		p := Pass{Idle: 2800, Top: 12600, IdleFor: 2, RiseIn: 0.5, HoldFor: 5, FallIn: 1, ReturnFor: 1.5}.Profile()
		s := NewScene(1, p, Always(Every(2, 0.5)))
		s.Rate = rate
		b.Run(fmt.Sprint(rate), func(b *testing.B) {
			for b.Loop() {
				s.Render()
			}
			b.ReportMetric(float64(p.Length)*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}
