package resample

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// resample sends a whole sound through a new resampler.
func resample(x []float32, rate int) []float32 {
	r := New(Design(rate, Default()))
	return r.Flush(r.Push(nil, x), int(OutputLength(int64(len(x)), rate)))
}

// fit gives amplitude and phase of the sine of f Hz in y, and what is left when
// it is taken out, as the ratio of rms to that of a sine of amplitude 1. phase
// is counted from sample 0, which is not in y: y begins at sample from.
//
// Source: linear least squares on sine and cosine, by the normal equations.
func fit(y []float32, from int, f float64) (amplitude, phase, rest float64) {
	var ss, sc, cc, ys, yc float64
	w := 2 * math.Pi * f / float64(Rate)
	for i, v := range y {
		s, c := math.Sincos(w * float64(from+i))
		ss += s * s
		sc += s * c
		cc += c * c
		ys += float64(v) * s
		yc += float64(v) * c
	}
	det := ss*cc - sc*sc
	a, b := (ys*cc-yc*sc)/det, (yc*ss-ys*sc)/det
	var sum float64
	for i, v := range y {
		s, c := math.Sincos(w * float64(from+i))
		e := float64(v) - a*s - b*c
		sum += e * e
	}
	return math.Hypot(a, b), math.Atan2(b, a), math.Sqrt(2 * sum / float64(len(y)))
}

func rms(y []float32) float64 {
	var sum float64
	for _, v := range y {
		sum += float64(v) * float64(v)
	}
	return math.Sqrt(sum / float64(len(y)))
}

func decibels(ratio float64) float64 { return 20 * math.Log10(ratio) }

// TestResponse measures the promise of the package with tones: within 0.1 dB up
// to 3400 Hz, 80 dB down from 4000 Hz (aliases of every kind counted), times
// right. Rates below 8000 keep the same share of their own band.
func TestResponse(t *testing.T) {
	const (
		rippleDB  = 0.1 // the promise; delay is a hundredth of what was asked for
		stopDB    = -80
		delay     = 0.01 // samples of 8 kHz
		seconds   = 0.15
		edge      = 200 // samples at either end within reach of the start of the tone
		passTones = 16
		stopTones = 36
	)
	for _, rate := range []int{4000, 5512, 7999, 8012, 11025, 12000, 16000, 22050, 24000, 32000,
		37800, 44056, 44100, 47999, 48000, 88200, 96000, 176400, 192000, 384000} {
		t.Run(fmt.Sprint(rate), func(t *testing.T) {
			t.Parallel()
			n := int(seconds * float64(rate))
			shrink := math.Min(1, float64(rate)/8000)
			var ripple, late, alias, leak float64
			for i := range passTones {
				f := shrink * (37 + (3400-37)*float64(i)/(passTones-1))
				y := resample(tone(n, f/float64(rate), 1), rate)
				amplitude, phase, rest := fit(y[edge:len(y)-edge], edge, f)
				ripple = max(ripple, math.Abs(decibels(amplitude)))
				late = max(late, math.Abs(phase)/(2*math.Pi*f)*float64(Rate))
				alias = max(alias, rest)
			}
			for i := range stopTones {
				from, to := 4000*shrink, float64(rate)/2
				if to <= from {
					break
				}
				// Half way down in octaves: most tones stand where the edge is.
				f := from * math.Pow(to/from, float64(i)/stopTones)
				y := resample(tone(n, f/float64(rate), 1), rate)
				leak = max(leak, math.Sqrt2*rms(y[edge:len(y)-edge]))
			}
			t.Logf("pass band ±%.4f dB, delay %.5f samples, aliases %.1f dB, stop band %.1f dB",
				ripple, late, decibels(alias), decibels(leak))
			if ripple > rippleDB || late > delay {
				t.Errorf("pass band: %.4f dB, %.4f samples; want at most %v and %v", ripple, late, rippleDB, delay)
			}
			if decibels(alias) > stopDB || decibels(leak) > stopDB {
				t.Errorf("aliases %.1f dB, stop band %.1f dB; want at most %v", decibels(alias), decibels(leak), stopDB)
			}
		})
	}
}

// burst is a short sound around sample at: a tone under a bell of Gauss.
func burst(n int, at, width, cycles float64) []float32 {
	x := make([]float32, n)
	for i := range x {
		d := float64(i) - at
		x[i] = float32(math.Exp(-d*d/(2*width*width)) * math.Cos(2*math.Pi*cycles*d))
	}
	return x
}

// centre is the middle of the energy, in samples.
func centre(y []float32) float64 {
	var sum, first float64
	for i, v := range y {
		e := float64(v) * float64(v)
		sum += e
		first += e * float64(i)
	}
	return first / sum
}

// TestTimesStay holds a burst in its place, in the middle and near both ends,
// to a hundredth of a sample where one sample was asked for.
func TestTimesStay(t *testing.T) {
	const hz, width, near = 1200.0, 0.001, 0.008 // seconds but for hz
	for _, rate := range []int{4000, 7350, 8000, 11025, 22050, 44100, 47999, 48000, 96000, 192000} {
		seconds := 0.5
		n := int(seconds * float64(rate))
		for _, at := range []float64{near, 0.2, seconds - near} {
			y := resample(burst(n, at*float64(rate), width*float64(rate), hz/float64(rate)), rate)
			if got, want := centre(y), at*8000; math.Abs(got-want) > 0.01 {
				t.Errorf("%d Hz: burst at sample %.3f, want %.3f", rate, got, want)
			}
		}
	}
}

func TestLength(t *testing.T) {
	for _, c := range []struct {
		frames, rate, want int // want: every instant k/8000 before frames/rate
	}{
		{1, 48000, 1}, {6, 48000, 1}, {7, 48000, 2}, {48000, 48000, 8000}, {47999, 48000, 8000},
		{44100, 44100, 8000}, {1, 4000, 2}, {4000, 4000, 8000}, {5, 8000, 5}, {1, 384000, 1}, {47999, 47999, 8000},
	} {
		y := resample(make([]float32, c.frames), c.rate)
		if len(y) != c.want {
			t.Errorf("%d frames at %d Hz: %d samples, want %d", c.frames, c.rate, len(y), c.want)
		}
	}
}

func TestWorkingRateUnchanged(t *testing.T) {
	x := tone(1000, 0.37, 1)
	y := resample(x, 8000)
	if len(y) != len(x) {
		t.Fatalf("%d samples, want %d", len(y), len(x))
	}
	for i := range x {
		if x[i] != y[i] {
			t.Fatalf("sample %d: %v, want %v", i, y[i], x[i])
		}
	}
}

// TestSplit holds that the result does not depend on how the sound is cut.
func TestSplit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]int{4000, 8000, 11025, 44100, 47999, 48000, 192000}).Draw(t, "rate")
		x := tone(rapid.IntRange(1, 6000).Draw(t, "frames"), 0.013, 1)
		want := resample(x, rate)
		r := New(Design(rate, Default()))
		var got []float32
		for rest := x; len(rest) > 0; {
			n := rapid.IntRange(1, len(rest)).Draw(t, "piece")
			got = r.Push(got, rest[:n])
			rest = rest[n:]
		}
		got = r.Flush(got, int(OutputLength(int64(len(x)), rate)))
		if len(got) != len(want) {
			t.Fatalf("%d samples, want %d", len(got), len(want))
		}
		for i := range want {
			if got[i] != want[i] {
				t.Fatalf("sample %d: %v, want %v", i, got[i], want[i])
			}
		}
	})
}

// TestMemory holds that a stage keeps no more than its filter and one block.
func TestMemory(t *testing.T) {
	r := New(Design(48000, Default()))
	x := make([]float32, 1<<14)
	var y []float32
	for range 1000 {
		y = r.Push(y[:0], x)
	}
	for i, s := range r.stages {
		if most := 2 * (s.length + 1<<14); cap(s.in) > most {
			t.Errorf("stage %d holds %d samples, want at most %d", i, cap(s.in), most)
		}
	}
}
