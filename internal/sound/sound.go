// Package sound holds mono sound of which any stretch can be read, however long
// the whole is.
//
// A clip of seconds lies in memory as a Memory; an hour, as numbers of 32 bits at
// 8 kHz, would take 115 MB of it. A Store therefore keeps what is short in memory
// and moves what has grown long to a file without a name, which goes with the
// program whatever ends it. Whoever measures takes a Mono and reads stretch by
// stretch, and need not know which of the two it is.
//
// A stretch that cannot be read is silence, and Err says so from then on: look at
// it once, after the last stretch, before anything is believed.
package sound

import (
	"fmt"
	"iter"
)

// Mono is mono sound, full scale at 1. It may be read by several goroutines at
// once.
type Mono interface {
	// Len gives the number of samples.
	Len() int

	// Stretch gives samples from to to, to not included: where they lie in
	// memory those themselves, which must not be changed, otherwise a copy in
	// buf or, where buf is too short, in a new slice. One sound always does the
	// same of the two, so that the result may be the next buf. It panics on a
	// stretch that is not within the sound.
	Stretch(buf []float32, from, to int) []float32

	// Err gives the first error of reading, nil for none.
	Err() error
}

// Memory is sound that lies in memory, shape [samples].
type Memory []float32

// Len implements Mono.
func (m Memory) Len() int { return len(m) }

// Stretch implements Mono: it never copies.
func (m Memory) Stretch(_ []float32, from, to int) []float32 {
	within(m, from, to)
	return m[from:to]
}

// Err implements Mono; there is none.
func (m Memory) Err() error { return nil }

// Around gives what there is of a sound within reach samples of sample centre,
// and where that sample stands in it: before its start or beyond its end where
// the sound ends sooner. buf is used as in Mono.Stretch.
func Around(x Mono, buf []float32, centre, reach int) (near []float32, at int) {
	from := min(max(0, centre-reach), x.Len())
	to := max(from, min(centre+reach+1, x.Len()))
	return x.Stretch(buf, from, to), centre - from
}

// Pieces gives samples from to to in pieces of so many, each with the number of its
// first sample; the last may be shorter. A piece is there until the next.
func Pieces(x Mono, from, to, size int) iter.Seq2[int, []float32] {
	return func(yield func(int, []float32) bool) {
		var piece []float32
		for ; from < to; from += size {
			piece = x.Stretch(piece, from, min(from+size, to))
			if !yield(from, piece) {
				return
			}
		}
	}
}

// within panics where a stretch is not within a sound.
func within(x Mono, from, to int) {
	if from < 0 || from > to || to > x.Len() {
		panic(fmt.Sprintf("sound: a stretch from %d to %d of %d samples", from, to, x.Len()))
	}
}

// All gives the whole of a sound. The slice is the caller's where it was copied,
// and must not be changed where the sound lies in memory.
func All(x Mono) []float32 { return x.Stretch(nil, 0, x.Len()) }
