package clip

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// BenchmarkRead decodes and resamples a minute of sound that is held in memory.
func BenchmarkRead(b *testing.B) {
	for _, c := range []struct {
		rate, channels, bits int
		tag                  uint16
	}{
		{8000, 1, 16, tagPCM},
		{44100, 1, 16, tagPCM},
		{48000, 1, 16, tagPCM},
		{44100, 2, 16, tagPCM},
		{48000, 2, 16, tagPCM},
		{48000, 2, 24, tagPCM},
		{48000, 2, 32, tagFloat},
		{96000, 2, 24, tagPCM},
		{192000, 1, 32, tagFloat},
		{48000, 8, 16, tagPCM},
	} {
		name := fmt.Sprintf("%d Hz x%d, %d bits, tag %d", c.rate, c.channels, c.bits, c.tag)
		b.Run(name, func(b *testing.B) {
			const seconds = 60
			w := made{rate: c.rate, channels: c.channels, bits: c.bits, tag: c.tag}
			file := w.file(w.encode(tone(seconds*c.rate*c.channels, 0.01, 0.5)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read(bytes.NewReader(file), "bench"); err != nil {
					b.Fatal(err)
				}
			}
			perMinute := b.Elapsed().Seconds() / float64(b.N)
			b.ReportMetric(seconds/perMinute, "x-realtime")
		})
	}
}

// BenchmarkFormats reads eleven seconds of sound in each kind of file that ffmpeg
// makes of a shipped sample; those that ffmpeg decodes include its start.
func BenchmarkFormats(b *testing.B) {
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		b.Skip("ffmpeg is not installed: there are no files to read")
	}
	for _, a := range agreements() {
		if a.made != nil {
			continue
		}
		b.Run(a.what, func(b *testing.B) {
			path := filepath.Join(b.TempDir(), a.file)
			args := append(append([]string{"-nostdin", "-v", "error", "-i", passWAV}, a.sound...), a.codec...)
			if out, err := exec.Command(program, append(args, path)...).CombinedOutput(); err != nil {
				b.Skipf("this ffmpeg cannot make it: %s", out)
			}
			o := Default()
			if a.alone {
				o.FFmpeg = ""
			}
			var seconds float64
			b.ReportAllocs()
			for b.Loop() {
				f, err := os.Open(path)
				if err != nil {
					b.Fatal(err)
				}
				s, err := collect(f, path, o)
				f.Close()
				if err != nil {
					b.Fatal(err)
				}
				seconds += float64(s.Info.Duration)
			}
			b.ReportMetric(seconds/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}
