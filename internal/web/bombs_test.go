package web

import (
	"bytes"
	"math"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"topnote/internal/clip"
)

// silentFLAC is some kilobytes that are minutes of digital silence: the limit of
// time has to hold where that of size does not.
func silentFLAC(t *testing.T, seconds int) []byte {
	t.Helper()
	const rate, block, channels = 8000, 4000, 1
	var b bytes.Buffer
	e, err := flac.NewEncoder(&b, &meta.StreamInfo{BlockSizeMin: block, BlockSizeMax: block, SampleRate: rate, NChannels: channels, BitsPerSample: 16})
	if err != nil {
		t.Fatal(err)
	}
	for i := range seconds * rate / block {
		f := &frame.Frame{
			Header: frame.Header{HasFixedBlockSize: true, BlockSize: block, SampleRate: rate, Channels: frame.ChannelsMono, BitsPerSample: 16, Num: uint64(i)},
			Subframes: []*frame.Subframe{{
				SubHeader: frame.SubHeader{Pred: frame.PredConstant}, NSamples: block, Samples: make([]int32, block),
			}},
		}
		if err := e.WriteFrame(f); err != nil {
			t.Fatal(err)
		}
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestBombs sends small files that are much sound, or claim to be: the limits of
// package clip, as the server sets them, end each of them.
func TestBombs(t *testing.T) {
	x := serve(t, nil)
	long := silentFLAC(t, 1200)
	t.Logf("twenty minutes of silence in %d bytes", len(long))
	lie := append([]byte("RIFF\xff\xff\xff\xffWAVEfmt \x10\x00\x00\x00\x01\x00\x08\x00\x00\xdc\x05\x00\x00\xb8\x2f\x00\x08\x00\x08\x00data\xff\xff\xff\xff"), make([]byte, 64)...)
	for _, c := range []struct {
		what  string
		bytes []byte
		code  string
	}{
		{"twenty minutes of silence", long, clip.CodeTooLong},
		{"a header that claims 4 GB", lie, ""},
		{"WAV at a rate of thousand millions", bytes.Replace(lie, []byte("\x00\xdc\x05\x00"), []byte("\x00\xca\x9a\x3b"), 1), clip.CodeRate},
		{"nested archives", append([]byte("PK\x03\x04"), make([]byte, 1000)...), clip.CodeNotAudio},
		{"a list of other files", []byte("#EXTM3U\n#EXTINF:10,\nfile:///etc/passwd\nhttp://127.0.0.1:1/x\n"), clip.CodeNotAudio},
		{"a film of links", []byte("ffconcat version 1.0\nfile /etc/passwd\n"), clip.CodeNotAudio},
		{"nothing", nil, clip.CodeEmpty},
	} {
		a := x.post("/api/v1/clips?wait=1", c.bytes)
		if a.StatusCode == http.StatusOK {
			if c.code != "" {
				t.Errorf("%s was measured", c.what)
			}
			continue
		}
		if code := a.fault(t); c.code != "" && code != c.code || a.StatusCode >= 500 {
			t.Errorf("%s: %s, %q, want %q", c.what, a.Status, code, c.code)
		}
	}
	x.healthy()
	wantEmptyStore(t, forgetAll(x))
}

// TestBombsByFFmpeg has ffmpeg decode silence that fits in some kilobytes and is
// longer than the server takes.
func TestBombsByFFmpeg(t *testing.T) {
	ffmpeg := program(t, "make and decode the file", "ffmpeg")
	path := filepath.Join(t.TempDir(), "long.mka")
	out, err := exec.Command(ffmpeg, "-v", "error", "-f", "lavfi", "-i", "anullsrc=r=8000:cl=mono", "-t", "60", "-c:a", "aac", "-b:a", "8k", path).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	long, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	x := serve(t, func(c *Config) { c.Options.Jobs.MaxSound = 20 })
	t.Logf("a minute of silence in %d bytes", len(long))
	if code := x.post("/api/v1/clips?wait=1", long).want(t, http.StatusUnprocessableEntity).fault(t); code != clip.CodeTooLong {
		t.Errorf("a minute by ffmpeg: %q", code)
	}
	x.healthy()
}

// TestTooSlowToDecode gives the decoder no time at all.
func TestTooSlowToDecode(t *testing.T) {
	x := serve(t, func(c *Config) { c.Options.Jobs.MaxDecode = time.Nanosecond })
	noise := make([]float32, 20*8000)
	for i := range noise {
		noise[i] = float32(math.Sin(float64(i * i)))
	}
	if code := x.post("/api/v1/clips?wait=1", wav(t, noise)).want(t, http.StatusUnprocessableEntity).fault(t); code != clip.CodeTooSlow {
		t.Errorf("%q", code)
	}
}
