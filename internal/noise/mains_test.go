package noise

import (
	"context"
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/audio/audiotest"
	"topnote/internal/engine"
)

const testRate engine.Hz = 8000

func whiteNoise(n int, sd float64, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 1))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(sd * rng.NormFloat64())
	}
	return x
}

// addTone adds a tone of amplitude a.
func addTone(x []float32, f, a float64) {
	for i := range x {
		x[i] += float32(a * math.Sin(2*math.Pi*f*float64(i)/float64(testRate)))
	}
}

// removed gives x without its mains hum, which memory cannot fail to give, and the
// hum of its first block.
func removed(t *testing.T, x []float32) ([]float32, hum) {
	t.Helper()
	m, err := FindMains(t.Context(), audio.Memory(x), testRate)
	if err != nil {
		t.Fatal(err)
	}
	out := audiotest.All(m.Remove(audio.Memory(x)))
	if m.blocks == nil {
		return out, hum{}
	}
	return out, m.blocks[0]
}

// toneLevel gives the power of a tone in a stretch, dB.
func toneLevel(x []float32, f float64) float64 {
	a := singleBinDFT(x, 2*math.Pi*f/float64(testRate))
	return 20 * math.Log10(cmplx.Abs(a)+1e-10)
}

// TestSingleBinDFT: the amplitude of a tone, by its definition.
func TestSingleBinDFT(t *testing.T) {
	x := make([]float32, 8000)
	for i := range x {
		s, c := math.Sincos(2 * math.Pi * 123.4 * float64(i) / 8000)
		x[i] = float32(0.3*c + 0.4*s)
	}
	if a := singleBinDFT(x, 2*math.Pi*123.4/8000); cmplx.Abs(a-complex(0.3, 0.4)) > 1e-3 {
		t.Errorf("cosine and sine %.4f, want 0.3 and 0.4", a)
	}
}

// TestRemove: hum goes down by 30 dB or more, off its nominal frequency,
// too; the noise around it stays.
func TestRemove(t *testing.T) {
	for _, mains := range []float64{50, 49.95, 50.08, 60, 60.05} {
		x := whiteNoise(5*int(testRate), 1e-4, 4)
		for _, k := range []float64{1, 2, 3, 4, 6} {
			addTone(x, k*mains, 0.05/k)
		}
		before := append([]float32(nil), x...)
		out, h := removed(t, x)
		if math.Abs(float64(h.mains)/mains-1) > 5e-4 || len(h.harmonics) != 5 {
			t.Errorf("%v Hz: found %.3f Hz with lines %v", mains, h.mains, h.harmonics)
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

// TestMainsLeaveEngine: an engine whose speed wanders by one and a half
// percent, as idle in the field does, evenly or never the same way twice, or so by
// half of one, is no hum even around the mains frequency.
func TestMainsLeaveEngine(t *testing.T) {
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
			out, h := removed(t, x)
			if h.mains != 0 || &out[0] != &x[0] {
				t.Errorf("an engine at %v Hz that wanders %s was taken for hum of %.2f Hz, lines %v", f, name, h.mains, h.harmonics)
			}
		}
	}
}

// uneven is a slow swing of about 1 that does not come again within a recording.
func uneven(at float64) float64 {
	return (math.Sin(0.23*at) + math.Sin(0.41*at) + math.Sin(0.67*at)) / 1.5
}

// TestRemoveUnderEngine: where there are both, the engine is left.
func TestRemoveUnderEngine(t *testing.T) {
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
	out, h := removed(t, x)
	var left, was, all float64
	for i := range out {
		left += math.Pow(float64(out[i]-saw[i]), 2)
		was += math.Pow(float64(x[i]-saw[i]), 2)
		all += math.Pow(float64(saw[i]), 2)
	}
	t.Logf("hum under an engine: down by %.1f dB, lines %v; what is left lies %.1f dB under the engine", 10*math.Log10(was/left), h.harmonics, 10*math.Log10(all/left))
	if h.mains == 0 || 10*math.Log10(was/left) < 10 || 10*math.Log10(all/left) < 15 {
		t.Errorf("found %+v, down by %.1f dB", h, 10*math.Log10(was/left))
	}
}

// TestRemoveDrowned: hum is found though something louder covers it for a
// third of the time, and is taken off under that, too.
func TestRemoveDrowned(t *testing.T) {
	second := int(testRate)
	loud := whiteNoise(6*second, 1e-4, 7)
	copy(loud[2*second:4*second], whiteNoise(2*second, 0.5, 8))
	x := append([]float32(nil), loud...)
	for _, k := range []float64{1, 2, 3, 4} {
		addTone(x, 60*k, 0.02)
	}
	out, h := removed(t, x)
	if h.mains == 0 {
		t.Fatal("found no hum")
	}
	for _, k := range []float64{1, 2, 3, 4} {
		if down := toneLevel(x[:second], k*60) - toneLevel(out[:second], k*60); down < 30 {
			t.Errorf("line %v: down by %.1f dB, want 30", k, down)
		}
	}
}

// TestMainsOfShort: less than two windows of sound come back as they are.
func TestMainsOfShort(t *testing.T) {
	for _, n := range []int{0, 1, 2*int(testRate) - 1} {
		x := make([]float32, n)
		addTone(x, 50, 0.1)
		if out, h := removed(t, x); len(out) != n || h.mains != engine.Hz(0) {
			t.Errorf("%d samples: %d came back, hum %+v", n, len(out), h)
		}
	}
}

// TestMainsMultiples: the lines of something that runs as steadily as the mains
// at three times their frequency and more are no hum; twice is, as lamps and
// transformers hum at it.
func TestMainsMultiples(t *testing.T) {
	for f, want := range map[float64]bool{50: true, 100: true, 120: true, 150: false, 180: false, 200: false, 240: false} {
		x := whiteNoise(5*int(testRate), 1e-3, 6)
		for k := 1.0; k*f <= 900; k++ {
			addTone(x, k*f, 0.05/k)
		}
		if _, h := removed(t, x); (h.mains > 0) != want {
			t.Errorf("multiples of %v Hz: hum of %v Hz, lines %v", f, h.mains, h.harmonics)
		}
	}
}

// TestDriftingMains: mains that are at another frequency half a minute later are
// still found and taken off, and every segment is what the whole has there.
func TestDriftingMains(t *testing.T) {
	second := int(testRate)
	x := whiteNoise(75*second, 1e-4, 9)
	var phase float64
	for i := range x {
		phase += (49.94 + 0.12*float64(i)/float64(len(x))) / float64(testRate)
		for k := 1.0; k <= 4; k++ {
			x[i] += float32(0.05 / k * math.Sin(2*math.Pi*k*phase))
		}
	}
	m, err := FindMains(t.Context(), audio.Memory(x), testRate)
	if err != nil || len(m.blocks) < 2 || m.Nominal() != 50 {
		t.Fatalf("%d blocks of %v Hz, error %v; want 2 or more of 50 Hz", len(m.blocks), m.Nominal(), err)
	}
	signal := m.Remove(audio.Memory(x))
	out := audiotest.All(signal)
	var was, left float64
	for i, v := range x {
		was, left = was+float64(v)*float64(v), left+float64(out[i])*float64(out[i])
	}
	if down := 10 * math.Log10(was/left); down < 20 {
		t.Errorf("down by %.1f dB, want 20", down)
	}
	var buf []float32
	for from := 0; from < len(x); from += 3000 {
		to := min(len(x), from+11111)
		if buf, err = signal.Segment(buf, from, to); err != nil || !slices.Equal(buf, out[from:to]) {
			t.Fatalf("samples %d to %d are not those of the whole; error %v", from, to, err)
		}
	}
}

// TestMainsFaults: a context that has ended and a signal that cannot be read are
// errors, and not a recording without hum.
func TestMainsFaults(t *testing.T) {
	x := make(audio.Memory, 5*int(testRate))
	addTone(x, 50, 0.1)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := FindMains(ctx, x, testRate); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: error %v", err)
	}
	if _, err := FindMains(t.Context(), unreadable{x}, testRate); !errors.Is(err, errUnreadable) {
		t.Errorf("unreadable: error %v", err)
	}
}

var errUnreadable = errors.New("unreadable")

type unreadable struct{ audio.Memory }

func (unreadable) Segment([]float32, int, int) ([]float32, error) { return nil, errUnreadable }

// TestMainsFilter: hum goes down by 20 dB in sound that is still coming, a second after
// it was found, however the sound is cut into pieces; the noise around it stays.
func TestMainsFilter(t *testing.T) {
	const found, settled = 8, 10 // s
	for _, mains := range []float64{49.95, 50.08, 60, 60.05} {
		x := whiteNoise(14*int(testRate), 1e-4, 4)
		for _, k := range []float64{1, 2, 3, 4, 6} {
			addTone(x, k*mains, 0.05/k)
		}
		whole := slices.Clone(x)
		NewMainsFilter(testRate).Filter(whole)
		f, pieces := NewMainsFilter(testRate), slices.Clone(x)
		for at := 0; at < len(pieces); at += 77 {
			f.Filter(pieces[at:min(len(pieces), at+77)])
		}
		n := int(testRate)
		if !slices.Equal(whole[:found*n], x[:found*n]) {
			t.Errorf("%v Hz: something was taken out before hum was found", mains)
		}
		for _, k := range []float64{1, 2, 3, 4, 6} {
			before, after := toneLevel(x[settled*n:], k*mains), toneLevel(whole[settled*n:], k*mains)
			if before-after < 20 {
				t.Errorf("%v Hz, harmonic %v: from %.1f to %.1f dB", mains, k, before, after)
			}
		}
		for i, v := range whole {
			if math.Abs(float64(v-pieces[i])) > 1e-5 {
				t.Fatalf("%v Hz: in pieces, sample %d is %v and not %v", mains, i, pieces[i], v)
			}
		}
		between := toneLevel(whole[settled*n:], 5.5*mains)
		if want := toneLevel(x[settled*n:], 5.5*mains); math.Abs(between-want) > 1 {
			t.Errorf("%v Hz: the noise beside it went from %.1f to %.1f dB", mains, want, between)
		}
		if len(f.kept) > f.most || cap(f.kept) > 2*f.most {
			t.Errorf("%d samples are kept", cap(f.kept))
		}
	}
}

// TestMainsFilterLeaves: without hum nothing is taken out.
func TestMainsFilterLeaves(t *testing.T) {
	x := whiteNoise(14*int(testRate), 0.1, 5)
	got := slices.Clone(x)
	NewMainsFilter(testRate).Filter(got)
	if !slices.Equal(got, x) {
		t.Error("noise was changed")
	}
}
