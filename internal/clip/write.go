package clip

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"

	goaudio "github.com/go-audio/audio"
	"github.com/go-audio/wav"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// ErrNotWritable says that sound cannot be put into a WAV file.
var ErrNotWritable = errors.New("clip: a WAV file takes numbers at a whole rate within the limits")

// WriteWAV writes sound as a WAV file of 16 bits at rate, in hertz.
//
// A sample of 1 is full scale. Samples are rounded to the nearest code, so that
// those read from 16 bits are unchanged, and limited to full scale. It returns ErrNotWritable for a rate that is not whole or outside
// DefaultLimits, and for samples that are not numbers, and otherwise the error of
// w or of the samples.
func WriteWAV(w io.WriteSeeker, samples audio.Signal, rate engine.Hz) error {
	limits := DefaultLimits()
	if rate != engine.Hz(math.Trunc(float64(rate))) || rate < limits.MinRate || rate > limits.MaxRate {
		return fmt.Errorf("%w: rate %v Hz", ErrNotWritable, rate)
	}
	const bits, channels = 16, 1
	enc := wav.NewEncoder(w, int(rate), bits, channels, tagPCM)
	block := &goaudio.IntBuffer{Format: &goaudio.Format{NumChannels: channels, SampleRate: int(rate)}, SourceBitDepth: bits}
	var part []float32
	for at := 0; at == 0 || at < samples.Len(); at += blockFrames {
		block.Data = block.Data[:0]
		var err error
		if part, err = samples.Segment(part, at, min(at+blockFrames, samples.Len())); err != nil {
			return fmt.Errorf("clip: write WAV: %w", err)
		}
		for i, v := range part {
			if v != v {
				return fmt.Errorf("%w: sample %d is not a number", ErrNotWritable, at+i)
			}
			code := math.Round(float64(v) * (1 << (bits - 1)))
			block.Data = append(block.Data, int(min(max(code, math.MinInt16), math.MaxInt16)))
		}
		if err := enc.Write(block); err != nil {
			return fmt.Errorf("clip: write WAV: %w", err)
		}
	}
	if err := enc.Close(); err != nil {
		return fmt.Errorf("clip: write WAV: %w", err)
	}
	return nil
}

// WriteWAVFile writes as WriteWAV does, to a file that is replaced whole or not at
// all: the sound is first written to another file beside it.
func WriteWAVFile(path string, samples audio.Signal, rate engine.Hz) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return fmt.Errorf("clip: write WAV: %w", err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err := WriteWAV(f, samples, rate); err != nil {
		return err
	}
	const readable = 0o644 // CreateTemp lets nobody else read
	if err := f.Chmod(readable); err != nil {
		return fmt.Errorf("clip: write WAV: %w", err)
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("clip: write WAV: %w", err)
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return fmt.Errorf("clip: write WAV: %w", err)
	}
	return nil
}
