package noise

import (
	"math"
	"math/rand/v2"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// must gives a result of sound that lies in memory and can always be read.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// tones gives sines of equal strength at multiples of f.
func tones(f, level float64, length engine.Seconds) audio.Memory {
	x := make(audio.Memory, int(float64(length)*float64(testRate)))
	for i := range x {
		var v float64
		for h := f; h < 3500; h += f {
			v += level * math.Sin(2*math.Pi*h*float64(i)/float64(testRate)+h)
		}
		x[i] = float32(v)
	}
	return x
}

// TestModulation: noise whose level is modulated at the rate of syllables is found to
// be, by the right amplitude; slower and faster modulation does not count.
func TestModulation(t *testing.T) {
	const amplitude, tolerance = 6.0, 0.7 // dB
	o := Default()
	for f, want := range map[float64]float64{4: amplitude, 5.5: amplitude, 0.5: 0, 15: 0} {
		r := rand.New(rand.NewPCG(1, 3))
		x := make(audio.Memory, 2*int(testRate))
		for i := range x {
			level := amplitude * math.Sin(2*math.Pi*f*float64(i)/float64(testRate))
			x[i] = float32(0.05 * r.NormFloat64() * math.Pow(10, level/20))
		}
		n := int(math.Round(float64(o.SpeechWindow / o.SpeechStep)))
		// Noise in bands of 400 Hz, read over 32 ms, is modulated by itself: a deviation of
		// about 2 dB in a reading, of which a sixth is at the rates.
		e := newEnvelope(testRate, o)
		e.advance(x, 10, n)
		if got := e.modulation(o); math.Abs(got-want) > tolerance && !(want == 0 && got < 1.5) {
			t.Errorf("modulation at %v Hz: %.2f dB, want %.2f", f, got, want)
		}
	}
}

// TestFindSpeech: syllables with a pitch are speech; the same syllables of noise
// are not, nor is a steady tone of the same pitch.
func TestFindSpeech(t *testing.T) {
	const pitch = 131 // Hz
	const much = 1.4  // s, as quality.Options.MaxSpeech
	o := Default()
	r := rand.New(rand.NewPCG(1, 4))
	for name, c := range map[string]struct {
		voiced, syllables bool
		want              bool
	}{
		"syllables with a pitch": {true, true, true}, "syllables of noise": {false, true, false}, "a steady tone": {true, false, false},
	} {
		x := make(audio.Memory, 5*int(testRate))
		for i := range x {
			v := r.NormFloat64()
			if c.voiced {
				v = 0
				for h := 1.0; h <= 12; h++ { // a voice falls with frequency
					v += 1 / h * math.Sin(2*math.Pi*pitch*h*float64(i)/float64(testRate))
				}
			}
			if c.syllables && i%2000 > 1000 { // four a second
				v *= 0.1
			}
			x[i] = float32(0.1*v + 0.002*r.NormFloat64())
		}
		if got := must(findSpeech(t.Context(), x, testRate, o)).Length(); (got >= much) != c.want {
			t.Errorf("%s: speech for %.1f s", name, got)
		}
	}
}

// TestLevels: a hop is as loud as its sound.
func TestLevels(t *testing.T) {
	o := Default()
	l := must(measureLevels(t.Context(), tones(1000, 0.1, 2), testRate, o)) // 1, 2 and 3 kHz
	want := 10 * math.Log10(3*0.1*0.1/2)
	if got := l.EngineAt(1); math.Abs(got-want) > 0.2 {
		t.Errorf("%.2f dB, want %.2f", got, want)
	}
	if len(l.Engine) != 10 || l.Low[5] > want-50 {
		t.Errorf("%d hops, %.1f dB below the engine", len(l.Engine), l.Low[5])
	}
}
