package clip

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
)

// ffmpeg gives a function that runs ffmpeg with input on its standard input and
// returns its standard output. The test skips where there is none, and fails
// where CI is set.
func ffmpeg(t *testing.T) func(input []byte, args ...string) ([]byte, error) {
	path, err := exec.LookPath("ffmpeg")
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatal("ffmpeg is not installed, and CI needs it")
	}
	if err != nil {
		t.Skip("ffmpeg is not installed: our reading is not compared with another decoder's")
	}
	return func(input []byte, args ...string) ([]byte, error) {
		cmd := exec.Command(path, append([]string{"-nostdin", "-v", "error", "-y"}, args...)...)
		if input != nil {
			cmd.Args = slices.DeleteFunc(cmd.Args, func(a string) bool { return a == "-nostdin" })
			cmd.Stdin = bytes.NewReader(input)
		}
		var stderr bytes.Buffer
		cmd.Stderr = &stderr
		out, err := cmd.Output()
		if err != nil {
			return nil, fmt.Errorf("ffmpeg %v: %w: %s", args, err, stderr.Bytes())
		}
		return out, nil
	}
}

func floatsToBytes(x []float32) []byte {
	var b []byte
	for _, v := range x {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	return b
}

// pcmFile is a format of plain samples that ffmpeg writes.
type pcmFile struct {
	codec    string // ffmpeg's name
	want     string // ours
	channels int
	rate     int
	args     []string
}

// TestAgainstFFmpeg lets ffmpeg write every format and read it back as floats, and
// compares our samples with its own, bit for bit.
func TestAgainstFFmpeg(t *testing.T) {
	run := ffmpeg(t)
	for _, c := range []pcmFile{
		{"pcm_u8", "pcm_u8", 1, 8000, nil},
		{"pcm_u8", "pcm_u8", 2, 11025, nil},
		{"pcm_s16le", "pcm_s16", 1, 44100, nil},
		{"pcm_s16le", "pcm_s16", 2, 48000, nil},
		{"pcm_s16le", "pcm_s16", 6, 48000, nil},
		{"pcm_s24le", "pcm_s24", 1, 96000, nil},
		{"pcm_s24le", "pcm_s24", 3, 48000, nil},
		{"pcm_s32le", "pcm_s32", 2, 192000, nil},
		{"pcm_f32le", "float32", 1, 48000, nil},
		{"pcm_f32le", "float32", 8, 48000, nil},
		{"pcm_f64le", "float64", 2, 22050, nil},
		{"pcm_alaw", "alaw", 1, 8000, nil},
		{"pcm_mulaw", "mulaw", 2, 8000, nil},
		{"pcm_s16le", "pcm_s16", 2, 44100, []string{"-rf64", "always"}},
	} {
		for _, pipe := range []bool{false, true} {
			if pipe && c.args != nil {
				continue // ffmpeg finds no sound in the RF64 that it wrote to a pipe
			}
			t.Run(fmt.Sprintf("%s x%d at %d, pipe %v %v", c.codec, c.channels, c.rate, pipe, c.args), func(t *testing.T) {
				t.Parallel()
				file := c.made(t, run, pipe)
				raw, err := run(file, "-i", "-", "-f", "f32le", "-")
				if err != nil {
					t.Fatal(err)
				}
				got, is, remarks := decodeAll(t, file)
				if is.codec != c.want || is.channels != c.channels || is.rate != c.rate {
					t.Errorf("format %+v, want %s", is, c.want)
				}
				if !bytes.Equal(floatsToBytes(got), raw) {
					t.Errorf("%d samples differ from ffmpeg's %d", len(got), len(raw)/4)
				}
				if pipe == (len(remarks) == 0) {
					t.Errorf("remarks %q", remarks)
				}
			})
		}
	}
}

// made lets ffmpeg write the file, to a path or to a pipe: from the quietest sound to
// beyond full scale, so that every code of the short formats occurs.
func (c pcmFile) made(t *testing.T, run func([]byte, ...string) ([]byte, error), pipe bool) []byte {
	t.Helper()
	x := tone(c.channels*9001, 0.0123, 1)
	for i := range x {
		x[i] *= 1.1 * float32(i) / float32(len(x))
	}
	path := filepath.Join(t.TempDir(), "made.wav")
	to := path
	if pipe {
		to = "-"
	}
	args := []string{"-f", "f32le", "-ar", fmt.Sprint(c.rate), "-ac", fmt.Sprint(c.channels), "-i", "-", "-c:a", c.codec}
	file, err := run(floatsToBytes(x), slices.Concat(args, c.args, []string{"-f", "wav", to})...)
	if err != nil {
		t.Fatal(err)
	}
	if !pipe {
		file = readFile(t, path)
	}
	return file
}
