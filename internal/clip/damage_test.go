package clip

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"topnote/internal/audio/audiotest"
)

// wholeFiles gives a short file of each kind that is decoded here.
func wholeFiles(t testing.TB) map[string][]byte {
	sound := tone(600, 0.05, 0.5)
	wav := made{rate: 8000, channels: 1, bits: 16, tag: tagPCM}
	aiff := madeAIFF{rate: 8000, channels: 1, bits: 16}
	var opusAt int64
	opus := onePerPage(unpackOgg(t, tiny(t, "opus")), 2, func(int) int64 { opusAt += 960; return opusAt })
	vorbis := onePerPage(unpackOgg(t, tiny(t, "ogg")), 3, func(int) int64 { return -1 })
	return map[string][]byte{
		"WAV": wav.file(wav.encode(sound)), "AIFF": aiff.file(aiff.encode(sound)),
		"FLAC": tiny(t, "flac"), "Vorbis": vorbis, "Opus": opus, "MP3": tiny(t, "mp3"),
	}
}

// TestCutAnywhere cuts a file of each kind at every few bytes. It is refused in
// words, or gives the sound that a longer piece begins with and says that there
// was more; and what is cut off never adds to the sound.
func TestCutAnywhere(t *testing.T) {
	for kind, file := range wholeFiles(t) {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			whole, err := readAlone(bytes.NewReader(file))
			if err != nil || len(whole.Info.Remarks) > 0 {
				t.Fatalf("whole: %v, %+v", err, whole)
			}
			frames, some := 0.0, false
			for n := 0; n < len(file); n += 1 + n/250 {
				got, err := readAlone(bytes.NewReader(file[:n]))
				var p *Problem
				switch {
				case errors.As(err, &p):
					if frames > 0 || p.Code == CodeTooSlow {
						t.Fatalf("%d bytes: %v; fewer bytes gave sound", n, err)
					}
				case err != nil:
					t.Fatalf("%d bytes: %v is no Problem", n, err)
				default:
					some = true
					if d := float64(got.Info.Duration); d < frames || d > float64(whole.Info.Duration) {
						t.Fatalf("%d bytes: %v s, before %v s, whole %v s", n, d, frames, whole.Info.Duration)
					} else {
						frames = d
					}
					if len(got.Info.Remarks) == 0 {
						t.Fatalf("%d of %d bytes: %v s of %v s and no remark", n, len(file), got.Info.Duration, whole.Info.Duration)
					}
				}
			}
			if !some {
				t.Error("no piece gave any sound")
			}
		})
	}
}

// TestMiddleDamaged: sound that was decoded before the damage is not lost.
func TestMiddleDamaged(t *testing.T) {
	file := slices.Clone(tiny(t, "flac"))
	file[len(file)-20] ^= 0xff // in the last of three blocks
	got, err := readAlone(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	want := fmt.Sprintf("the file is damaged %.1f s from its start; the part before was read", got.Info.Duration)
	if got.Samples.Len() == 0 || !slices.Contains(got.Info.Remarks, want) {
		t.Errorf("%d samples, remarks %q, want %q", got.Samples.Len(), got.Info.Remarks, want)
	}
}

const (
	endsEarly = "the file ends before its sound begins; " + again
	noSound   = "the file holds no sound: its length is zero; record the pass again, and check that the recorder's time runs"
	failed    = "the file is damaged: its sound cannot be decoded; " + original
)

// TestAIFFProblems reads AIFF files with wrong headers. TestVorbisHeads has those of
// Vorbis.
func TestAIFFProblems(t *testing.T) {
	aiff := madeAIFF{rate: 8000, channels: 1, bits: 16}
	data := make([]byte, 200)
	aiffWith := func(change func(*madeAIFF)) []byte {
		a := aiff
		change(&a)
		return a.file(data)
	}
	checkRefused(t, []refused{
		{"AIFF, head only", aiff.file(data)[:12], CodeTooShort, endsEarly},
		{"AIFF, cut in COMM", aiff.file(data)[:30], CodeTooShort, endsEarly},
		{"AIFF, cut before its sound", aiff.file(data)[:50], CodeTooShort, endsEarly},
		{"AIFF, short COMM", []byte("FORM\x00\x00\x00\x20AIFFCOMM\x00\x00\x00\x02\x00\x01SSND\x00\x00\x00\x00"), CodeDamaged,
			"the file is damaged: the description of its samples is cut short; " + original},
		{"AIFF, no COMM", aiffWith(func(a *madeAIFF) { a.late = true }), CodeNoFFmpeg,
			"this is an AIFF file whose sound is before its description" + noFFmpeg},
		{"AIFF, 0 Hz", aiffWith(func(a *madeAIFF) { a.rate = 0 }), CodeRate, "the file claims 0 samples a second; 4,000 to 384,000 can be read; " + original},
		{"AIFF, rate beyond numbers", bytes.Replace(aiff.file(data), []byte("\x40\x0b\xfa"), []byte("\x7f\xff\xfa"), 1), CodeRate,
			"the file claims 4,294,967,295 samples a second; 4,000 to 384,000 can be read; " + original},
		{"AIFF, 0 channels", aiffWith(func(a *madeAIFF) { a.channels = 0 }), CodeChannels, "the file claims 0 channels; 1 to 8 can be read; " + fewer},
		{"AIFF, 9 channels", aiffWith(func(a *madeAIFF) { a.channels = 9 }), CodeChannels, "the file claims 9 channels; 1 to 8 can be read; " + fewer},
		{"AIFF, 0 bits", aiffWith(func(a *madeAIFF) { a.bits = 0 }), CodeDamaged, "the file is damaged: it claims samples of 0 bits; " + original},
		{"AIFF, 48 bits", aiffWith(func(a *madeAIFF) { a.bits = 48 }), CodeDamaged, "the file is damaged: it claims samples of 48 bits; " + original},
		{"AIFF, compressed", aiffWith(func(a *madeAIFF) { a.kind = "ima4" }), CodeNoFFmpeg, `this is an AIFF file with compressed sound ("ima4")` + noFFmpeg},
		{"AIFF, escape in its type", aiffWith(func(a *madeAIFF) { a.kind = "\x1b[2J" }), CodeNoFFmpeg, `this is an AIFF file with compressed sound ("\x1b[2J")` + noFFmpeg},
		{"AIFF, huge chunk", bytes.Replace(aiffWith(func(a *madeAIFF) { a.before = []chunk{{"NAME", "abcd"}} }), []byte("NAME\x00"), []byte("NAME\xff"), 1), CodeDamaged,
			`the file is damaged: its part "NAME" claims 4,278,190,084 bytes, more than there are; ` + original},
		{"AIFF, offset beyond the end", bytes.Replace(aiffWith(func(a *madeAIFF) { a.offset = 2 }), []byte("\x00\x00\x00\x02\x00\x00\x00\x00"), []byte("\x00\xff\x00\x02\x00\x00\x00\x00"), 1), CodeDamaged,
			`the file is damaged: its part "SSND" claims 16,711,682 bytes, more than there are; ` + original},
		{"AIFF, no sound", aiff.file(nil), CodeNoSound, noSound},
		{"AIFF, half a sample", aiff.file([]byte{1}), CodeNoSound, noSound},
	})
}

func TestFLACProblems(t *testing.T) {
	flacWith := func(at int, b ...byte) []byte {
		f := slices.Clone(tiny(t, "flac"))
		copy(f[at:], b)
		return f
	}
	checkRefused(t, []refused{
		{"FLAC, name only", []byte("fLaC\x00\x00\x00\x22\x10\x00\x10\x00"), CodeTooShort, endsEarly},
		{"FLAC, no sound", tiny(t, "flac")[:42], CodeTooShort, endsEarly},
		{"FLAC, first part is not the description", flacWith(4, 1), CodeDamaged, failed},
		{"FLAC, 0 Hz", flacWith(18, 0, 0, 0x00), CodeDamaged, failed},
		{"FLAC, 4 Hz", flacWith(18, 0, 0, 0x40), CodeRate, "the file claims 4 samples a second; 4,000 to 384,000 can be read; " + original},
		{"FLAC, 32 bits", flacWith(20, 0x01, 0xf0), CodeNoFFmpeg, "this is a FLAC file with samples of 32 bits" + noFFmpeg},
		{"FLAC, another rate than its blocks", flacWith(18, 0x0b, 0xb8), CodeDamaged, failed},
		{"FLAC, more channels than its blocks", flacWith(20, 0x02), CodeDamaged, failed},
		{"FLAC, a part of 16 MB", flacWith(43, 0xff, 0xff, 0xff), CodeTooShort, endsEarly},
	})
}

func TestOggProblems(t *testing.T) {
	opus := unpackOgg(t, tiny(t, "opus"))
	head := opusHead(1, 312, 0, 0)
	checkRefused(t, []refused{
		{"Ogg, first page only", madeOgg(madePage{flags: 2, packets: [][]byte{head}}), CodeTooShort, endsEarly},
		{"Ogg, wrong checksum", madeOgg(madePage{flags: 2, packets: [][]byte{head}, spoilt: true}), CodeTooShort, endsEarly},
		{"Ogg, a stream without a beginning", madeOgg(madePage{packets: [][]byte{head}}), CodeNoFFmpeg, "this is an Ogg file" + noFFmpeg},
		{"Opus, head cut short", madeOgg(madePage{flags: 2, packets: [][]byte{head[:12]}}), CodeDamaged,
			"the file is damaged: the description of its samples is cut short; " + original},
		{"Opus, version of the future", opusFile(append([]byte("OpusHead\x10"), head[9:]...), -1, opus[2]), CodeDamaged,
			"the file is damaged: the description of its samples is cut short; " + original},
		{"Opus, no channels", opusFile(opusHead(0, 0, 0, 0), -1, opus[2]), CodeChannels, "the file claims 0 channels; 1 to 8 can be read; " + fewer},
		{"Opus, 255 channels", opusFile(opusHead(255, 0, 0, 1), -1, opus[2]), CodeNoFFmpeg, "this is an Ogg file (Opus) with 255 channels" + noFFmpeg},
		{"Opus, no packets of sound", opusFile(head, 0), CodeNoSound, noSound},
		{"Opus, packets of no length", opusFile(head, 0, nil, []byte{3, 0}), CodeNoSound, noSound},
		{"Opus, all of it pre-skip", opusFile(opusHead(1, math.MaxUint16, 0, 0), -1, opus[2]), CodeNoSound, noSound},
	})
}

func TestMP3Problems(t *testing.T) {
	mp3Head := func(h string) []byte { return append([]byte(h), make([]byte, 2000)...) }
	checkRefused(t, []refused{
		{"MP3, tag only", []byte("ID3\x04\x00\x00\x00\x00\x00\x02ab"), CodeTooShort, endsEarly},
		{"MP3, tag of 256 MB", []byte("ID3\x04\x00\x00\x7f\x7f\x7f\x7fab"), CodeTooShort, endsEarly},
		{"MP3, tag and then junk", append([]byte("ID3\x04\x00\x00\x00\x00\x00\x02"), make([]byte, 5000)...), CodeTooShort, endsEarly},
		{"MP3, name only", []byte("\xff\xfb\x90\x64\x00\x00\x00\x00\x00\x00\x00\x00"), CodeTooShort, endsEarly},
		{"MP3, 22.05 kHz", mp3Head("\xff\xf3\x40\xc0"), CodeNoFFmpeg, "this is an MP3 file of 22,050 samples a second" + noFFmpeg},
		{"MP3, 8 kHz", mp3Head("\xff\xe3\x48\xc0"), CodeNoFFmpeg, "this is an MP3 file of 8,000 samples a second" + noFFmpeg},
		{"MP3, free bit rate", mp3Head("\xff\xfb\x00\x00"), CodeNoFFmpeg, "this is an MP3 file of free bit rate" + noFFmpeg},
		{"MP2", mp3Head("\xff\xfd\x90\x00"), CodeNoFFmpeg, "this is an MPEG sound file that is no MP3 (layer I or II)" + noFFmpeg},
	})
}

// TestLyingLengths: what a head claims of the length is not believed against what
// is there, and costs no memory.
func TestLyingLengths(t *testing.T) {
	flac := slices.Clone(tiny(t, "flac"))
	claim := binary.BigEndian.Uint64(flac[18:])
	binary.BigEndian.PutUint64(flac[18:], claim&^(1<<36-1)|1<<35) // samples in all
	mp3 := slices.Clone(tiny(t, "mp3"))
	binary.BigEndian.PutUint32(mp3[bytes.Index(mp3, []byte("Info"))+8:], math.MaxUint32) // frames
	for name, file := range map[string][]byte{"FLAC": flac, "MP3": mp3} {
		want, err := readAlone(bytes.NewReader(wholeFiles(t)[name]))
		if err != nil {
			t.Fatal(err)
		}
		got, err := readAlone(bytes.NewReader(file))
		if err != nil || got.Samples.Len() < want.Samples.Len() || cap(audiotest.All(got.Samples)) > 2*blockFrames+got.Samples.Len() {
			t.Fatalf("%s: %v, %d samples, want %d", name, err, got.Samples.Len(), want.Samples.Len())
		}
		if note := strings.Join(got.Info.Remarks, "; "); note != remarkCut {
			t.Errorf("%s: remarks %q", name, note)
		}
	}
}
