package clip

import (
	"bytes"
	"context"
	"encoding/binary"
	"slices"
	"strings"
	"testing"
)

// TestMP3Heads reads heads of frames whose meaning is in ISO 11172-3, 2.4.2.3,
// and ISO 13818-3, 2.4.2.3; sizes are 144 * bit rate / rate, rounded down, plus
// the padding.
func TestMP3Heads(t *testing.T) {
	for _, c := range []struct {
		head string
		want mp3Head
		ok   bool
	}{
		{"\xff\xfb\x90\x64", mp3Head{layer: 3, rate: 44100, channels: 2, size: 417}, true}, // 128 kbit/s
		{"\xff\xfb\x92\x64", mp3Head{layer: 3, rate: 44100, channels: 2, size: 418}, true}, // padded
		{"\xff\xfa\xe8\xc0", mp3Head{layer: 3, rate: 32000, channels: 1, size: 1440}, true},
		{"\xff\xfb\x14\xc0", mp3Head{layer: 3, rate: 48000, channels: 1, size: 96}, true},
		{"\xff\xf3\x40\xc0", mp3Head{layer: 3, rate: 22050, low: true, channels: 1}, true},
		{"\xff\xe3\x48\xc0", mp3Head{layer: 3, rate: 8000, low: true, channels: 1}, true},
		{"\xff\xfb\x00\x00", mp3Head{layer: 3, rate: 44100, free: true, channels: 2}, true},
		{"\xff\xfd\x90\x00", mp3Head{layer: 2, rate: 44100, channels: 2}, true},
		{"\xff\xfb\xf0\x00", mp3Head{}, false}, // no bit rate
		{"\xff\xfb\x9c\x00", mp3Head{}, false}, // no rate
		{"\xff\xeb\x90\x00", mp3Head{}, false}, // no version
		{"\xff\xf9\x90\x00", mp3Head{}, false}, // no layer
		{"\xff\xfb\x90\x02", mp3Head{}, false}, // no emphasis
		{"\xfe\xfb\x90\x00", mp3Head{}, false},
	} {
		got, ok := parseMP3Head([]byte(c.head))
		if got.layer != 3 || got.low || got.free {
			got.size = 0 // means nothing there
		}
		if got != c.want || ok != c.ok {
			t.Errorf("% x: %+v, %v; want %+v, %v", c.head, got, ok, c.want, c.ok)
		}
	}
}

// mp3Parts cuts a file without tags into its frames.
func mp3Parts(t *testing.T, file []byte) [][]byte {
	t.Helper()
	var frames [][]byte
	for len(file) >= 4 {
		h, ok := parseMP3Head(file)
		if !ok || h.size > len(file) {
			t.Fatalf("no frame %d bytes before the end", len(file))
		}
		frames = append(frames, file[:h.size])
		file = file[h.size:]
	}
	return frames
}

// TestMP3Trims holds what is cut off at both ends by the tag: 0.1 s at 32 kHz
// comes out as 3200 samples, at their places.
func TestMP3Trims(t *testing.T) {
	frames := mp3Parts(t, tiny(t, "mp3"))
	bare := slices.Concat(frames[1:]...)
	tag := bytes.Index(frames[0], []byte("Info"))
	// Delay and padding stand 21 bytes into the part that follows frames, bytes,
	// table and quality.
	at := tag + 8 + 4 + 4 + 100 + 4 + 21
	delay := int(frames[0][at])<<4 | int(frames[0][at+1])>>4
	if tag < 0 || delay != 1105-529 { // of this encoder; Bouvigne 2005
		t.Fatalf("tag at %d, delay %d", tag, delay)
	}
	whole := readMP3(t, bare, remarkDelay)
	if len(whole) != 1152*(len(frames)-1) {
		t.Fatalf("%d samples of %d frames", len(whole), len(frames)-1)
	}
	want := whole[delay+529:][:3200]
	id3 := func(size int) []byte {
		return append([]byte{'I', 'D', '3', 4, 0, 0, byte(size >> 21 & 0x7f), byte(size >> 14 & 0x7f), byte(size >> 7 & 0x7f), byte(size & 0x7f)}, make([]byte, size)...)
	}
	file := tiny(t, "mp3")
	noDelay := slices.Clone(frames[0])
	clear(noDelay[at-21:])
	for _, c := range []struct {
		name   string
		file   []byte
		want   []float32
		remark string
	}{
		{"tagged", file, want, ""},
		{"behind an ID3 tag of 100 kB", append(id3(100_000), file...), want, ""},
		{"behind two ID3 tags", append(append(id3(200), id3(10)...), file...), want, ""},
		{"before an ID3 tag of the first version", append(slices.Clone(file), append([]byte("TAG"), make([]byte, 125)...)...), want, ""},
		{"padding behind the tag", append(append(id3(20), make([]byte, 64)...), file...), want, ""},
		{"a tag without delay", slices.Concat(noDelay, bare), whole, remarkDelay},
		{"junk between frames", slices.Concat(frames[0], frames[1], []byte("junk\xff\xfb\x90\x00junk"), slices.Concat(frames[2:]...)), want, remarkParts},
		{"the last frame cut", file[:len(file)-10], whole[delay+529 : 1152*(len(frames)-2)], remarkCut},
		{"the last frame missing", file[:len(file)-len(frames[len(frames)-1])], whole[delay+529 : 1152*(len(frames)-2)], remarkCut},
	} {
		if got := readMP3(t, c.file, c.remark); !slices.Equal(got, c.want) {
			t.Errorf("%s: %d samples, want %d, or they differ", c.name, len(got), len(c.want))
		}
	}
}

// readMP3 gives the samples of a file as they come out of our decoder.
func readMP3(t *testing.T, file []byte, remark string) []float32 {
	t.Helper()
	o := Default()
	o.FFmpeg = ""
	s, err := NewStream(context.Background(), bytes.NewReader(file), "made", o)
	if err != nil {
		t.Fatal(err)
	}
	got, is, notes := drain(t, s)
	if is.codec != "mp3" || is.rate != 32000 || is.channels != 1 || strings.Join(notes, "; ") != remark {
		t.Errorf("%+v, remarks %q, want %q", is, notes, remark)
	}
	return got
}

// TestMP3Tags reads tags that lie or end early.
func TestMP3Tags(t *testing.T) {
	full := append(make([]byte, 36), "Info\x00\x00\x00\x0f"...)
	full = binary.BigEndian.AppendUint32(full, 417)
	full = append(full, make([]byte, 4+100+4)...)
	full = append(full, "LAME3.100"...)
	full = append(full, make([]byte, 12)...)
	full = append(full, 0x24, 0x01, 0x90, 0) // 576 and 400
	for _, c := range []struct {
		name  string
		frame []byte
		want  mp3Tag
		ok    bool
	}{
		{"full", full, mp3Tag{frames: 417, hasDelay: true, delay: 576, padding: 400}, true},
		{"ends in the delay", full[:len(full)-2], mp3Tag{frames: 417}, true},
		{"ends in the table", full[:60], mp3Tag{frames: 417}, true},
		{"ends before the frames", full[:44], mp3Tag{}, true},
		{"ends in its name", full[:42], mp3Tag{}, false},
		{"VBRI", append(append(make([]byte, 36), "VBRI"...), make([]byte, 20)...), mp3Tag{}, true},
		{"none", make([]byte, 400), mp3Tag{}, false},
		{"no bytes", nil, mp3Tag{}, false},
	} {
		if got, ok := parseMP3Tag(c.frame, 2); got != c.want || ok != c.ok {
			t.Errorf("%s: %+v, %v; want %+v, %v", c.name, got, ok, c.want, c.ok)
		}
	}
}

// TestTaggedFLAC: the kind of a file is that of what follows its ID3 tag.
func TestTaggedFLAC(t *testing.T) {
	want, _, _ := decodeAll(t, tiny(t, "flac"))
	got, is, _ := decodeAll(t, append([]byte("ID3\x04\x00\x00\x00\x00\x00\x02ab"), tiny(t, "flac")...))
	if is.container != "flac" || !slices.Equal(got, want) || len(got) != 400 {
		t.Errorf("%+v, %d samples, want %d of FLAC", is, len(got), len(want))
	}
}
