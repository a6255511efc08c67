package clip

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"topnote/internal/audio"
	"topnote/internal/audio/audiotest"
	"topnote/internal/engine"
)

// TestWriteRoundTrip writes every code of 16 bits and reads the same back.
func TestWriteRoundTrip(t *testing.T) {
	var want []float32
	for code := math.MinInt16; code <= math.MaxInt16; code++ {
		want = append(want, float32(code)/(1<<15))
	}
	path := filepath.Join(t.TempDir(), "all codes.wav")
	if err := WriteWAVFile(path, audio.Memory(want), 8000); err != nil {
		t.Fatal(err)
	}
	got, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(audiotest.All(got.Samples), want) || got.Info.Codec != "pcm_s16" || got.Info.Remarks != nil {
		t.Errorf("%d samples of %s, remarks %q", got.Samples.Len(), got.Info.Codec, got.Info.Remarks)
	}
	if size := len(readFile(t, path)); size != 44+2*len(want) {
		t.Errorf("%d bytes, want the plainest header and the samples", size)
	}
}

// TestWriteBytes holds a small file byte for byte, with rounding and rails.
// Source: the WAVE format as in the package comment, worked out by hand.
func TestWriteBytes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "small.wav")
	lsb := float32(1.0 / (1 << 15))
	if err := WriteWAVFile(path, audio.Memory{0, 0.4 * lsb, 0.6 * lsb, -0.6 * lsb, 1, 2, -1, -2}, 44100); err != nil {
		t.Fatal(err)
	}
	want := "RIFF\x34\x00\x00\x00WAVE" +
		"fmt \x10\x00\x00\x00\x01\x00\x01\x00\x44\xac\x00\x00\x88\x58\x01\x00\x02\x00\x10\x00" +
		"data\x10\x00\x00\x00" +
		"\x00\x00\x00\x00\x01\x00\xff\xff\xff\x7f\xff\x7f\x00\x80\x00\x80"
	if got := string(readFile(t, path)); got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// TestWriteLong crosses the blocks that are written at a time.
func TestWriteLong(t *testing.T) {
	for _, n := range []int{0, 1, blockFrames, blockFrames + 1, 3*blockFrames - 1} {
		path := filepath.Join(t.TempDir(), "long.wav")
		if err := WriteWAVFile(path, audio.Memory(tone(n, 0.1, 0.5)), 22050); err != nil {
			t.Fatal(err)
		}
		w := made{rate: 22050, channels: 1, bits: 16, tag: tagPCM}
		if got, want := readFile(t, path), w.file(w.encode(tone(n, 0.1, 0.5))); !slices.Equal(got, want) {
			t.Errorf("%d samples: %d bytes differ from the %d expected", n, len(got), len(want))
		}
	}
}

func TestWriteRefuses(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "kept.wav")
	if err := os.WriteFile(path, []byte("before"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		samples audio.Memory
		rate    engine.Hz
	}{
		{audio.Memory{0}, 0},
		{audio.Memory{0}, -8000},
		{audio.Memory{0}, 44100.5},
		{audio.Memory{0}, 1e9},
		{audio.Memory{0}, engine.Hz(math.NaN())},
		{audio.Memory{0, float32(math.NaN())}, 8000},
	} {
		if err := WriteWAVFile(path, c.samples, c.rate); !errors.Is(err, ErrNotWritable) {
			t.Errorf("%v at %v Hz: %v, want ErrNotWritable", c.samples, c.rate, err)
		}
	}
	if err := WriteWAVFile(filepath.Join(dir, "absent", "x.wav"), audio.Memory{0}, 8000); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a folder that is absent: %v", err)
	}
	if string(readFile(t, path)) != "before" {
		t.Error("a failed write touched the file")
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 1 {
		t.Errorf("files left: %v %v, want only kept.wav", left, err)
	}
}
