package clip

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"topnote/internal/audio/audiotest"
	"topnote/internal/engine"
	"topnote/internal/resample"
)

// TestChoice makes recordings with several channels, each a sum of the same
// engine-like tones and its own noise, and holds which are measured.
func TestChoice(t *testing.T) {
	const dead, weak, clipped = "is silent or nearly so", "is much weaker than the rest", "is clipped"
	leftOut := func(channel, why string) string { return "channel " + channel + " " + why + " and was left out" }
	for _, c := range []struct {
		name    string
		gains   []float64 // of the tones in each channel; noise is 0.01 in each
		used    string
		remarks []string
	}{
		{"mono", []float64{0.3}, "the only channel", nil},
		{"mono, inverted", []float64{-0.3}, "the only channel", nil},
		{"alike", []float64{0.3, 0.3}, "mix of 2", nil},
		{"6 dB apart", []float64{0.3, 0.15}, "mix of 2", nil},
		{"12 dB apart", []float64{0.075, 0.3}, "channel 2 of 2", []string{leftOut("1", weak)}},
		{"one dead", []float64{0.3, 0}, "channel 1 of 2", []string{leftOut("2", dead)}},
		{"opposite", []float64{0.3, -0.35}, "channel 2 of 2",
			[]string{"the channels cancel each other when mixed; the strongest, channel 2, was the only one measured"}},
		{"one clipped", []float64{3, 0.9}, "channel 2 of 2", []string{leftOut("1", clipped)}},
		{"the safety track 12 dB down", []float64{3, 0.75}, "channel 2 of 2", []string{leftOut("1", clipped)}},
		{"both clipped", []float64{3, 3}, "mix of 2", nil},
		{"dead channels do not count as clean", []float64{3, 0}, "channel 1 of 2", []string{leftOut("2", dead)}},
		{"six, four in use", []float64{0.3, 0.3, 0, 0, 0.2, 0.2}, "mix of channels 1, 2, 5 and 6 of 6",
			[]string{leftOut("3", dead), leftOut("4", dead)}},
		{"eight alike", []float64{.3, .3, .3, .3, .3, .3, .3, .3}, "mix of 8", nil},
		{"silent", []float64{math.NaN(), math.NaN()}, "mix of 2", []string{"the recording is silent from end to end"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w := made{rate: 44100, channels: len(c.gains), bits: 16, tag: tagPCM}
			got, err := Read(bytes.NewReader(w.file(w.encode(scene(c.gains, 44100)))), "made")
			if err != nil {
				t.Fatal(err)
			}
			if got.Info.Used != c.used || !slices.Equal(got.Info.Remarks, c.remarks) {
				t.Errorf("used %q, remarks %q\nwant %q, %q", got.Info.Used, got.Info.Remarks, c.used, c.remarks)
			}
		})
	}
}

// scene gives one second of frames: tones times the gain of each channel, noise
// 30 dB under a gain of 0.3, and a rumble that differs between channels. A gain
// that is no number makes a channel without anything.
func scene(gains []float64, n int) []float32 {
	r := rand.New(rand.NewPCG(7, 7))
	x := make([]float32, 0, n*len(gains))
	for i := range n {
		var engine float64
		for _, hz := range []float64{180, 360, 540, 1080, 2100} {
			engine += 0.4 * math.Sin(2*math.Pi*hz/44100*float64(i))
		}
		for c, g := range gains {
			if math.IsNaN(g) {
				x = append(x, 0)
				continue
			}
			noise := 0.003 * r.NormFloat64()
			if g != 0 {
				noise += 0.05 * math.Sin(2*math.Pi*(20+float64(c))/44100*float64(i))
			} else {
				noise /= 10
			}
			x = append(x, float32(g*engine+noise))
		}
	}
	return x
}

// TestChoiceLooksAhead holds that the choice falls on what Lookahead covers, and
// that the sound before and after the choice joins up: it is the mean of what
// each channel alone gives.
func TestChoiceLooksAhead(t *testing.T) {
	const rate, frames, alive = 44100, 3 * 44100, 44100 / 4
	both := made{rate: rate, channels: 2, bits: 32, tag: tagFloat}
	x := scene([]float64{0.3, 0.3}, frames)
	one, two := make([]float32, frames), make([]float32, frames)
	for i := range frames {
		if i >= alive {
			x[2*i+1] = 0 // somebody pulls the cable
		}
		one[i], two[i] = x[2*i], x[2*i+1]
	}
	want := resampled(one, rate)
	mix := resampled(two, rate)
	for i := range mix {
		mix[i] = float32((float64(want[i]) + float64(mix[i])) / 2)
	}
	for _, c := range []struct {
		lookahead engine.Seconds
		used      string
		want      []float32
	}{
		{0.2, "mix of 2", mix},
		{60, "channel 1 of 2", want},
	} {
		o := Default()
		o.Lookahead = c.lookahead
		got, err := collect(bytes.NewReader(both.file(both.encode(x))), "made", o)
		if err != nil {
			t.Fatal(err)
		}
		if got.Info.Used != c.used || !slices.Equal(audiotest.All(got.Samples), c.want) {
			t.Errorf("%v s: %s, want %s; the sound is as wanted: %v", c.lookahead, got.Info.Used, c.used, slices.Equal(audiotest.All(got.Samples), c.want))
		}
	}
}

// TestMix holds the mix to the mean of the channels, and clipping and peak to
// the channels in use.
func TestMix(t *testing.T) {
	w := made{rate: 8000, channels: 3, bits: 16, tag: tagPCM}
	x := make([]float32, 3*4000)
	for i := range 4000 {
		v := float32(0.5 * math.Sin(0.9*float64(i)))
		x[3*i], x[3*i+1] = v, v/2
	}
	x[2] = -1 // one click in a dead channel
	x[3*7] = -1
	got, err := Read(bytes.NewReader(w.file(w.encode(x))), "made")
	if err != nil {
		t.Fatal(err)
	}
	if got.Info.Used != "mix of channels 1 and 2 of 3" {
		t.Fatalf("used %q", got.Info.Used)
	}
	for i, v := range audiotest.All(got.Samples) {
		want := (float64(codeOf(x[3*i], 16)) + float64(codeOf(x[3*i+1], 16))) / 2 / (1 << 15)
		if float64(v) != want {
			t.Fatalf("sample %d: %v, want %v", i, v, want)
		}
	}
	if want := 100.0 / (2 * 4000); got.Info.ClippedPct != want || got.Info.PeakLevel != 1 {
		t.Errorf("clipped %v %%, peak %v; want %v and 1", got.Info.ClippedPct, got.Info.PeakLevel, want)
	}
}

// resampled sends a whole sound through a new resampler.
func resampled(x []float32, rate int) []float32 {
	r := resample.New(resample.Design(rate, resample.Default()))
	return r.Flush(r.Push(nil, x), int(resample.OutputLength(int64(len(x)), rate)))
}
