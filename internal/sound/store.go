package sound

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"slices"
	"sync"
	"sync/atomic"
)

// Options says how a Store keeps its sound.
type Options struct {
	// Keep is how many samples stay in memory at most. A sound that grows longer
	// goes to a file as a whole; where no file can be made it stays, since then
	// only memory is lost, and not the sound.
	Keep int
	// Expect is how many samples are expected; 0: not known.
	Expect int

	create func() (file, error) // tests put a disk that fails in its place
}

// file is what a Store needs of a file.
type file interface {
	io.Writer
	io.ReaderAt
	io.Closer
}

// Store is sound that is put together piece by piece. It is to be closed. First
// one goroutine appends; after that any number of them may read at once.
type Store struct {
	o      Options
	memory Memory
	file   file // of 32-bit floats, little-endian; nil: all is in memory
	length int
	loud   float32 // what full scale is in the file
	err    atomic.Pointer[error]
}

// NewStore gives an empty store.
func NewStore(o Options) *Store {
	if o.create == nil {
		o.create = createUnnamed
	}
	return &Store{o: o, memory: make(Memory, 0, max(0, min(o.Expect, o.Keep))), loud: 1}
}

// Append adds samples at the end. Err says whether they could be kept.
func (s *Store) Append(x []float32) {
	s.length += len(x)
	if s.file != nil {
		s.write(x)
		return
	}
	s.memory = append(s.memory, x...)
	if s.length <= s.o.Keep {
		return
	}
	if f, err := s.o.create(); err == nil {
		s.file = f
		s.write(s.memory)
		s.memory = nil
	} else {
		s.o.Keep = math.MaxInt
	}
}

// Divide divides the whole sound by a number that is not 0, before it is read.
func (s *Store) Divide(by float32) {
	s.loud *= by
	for i := range s.memory {
		s.memory[i] /= by
	}
}

// Close gives the file back, if there is one: what is read from it afterwards is
// silence, and an error. It may be called more than once.
func (s *Store) Close() error {
	if s.file == nil {
		return nil
	}
	if err := s.file.Close(); err != nil && !errors.Is(err, fs.ErrClosed) {
		return fmt.Errorf("sound: %w", err)
	}
	return nil
}

// Len implements Mono.
func (s *Store) Len() int { return s.length }

// Err implements Mono; it also gives the first error of Append.
func (s *Store) Err() error {
	if err := s.err.Load(); err != nil {
		return *err
	}
	return nil
}

// fail keeps the first error.
func (s *Store) fail(err error) { s.err.CompareAndSwap(nil, &err) }

// Stretch implements Mono.
func (s *Store) Stretch(buf []float32, from, to int) []float32 {
	if s.file == nil {
		return s.memory.Stretch(buf, from, to)
	}
	within(s, from, to)
	buf = slices.Grow(buf[:0], to-from)[:to-from]
	if s.Err() == nil {
		s.read(buf, from)
	}
	if s.Err() != nil {
		clear(buf)
	}
	return buf
}

const (
	sampleBytes = 4       // of a sample in the file
	pieceBytes  = 1 << 15 // that are on their way between file and samples
)

// pieces holds what the readers and the writer need for a moment.
var pieces = sync.Pool{New: func() any { return new([pieceBytes]byte) }}

// write puts samples at the end of the file.
func (s *Store) write(x []float32) {
	raw := pieces.Get().(*[pieceBytes]byte)
	defer pieces.Put(raw)
	for part := range slices.Chunk(x, pieceBytes/sampleBytes) {
		if s.Err() != nil {
			return
		}
		b := raw[:0]
		for _, v := range part {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
		}
		if _, err := s.file.Write(b); err != nil {
			s.fail(fmt.Errorf("sound: writing: %w", err))
		}
	}
}

// read fills buf with what the file has from a sample on.
func (s *Store) read(buf []float32, from int) {
	raw := pieces.Get().(*[pieceBytes]byte)
	defer pieces.Put(raw)
	for part := range slices.Chunk(buf, pieceBytes/sampleBytes) {
		b := raw[:sampleBytes*len(part)]
		if n, err := s.file.ReadAt(b, sampleBytes*int64(from)); n < len(b) {
			s.fail(fmt.Errorf("sound: reading: %w", err))
			return
		}
		for i := range part {
			part[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[sampleBytes*i:])) / s.loud
		}
		from += len(part)
	}
}
