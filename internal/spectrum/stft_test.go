package spectrum

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

const testRate engine.Hz = 8000

func testSTFT(t testing.TB) *STFT {
	t.Helper()
	p, err := NewSTFT(STFTOptions{Rate: testRate, Length: 0.128, Size: 1024, Top: 3400, Floor: DefaultFloor()})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func whiteNoise(n int, sd float64, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 9))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(sd * r.NormFloat64())
	}
	return x
}

func addTone(x []float32, f, a float64) {
	for i := range x {
		x[i] += float32(a * math.Sin(2*math.Pi*f*float64(i)/float64(testRate)))
	}
}

// sideLobe gives the highest side lobe of a window, dB under its main lobe.
func sideLobe(win []float32) float64 {
	const finer = 64
	x := make([]float64, finer*len(win))
	for i, v := range win {
		x[i] = float64(v)
	}
	c := fourier.NewFFT(len(x)).Coefficients(nil, x)
	k := 1
	for cmplx.Abs(c[k]) < cmplx.Abs(c[k-1]) { // down to the first null
		k++
	}
	var top float64
	for _, v := range c[k:] {
		top = max(top, cmplx.Abs(v))
	}
	return 20 * math.Log10(top/cmplx.Abs(c[0]))
}

// TestWindow: the frames are weighed by a Hann window, whose highest side lobe
// is -31.5 dB and whose figures are: mean 1/2, mean square 3/8.
//
// Source: Harris 1978, table 1, and the sums worked out.
func TestWindow(t *testing.T) {
	p := testSTFT(t)
	if got := sideLobe(p.win); math.Abs(got+31.5) > 0.1 {
		t.Errorf("highest side lobe %.2f dB, want -31.5", got)
	}
	var sum, square float64
	for _, w := range p.win {
		sum += float64(w)
		square += float64(w) * float64(w)
	}
	n := float64(len(p.win))
	if math.Abs(sum/n-0.5) > 1e-7 || math.Abs(square/n-0.375) > 1e-7 {
		t.Errorf("mean %.6f and mean square %.6f, want 1/2 and 3/8", sum/n, square/n)
	}
}

// TestLevelsOfTone: a tone in white noise exceeds the floor by
// A^2 N/(6 s^2), and the floor, a mean of levels, is 2.51 dB under the level
// of the mean power.
//
// Source: Hann sums of the test above; the mean of the logarithm of an
// exponential variable is minus Euler's constant (10/ln 10 x 0.5772 = 2.507 dB).
func TestLevelsOfTone(t *testing.T) {
	const (
		amplitude, sd = 0.1, 0.02
		bin           = 128 // 1000 Hz
		frames        = 60
		within        = 1.0 // dB: floor of 38 bins, and a mean of 60 frames
	)
	p := testSTFT(t)
	x := whiteNoise(frames*1024+2048, sd, 1)
	addTone(x, bin*float64(p.BinWidth()), amplitude)
	level := make([]float32, p.Bins())
	var tone, rest float64
	for k := range frames {
		p.Levels(level, x, 1024+k*1024)
		tone += float64(level[bin]) / frames
		rest += float64(level[300]) / frames
	}
	want := 10*math.Log10(amplitude*amplitude*1024/(6*sd*sd)) + 2.51
	if math.Abs(tone-want) > within {
		t.Errorf("the tone is %.2f dB over the floor, want %.2f", tone, want)
	}
	if math.Abs(rest) > 2.2 { // the level of one bin of noise has a standard deviation of 5.6 dB
		t.Errorf("noise is %.2f dB over its own floor", rest)
	}
}

// TestLevelsOfSilence: silence has levels of 0 dB, and so has what is outside the sound.
func TestLevelsOfSilence(t *testing.T) {
	p := testSTFT(t)
	for _, x := range [][]float32{nil, make([]float32, 1), make([]float32, 5000)} {
		for _, centre := range []int{-5000, 0, 2500, 100000} {
			for _, slope := range []float64{0, 4, -4} {
				for i, v := range p.ChirpLevels(make([]float32, p.Bins()), x, centre, slope) {
					if math.Abs(float64(v)) > 1e-4 {
						t.Fatalf("%d samples, centre %d: bin %d is at %v dB", len(x), centre, i, v)
					}
				}
			}
		}
	}
}

// TestWarped: a tone that sweeps is one sharp line on the time axis of its
// shaft, as high as a still one, and smeared off it.
func TestWarped(t *testing.T) {
	const f, slope, centre = 1000.0, 3.0, 4000
	x, still := whiteNoise(8000, 0.02, 2), whiteNoise(8000, 0.02, 2)
	for i := range x {
		s := float64(i-centre) / float64(testRate)
		x[i] += float32(0.1 * math.Sin(2*math.Pi*f*(s+slope*s*s/2)))
		still[i] += float32(0.1 * math.Sin(2*math.Pi*f*s))
	}
	p := testSTFT(t)
	level := make([]float32, p.Bins())
	bin := int(f / float64(p.BinWidth()))
	want := p.Levels(level, still, centre)[bin]
	smeared := p.Levels(level, x, centre)[bin]
	sharp := p.ChirpLevels(level, x, centre, slope)[bin]
	if math.Abs(float64(sharp-want)) > 3 { // interpolation between samples adds noise of its own
		t.Errorf("%.1f dB with the right slope, %.1f for a still tone", sharp, want)
	}
	if smeared > sharp-6 {
		t.Errorf("%.1f dB without the slope, %.1f with it", smeared, sharp)
	}
}

func TestNewSTFTRefuses(t *testing.T) {
	for _, o := range []STFTOptions{
		{Rate: testRate, Length: 0.2, Size: 1024, Top: 1000, Floor: DefaultFloor()},
		{Rate: testRate, Length: 0, Size: 1024, Top: 1000, Floor: DefaultFloor()},
	} {
		if _, err := NewSTFT(o); err == nil {
			t.Errorf("a window of %v s in %d samples was accepted", o.Length, o.Size)
		}
	}
}

// TestSpectrogram: columns every 20 ms, rows up to 1 kHz, a tone in its row; a long
// clip gets fewer columns to a second.
func TestSpectrogram(t *testing.T) {
	const f = 500.0
	x := whiteNoise(3*int(testRate), 1e-3, 3)
	addTone(x, f, 0.1)
	m := mustSpectrogram(t, audio.Memory(x))
	if n := len(m.Levels); n < 150 || n > 151 || m.Hop != 0.02 { // rounding decides on the last
		t.Errorf("%d columns every %v s for 3 s, want 150 every 0.02", len(m.Levels), m.Hop)
	}
	row := int(math.Round(f / float64(m.BinWidth)))
	for k, column := range m.Levels[5:145] {
		for i, v := range column {
			if v < 0 || v > column[row] {
				t.Fatalf("column %d: row %d at %v dB, the tone's %d at %v", k, i, v, row, column[row])
			}
		}
	}
	if top := m.BinWidth * engine.Hz(len(m.Levels[0])-1); top < 1000 || top > 1010 {
		t.Errorf("rows go up to %v Hz, want 1000", top)
	}
	if long := mustSpectrogram(t, make(audio.Memory, 120*int(testRate))); len(long.Levels) > 1502 {
		t.Errorf("%d columns for two minutes", len(long.Levels))
	}
	if none := mustSpectrogram(t, audio.Memory(nil)); len(none.Levels) != 1 {
		t.Errorf("%d columns for no sound, want 1", len(none.Levels))
	}
	if _, err := NewSpectrogram(make(audio.Memory, 100), 20000); err == nil {
		t.Error("a rate at which the window does not fit the transform was accepted")
	}
}

func mustSpectrogram(t *testing.T, x audio.Signal) Spectrogram {
	t.Helper()
	m, err := NewSpectrogram(x, testRate)
	if err != nil {
		t.Fatal(err)
	}
	return m
}
