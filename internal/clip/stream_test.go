package clip

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"

	"topnote/internal/audio/audiotest"
)

func readFile(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func writeFile(t *testing.T, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "clip.wav")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestInfo(t *testing.T) {
	w := made{rate: 44100, channels: 2, bits: 24, tag: tagPCM, after: []chunk{{"LIST", "INFO"}, {"id3 ", "odd"}}}
	x := tone(2*66151, 0.01, 0.5)
	for i := range 662 { // the rails, both ways and one code under
		x[i] = []float32{1, -1, 1 - 1.0/(1<<23)}[i%3]
	}
	file := w.file(w.encode(x))
	path := writeFile(t, file)
	got, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	want := Info{
		File:       path,
		SHA256:     fmt.Sprintf("%x", sha256.Sum256(file)),
		Duration:   66151.0 / 44100,
		SampleRate: 44100,
		Channels:   2,
		Used:       "mix of 2",
		Container:  "wav",
		Codec:      "pcm_s24",
		ClippedPct: 100 * 662.0 / (2 * 66151),
		PeakLevel:  1,
		LowEdge:    got.Info.LowEdge, // TestBand holds these
		HighEdge:   got.Info.HighEdge,
	}
	if fmt.Sprintf("%+v", got.Info) != fmt.Sprintf("%+v", want) {
		t.Errorf("got  %+v\nwant %+v", got.Info, want)
	}
	if n := 12001; got.Samples.Len() != n || got.Rate != 8000 { // ceil(66151*8000/44100)
		t.Errorf("%d samples at %v Hz, want %d at 8000", got.Samples.Len(), got.Rate, n)
	}
}

// TestSplitReads holds that neither how the bytes arrive nor how the samples are
// asked for changes anything.
func TestSplitReads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := made{
			rate:     rapid.SampledFrom([]int{8000, 11025, 44100, 48000}).Draw(t, "rate"),
			channels: rapid.IntRange(1, 3).Draw(t, "channels"),
			bits:     rapid.SampledFrom([]int{8, 16, 24, 32}).Draw(t, "bits"),
			tag:      tagPCM,
		}
		frames := rapid.IntRange(1, 9000).Draw(t, "frames")
		file := w.file(w.encode(tone(frames*w.channels, 0.017, 0.7)))
		if rapid.Bool().Draw(t, "cut") {
			file = file[:rapid.IntRange(44+w.channels*w.width(), len(file)).Draw(t, "at")]
		}
		o := Default()
		o.Lookahead = 0.1
		want, err := collect(bytes.NewReader(file), "made", o)
		if err != nil {
			t.Fatal(err)
		}

		s, err := NewStream(context.Background(), pieces{t, bytes.NewReader(file)}, "made", o)
		if err != nil {
			t.Fatal(err)
		}
		var got []float32
		for {
			dst := make([]float32, rapid.IntRange(0, 3000).Draw(t, "dst"))
			n, err := s.Read(dst)
			got = append(got, dst[:n]...)
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		if !slices.Equal(got, audiotest.All(want.Samples)) {
			t.Fatalf("%d samples differ from the %d read in one go", len(got), want.Samples.Len())
		}
		if a, b := fmt.Sprintf("%+v", s.Info()), fmt.Sprintf("%+v", want.Info); a != b {
			t.Fatalf("facts %s\nwant %s", a, b)
		}
	})
}

// pieces is a reader that gives any number of bytes at a time, also none.
type pieces struct {
	t *rapid.T
	r io.Reader
}

func (p pieces) Read(b []byte) (int, error) {
	return p.r.Read(b[:min(len(b), rapid.IntRange(0, 20000).Draw(p.t, "bytes"))])
}

func TestOneByteAtATime(t *testing.T) {
	w := made{rate: 44100, channels: 2, bits: 24, tag: tagPCM, between: []chunk{{"LIST", "INFO"}}}
	file := w.file(w.encode(tone(2*5000, 0.017, 0.7)))
	want, err := Read(bytes.NewReader(file), "made")
	if err != nil {
		t.Fatal(err)
	}
	for name, r := range map[string]io.Reader{
		"one byte":       iotest.OneByteReader(bytes.NewReader(file)),
		"data with EOF":  iotest.DataErrReader(bytes.NewReader(file)),
		"half of buffer": iotest.HalfReader(bytes.NewReader(file)),
	} {
		got, err := Read(r, "made")
		if err != nil || !slices.Equal(audiotest.All(got.Samples), audiotest.All(want.Samples)) || got.Info.SHA256 != want.Info.SHA256 {
			t.Errorf("%s: the sound differs (%v)", name, err)
		}
	}
}

// TestFloats holds what becomes of floats that integers cannot be.
func TestFloats(t *testing.T) {
	w := made{rate: 8000, channels: 1, bits: 32, tag: tagFloat}
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for _, c := range []struct {
		name    string
		bad     []float32 // put among 1000 samples of a tone of level 0.5
		peak    float64
		clipped float64
		remarks []string
	}{
		{"clean", nil, 0.5, 0, nil},
		{"one NaN", []float32{nan}, 0.5, 0, []string{"1 sample is not a number; it was replaced by silence"}},
		{"all kinds", []float32{nan, inf, -inf, 1e30}, 0.5, 0, []string{"4 samples are not numbers; they were replaced by silence"}},
		{"at full scale", []float32{1, -1}, 1, 0.2, nil},
		{"above full scale", []float32{4, -2}, 4, 0, []string{"the samples reach 4 times full scale; the whole was scaled to fit"}},
		{"integers without scaling", []float32{32767}, 32767, 0, []string{"the samples reach 32,767 times full scale; the whole was scaled to fit"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			x := tone(1000, 0.25, 0.5)
			copy(x[101:], c.bad)
			got, err := Read(bytes.NewReader(w.file(w.encode(x))), "made")
			if err != nil {
				t.Fatal(err)
			}
			info := got.Info
			if info.PeakLevel != c.peak || math.Abs(info.ClippedPct-c.clipped) > 1e-9 || !slices.Equal(info.Remarks, c.remarks) {
				t.Errorf("peak %v, clipped %v, remarks %q\nwant %v, %v, %q", info.PeakLevel, info.ClippedPct, info.Remarks, c.peak, c.clipped, c.remarks)
			}
			for i, v := range audiotest.All(got.Samples) {
				if !(v >= -1 && v <= 1) {
					t.Fatalf("sample %d is %v", i, v)
				}
			}
		})
	}
}

func TestSilence(t *testing.T) {
	w := made{rate: 48000, channels: 1, bits: 16, tag: tagPCM}
	got, err := Read(bytes.NewReader(w.file(make([]byte, 96000))), "made")
	if err != nil {
		t.Fatal(err)
	}
	if i := got.Info; i.PeakLevel != 0 || i.ClippedPct != 0 || !slices.Equal(i.Remarks, []string{"the recording is silent from end to end"}) {
		t.Errorf("%+v", i)
	}
}

// TestStreamMemory holds that a mono stream keeps one block and no more,
// however long it is.
func TestStreamMemory(t *testing.T) {
	w := made{rate: 48000, channels: 1, bits: 16, tag: tagPCM}
	s, err := NewStream(context.Background(), bytes.NewReader(w.file(make([]byte, 2*48000*30))), "made", Default())
	if err != nil {
		t.Fatal(err)
	}
	dst := make([]float32, 100)
	for err == nil {
		_, err = s.Read(dst)
		if l := s.pipelines[0]; cap(l.queue) > 2*blockFrames {
			t.Fatalf("%d samples are kept", cap(l.queue))
		}
	}
	if !errors.Is(err, io.EOF) {
		t.Fatal(err)
	}
	if n, again := s.Read(dst); n != 0 || !errors.Is(again, io.EOF) {
		t.Errorf("after the end: %d samples, %v", n, again)
	}
}

// TestCollectMemory holds that a file of known size is given its memory at once
// and no more, and that a header that lies gets none.
func TestCollectMemory(t *testing.T) {
	w := made{rate: 48000, channels: 1, bits: 16, tag: tagPCM, dataSize: ptr[uint32](0xf0000000)}
	got, err := Read(bytes.NewReader(w.file(make([]byte, 2*48000*10))), "made")
	if err != nil {
		t.Fatal(err)
	}
	if got.Samples.Len() != 80000 || cap(audiotest.All(got.Samples)) > 80000+2*blockFrames {
		t.Errorf("%d samples in memory for %d", got.Samples.Len(), cap(audiotest.All(got.Samples)))
	}
}

// TestRecordings reads the field recordings, which a clone does not have.
func TestRecordings(t *testing.T) {
	paths, err := filepath.Glob("../../../shared/recordings/*/*.wav")
	if err != nil || len(paths) == 0 {
		t.Skip("../shared/recordings is not here: field recordings are not read")
	}
	for _, path := range paths {
		got, err := Open(path)
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		// About five seconds at 44100 Hz, mono, by the README of the recordings.
		i, n := got.Info, got.Samples.Len()
		if n < 39900 || n > 40200 || i.SampleRate != 44100 || i.Used != "the only channel" || i.PeakLevel < 0.1 || i.Remarks != nil {
			t.Errorf("%s: %d samples, %+v", path, n, i)
		}
	}
}
