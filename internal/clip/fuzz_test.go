package clip

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"topnote/internal/audio/audiotest"
	"topnote/internal/resample"
)

// FuzzRead holds for any bytes: a Problem with both halves of its sentence, or a
// sound of the right length whose samples and facts are numbers in range.
func FuzzRead(f *testing.F) {
	for _, w := range []made{
		{rate: 8000, channels: 1, bits: 8, tag: tagPCM},
		{rate: 11025, channels: 2, bits: 16, tag: tagPCM, between: []chunk{{"LIST", "INFOISFT\x04\x00\x00\x00abcd"}}},
		{rate: 44100, channels: 3, bits: 24, tag: tagPCM, extensible: true},
		{rate: 48000, channels: 1, bits: 32, tag: tagFloat, dataSize: ptr[uint32](0xffffffff)},
		{rate: 48000, channels: 2, bits: 64, tag: tagFloat, dataSize: ptr[uint32](0)},
		{rate: 8000, channels: 1, bits: 8, tag: tagALaw},
		{rate: 8000, channels: 1, bits: 8, tag: tagMuLaw, before: []chunk{{"odd ", "x"}}, after: []chunk{{"LIST", "INFO"}}},
	} {
		f.Add(w.file(w.encode(tone(24*w.channels, 0.05, 0.9))))
	}
	small := made{rate: 16000, channels: 1, bits: 16, tag: tagPCM}
	f.Add(rf64(small, "RF64", small.encode(tone(24, 0.05, 0.9))))
	f.Add([]byte("OggS"))
	f.Add([]byte("fLaC\x00\x00\x00\x22\x10\x00\x10\x00"))
	for _, file := range wholeFiles(f) {
		f.Add(file)
	}
	f.Fuzz(holdsForAny)
}

// holdsForAny reads any bytes on a machine without ffmpeg. What would take for
// ever ends the process after a while.
func holdsForAny(t *testing.T, file []byte) {
	hang := time.AfterFunc(time.Minute, func() { panic("it never comes back") })
	defer hang.Stop()
	o := Default()
	o.FFmpeg = ""
	o.Limits.Bytes = 1 << 20
	o.Limits.Duration = 30
	s, err := collect(bytes.NewReader(file), "fuzz", o)
	if err != nil {
		var p *Problem
		if !errors.As(err, &p) || p.Code == "" || p.Says == "" || p.Do == "" {
			t.Fatalf("%#v", err)
		}
		return
	}
	i := s.Info
	frames := int64(float64(i.Duration)*float64(i.SampleRate) + 0.5)
	if want := resample.OutputLength(frames, int(i.SampleRate)); frames < 1 || int64(s.Samples.Len()) != want {
		t.Fatalf("%d samples, want %d for %d frames", s.Samples.Len(), want, frames)
	}
	for k, v := range audiotest.All(s.Samples) {
		// The low-pass overshoots by at most the sum of its taps' sizes.
		const overshoot = 3
		if !(v >= -overshoot && v <= overshoot) {
			t.Fatalf("sample %d is %v", k, v)
		}
	}
	if !(i.ClippedPct >= 0 && i.ClippedPct <= 100 && i.PeakLevel >= 0 && i.PeakLevel <= maxMagnitude) {
		t.Fatalf("clipped %v, peak %v", i.ClippedPct, i.PeakLevel)
	}
	if i.SHA256 != fmt.Sprintf("%x", sha256.Sum256(file)) || i.Used == "" || i.Codec == "" || i.Container == "" {
		t.Fatalf("%+v", i)
	}
}

// FuzzWAV puts any bytes behind the name of a WAV file.
func FuzzWAV(f *testing.F) {
	const named = len("RIFF\x00\x00\x00\x00WAVE")
	w := made{rate: 8000, channels: 2, bits: 16, tag: tagPCM}
	for _, between := range [][]chunk{nil, {{"LIST", "INFO"}}, {{"fact", "\x18\x00\x00\x00"}, {"odd ", "x"}}} {
		w.between = between
		f.Add(w.file(w.encode(tone(48, 0.05, 0.9)))[named:])
	}
	floats := made{rate: 8000, channels: 1, bits: 32, tag: tagFloat}
	f.Add(floats.file(floats.encode([]float32{float32(math.NaN()), float32(math.Inf(1)), math.MaxFloat32, 0, 1}))[named:])
	f.Fuzz(func(t *testing.T, body []byte) {
		holdsForAny(t, append([]byte("RIFF\x00\x00\x00\x00WAVE"), body...))
	})
}

// FuzzAIFF puts any bytes behind the head of an AIFF-C file.
func FuzzAIFF(f *testing.F) {
	a := madeAIFF{rate: 8000, channels: 2, bits: 24}
	for _, kind := range []string{"", "sowt", "fl64", "ulaw", "in32"} {
		a.kind = kind
		f.Add(kind != "", a.file(a.encode(tone(48, 0.05, 0.9)))[12:])
	}
	f.Fuzz(func(t *testing.T, typed bool, body []byte) {
		head := "FORM\x00\x00\x00\x00AIFF"
		if typed {
			head = "FORM\x00\x00\x00\x00AIFC"
		}
		holdsForAny(t, append([]byte(head), body...))
	})
}

// FuzzFLAC puts any bytes behind the name of a FLAC file.
func FuzzFLAC(f *testing.F) {
	f.Add(tiny(f, "flac")[4:])
	f.Fuzz(func(t *testing.T, body []byte) { holdsForAny(t, append([]byte("fLaC"), body...)) })
}

// FuzzOgg mutates pages and puts their checksums right.
func FuzzOgg(f *testing.F) {
	files := wholeFiles(f)
	f.Add(files["Opus"])
	f.Add(files["Vorbis"])
	f.Add(madeOgg(madePage{flags: 2, packets: [][]byte{{1}}}, madePage{open: make([]byte, 255)}, madePage{flags: 1 | 4, packets: [][]byte{{1}}}))
	f.Fuzz(func(t *testing.T, file []byte) {
		for at := 0; ; at++ {
			next := bytes.Index(file[at:], []byte("OggS"))
			if at += max(next, 0); next < 0 || at+27 > len(file) {
				break
			}
			end := at + 27 + int(file[at+26])
			if end > len(file) {
				break
			}
			for _, size := range file[at+27 : end] {
				end += int(size)
			}
			if end > len(file) {
				break
			}
			clear(file[at+22 : at+26])
			binary.LittleEndian.PutUint32(file[at+22:], oggSum(file[at:end]))
		}
		holdsForAny(t, file)
	})
}

// FuzzOpus packs any packets between a head and an end.
func FuzzOpus(f *testing.F) {
	p := unpackOgg(f, tiny(f, "opus"))
	f.Add(p[0], int64(5000), p[2], p[3], p[4])
	f.Add(opusHead(2, 0, -256, 0), int64(-5), []byte{3, 0x80 | 2, 1, 7, 7}, []byte{0xfc}, []byte{})
	f.Fuzz(func(t *testing.T, head []byte, end int64, a, b, c []byte) {
		const longest = 16000 // so that three packets fit a page
		for _, p := range []*[]byte{&head, &a, &b, &c} {
			*p = (*p)[:min(len(*p), longest)]
		}
		holdsForAny(t, opusFile(append([]byte("OpusHead"), head[min(8, len(head)):]...), end, a, b, c, a))
	})
}

// FuzzVorbis packs any setup and any packets behind a good head.
func FuzzVorbis(f *testing.F) {
	p := unpackOgg(f, tiny(f, "ogg"))
	f.Add(p[0][28], p[2], p[3], p[4], p[5])
	f.Add(byte(0x66), books(1).book(1, 4).full(4, 2).bytes, []byte{0}, []byte{0}, []byte{0})
	f.Fuzz(func(t *testing.T, blocks byte, setup, a, b, c []byte) {
		const longest = 16000
		for _, p := range []*[]byte{&setup, &a, &b, &c} {
			*p = (*p)[:min(len(*p), longest)]
		}
		head := bytes.Clone(p[0])
		head[28] = blocks
		holdsForAny(t, vorbisFile(-1, [][]byte{head, p[1], append([]byte("\x05vorbis"), setup[min(7, len(setup)):]...), a, b, c, a}))
	})
}

// FuzzMP3 puts any bytes behind the head of a frame.
func FuzzMP3(f *testing.F) {
	file := tiny(f, "mp3")
	f.Add(file[3:])
	f.Add(append(append([]byte{}, file[3:]...), "TAG"...))
	f.Fuzz(func(t *testing.T, body []byte) { holdsForAny(t, append([]byte("\xff\xfb\x18"), body...)) })
}

// FuzzSniff: whatever is told by its first bytes can be opened or is no sound.
func FuzzSniff(f *testing.F) {
	for _, k := range kinds() {
		f.Add([]byte(k.magic + "            "))
	}
	f.Fuzz(func(t *testing.T, head []byte) {
		if len(head) < minHead {
			return
		}
		k := sniff(head)
		if k.name != "" && !k.notSound && (k.open == nil || k.container == "" || k.demuxer == "") {
			t.Fatalf("%+v", k)
		}
	})
}

// FuzzFFmpegLog: whatever is in the log, there is a sentence, and little is kept.
func FuzzFFmpegLog(f *testing.F) {
	f.Add([]byte("[mov @ 0x5] [error] moov atom not found\n[info]   Stream #0:0 -> #0:0 (aac (native) -> pcm_f32le (native))\n"))
	f.Add([]byte("[error] \x1b[2J\n[[]] [warning] partial file\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		var l ffmpegLog
		if n, err := l.Write(text); n != len(text) || err != nil {
			t.Fatal(n, err)
		}
		p := l.problem(nil)
		if p.Says == "" || p.Do == "" || len(l.line) > logLine || len(l.first) > logLine || len(l.codec()) > logLine {
			t.Fatalf("%+v, %d bytes are kept", p, len(l.line)+len(l.first))
		}
		for _, r := range p.Says {
			if r < ' ' {
				t.Fatalf("%q can move a terminal", p.Says)
			}
		}
	})
}
