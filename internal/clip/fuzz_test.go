package clip

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"testing"
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

	o := Default()
	o.Limits.Bytes = 1 << 20
	o.Limits.Duration = 30
	f.Fuzz(func(t *testing.T, file []byte) {
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
		if want := outputLength(frames, int(i.SampleRate)); frames < 1 || int64(len(s.Samples)) != want {
			t.Fatalf("%d samples, want %d for %d frames", len(s.Samples), want, frames)
		}
		for k, v := range s.Samples {
			// The low-pass overshoots by at most the sum of its taps' sizes.
			const overshoot = 3
			if !(v >= -overshoot && v <= overshoot) {
				t.Fatalf("sample %d is %v", k, v)
			}
		}
		if !(i.ClippedPct >= 0 && i.ClippedPct <= 100 && i.PeakLevel >= 0 && i.PeakLevel <= loudest) {
			t.Fatalf("clipped %v, peak %v", i.ClippedPct, i.PeakLevel)
		}
		if i.SHA256 != fmt.Sprintf("%x", sha256.Sum256(file)) || i.Used == "" || i.Codec == "" {
			t.Fatalf("%+v", i)
		}
	})
}
