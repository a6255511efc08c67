package clip

import (
	"bytes"
	"context"
	"errors"
	"io"
	"log"
	"math/rand/v2"
	"testing"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
)

// madeFLAC is a FLAC file with blocks of plain samples, shape [blocks][samples],
// by the library's encoder.
func madeFLAC(t *testing.T, rate uint32, blocks [][]int32) []byte {
	t.Helper()
	var file bytes.Buffer
	total := 0
	for _, b := range blocks {
		total += len(b)
	}
	e, err := flac.NewEncoder(&file, &meta.StreamInfo{
		BlockSizeMin: 16, BlockSizeMax: 65535, SampleRate: rate, NChannels: 1, BitsPerSample: 16, NSamples: uint64(total),
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range blocks {
		err := e.WriteFrame(&frame.Frame{
			Header:    frame.Header{BlockSize: uint16(len(b)), SampleRate: rate, Channels: frame.ChannelsMono, BitsPerSample: 16},
			Subframes: []*frame.Subframe{{SubHeader: frame.SubHeader{Pred: frame.PredVerbatim}, Samples: b, NSamples: len(b)}},
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	return file.Bytes()
}

// samplesOf decodes a file without ffmpeg, at its own rate and full scale 1<<15.
func samplesOf(file []byte) ([]int32, error) {
	o := Default()
	o.FFmpeg = ""
	s, err := NewStream(context.Background(), bytes.NewReader(file), "made", o)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	var all []int32
	block := make([]float32, 1000)
	for {
		n, err := s.dec.decode(block)
		if err != nil {
			if errors.Is(err, io.EOF) && len(s.dec.remarks()) == 0 {
				err = nil
			}
			return all, err
		}
		for _, v := range block[:n] {
			all = append(all, int32(v*(1<<15)))
		}
	}
}

// TestFLACWritesNoLog: at the two rates for which the library asks for test
// files, in the log of the process, the samples are those that were encoded and
// nothing is logged. Block sizes with and without bytes of their own in the
// header are among them.
func TestFLACWritesNoLog(t *testing.T) {
	var out bytes.Buffer
	before := log.Writer()
	log.SetOutput(&out)
	defer log.SetOutput(before)

	r := rand.New(rand.NewPCG(1, 1))
	var blocks [][]int32
	var want []int32
	for _, n := range []int{16, 192, 200, 256, 576, 4096, 5000} {
		b := make([]int32, n)
		for i := range b {
			b[i] = int32(r.IntN(1<<16) - 1<<15)
		}
		blocks, want = append(blocks, b), append(want, b...)
	}
	for _, rate := range []uint32{24000, 176400, 22050} {
		file := madeFLAC(t, rate, blocks)
		got, err := samplesOf(file)
		if err != nil || len(got) != len(want) {
			t.Fatalf("%d Hz: %d samples, want %d (%v)", rate, len(got), len(want), err)
		}
		for i, v := range got {
			if v != want[i] {
				t.Fatalf("%d Hz: sample %d is %d, want %d", rate, i, v, want[i])
			}
		}
	}
	if out.Len() > 0 {
		t.Errorf("the log has %q", &out)
	}
	if log.Writer() != &out {
		t.Error("the writer of the log was replaced")
	}
}

// TestFLACChecksums: at 24 kHz, where the checksums are ours, no byte of a block
// can be changed without an error.
func TestFLACChecksums(t *testing.T) {
	block := make([]int32, 200)
	for i := range block {
		block[i] = int32(i * 37)
	}
	file := madeFLAC(t, 24000, [][]int32{block})
	first := bytes.Index(file, []byte("\xff\xf9")) // variable block size
	for at := first; at < len(file); at++ {
		for bit := range 8 {
			broken := bytes.Clone(file)
			broken[at] ^= 1 << bit
			if got, err := samplesOf(broken); err == nil {
				t.Errorf("byte %d, bit %d: no error, %d samples", at-first, bit, len(got))
			}
		}
	}
}
