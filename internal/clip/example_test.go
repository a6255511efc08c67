package clip_test

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"

	"topnote/internal/audio"
	"topnote/internal/clip"
)

// A recording is opened by its content, whatever its name ends in.
func ExampleOpen() {
	dir, err := os.MkdirTemp("", "topnote")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	tone := make(audio.Memory, 44100)
	for i := range tone {
		tone[i] = float32(0.5 * math.Sin(2*math.Pi*225*float64(i)/44100)) // 13500 rpm
	}
	path := filepath.Join(dir, "pass.rec")
	if err := clip.WriteWAVFile(path, tone, 44100); err != nil {
		fmt.Println(err)
		return
	}

	pass, err := clip.Open(path)
	if err != nil {
		fmt.Println(err)
		return
	}
	defer pass.Close() // only read from
	fmt.Println(pass.Info.Container, pass.Info.Codec, pass.Info.Used)
	fmt.Printf("%.1f s, %d samples at %v Hz, peak %.2f\n",
		pass.Info.Duration, pass.Samples.Len(), pass.Rate, pass.Info.PeakLevel)
	// Output:
	// wav pcm_s16 the only channel
	// 1.0 s, 8000 samples at 8000 Hz, peak 0.50
}

// What cannot be read says what it is and what to do.
func ExampleRead_problem() {
	_, err := clip.Read(strings.NewReader("\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR"), "-")
	var p *clip.Problem
	if errors.As(err, &p) {
		fmt.Println(p.Says)
		fmt.Println(p.Do)
	}
	// Output:
	// this is a picture (PNG), not a sound recording
	// choose the recording itself
}
