package clip

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"topnote/internal/audio/audiotest"
)

// TestAIFFExact holds every size of integer to the exact codes: a code c of b
// bits is c/2^(b-1) of full scale, left-aligned in its bytes. Source: Apple, AIFF
// 1.3, sound data chunk.
func TestAIFFExact(t *testing.T) {
	for _, c := range []struct {
		a     madeAIFF
		turn  bool // the bytes of each sample
		codec string
	}{
		{madeAIFF{bits: 8}, false, "pcm_s8"},
		{madeAIFF{bits: 12}, false, "pcm_s16"},
		{madeAIFF{bits: 16}, false, "pcm_s16"},
		{madeAIFF{bits: 20}, false, "pcm_s24"},
		{madeAIFF{bits: 24}, false, "pcm_s24"},
		{madeAIFF{bits: 32}, false, "pcm_s32"},
		{madeAIFF{bits: 8, kind: "sowt"}, false, "pcm_s8"},
		{madeAIFF{bits: 16, kind: "NONE"}, false, "pcm_s16"},
		{madeAIFF{bits: 16, kind: "twos"}, false, "pcm_s16"},
		{madeAIFF{bits: 16, kind: "sowt"}, true, "pcm_s16"},
		{madeAIFF{bits: 24, kind: "sowt"}, true, "pcm_s24"},
		{madeAIFF{bits: 24, kind: "in24"}, false, "pcm_s24"},
		{madeAIFF{bits: 32, kind: "in32"}, false, "pcm_s32"},
	} {
		for _, channels := range []int{1, 2, 5} {
			a := c.a
			a.channels, a.rate = channels, 44100
			t.Run(fmt.Sprintf("%d bits %q x%d", a.bits, a.kind, channels), func(t *testing.T) {
				t.Parallel()
				codes := randomCodes(channels*(blockFrames+17), a.bits)
				got, is, remarks := decodeAll(t, a.file(aiffCodes(codes, a.bits, c.turn)))
				if is.codec != c.codec || is.channels != channels || is.rate != 44100 || len(remarks) > 0 {
					t.Errorf("format %+v, remarks %q, want %s", is, remarks, c.codec)
				}
				if len(got) != len(codes) {
					t.Fatalf("%d samples, want %d", len(got), len(codes))
				}
				for i, code := range codes {
					if want := float32(float64(code) / math.Ldexp(1, a.bits-1)); got[i] != want {
						t.Fatalf("sample %d: code %d gives %v, want %v", i, code, got[i], want)
					}
				}
			})
		}
	}
}

// aiffCodes writes codes of so many bits, big-endian or, turned, little-endian.
func aiffCodes(codes []int64, bits int, turn bool) []byte {
	width := (bits + 7) / 8
	var data []byte
	for _, code := range codes {
		at := len(data)
		for i := range width {
			data = append(data, byte(code<<(8*width-bits)>>(8*(width-1-i))))
		}
		if turn {
			slices.Reverse(data[at:])
		}
	}
	return data
}

// TestAIFFOther reads the types that are no integers with a sign.
func TestAIFFOther(t *testing.T) {
	want := tone(999, 0.01, 0.9)
	be := binary.BigEndian
	var f32, f64 []byte
	for _, v := range want {
		f32 = be.AppendUint32(f32, math.Float32bits(v))
		f64 = be.AppendUint64(f64, math.Float64bits(float64(v)))
	}
	for _, c := range []struct {
		kind  string
		bits  int
		data  []byte
		codec string
		want  []float32
	}{
		{"fl32", 32, f32, "float32", want},
		{"FL32", 32, f32, "float32", want},
		{"fl64", 64, f64, "float64", want},
		{"raw ", 8, []byte{0, 128, 255, 64}, "pcm_u8", []float32{-1, 0, 127.0 / 128, -0.5}},
		{"ulaw", 16, []byte{0x00, 0x80, 0xff, 0xfe}, "mulaw", []float32{-8031.0 / 8192, 8031.0 / 8192, 0, 2.0 / 8192}}, // TestTelephoneCodes
		{"alaw", 16, []byte{0xaa, 0x2a, 0xd5, 0x55}, "alaw", []float32{4032.0 / 4096, -4032.0 / 4096, 1.0 / 4096, -1.0 / 4096}},
	} {
		frames := uint32(len(c.want))
		got, is, remarks := decodeAll(t, madeAIFF{rate: 48000, channels: 1, bits: c.bits, kind: c.kind, frames: &frames}.file(c.data))
		if is.codec != c.codec || !slices.Equal(got, c.want) || len(remarks) > 0 {
			t.Errorf("%q: %s, %d samples, %q; want %s and the %d that were written", c.kind, is.codec, len(got), remarks, c.codec, len(c.want))
		}
	}
}

// TestAIFFRates reads rates that are numbers of 80 bits. Source of the bytes:
// 44100 is 400EAC44000000000000 in every reader of the format;
// the rate of an early Macintosh is 22254.5454.
func TestAIFFRates(t *testing.T) {
	b := madeAIFF{rate: 44100, channels: 1, bits: 16}.file(make([]byte, 20))
	if !bytes.Contains(b, []byte("\x40\x0e\xac\x44\x00\x00\x00\x00\x00\x00")) {
		t.Error("the test writes rates wrongly")
	}
	for rate, want := range map[float64]int{8000: 8000, 22254.5454: 22255, 44100: 44100, 192000: 192000} {
		_, is, _ := decodeAll(t, madeAIFF{rate: rate, channels: 1, bits: 16}.file(make([]byte, 20)))
		if is.rate != want {
			t.Errorf("%v Hz is read as %d", rate, is.rate)
		}
	}
}

// TestAIFFHeads reads a second of sound behind heads of every shape.
func TestAIFFHeads(t *testing.T) {
	plain := madeAIFF{rate: 8000, channels: 1, bits: 16}
	data := plain.encode(tone(8000, 0.05, 0.5))
	with := func(change func(*madeAIFF)) madeAIFF {
		a := plain
		change(&a)
		return a
	}
	for _, c := range []struct {
		name    string
		file    []byte
		missing int
		remark  string
	}{
		{"plain", plain.file(data), 0, ""},
		{"chunks before", with(func(a *madeAIFF) { a.before = []chunk{{"FVER", "\xa2\x80\x51\x40"}, {"NAME", "odd"}} }).file(data), 0, ""},
		{"offset", with(func(a *madeAIFF) { a.offset = 6 }).file(data), 0, ""},
		{"no size, no frames", with(func(a *madeAIFF) { a.size, a.frames = ptr[uint32](0), ptr[uint32](0) }).file(data), 0, remarkNoLength},
		{"size of an empty sound, no frames", with(func(a *madeAIFF) { a.size, a.frames = ptr[uint32](8), ptr[uint32](0) }).file(data), 0, remarkNoLength},
		{"size open", with(func(a *madeAIFF) { a.size = ptr[uint32](0xffffffff) }).file(data), 0, remarkNoLength},
		{"size far too large", with(func(a *madeAIFF) { a.size, a.frames = ptr[uint32](0x7ffff000), ptr[uint32](0x10000000) }).file(data), 0, remarkCut},
		{"cut off", plain.file(data)[:len(plain.file(data))-1000], 500, remarkCut},
		{"cut off within a sample", plain.file(data)[:len(plain.file(data))-1001], 501, remarkCut},
		{"fewer frames than there are", with(func(a *madeAIFF) { a.frames = ptr[uint32](7000) }).file(data), 1000, remarkStray},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got, err := readAlone(bytes.NewReader(c.file))
			if err != nil {
				t.Fatal(err)
			}
			want, _, _ := decodeAll(t, plain.file(data))
			if want = want[:len(want)-c.missing]; !slices.Equal(audiotest.All(got.Samples), want) {
				t.Errorf("%d samples, want the %d that were written", got.Samples.Len(), len(want))
			}
			if remarks := strings.Join(got.Info.Remarks, "; "); remarks != c.remark {
				t.Errorf("remarks %q, want %q", remarks, c.remark)
			}
		})
	}
}
