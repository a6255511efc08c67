package main

import (
	"os/exec"
	"path/filepath"
	"testing"

	"topnote/internal/clip"
	"topnote/internal/synth"
)

// BenchmarkMeasure10s measures 10 s of sound at 48 kHz, JSON out, by the whole
// process from its start to its end.
func BenchmarkMeasure10s(b *testing.B) {
	scene := synth.Samples()[0].Scene
	scene.Rate = 48000
	sound := scene.Render()
	path := filepath.Join(b.TempDir(), "pass.wav")
	if err := clip.WriteWAVFile(path, sound.Samples[:10*48000], sound.Rate); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := exec.Command(program, "measure", path, "--limit", "13500", "--format", "json").Run(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(10*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}
