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

// agreement is one kind of file, and how close our samples have to be to those of
// another decoder.
type agreement struct {
	what      string        // for the table
	file      string        // name of the file that ffmpeg makes
	sound     []string      // arguments for what is encoded: rate, channels
	codec     []string      // arguments for the encoder
	made      func() []byte // where ffmpeg cannot make it
	alone     bool          // on a machine without ffmpeg
	reference string        // ffmpeg's decoder; empty for its default
	by        string        // what decodes it here
	is        string        // container and codec
	bar       bar
}

// bar is how close samples have to be to those of another decoder.
type bar int

// The bars. None comes from what was reached.
const (
	// same: every sample, as of what is lossless or decoded by the same program.
	same bar = iota
	// under16: the rms difference is under the rounding noise of 16 bits, 2^-15/sqrt(12)
	// of full scale, as between decoders whose specification leaves only rounding
	// open and that compute in 32-bit floats.
	under16
	// limited: a limited accuracy decoder, rms difference under 2^-11/sqrt(12).
	// Source: ISO 11172-4, 2.6.3.
	limited
	// underCodec: the difference has at most 1 % of the power of what the codec
	// itself changed, so that a worse decoder costs less than 0.05 dB.
	underCodec
)

func (b bar) String() string {
	return [...]string{
		"the same", "differ by less than rounding to 16 bits", "differ by less than ISO 11172-4 allows of limited accuracy",
		"differ by less than 1 % of what the codec changed (power)",
	}[b]
}

// holds reports whether got, the samples of our decoder, are close enough to want,
// those of the other, of what was sound before it was encoded.
func (b bar) holds(sound, want, got []float32) (ok bool, says string) {
	difference := meanSquare(want, got)
	rms, most := math.Sqrt(difference), 0.0
	switch b {
	case same:
		return difference == 0, fmt.Sprintf("rms difference %.3g of full scale, want 0", rms)
	case under16:
		most = math.Ldexp(1, -15) / math.Sqrt(12)
	case limited:
		most = math.Ldexp(1, -11) / math.Sqrt(12)
	case underCodec:
		n := min(len(sound), len(want))
		changed := meanSquare(sound[:n], want[:n])
		return difference < 0.01*changed, fmt.Sprintf("%.2g %% of what the codec changed, at most 1", 100*difference/changed)
	}
	return rms < most, fmt.Sprintf("rms difference %.3g of full scale, at most %.3g", rms, most)
}

// meanSquare gives the mean square of the difference.
func meanSquare(x, y []float32) float64 {
	var sum float64
	for i, v := range x {
		sum += (float64(v) - float64(y[i])) * (float64(v) - float64(y[i]))
	}
	return sum / float64(len(x))
}

// twoMicrophones makes a mono pass into the two channels of a phone: the second
// microphone is weaker and 7 mm farther away.
const twoMicrophones = "aresample=48000,asplit[a][b];[b]adelay=1S,volume=0.8[c];[a][c]join=inputs=2:channel_layout=stereo"

// unlike makes a mono pass into two channels with noise of their own.
func unlike() []string {
	return []string{
		"-f", "lavfi", "-i", "anoisesrc=amplitude=0.05:seed=1", "-f", "lavfi", "-i", "anoisesrc=amplitude=0.05:seed=2", "-filter_complex",
		"[0]aresample=44100,asplit[a][b];[1]aresample=44100[n];[2]aresample=44100[m];[b]volume=0.5[c];" +
			"[a][n]amix=inputs=2:duration=first[l];[c][m]amix=inputs=2:duration=first[r];[l][r]join=inputs=2:channel_layout=stereo",
	}
}

// agreements lists what is read.
func agreements() []agreement {
	return slices.Concat(losslessFiles(), codedFiles(), foreignFiles())
}

func losslessFiles() []agreement {
	two := []string{"-af", twoMicrophones}
	return []agreement{
		{what: "WAV, 16 bits", file: "x.wav", by: byWAV, is: "wav pcm_s16", alone: true},
		{what: "AIFF, 16 bits", file: "x.aiff", by: byAIFF, is: "aiff pcm_s16", alone: true},
		{what: "AIFF, 24 bits, two channels", file: "x.aiff", sound: two, codec: []string{"-c:a", "pcm_s24be"}, by: byAIFF, is: "aiff pcm_s24", alone: true},
		{what: "AIFF-C, 16 bits as phones write (sowt)", file: "x.aiff", codec: []string{"-c:a", "pcm_s16le"}, by: byAIFF, is: "aiff pcm_s16", alone: true},
		{what: "AIFF-C, float", file: "x.aiff", codec: []string{"-c:a", "pcm_f32be"}, by: byAIFF, is: "aiff float32", alone: true},
		{what: "FLAC, 16 bits", file: "x.flac", by: byFLAC, is: "flac flac", alone: true},
		{what: "FLAC, 24 bits, 24 kHz", file: "x.flac", sound: []string{"-ar", "24000"}, codec: []string{"-sample_fmt", "s32", "-bits_per_raw_sample", "24"}, by: byFLAC, is: "flac flac", alone: true},
		{what: "FLAC, two channels", file: "x.flac", sound: two, codec: []string{"-sample_fmt", "s16"}, by: byFLAC, is: "flac flac", alone: true},
	}
}

func codedFiles() []agreement {
	two := []string{"-af", twoMicrophones}
	return []agreement{
		{what: "Ogg Vorbis", file: "x.ogg", codec: []string{"-c:a", "libvorbis"}, by: byVorbis, is: "ogg vorbis", bar: under16, alone: true},
		{what: "Ogg Vorbis, two channels", file: "x.ogg", sound: two, codec: []string{"-c:a", "libvorbis"}, by: byVorbis, is: "ogg vorbis", bar: under16, alone: true},
		{what: "Ogg Opus, voice note, 16 kbit/s", file: "x.opus", codec: []string{"-c:a", "libopus", "-b:a", "16k", "-application", "voip", "-frame_duration", "60"}, reference: "libopus", by: byOpus, is: "ogg opus", bar: underCodec, alone: true},
		{what: "Ogg Opus, voice note, 24 kbit/s", file: "x.opus", codec: []string{"-c:a", "libopus", "-b:a", "24k", "-application", "voip"}, reference: "libopus", by: byOpus, is: "ogg opus", bar: underCodec, alone: true},
		{what: "Ogg Opus, music, 64 kbit/s, two channels", file: "x.opus", sound: two, codec: []string{"-c:a", "libopus", "-b:a", "64k"}, reference: "libopus", by: byOpus, is: "ogg opus", bar: underCodec, alone: true},
		{what: "MP3, 44.1 kHz, without ffmpeg", file: "x.mp3", sound: []string{"-ar", "44100"}, codec: []string{"-c:a", "libmp3lame"}, by: byMP3, is: "mp3 mp3", bar: limited, alone: true},
		{what: "MP3, 48 kHz, two channels, without ffmpeg", file: "x.mp3", sound: two, codec: []string{"-c:a", "libmp3lame", "-joint_stereo", "0"}, by: byMP3, is: "mp3 mp3", bar: limited, alone: true},
		{what: "MP3, 44.1 kHz, joint stereo of unlike channels, 48 kbit/s, without ffmpeg", file: "x.mp3", sound: unlike(), codec: []string{"-c:a", "libmp3lame", "-joint_stereo", "1", "-b:a", "48k"}, by: byMP3, is: "mp3 mp3", bar: underCodec, alone: true},
	}
}

// foreignFiles are those that ffmpeg decodes here as well.
func foreignFiles() []agreement {
	picture := []string{"-f", "lavfi", "-i", "color=size=64x64:rate=5", "-shortest", "-c:v", "mpeg4"}
	coded := func(name string, before ...string) []string { return append(slices.Clone(before), "-c:a", name) }
	return []agreement{
		{what: "MP3, 22.05 kHz", file: "x.mp3", codec: coded("libmp3lame"), by: byFFmpeg, is: "mp3 mp3"},
		{what: "M4A (AAC), as phones record", file: "x.m4a", codec: append(coded("aac"), "-b:a", "64k"), by: byFFmpeg, is: "m4a aac"},
		{what: "MP4 video", file: "x.mp4", codec: coded("aac", picture...), by: byFFmpeg, is: "mp4 aac"},
		{what: "MOV video", file: "x.mov", codec: coded("pcm_s16le", picture...), by: byFFmpeg, is: "mov pcm_s16le"},
		{what: "3GP (AAC)", file: "x.3gp", codec: coded("aac"), by: byFFmpeg, is: "3gp aac"},
		{what: "AMR", file: "x.amr", made: madeAMR, by: byFFmpeg, is: "amr amr_nb"},
		{what: "AAC (ADTS)", file: "x.aac", codec: coded("aac"), by: byFFmpeg, is: "aac aac"},
		{what: "WebM", file: "x.webm", codec: coded("libopus"), by: byFFmpeg, is: "matroska opus"},
		{what: "Matroska", file: "x.mka", codec: coded("flac"), by: byFFmpeg, is: "matroska flac"},
		{what: "CAF (Apple lossless)", file: "x.caf", codec: coded("alac"), by: byFFmpeg, is: "caf alac"},
		{what: "WMA", file: "x.wma", codec: coded("wmav2"), by: byFFmpeg, is: "asf wmav2"},
		{what: "AVI video", file: "x.avi", codec: coded("pcm_s16le", picture...), by: byFFmpeg, is: "avi pcm_s16le"},
		{what: "WAV, compressed (ADPCM)", file: "x.wav", codec: coded("adpcm_ima_wav"), by: byFFmpeg, is: "wav adpcm_ima_wav"},
		{what: "Wave64", file: "x.w64", by: byFFmpeg, is: "w64 pcm_s16le"},
		{what: "AU", file: "x.au", by: byFFmpeg, is: "au pcm_s16be"},
		{what: "Ogg with FLAC in it", file: "x.oga", codec: coded("flac"), by: byFFmpeg, is: "ogg flac"},
		{what: "Ogg Opus, six channels", file: "x.opus", codec: append(coded("libopus"), "-ac", "6"), by: byFFmpeg, is: "ogg opus"},
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

// excerpt is what every file is made from: 3 s at full throttle.
var excerpt = []string{"-ss", "3", "-t", "3", "-i", passWAV}

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
	if _, err := run(nil, slices.Concat(excerpt, a.sound, a.codec, []string{path})...); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal(err)
		}
		t.Skipf("this ffmpeg cannot make it: %v", err)
	}
	return path
}

// samples gives what ffmpeg decodes, after other arguments, as floats.
func samples(t *testing.T, run func([]byte, ...string) ([]byte, error), args ...string) []float32 {
	t.Helper()
	raw, err := run(nil, append(args, "-f", "f32le", "-")...)
	if err != nil {
		t.Fatal(err)
	}
	return bytesToFloats(raw)
}

// TestAgreement lets ffmpeg make each kind of file from a shipped sample, and
// compares our samples, before any resampling, with those of ffmpeg's own decoder:
// as many, and as close as the bar of that kind. It prints how close.
func TestAgreement(t *testing.T) {
	run := ffmpeg(t)
	for _, a := range agreements() {
		t.Run(a.what, func(t *testing.T) {
			t.Parallel()
			path := a.path(t, run)
			var decoder []string
			if a.reference != "" {
				decoder = []string{"-c:a", a.reference}
			}
			want := samples(t, run, append(decoder, "-i", path, "-map", "0:a:0")...)
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
				var sound []float32
				if a.bar == underCodec {
					sound = samples(t, run, slices.Concat(excerpt, a.sound, []string{"-ar", fmt.Sprint(is.rate)})...)
				}
				ok, says := a.bar.holds(sound, want, got)
				t.Logf("pipe %v: %s", pipe, says)
				if !ok {
					t.Errorf("pipe %v: %s", pipe, says)
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

// TestFormatsDoc holds the table of docs/formats.md to the list above.
func TestFormatsDoc(t *testing.T) {
	const begin, end = "<!-- the table is written by: go test -run FormatsDoc ./internal/clip -update -->\n", "<!-- end of the table -->"
	var b strings.Builder
	b.WriteString("| file | decoded by | our samples against ffmpeg's |\n| --- | --- | --- |\n")
	for _, a := range agreements() {
		fmt.Fprintf(&b, "| %s | %s | %s |\n", a.what, a.by, a.bar)
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
