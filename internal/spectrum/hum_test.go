package spectrum

import (
	"math"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// toneLevel gives the power of a tone in a stretch, dB.
func toneLevel(x []float32, f float64) float64 {
	a, b := singleBinDFT(x, f/float64(testRate))
	return 10 * math.Log10(a*a+b*b+1e-20)
}

// TestProject: the amplitude of a tone, by its definition.
func TestProject(t *testing.T) {
	x := make([]float32, 8000)
	for i := range x {
		s, c := math.Sincos(2 * math.Pi * 123.4 * float64(i) / 8000)
		x[i] = float32(0.3*c + 0.4*s)
	}
	if a, b := singleBinDFT(x, 123.4/8000); math.Abs(a-0.3) > 1e-3 || math.Abs(b-0.4) > 1e-3 {
		t.Errorf("cosine %.4f and sine %.4f, want 0.3 and 0.4", a, b)
	}
}

// TestWithoutHum: hum goes down by 30 dB or more, off its nominal frequency,
// too; the noise around it stays.
func TestWithoutHum(t *testing.T) {
	for _, mains := range []float64{50, 49.95, 50.08, 60, 60.05} {
		x := whiteNoise(5*int(testRate), 1e-4, 4)
		for _, k := range []float64{1, 2, 3, 4, 6} {
			addTone(x, k*mains, 0.05/k)
		}
		before := append([]float32(nil), x...)
		out, h := RemoveHum(x, testRate, DefaultHum())
		if math.Abs(float64(h.Mains)/mains-1) > 5e-4 || len(h.Lines) != 5 {
			t.Errorf("%v Hz: found %.3f Hz with lines %v", mains, h.Mains, h.Lines)
			continue
		}
		for _, k := range []float64{1, 2, 3, 4, 6} {
			for from := 0; from+8000 <= len(x); from += 8000 {
				down := toneLevel(x[from:from+8000], k*mains) - toneLevel(out[from:from+8000], k*mains)
				if down < 30 {
					t.Errorf("%v Hz, line %v, second %d: down by %.1f dB, want 30", mains, k, from/8000, down)
				}
			}
		}
		for i := range x {
			if x[i] != before[i] {
				t.Fatal("the sound handed in was changed")
			}
		}
	}
}

// TestWithoutHumLeavesEngine: an engine whose speed wanders by one and a half
// percent, as idle in the field does, evenly or never the same way twice, or so by
// half of one, is no hum even around the mains frequency.
func TestWithoutHumLeavesEngine(t *testing.T) {
	for _, f := range []float64{47, 50, 60, 100} {
		for name, wander := range map[string]func(at float64) float64{
			"evenly, by 1.5 %":   func(at float64) float64 { return 0.015 * math.Sin(0.7*at) },
			"unevenly, by 1.5 %": func(at float64) float64 { return 0.015 * uneven(at) },
			"unevenly, by 0.5 %": func(at float64) float64 { return 0.005 * uneven(at) },
		} {
			x := whiteNoise(5*int(testRate), 1e-3, 5)
			var phase float64
			for i := range x {
				at := 2 * math.Pi * float64(i) / float64(testRate)
				phase += f * (1 + wander(at)) / float64(testRate)
				for l := 1.0; l <= 10; l++ {
					x[i] += float32(0.05 / l * math.Sin(2*math.Pi*l*phase))
				}
			}
			out, h := RemoveHum(x, testRate, DefaultHum())
			if h.Mains != 0 || &out[0] != &x[0] {
				t.Errorf("an engine at %v Hz that wanders %s was taken for hum of %.2f Hz, lines %v", f, name, h.Mains, h.Lines)
			}
		}
	}
}

// uneven is a slow swing of about 1 that does not come again within a recording.
func uneven(at float64) float64 {
	return (math.Sin(0.23*at) + math.Sin(0.41*at) + math.Sin(0.67*at)) / 1.5
}

// TestWithoutHumUnderEngine: where there are both, the engine is left.
func TestWithoutHumUnderEngine(t *testing.T) {
	saw := make([]float32, 5*int(testRate))
	var phase float64
	for i := range saw {
		phase += 130 * (1 + 0.05*math.Sin(2*math.Pi*0.5*float64(i)/float64(testRate))) / float64(testRate)
		for l := 1.0; l <= 8; l++ {
			saw[i] += float32(0.05 / l * math.Sin(2*math.Pi*l*phase))
		}
	}
	x := append([]float32(nil), saw...)
	for _, k := range []float64{1, 2, 3, 4} {
		addTone(x, 50*k, 0.04)
	}
	out, h := RemoveHum(x, testRate, DefaultHum())
	var left, was, all float64
	for i := range out {
		left += math.Pow(float64(out[i]-saw[i]), 2)
		was += math.Pow(float64(x[i]-saw[i]), 2)
		all += math.Pow(float64(saw[i]), 2)
	}
	t.Logf("hum under an engine: down by %.1f dB, lines %v; what is left lies %.1f dB under the engine", 10*math.Log10(was/left), h.Lines, 10*math.Log10(all/left))
	if h.Mains == 0 || 10*math.Log10(was/left) < 10 || 10*math.Log10(all/left) < 15 {
		t.Errorf("found %+v, down by %.1f dB", h, 10*math.Log10(was/left))
	}
}

// TestWithoutHumDrowned: hum is found though something louder covers it for a
// third of the time, and is taken off under that, too.
func TestWithoutHumDrowned(t *testing.T) {
	second := int(testRate)
	loud := whiteNoise(6*second, 1e-4, 7)
	copy(loud[2*second:4*second], whiteNoise(2*second, 0.5, 8))
	x := append([]float32(nil), loud...)
	for _, k := range []float64{1, 2, 3, 4} {
		addTone(x, 60*k, 0.02)
	}
	out, h := RemoveHum(x, testRate, DefaultHum())
	if h.Mains == 0 {
		t.Fatal("found no hum")
	}
	for _, k := range []float64{1, 2, 3, 4} {
		if down := toneLevel(x[:second], k*60) - toneLevel(out[:second], k*60); down < 30 {
			t.Errorf("line %v: down by %.1f dB, want 30", k, down)
		}
	}
}

// TestWithoutHumShort: less than two windows of sound come back as they are.
func TestWithoutHumShort(t *testing.T) {
	for _, n := range []int{0, 1, 2*int(testRate) - 1} {
		x := make([]float32, n)
		addTone(x, 50, 0.1)
		if out, h := RemoveHum(x, testRate, DefaultHum()); len(out) != n || h.Mains != engine.Hz(0) {
			t.Errorf("%d samples: %d came back, hum %+v", n, len(out), h)
		}
	}
}

// TestFindHumOrders: the lines of something that runs as steadily as the mains
// at three times their frequency and more are no hum; twice is, as lamps and
// transformers hum at it.
func TestFindHumOrders(t *testing.T) {
	for f, want := range map[float64]bool{50: true, 100: true, 120: true, 150: false, 180: false, 200: false, 240: false} {
		x := whiteNoise(5*int(testRate), 1e-3, 6)
		for k := 1.0; k*f <= 900; k++ {
			addTone(x, k*f, 0.05/k)
		}
		if h, err := FindHum(audio.Memory(x), testRate, DefaultHum()); err != nil || (h.Mains > 0) != want {
			t.Errorf("multiples of %v Hz: hum of %v Hz, lines %v", f, h.Mains, h.Lines)
		}
	}
}
