// Package audio has signals of one channel of which any segment can be read, however
// long the whole is.
//
// A clip of seconds is a Memory; an hour, as 32-bit floats at 8 kHz, would take
// 115 MB. A Spool therefore keeps a short signal in memory and moves one that grows
// long to a file without a name, which is gone however the program ends. Code that
// measures takes a Signal and reads it segment by segment; it need not know which of
// the two it has.
//
// A segment that cannot be read back is an error, never silence.
package audio

import (
	"fmt"
	"iter"
)

// Signal is one channel of samples, full scale at 1. Several goroutines may read
// it at once.
type Signal interface {
	// Len gives the number of samples.
	Len() int

	// Segment gives samples from to to, to not included: in memory the samples
	// themselves, which must not be changed, otherwise a copy in buf or, where buf
	// is too short, in a new slice. A signal always does the same of the two, so
	// that the result may be the next buf. The error is that of reading them back.
	// It panics on a segment outside the signal.
	Segment(buf []float32, from, to int) ([]float32, error)
}

// Memory is a signal in memory, shape [samples].
type Memory []float32

// Len implements Signal.
func (m Memory) Len() int { return len(m) }

// Segment implements Signal: it never copies and never fails.
func (m Memory) Segment(_ []float32, from, to int) ([]float32, error) {
	within(m, from, to)
	return m[from:to], nil
}

// Centered gives the part of a signal within reach samples of sample centre, and the
// index of that sample in it, which may be outside it near the ends of the signal.
// buf and the error are as in Signal.Segment.
func Centered(x Signal, buf []float32, centre, reach int) (near []float32, at int, err error) {
	from := min(max(0, centre-reach), x.Len())
	to := max(from, min(centre+reach+1, x.Len()))
	near, err = x.Segment(buf, from, to)
	return near, centre - from, err
}

// Chunk is a part of a signal.
type Chunk struct {
	From    int       // number of its first sample
	Samples []float32 // valid until the next chunk
}

// Chunks gives samples from to to in chunks of size samples; the last may be shorter.
// It ends with the first error.
func Chunks(x Signal, from, to, size int) iter.Seq2[Chunk, error] {
	return func(yield func(Chunk, error) bool) {
		var samples []float32
		for ; from < to; from += size {
			var err error
			samples, err = x.Segment(samples, from, min(from+size, to))
			if !yield(Chunk{from, samples}, err) || err != nil {
				return
			}
		}
	}
}

// within panics where a segment is not within a signal.
func within(x Signal, from, to int) {
	if from < 0 || from > to || to > x.Len() {
		panic(fmt.Sprintf("audio: a segment from %d to %d of %d samples", from, to, x.Len()))
	}
}

// All gives a whole signal. The slice must not be changed where the signal is in
// memory. The error is that of reading it back.
func All(x Signal) ([]float32, error) { return x.Segment(nil, 0, x.Len()) }
