package audio

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"slices"
	"sync"
)

// Options are those of a Spool.
type Options struct {
	// Keep is how many samples stay in memory at most. A longer signal goes to a
	// file as a whole; where none can be made it stays in memory.
	Keep int
	// Expect is how many samples are expected; 0: unknown.
	Expect int

	create func() (file, error) // replaced in tests by a disk that fails
}

// file is what a Spool needs of a file.
type file interface {
	io.Writer
	io.ReaderAt
	io.Closer
}

// Spool is a signal that is built by appending. It is to be closed. First one
// goroutine appends; after that any number of them may read at once.
type Spool struct {
	o      Options
	memory Memory
	file   file // of 32-bit floats, little-endian; nil: all is in memory
	length int
	scale  float32 // value of full scale in the file
}

// NewSpool gives an empty spool.
func NewSpool(o Options) *Spool {
	if o.create == nil {
		o.create = createUnnamed
	}
	return &Spool{o: o, memory: make(Memory, 0, max(0, min(o.Expect, o.Keep))), scale: 1}
}

// Append adds samples at the end. After an error the signal cannot be used.
func (s *Spool) Append(x []float32) error {
	s.length += len(x)
	if s.file != nil {
		return s.write(x)
	}
	s.memory = append(s.memory, x...)
	if s.length <= s.o.Keep {
		return nil
	}
	f, err := s.o.create()
	if err != nil { // it stays in memory: better much memory than no sound
		s.o.Keep = math.MaxInt
		return nil
	}
	s.file = f
	err = s.write(s.memory)
	s.memory = nil
	return err
}

// Divide divides all samples by a number that is not 0. It is called before the first
// read.
func (s *Spool) Divide(by float32) {
	s.scale *= by
	for i := range s.memory {
		s.memory[i] /= by
	}
}

// Close removes the file, if there is one; reading from it afterwards is an error.
// It may be called more than once.
func (s *Spool) Close() error {
	if s.file == nil {
		return nil
	}
	if err := s.file.Close(); err != nil && !errors.Is(err, fs.ErrClosed) {
		return fmt.Errorf("audio: %w", err)
	}
	return nil
}

// Len implements Signal.
func (s *Spool) Len() int { return s.length }

// Segment implements Signal.
func (s *Spool) Segment(buf []float32, from, to int) ([]float32, error) {
	if s.file == nil {
		return s.memory.Segment(buf, from, to)
	}
	within(s, from, to)
	buf = slices.Grow(buf[:0], to-from)[:to-from]
	return buf, s.read(buf, from)
}

const (
	sampleBytes = 4       // of a sample in the file
	pieceBytes  = 1 << 15 // converted at a time
)

// pieces has the buffers of readers and writer.
var pieces = sync.Pool{New: func() any { return new([pieceBytes]byte) }}

// write appends samples to the file.
func (s *Spool) write(x []float32) error {
	raw := pieces.Get().(*[pieceBytes]byte)
	defer pieces.Put(raw)
	for part := range slices.Chunk(x, pieceBytes/sampleBytes) {
		b := raw[:0]
		for _, v := range part {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
		}
		if _, err := s.file.Write(b); err != nil {
			return fmt.Errorf("audio: writing: %w", err)
		}
	}
	return nil
}

// read fills buf with samples of the file, from sample number from on.
func (s *Spool) read(buf []float32, from int) error {
	raw := pieces.Get().(*[pieceBytes]byte)
	defer pieces.Put(raw)
	for part := range slices.Chunk(buf, pieceBytes/sampleBytes) {
		b := raw[:sampleBytes*len(part)]
		if n, err := s.file.ReadAt(b, sampleBytes*int64(from)); n < len(b) {
			return fmt.Errorf("audio: reading: %w", err)
		}
		for i := range part {
			part[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[sampleBytes*i:])) / s.scale
		}
		from += len(part)
	}
	return nil
}
