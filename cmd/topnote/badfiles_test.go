package main

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// wavPart is one part of a WAV file; claim is the size that its head gives,
// where that is not the truth.
type wavPart struct {
	id    string
	body  []byte
	claim *uint32
}

func part(id string, body []byte) wavPart { return wavPart{id: id, body: body} }

func lying(id string, body []byte, claim uint32) wavPart { return wavPart{id, body, &claim} }

// wavOf puts the parts of a WAV file together.
func wavOf(parts ...wavPart) []byte {
	le := binary.LittleEndian
	var b []byte
	for _, p := range parts {
		size := uint32(len(p.body))
		if p.claim != nil {
			size = *p.claim
		}
		b = append(le.AppendUint32(append(b, p.id...), size), p.body...)
		if len(p.body)%2 == 1 {
			b = append(b, 0)
		}
	}
	return append(le.AppendUint32([]byte("RIFF"), uint32(len(b)+4)), append([]byte("WAVE"), b...)...)
}

// The tags of the kinds of samples.
const (
	tagPCM   = 1
	tagFloat = 3
)

// format makes the part that describes the samples.
func format(tag, channels uint16, rate uint32, bits uint16) wavPart {
	le := binary.LittleEndian
	b := le.AppendUint16(le.AppendUint16(nil, tag), channels)
	width := channels * (bits / 8)
	b = le.AppendUint32(le.AppendUint32(b, rate), rate*uint32(width))
	return part("fmt ", le.AppendUint16(le.AppendUint16(b, width), bits))
}

// phone is what a phone writes.
func phone() wavPart { return format(tagPCM, 1, 8000, 16) }

// hiss gives so many bytes that are not silence.
func hiss(n int) []byte {
	b := make([]byte, n)
	state := uint32(1)
	for i := range b {
		state = state*1664525 + 1013904223 // any steps that do not repeat
		b[i] = byte(state >> 24)
	}
	return b
}

// floats gives the same number n times, as float32.
func floats(v float64, n int) []byte {
	one := binary.LittleEndian.AppendUint32(nil, math.Float32bits(float32(v)))
	return bytes.Repeat(one, n)
}

// goodWAV is a second of hiss in a file as it should be.
func goodWAV() []byte { return wavOf(phone(), part("data", hiss(16000))) }

// aiff is what an AIFF file claims of its sound.
type aiff struct {
	channels uint16
	frames   uint32
	bits     uint16
	rate     string // the 80-bit number of the format
	bytes    uint32 // of the chunk with the sound
}

// with makes the file, with this sound in it.
func (a aiff) with(sound []byte) []byte {
	be := binary.BigEndian
	b := be.AppendUint32([]byte("COMM"), 18)
	b = be.AppendUint16(b, a.channels)
	b = be.AppendUint32(b, a.frames)
	b = append(be.AppendUint16(b, a.bits), a.rate...)
	b = append(be.AppendUint32(append(b, "SSND"...), a.bytes), make([]byte, 8)...)
	b = append(b, sound...)
	return append(be.AppendUint32([]byte("FORM"), uint32(len(b)+4)), append([]byte("AIFF"), b...)...)
}

// rate8000 is 8000 as the 80-bit number of AIFF: 8000 = 1.953125 x 2^12.
const rate8000 = "\x40\x0b\xfa\x00\x00\x00\x00\x00\x00\x00"

// tiny gives one of the tiny files of testdata.
func tiny(ending string) []byte {
	b, err := os.ReadFile(filepath.Join(root, "testdata", "tiny", "tiny."+ending))
	if err != nil {
		panic(err)
	}
	return b
}

// file is one file with the name that it is given.
func file(name string, body []byte) map[string][]byte { return map[string][]byte{name: body} }

// read is the measuring of one file.
func read(what, name string, body []byte, says string) badInput {
	return badInput{what: what, args: "measure " + name, files: file(name, body), want: failed, says: says}
}

// tooLong is longer than any system lets a name be.
var tooLong = strings.Repeat("n", 300)

func noRecordings() []badInput {
	return []badInput{
		{what: "a name that is not there", args: "measure none.wav", want: failed, says: "there is no such file; check the name"},
		{what: "a pattern that fits nothing", args: "measure *.wav", want: failed, says: "no file matches this pattern"},
		{what: "a name that is too long", args: "measure " + tooLong + ".wav", want: failed, says: "; "},
		{what: "an empty folder", args: "measure .", want: failed, says: "there is no recording in this folder"},
		{what: "a folder of other files", args: "measure .", files: file("letter.txt", []byte("Dear all")), want: failed, says: "there is no recording in this folder"},
		{what: "a folder among the recordings to compare", args: "compare x.wav empty", files: map[string][]byte{"x.wav": goodWAV(), "empty/.hidden": {1}}, want: failed, says: "there is no recording in this folder"},
		{what: "a file of no length", args: "measure x.wav", files: file("x.wav", nil), want: failed, says: "the file is empty"},
		read("a file of one byte", "x.wav", []byte("R"), "ends after one byte"),
		read("a letter", "x.wav", []byte("This is a letter, not a recording.\n"), `begins with "This is a le"`),
		read("a table", "x.wav", []byte("time,speed\n0.1,2800\n0.2,2810\n"), "is not a sound recording"),
		read("a web page", "x.wav", []byte("<!DOCTYPE html><html><body>Not found</body></html>"), "not a sound recording"),
		read("a picture", "x.wav", []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01"), "this is a picture (PNG), not a sound recording"),
		read("a packed folder (ZIP)", "x.wav", []byte("PK\x03\x04\x14\x00\x00\x00\x08\x00\x00\x00\x00\x00"), "not a sound recording"),
		read("a printed page (PDF)", "x.wav", []byte("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj"), "not a sound recording"),
		read("a file of zeros", "x.wav", make([]byte, 4096), "not a sound recording"),
	}
}

// badWAVs lie in every field of the head and break off in every part.
func badWAVs() []badInput {
	data := part("data", hiss(1600))
	whole := wavOf(phone(), data)
	list := wavOf(part("LIST", []byte("INFOISFT\x04\x00\x00\x00abcd")), phone(), data)
	cases := []badInput{
		read("WAV that breaks off in its first name", "x.wav", whole[:5], "ends after 5 bytes"),
		read("WAV that breaks off after its first name", "x.wav", whole[:12], "before its sound begins"),
		read("WAV that breaks off in the description", "x.wav", whole[:30], "before its sound begins"),
		read("WAV that breaks off before the sound", "x.wav", whole[:36], "before its sound begins"),
		read("WAV that breaks off in the head of the sound", "x.wav", whole[:42], "before its sound begins"),
		read("WAV that breaks off in a list of remarks", "x.wav", list[:24], "; "),
		read("WAV without a description", "x.wav", wavOf(data), "the description of its samples is missing"),
		read("WAV with half a description", "x.wav", wavOf(part("fmt ", make([]byte, 8)), data), "is cut short"),
		read("WAV with a description of 4 GB", "x.wav", wavOf(lying("fmt ", phone().body, math.MaxUint32), data), "; "),
		read("WAV with remarks of 4 GB", "x.wav", wavOf(phone(), lying("LIST", []byte("INFO"), math.MaxUint32-15), data), "claims 4,294,967,280 bytes, more than there are"),
		read("WAV with a part whose name moves a terminal", "x.wav", wavOf(lying("\x1b[2J", []byte("x"), 1<<30), phone(), data), `its part "\x1b[2J" claims`),
		read("WAV at 0 samples a second", "x.wav", wavOf(format(tagPCM, 1, 0, 16), data), "claims 0 samples a second"),
		read("WAV at 1 sample a second", "x.wav", wavOf(format(tagPCM, 1, 1, 16), data), "claims 1 sample a second"),
		read("WAV at 4 billion samples a second", "x.wav", wavOf(format(tagPCM, 1, math.MaxUint32, 16), data), "claims 4,294,967,295 samples a second"),
		read("WAV of 0 channels", "x.wav", wavOf(format(tagPCM, 0, 8000, 16), data), "claims 0 channels"),
		read("WAV of 65,535 channels", "x.wav", wavOf(format(tagPCM, math.MaxUint16, 8000, 16), data), "claims 65,535 channels"),
		read("WAV with samples of 0 bits", "x.wav", wavOf(format(tagPCM, 1, 8000, 0), data), "samples of 0 bits"),
		read("WAV with samples of 65,535 bits", "x.wav", wavOf(format(tagPCM, 1, 8000, math.MaxUint16), data), "samples of 65,535 bits"),
		read("WAV with floats of 16 bits", "x.wav", wavOf(format(tagFloat, 1, 8000, 16), data), "samples of 16 bits"),
		read("WAV with numbers that are none (NaN)", "x.wav", wavOf(format(tagFloat, 1, 8000, 32), part("data", floats(math.NaN(), 4000))), "100 % of its samples are not numbers"),
		read("WAV with numbers without end (Inf)", "x.wav", wavOf(format(tagFloat, 1, 8000, 32), part("data", floats(math.Inf(-1), 4000))), "100 % of its samples are not numbers"),
		read("WAV with numbers that no recorder writes", "x.wav", wavOf(format(tagFloat, 1, 8000, 32), part("data", floats(math.MaxFloat32, 4000))), "; "),
		read("WAV with compressed sound", "x.wav", wavOf(format(0x11, 1, 8000, 4), data), "compressed sound (ADPCM), and ffmpeg"),
		read("WAV with sound of an unknown kind", "x.wav", wavOf(format(0x1234, 1, 8000, 16), data), "unknown format (0x1234)"),
		read("WAV with no sound in it", "x.wav", wavOf(phone(), part("data", nil)), "its length is zero"),
		read("WAV with half a sample", "x.wav", wavOf(phone(), part("data", []byte{1})), "its length is zero"),
		read("WAV for large files (RF64) that breaks off", "x.wav", append([]byte("RF64\xff\xff\xff\xffWAVEds64\x1c\x00\x00\x00"), make([]byte, 10)...), "; "),
	}
	return cases
}

func badOthers() []badInput {
	sound := hiss(1600)
	good := aiff{1, 800, 16, rate8000, 1608}.with(sound)
	flac, ogg, opus, mp3 := tiny("flac"), tiny("ogg"), tiny("opus"), tiny("mp3")
	spoilt := slices.Clone(ogg)
	spoilt[len(spoilt)/3] ^= 0xff
	return []badInput{
		read("AIFF that breaks off after its first name", "x.aiff", good[:12], "before its sound begins"),
		read("AIFF that breaks off in the description", "x.aiff", good[:26], "; "),
		read("AIFF that breaks off in the head of the sound", "x.aiff", good[:44], "; "),
		read("AIFF at 0 samples a second", "x.aiff", aiff{1, 800, 16, string(make([]byte, 10)), 1608}.with(sound), "; "),
		read("AIFF at more samples a second than there are numbers", "x.aiff", aiff{1, 800, 16, "\x7f\xff\xff\xff\xff\xff\xff\xff\xff\xff", 1608}.with(sound), "; "),
		read("AIFF of 65,535 channels", "x.aiff", aiff{math.MaxUint16, 800, 16, rate8000, 1608}.with(sound), "claims 65,535 channels"),
		read("AIFF with samples of 0 bits", "x.aiff", aiff{1, 800, 0, rate8000, 1608}.with(sound), "; "),
		read("FLAC that ends with its name", "x.flac", flac[:4], "; "),
		read("FLAC that breaks off in its description", "x.flac", flac[:20], "; "),
		read("FLAC that breaks off before the sound", "x.flac", flac[:42], "; "),
		read("Ogg that breaks off in its first page", "x.ogg", ogg[:20], "; "),
		read("Ogg that breaks off before its codes", "x.ogg", ogg[:58], "; "),
		read("Ogg with a wrong bit in its codes", "x.ogg", spoilt, "; "),
		read("Opus that breaks off before the sound", "x.opus", opus[:47], "; "),
		read("Opus that breaks off in the sound", "x.opus", opus[:len(opus)-30], "before its sound begins"),
		read("MP3 that breaks off in its first frame", "x.mp3", mp3[:20], "; "),
		read("a film or phone recording (MP4) without ffmpeg", "x.m4a", []byte("\x00\x00\x00\x20ftypM4A \x00\x00\x00\x00M4A mp42isom\x00\x00\x00\x00"), "ffmpeg, the program that would decode it, is not installed"),
		read("a voice recording (AMR) without ffmpeg", "x.amr", []byte("#!AMR\n\x0c\x00\x00\x00\x00\x00\x00\x00"), "ffmpeg"),
	}
}

// tooLittle is read, and nothing is made of it.
func tooLittle() []badInput {
	little := func(what, name string, body []byte, says string) badInput {
		return badInput{what: what, args: "measure " + name + " --limit 13500", files: file(name, body), want: noResult, says: says}
	}
	return []badInput{
		little("one sample", "x.wav", wavOf(phone(), part("data", []byte{1, 2})), "No engine was heard"),
		little("silence", "x.wav", wavOf(phone(), part("data", make([]byte, 32000))), "The recording is silent"),
		little("a constant that is no sound", "x.wav", wavOf(phone(), part("data", bytes.Repeat([]byte{0, 0x40}, 16000))), "No engine was heard"),
		little("hiss", "x.wav", wavOf(phone(), part("data", hiss(64000))), "No engine was heard"),
		little("clipped throughout", "x.wav", wavOf(phone(), part("data", bytes.Repeat([]byte{0xff, 0x7f, 0, 0x80}, 8000))), "No engine was heard"),
		little("a small file that claims 4 GB of sound", "x.wav", wavOf(phone(), lying("data", hiss(16000), math.MaxUint32-1)), "the file was cut off"),
		little("a recorder that never wrote the length", "x.wav", wavOf(phone(), lying("data", hiss(16000), 0)), "the recorder did not write how long the sound is"),
		little("sound that breaks off", "x.wav", goodWAV()[:9000], "the file was cut off"),
		little("parts of odd length", "x.wav", wavOf(part("odd ", []byte("x")), phone(), part("more", []byte("xyz")), part("data", hiss(16001))), "the last sample is incomplete"),
		little("AIFF that claims 4 GB of sound", "x.aiff", aiff{1, math.MaxUint32, 16, rate8000, math.MaxUint32}.with(hiss(16000)), "No engine was heard"),
		little("AIFF sound that breaks off", "x.aiff", aiff{1, 8000, 16, rate8000, 16008}.with(hiss(9000)), "No engine was heard"),
		little("FLAC sound that breaks off", "x.flac", tiny("flac")[:len(tiny("flac"))*3/4], "No engine was heard"),
		little("MP3 sound that breaks off", "x.mp3", tiny("mp3")[:len(tiny("mp3"))*3/4], "No engine was heard"),
	}
}
