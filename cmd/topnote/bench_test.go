package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
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

// BenchmarkMeasureMany measures the shipped passes in one go:
// on one core, and on all.
func BenchmarkMeasureMany(b *testing.B) {
	for _, cores := range []int{1, runtime.NumCPU()} {
		b.Run(fmt.Sprintf("cores=%d", cores), func(b *testing.B) {
			for b.Loop() {
				cmd := exec.Command(program, "measure", filepath.Join(root, "samples"), "--format", "json")
				cmd.Env = append(os.Environ(), fmt.Sprintf("GOMAXPROCS=%d", cores))
				if err := cmd.Run(); err != nil && cmd.ProcessState.ExitCode() == int(failed) {
					b.Fatal(err)
				}
			}
		})
	}
}
