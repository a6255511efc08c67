package synth

import (
	"math"
	"testing"

	"topnote/internal/engine"
)

// Equal pulses half a turn apart are pulses twice a turn: no odd order is left,
// and the even ones are twice as strong (identity of the Fourier series). With
// the sign turned it is the even ones that go.
func TestIntakeLiftsTheEvenOrders(t *testing.T) {
	const rpm, rate = 9000, 96000
	orders := func(in *Induction) (odd, even float64) {
		s := still(Steady(rpm, 1), Clean())
		s.Rate, s.Voice.Induction = rate, in
		x := s.Render().Samples[rate/4:]
		return tone(x, rpm/60, rate), tone(x, 2*rpm/60, rate)
	}
	odd, even := orders(&Induction{Level: 0, After: 0.5, Width: 1, Straight: 1})
	if even < 50*odd {
		t.Errorf("order 1 is %.4f of order 2 with equal pulses half a turn apart, want none", odd/even)
	}
	odd, even = orders(&Induction{Level: 0, After: 0.5, Width: 1, Straight: 1, Inverted: true})
	if odd < 50*even {
		t.Errorf("order 2 is %.4f of order 1 with opposite pulses half a turn apart, want none", even/odd)
	}
	plainOdd, plainEven := orders(nil)
	odd, even = orders(&Induction{Level: Off, After: 0.5, Width: 1, Straight: 1})
	if odd/even != plainOdd/plainEven {
		t.Errorf("an intake that is off changes the sound")
	}
}

func TestWheelsSoundAtTheirTeeth(t *testing.T) {
	const rpm, rate = 9000, 48000
	s := still(Steady(rpm, 1), Clean())
	s.Voice.Wheels = []Wheel{{Level: -6, PerTurn: 7.4, Overtones: []float64{1}}}
	s.Voice.ChainFrom = 4000
	with := s.Render().Samples[rate/4:]
	s.Voice.Wheels = nil
	without := s.Render().Samples[rate/4:]
	const f = 7.4 * rpm / 60
	// A sine of mean power a fourth (-6 dB) of the pulses': its peak is the root of
	// twice that. Both sounds are scaled to their loudest sample; order 1 tells by
	// how much.
	scale := tone(without, rpm/60, rate) / tone(with, rpm/60, rate)
	want := math.Sqrt(2*meanPower(without)) * amplitude(-6)
	if got := scale * tone(with, f, rate); math.Abs(got/want-1) > 0.05 {
		t.Errorf("a tooth tone of %.4f, want %.4f", got, want)
	}
	clutched := Wheel{Level: 0, PerTurn: 7.4, Overtones: []float64{1}, Clutched: true}
	slow := make([]float32, rate/2)
	clutched.draw(slow, rate, still(Steady(3000, 1), Clean()).Run(), 4000, newRand(1, 1))
	if meanPower(slow) != 0 {
		t.Error("a wheel behind the clutch sounds under the speed at which it engages")
	}
}

func TestDistanceTakesSixDecibelsEachDoubling(t *testing.T) {
	s := NewScene(1, Steady(9000, 1), Always(Clean()))
	s.Backgrounds = []Background{{Kind: Pink, Below: 20}}
	far, farther := s.From(8), s.From(16)
	if d := far.Backgrounds[0].Below - farther.Backgrounds[0].Below; math.Abs(float64(d)-6.02) > 0.01 {
		t.Errorf("twice as far the noise rises by %.2f dB against the engine, want 6.02", d)
	}
	if s.Backgrounds[0].Below != 20 || s.Room.LowPass != 0 {
		t.Error("the scene itself has changed")
	}
	if farther.Room.LowPass >= far.Room.LowPass {
		t.Error("farther away it is no duller")
	}
}

func TestMuffleHasItsCorner(t *testing.T) {
	const rate = 48000
	at := func(f engine.Hz) float64 {
		x := make([]float32, rate)
		for i := range x {
			x[i] = float32(math.Sin(2 * math.Pi * float64(f) / rate * float64(i)))
		}
		muffle(x, 1000, rate)
		return 20 * math.Log10(tone(x[rate/2:], f, rate))
	}
	// Source: one pole, 3.01 dB at the corner, 0.04 dB at a tenth of it, 17.0 dB (to
	// within the difference of s and z) at seven times.
	for _, x := range []struct{ f, want, within float64 }{{100, -0.04, 0.02}, {1000, -3.01, 0.3}, {7000, -17, 1}} {
		if got := at(engine.Hz(x.f)); math.Abs(got-x.want) > x.within {
			t.Errorf("%.0f Hz falls by %.2f dB, want %.2f", x.f, got, x.want)
		}
	}
}

func TestSuppressionFadesWhatIsSteady(t *testing.T) {
	const rate, floor = 16000, -20
	x := make([]float32, 8*rate)
	for i := range x {
		x[i] = float32(0.3 * math.Sin(2*math.Pi*750/rate*float64(i)))
	}
	Suppression{Over: 1.5, Floor: floor, Learns: 1}.run(x, rate)
	begin, end := tone(x[rate/20:rate/5], 750, rate), tone(x[7*rate:], 750, rate)
	if fell := 20 * math.Log10(end/begin); math.Abs(fell-floor) > 2.5 {
		t.Errorf("a steady tone falls by %.1f dB, want %d", fell, floor)
	}
	// With nothing to subtract, overlap and add give the sound back.
	y := make([]float32, rate)
	for i := range y {
		y[i] = float32(math.Sin(float64(i*i) / 1e5))
	}
	want := append([]float32(nil), y...)
	Suppression{Over: 0, Floor: floor, Learns: 1}.run(y, rate)
	for i := range y {
		if math.Abs(float64(y[i]-want[i])) > 1e-4 {
			t.Fatalf("sample %d is %v, was %v", i, y[i], want[i])
		}
	}
	silence := make([]float32, rate)
	Suppression{Over: 2, Floor: floor, Learns: 1}.run(silence, rate)
	if meanPower(silence) != 0 {
		t.Error("silence sounds")
	}
}

func TestGustsComeAndGo(t *testing.T) {
	const rate, window = 16000, 1600
	x := make([]float32, 20*rate)
	Background{Kind: Gusts}.render(x, rate, newRand(1, 1))
	if low, high := octave(x, 60, rate), octave(x, 3000, rate); low-high < 20 {
		t.Errorf("gusts at 60 Hz stand %.1f dB over 3 kHz, want 20 or more", low-high)
	}
	var soft, loud = math.Inf(1), 0.0
	for i := 0; i+window <= len(x); i += window {
		p := meanPower(x[i : i+window])
		soft, loud = min(soft, p), max(loud, p)
	}
	if 10*math.Log10(loud/soft) < 20 {
		t.Errorf("gusts stand %.1f dB over the calm, want 20 or more", 10*math.Log10(loud/soft))
	}
}

// A voice has a pitch between 60 and 300 Hz in its syllables, and pauses.
func TestSpeechHasPitchAndPauses(t *testing.T) {
	const rate, window = 8000, 400
	x := make([]float32, 10*rate)
	Background{Kind: Speech}.render(x, rate, newRand(2, 1))
	mean := meanPower(x)
	voiced, sounding, silent := 0, 0, 0
	for i := 0; i+2*window <= len(x); i += window {
		p := meanPower(x[i : i+window])
		switch {
		case p < mean/1000:
			silent++
			continue
		case p < mean/2:
			continue
		}
		sounding++
		for lag := rate / 300; lag <= rate/60; lag++ {
			dot := 0.0
			for k := range window {
				dot += float64(x[i+k]) * float64(x[i+k+lag])
			}
			if dot > 0.6*window*math.Sqrt(p*meanPower(x[i+lag:i+lag+window])) {
				voiced++
				break
			}
		}
	}
	if silent < 10 || sounding < 30 || voiced < sounding*6/10 {
		t.Errorf("of 200 windows %d are silent and %d loud, %d of these with a pitch", silent, sounding, voiced)
	}
}
