package clip

import (
	"bytes"
	"context"
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the table of docs/formats.md anew")

const (
	passWAV    = "../../samples/over.wav" // what every file is made from
	formatsDoc = "../../docs/formats.md"
)

// agreement is one kind of file, and how near our samples have to come to those
// of another decoder.
type agreement struct {
	what      string // for the table
	file      string // name of the file that ffmpeg makes
	args      []string
	made      func() []byte // where ffmpeg cannot make it
	alone     bool          // on a machine without ffmpeg
	reference string        // ffmpeg's decoder; empty for the one it takes itself
	by        string        // what decodes it here
	is        string        // container and codec
	wants     float64       // dB; infinite: the same samples
}

// twoMicrophones makes a mono pass into the two channels of a phone: the second
// microphone is weaker and 7 mm farther away.
const twoMicrophones = "aresample=48000,asplit[a][b];[b]adelay=1S,volume=0.8[c];[a][c]join=inputs=2:channel_layout=stereo"

// unlike makes a mono pass into two channels with noise of their own.
func unlike(args ...string) []string {
	return append([]string{
		"-f", "lavfi", "-i", "anoisesrc=amplitude=0.05:seed=1", "-f", "lavfi", "-i", "anoisesrc=amplitude=0.05:seed=2", "-filter_complex",
		"[0]aresample=44100,asplit[a][b];[1]aresample=44100[n];[2]aresample=44100[m];[b]volume=0.5[c];" +
			"[a][n]amix=inputs=2:duration=first[l];[c][m]amix=inputs=2:duration=first[r];[l][r]join=inputs=2:channel_layout=stereo",
	}, args...)
}

// agreements lists what is read. The wanted levels are those that were measured
// on samples/over.wav with ffmpeg 5.1, less 3 dB; TestAgreement -v prints them.
func agreements() []agreement {
	same := math.Inf(1)
	picture := []string{"-f", "lavfi", "-i", "color=size=64x64:rate=5", "-shortest", "-c:v", "mpeg4"}
	return []agreement{
		{what: "WAV, 16 bits", file: "x.wav", by: byWAV, is: "wav pcm_s16", wants: same, alone: true},
		{what: "AIFF, 16 bits", file: "x.aiff", by: byAIFF, is: "aiff pcm_s16", wants: same, alone: true},
		{what: "AIFF, 24 bits, two channels", file: "x.aiff", args: []string{"-c:a", "pcm_s24be", "-af", twoMicrophones}, by: byAIFF, is: "aiff pcm_s24", wants: same, alone: true},
		{what: "AIFF-C, 16 bits as phones write (sowt)", file: "x.aiff", args: []string{"-c:a", "pcm_s16le"}, by: byAIFF, is: "aiff pcm_s16", wants: same, alone: true},
		{what: "AIFF-C, float", file: "x.aiff", args: []string{"-c:a", "pcm_f32be"}, by: byAIFF, is: "aiff float32", wants: same, alone: true},
		{what: "FLAC, 16 bits", file: "x.flac", by: byFLAC, is: "flac flac", wants: same, alone: true},
		{what: "FLAC, 24 bits, 24 kHz", file: "x.flac", args: []string{"-sample_fmt", "s32", "-bits_per_raw_sample", "24", "-ar", "24000"}, by: byFLAC, is: "flac flac", wants: same, alone: true},
		{what: "FLAC, two channels", file: "x.flac", args: []string{"-af", twoMicrophones, "-sample_fmt", "s16"}, by: byFLAC, is: "flac flac", wants: same, alone: true},
		{what: "Ogg Vorbis", file: "x.ogg", args: []string{"-c:a", "libvorbis"}, by: byVorbis, is: "ogg vorbis", wants: 131, alone: true},
		{what: "Ogg Vorbis, two channels", file: "x.ogg", args: []string{"-c:a", "libvorbis", "-af", twoMicrophones}, by: byVorbis, is: "ogg vorbis", wants: 131, alone: true},
		{what: "Ogg Opus, voice note, 16 kbit/s", file: "x.opus", args: []string{"-c:a", "libopus", "-b:a", "16k", "-application", "voip", "-frame_duration", "60"}, reference: "libopus", by: byOpus, is: "ogg opus", wants: 44, alone: true},
		{what: "Ogg Opus, voice note, 24 kbit/s", file: "x.opus", args: []string{"-c:a", "libopus", "-b:a", "24k", "-application", "voip"}, reference: "libopus", by: byOpus, is: "ogg opus", wants: 53, alone: true},
		{what: "Ogg Opus, music, 64 kbit/s, two channels", file: "x.opus", args: []string{"-c:a", "libopus", "-b:a", "64k", "-af", twoMicrophones}, reference: "libopus", by: byOpus, is: "ogg opus", wants: 77, alone: true},
		{what: "MP3, 44.1 kHz, without ffmpeg", file: "x.mp3", args: []string{"-c:a", "libmp3lame", "-ar", "44100"}, by: byMP3, is: "mp3 mp3", wants: 70, alone: true},
		{what: "MP3, 48 kHz, two channels, without ffmpeg", file: "x.mp3", args: []string{"-c:a", "libmp3lame", "-af", twoMicrophones, "-joint_stereo", "0"}, by: byMP3, is: "mp3 mp3", wants: 69, alone: true},
		{what: "MP3, 44.1 kHz, joint stereo of unlike channels, 48 kbit/s, without ffmpeg", file: "x.mp3", args: unlike("-c:a", "libmp3lame", "-joint_stereo", "1", "-b:a", "48k"), by: byMP3, is: "mp3 mp3", wants: 42, alone: true},
		{what: "MP3, 22.05 kHz", file: "x.mp3", args: []string{"-c:a", "libmp3lame"}, by: byFFmpeg, is: "mp3 mp3", wants: same},
		{what: "M4A (AAC), as phones record", file: "x.m4a", args: []string{"-c:a", "aac", "-b:a", "64k"}, by: byFFmpeg, is: "m4a aac", wants: same},
		{what: "MP4 video", file: "x.mp4", args: append(slices.Clone(picture), "-c:a", "aac"), by: byFFmpeg, is: "mp4 aac", wants: same},
		{what: "MOV video", file: "x.mov", args: append(slices.Clone(picture), "-c:a", "pcm_s16le"), by: byFFmpeg, is: "mov pcm_s16le", wants: same},
		{what: "3GP (AAC)", file: "x.3gp", args: []string{"-c:a", "aac"}, by: byFFmpeg, is: "3gp aac", wants: same},
		{what: "AMR", file: "x.amr", made: madeAMR, by: byFFmpeg, is: "amr amr_nb", wants: same},
		{what: "AAC (ADTS)", file: "x.aac", args: []string{"-c:a", "aac"}, by: byFFmpeg, is: "aac aac", wants: same},
		{what: "WebM", file: "x.webm", args: []string{"-c:a", "libopus"}, by: byFFmpeg, is: "matroska opus", wants: same},
		{what: "Matroska", file: "x.mka", args: []string{"-c:a", "flac"}, by: byFFmpeg, is: "matroska flac", wants: same},
		{what: "CAF (Apple lossless)", file: "x.caf", args: []string{"-c:a", "alac"}, by: byFFmpeg, is: "caf alac", wants: same},
		{what: "WMA", file: "x.wma", args: []string{"-c:a", "wmav2"}, by: byFFmpeg, is: "asf wmav2", wants: same},
		{what: "AVI video", file: "x.avi", args: append(slices.Clone(picture), "-c:a", "pcm_s16le"), by: byFFmpeg, is: "avi pcm_s16le", wants: same},
		{what: "WAV, compressed (ADPCM)", file: "x.wav", args: []string{"-c:a", "adpcm_ima_wav"}, by: byFFmpeg, is: "wav adpcm_ima_wav", wants: same},
		{what: "Wave64", file: "x.w64", by: byFFmpeg, is: "w64 pcm_s16le", wants: same},
		{what: "AU", file: "x.au", by: byFFmpeg, is: "au pcm_s16be", wants: same},
		{what: "Ogg with FLAC in it", file: "x.oga", args: []string{"-c:a", "flac"}, by: byFFmpeg, is: "ogg flac", wants: same},
		{what: "Ogg Opus, six channels", file: "x.opus", args: []string{"-c:a", "libopus", "-ac", "6"}, by: byFFmpeg, is: "ogg opus", wants: same},
	}
}

// What decodes, for the table.
const (
	byWAV    = "go-audio/wav behind a chunk reader of ours"
	byAIFF   = "a chunk reader of ours"
	byFLAC   = "mewkiz/flac"
	byVorbis = "beep/vorbis behind a page reader of ours"
	byOpus   = "pion/opus behind a page reader of ours"
	byMP3    = "hajimehoshi/go-mp3 behind a frame reader of ours"
	byFFmpeg = "ffmpeg"
)

// madeAMR is a file of random frames of 12.2 kbit/s: noise, but of one meaning.
//
// Source: RFC 4867, 5.1 and 5.3: the name, then a byte of type 7 and quality
// before 31 bytes.
func madeAMR() []byte {
	r := rand.New(rand.NewPCG(1, 2))
	b := []byte("#!AMR\n")
	for range 100 {
		b = append(b, 7<<3|1<<2)
		for range 31 {
			b = append(b, byte(r.Uint32()))
		}
	}
	return b
}

// path makes the file in a folder of the test and gives its path. The test skips
// where ffmpeg cannot make it, and fails where CI is set.
func (a agreement) path(t *testing.T, run func([]byte, ...string) ([]byte, error)) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), a.file)
	if a.made != nil {
		if err := os.WriteFile(path, a.made(), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	if _, err := run(nil, append(append([]string{"-ss", "3", "-t", "3", "-i", passWAV}, a.args...), path)...); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal(err)
		}
		t.Skipf("this ffmpeg cannot make it: %v", err)
	}
	return path
}

// TestAgreement lets ffmpeg make each kind of file from a shipped sample, and
// holds our samples, before any resampling, to those of ffmpeg's own decoder:
// as many, and as near as the table says.
func TestAgreement(t *testing.T) {
	run := ffmpeg(t)
	for _, a := range agreements() {
		t.Run(a.what, func(t *testing.T) {
			t.Parallel()
			path := a.path(t, run)
			if a.reference != "" {
				a.reference = "-c:a " + a.reference
			}
			raw, err := run(nil, append(strings.Fields(a.reference), "-i", path, "-map", "0:a:0", "-f", "f32le", "-")...)
			if err != nil {
				t.Fatal(err)
			}
			want := bytesToFloats(raw)
			for _, pipe := range []bool{false, true} {
				if pipe && a.alone {
					continue // the same bytes to the same decoder
				}
				got, is, remarks := decodePath(t, path, a.alone, pipe)
				if label := is.container + " " + is.codec; label != a.is || len(remarks) > 0 {
					t.Errorf("pipe %v: %s, remarks %q; want %s and none", pipe, label, remarks, a.is)
				}
				if len(got) != len(want) {
					t.Fatalf("pipe %v: %d samples, want %d", pipe, len(got), len(want))
				}
				level := agreementLevel(want, got)
				t.Logf("pipe %v: %.1f dB over the difference", pipe, level)
				if level < a.wants {
					t.Errorf("pipe %v: only %.1f dB over the difference, want %.0f", pipe, level, a.wants)
				}
			}
		})
	}
}

func bytesToFloats(raw []byte) []float32 {
	x := make([]float32, len(raw)/4)
	for i := range x {
		x[i] = math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:]))
	}
	return x
}

// decodePath gives the samples of a file as they come out of its decoder, which
// reads it by its path or through a pipe.
func decodePath(t *testing.T, path string, alone, pipe bool) ([]float32, format, []string) {
	t.Helper()
	o := Default()
	if alone {
		o.FFmpeg = ""
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := NewStream(context.Background(), f, path, o)
	if pipe {
		s, err = NewStream(context.Background(), bytes.NewReader(readFile(t, path)), path, o)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	return drain(t, s)
}

// agreementLevel is the level of the sound over the difference, dB.
func agreementLevel(want, got []float32) float64 {
	var sound, difference float64
	for i, v := range want {
		d := float64(v) - float64(got[i])
		sound += float64(v) * float64(v)
		difference += d * d
	}
	return 10 * math.Log10(sound/difference)
}

// TestFormatsDoc holds the table of docs/formats.md to the list above.
func TestFormatsDoc(t *testing.T) {
	const begin, end = "<!-- the table is written by: go test -run FormatsDoc ./internal/clip -update -->\n", "<!-- end of the table -->"
	var b strings.Builder
	b.WriteString("| file | decoded by | our samples against ffmpeg's |\n| --- | --- | --- |\n")
	for _, a := range agreements() {
		level := fmt.Sprintf("at least %.0f dB over the difference", a.wants)
		if math.IsInf(a.wants, 1) {
			level = "the same"
		}
		fmt.Fprintf(&b, "| %s | %s | %s |\n", a.what, a.by, level)
	}
	page := string(readFile(t, formatsDoc))
	head, rest, ok := strings.Cut(page, begin)
	table, tail, closed := strings.Cut(rest, end)
	if !ok || !closed {
		t.Fatalf("%s has no table between %q and %q", formatsDoc, begin, end)
	}
	if table == b.String() {
		return
	}
	if !*update {
		t.Fatalf("the table in %s is not that of the tests: run with -update\n%s", formatsDoc, b.String())
	}
	if err := os.WriteFile(formatsDoc, []byte(head+begin+b.String()+end+tail), 0o644); err != nil {
		t.Fatal(err)
	}
}
