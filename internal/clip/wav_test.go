package clip

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"topnote/internal/audio/audiotest"
)

// decodeAll gives the samples of a file as they come out of its decoder.
func decodeAll(t *testing.T, file []byte) ([]float32, format, []string) {
	t.Helper()
	s, err := NewStream(context.Background(), bytes.NewReader(file), "made", Default())
	if err != nil {
		t.Fatal(err)
	}
	return drain(t, s)
}

// drain gives the samples of a stream as they come out of its decoder.
func drain(t *testing.T, s *Stream) ([]float32, format, []string) {
	t.Helper()
	var all []float32
	for {
		n, err := s.dec.decode(s.block)
		all = append(all, s.block[:n]...)
		if errors.Is(err, io.EOF) {
			return all, s.dec.format(), s.dec.remarks()
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

// randomCodes gives n codes of so many bits, both rails among them.
func randomCodes(n, bits int) []int64 {
	r := rand.New(rand.NewPCG(1, uint64(bits)))
	full := int64(1) << (bits - 1)
	codes := []int64{0, full - 1, -full, 1, -1}
	for len(codes) < n {
		codes = append(codes, r.Int64N(2*full)-full)
	}
	return codes[:n]
}

// TestIntegersExact holds every integer format to the exact codes: a code c of b
// bits is c/2^(b-1) of full scale. Source: Microsoft and IBM 1991, Data Format of
// the Samples; wider words are left-aligned (the same, and the extensible
// format of 2001).
func TestIntegersExact(t *testing.T) {
	for _, c := range []struct {
		w     made
		codec string
	}{
		{made{bits: 8}, "pcm_u8"},
		{made{bits: 16}, "pcm_s16"},
		{made{bits: 24}, "pcm_s24"},
		{made{bits: 32}, "pcm_s32"},
		{made{bits: 12}, "pcm_s16"},
		{made{bits: 20}, "pcm_s24"},
		{made{bits: 24, word: 4}, "pcm_s32"},
		{made{bits: 16, extensible: true}, "pcm_s16"},
		{made{bits: 24, extensible: true}, "pcm_s24"},
		{made{bits: 20, word: 4, extensible: true}, "pcm_s32"},
		{made{bits: 32, extensible: true}, "pcm_s32"},
	} {
		for _, channels := range []int{1, 2, 3, 8} {
			w := c.w
			w.tag, w.channels, w.rate = tagPCM, channels, 48000
			t.Run(fmt.Sprintf("%d bits in %d, x%d", w.bits, w.width(), channels), func(t *testing.T) {
				t.Parallel()
				codes := randomCodes(channels*(2*blockFrames+17), w.bits)
				var data []byte
				for _, code := range codes {
					data = w.code(data, code)
				}
				got, is, _ := decodeAll(t, w.file(data))
				if is.codec != c.codec || is.channels != channels || is.rate != 48000 {
					t.Errorf("format %+v, want %s", is, c.codec)
				}
				if len(got) != len(codes) {
					t.Fatalf("%d samples, want %d", len(got), len(codes))
				}
				for i, code := range codes {
					if want := float32(float64(code) / math.Ldexp(1, w.bits-1)); got[i] != want {
						t.Fatalf("sample %d: code %d gives %v, want %v", i, code, got[i], want)
					}
				}
			})
		}
	}
}

func TestFloatsExact(t *testing.T) {
	for _, bits := range []int{32, 64} {
		for _, extensible := range []bool{false, true} {
			w := made{bits: bits, tag: tagFloat, extensible: extensible, channels: 2, rate: 44100}
			want := tone(2*blockFrames+22, 0.01, 1.5)
			got, is, _ := decodeAll(t, w.file(w.encode(want)))
			if codec := fmt.Sprintf("float%d", bits); is.codec != codec || !slices.Equal(got, want) {
				t.Errorf("%d bits, extensible %v: %s, %d samples; want the samples as they were", bits, extensible, is.codec, len(got))
			}
		}
	}
}

// TestTelephoneCodes holds single codes against ITU-T G.711, tables 1 and 2
// (13 and 14 bits there, 16 here); TestAgainstFFmpeg has all 256.
func TestTelephoneCodes(t *testing.T) {
	for _, c := range []struct {
		law  func(byte) int
		code byte
		want int
	}{
		{muLaw, 0x00, -8031 * 4}, {muLaw, 0x80, 8031 * 4}, {muLaw, 0xff, 0}, {muLaw, 0xfe, 2 * 4}, {muLaw, 0x7e, -2 * 4},
		{aLaw, 0xd5, 1 * 8}, {aLaw, 0x55, -1 * 8}, {aLaw, 0xaa, 4032 * 8}, {aLaw, 0x2a, -4032 * 8}, {aLaw, 0x80, 688 * 8},
	} {
		if got := c.law(c.code); got != c.want {
			t.Errorf("code %#x: %d, want %d", c.code, got, c.want)
		}
	}
}

// wavHeader is a file whose header is unusual.
type wavHeader struct {
	name    string
	file    []byte
	missing int // samples at the end that the file does not hold
	remark  string
}

// wavHeaders puts the same sound behind headers of every shape that recorders write.
func wavHeaders(plain made, data []byte) []wavHeader {
	with := func(change func(*made)) made {
		w := plain
		change(&w)
		return w
	}
	info := chunk{"LIST", "INFOISFT\x05\x00\x00\x00phone"}
	return []wavHeader{
		{"plain", plain.file(data), 0, ""},
		{"LIST before data", with(func(w *made) { w.between = []chunk{info} }).file(data), 0, ""},
		{"chunks before fmt", with(func(w *made) { w.before = []chunk{{"JUNK", "odd"}, {"bext", strings.Repeat("x", 602)}} }).file(data), 0, ""},
		{"odd chunk", with(func(w *made) { w.between = []chunk{{"odd ", "12345"}} }).file(data), 0, ""},
		{"odd chunk without its pad byte", unpadded(with(func(w *made) { w.between = []chunk{{"odd ", "12345"}} }).file(data)), 0, ""},
		{"LIST after data", with(func(w *made) { w.after = []chunk{info} }).file(data), 0, ""},
		{"size 0", with(func(w *made) { w.dataSize = ptr[uint32](0) }).file(data), 0, remarkNoLength},
		{"size open", with(func(w *made) { w.dataSize = ptr[uint32](0xffffffff) }).file(data), 0, remarkNoLength},
		{"size far too large", with(func(w *made) { w.dataSize = ptr[uint32](0x7ffff000) }).file(data), 0, remarkCut},
		{"size open, cut within a sample", with(func(w *made) { w.dataSize = ptr[uint32](0xffffffff) }).file(data[:len(data)-3]), 2, remarkNoLength},
		{"cut off", plain.file(data)[:44+len(data)-1000], 500, remarkCut},
		{"cut off within a sample", plain.file(data)[:44+len(data)-1001], 501, remarkCut},
		{"odd size", plain.file(append(slices.Clone(data), 7)), 0, remarkPartial},
		{"bytes nobody speaks of", append(plain.file(data), make([]byte, 100)...), 0, remarkStray},
		{"wrong block", with(func(w *made) { w.block = ptr[uint16](7) }).file(data), 0, remarkBlock},
		{"RF64", rf64(plain, "RF64", data), 0, ""},
		{"BW64", rf64(plain, "BW64", data), 0, ""},
		{"RF64 without sizes", with(func(w *made) { w.form, w.dataSize = "RF64", ptr[uint32](0xffffffff) }).file(data), 0, remarkNoLength},
	}
}

// TestHeaders reads the same four seconds of sound behind each of these headers, and
// checks the remarks.
func TestHeaders(t *testing.T) {
	plain := made{rate: 8000, channels: 1, bits: 16, tag: tagPCM}
	data := plain.encode(tone(32000, 0.05, 0.5))
	for _, c := range wavHeaders(plain, data) {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got, err := Read(bytes.NewReader(c.file), "made")
			if err != nil {
				t.Fatal(err)
			}
			want, _, _ := decodeAll(t, plain.file(data))
			if want = want[:len(want)-c.missing]; !slices.Equal(audiotest.All(got.Samples), want) {
				t.Errorf("%d samples, want the %d that were written", got.Samples.Len(), len(want))
			}
			var remarks []string
			if c.remark != "" {
				remarks = []string{c.remark}
			}
			if !slices.Equal(got.Info.Remarks, remarks) {
				t.Errorf("remarks %q, want %q", got.Info.Remarks, remarks)
			}
		})
	}
}

// unpadded takes out the first byte of zero that fills up the chunk "odd ".
func unpadded(file []byte) []byte {
	at := bytes.Index(file, []byte("12345")) + 5
	return slices.Delete(slices.Clone(file), at, at+1)
}

// rf64 puts the true size into a ds64 chunk. Source: EBU Tech 3306, annex A.2.
func rf64(w made, form string, data []byte) []byte {
	body := make([]byte, 28)
	for i := range 8 {
		body[8+i] = byte(len(data) >> (8 * i))
	}
	w.form, w.dataSize = form, ptr[uint32](0xffffffff)
	w.before = []chunk{{"ds64", string(body)}}
	w.after = []chunk{{"LIST", "INFO"}} // not sound: the size has to be heeded
	return w.file(data)
}
