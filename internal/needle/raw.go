package needle

import (
	"encoding/binary"
	"errors"

	"topnote/internal/resample"
)

// ErrRate is the error of sound that no microphone gives: of another rate than package
// resample takes, or of more channels than one.
var ErrRate = errors.New("needle: sound is followed of one channel and of 4,000 to 384,000 samples a second")

// Raw follows the samples of a microphone, of one channel, as package live does a file of
// them. Its readings do not depend on how the sound is cut into pieces.
type Raw struct {
	needle    *Needle
	resampler *resample.Resampler
	rate      int
	block     []float32 // the one that is being filled
	last      []float32 // the one before it, which is not resampled yet
	frames    int64     // so far, in whole blocks
	made      int64     // samples at resample.Rate so far
	out       []float32
}

// NewRaw prepares to follow an engine. The errors are ErrRate and those of New.
func NewRaw(o Options, handle Handler) (*Raw, error) {
	if o.Rate < resample.LowestRate || o.Rate > resample.HighestRate || o.Channels != 1 {
		return nil, ErrRate
	}
	n, err := New(o, handle)
	if err != nil {
		return nil, err
	}
	size := int(float64(Block) * float64(o.Rate))
	return &Raw{
		needle: n, rate: o.Rate, resampler: resample.New(resample.Design(o.Rate, resample.Default())),
		block: make([]float32, 0, size), last: make([]float32, 0, size),
	}, nil
}

// Samples appends the samples in b, of 16 bits with the low byte first, to dst. A byte that
// is left over is none.
func Samples(dst []int16, b []byte) []int16 {
	const width = 2 // bytes
	for ; len(b) >= width; b = b[width:] {
		dst = append(dst, int16(binary.LittleEndian.Uint16(b)))
	}
	return dst
}

// Push takes the next samples. The errors are those of the handler.
func (r *Raw) Push(samples []int16) error {
	const fullScale = 1 << 15
	for _, v := range samples {
		if r.block = append(r.block, float32(v)/fullScale); len(r.block) < cap(r.block) {
			continue
		}
		if err := r.step(); err != nil {
			return err
		}
	}
	return nil
}

// step keeps the block that is full, and follows the one before it.
func (r *Raw) step() error {
	r.needle.Frames(r.block)
	r.frames += int64(len(r.block))
	r.out = r.resampler.Push(r.out[:0], r.last)
	r.last, r.block = r.block, r.last[:0]
	return r.follow()
}

// follow follows what is resampled.
func (r *Raw) follow() error {
	r.made += int64(len(r.out))
	for x := r.out; len(x) > 0; {
		n := min(AtOnce, len(x))
		if err := r.needle.Push(x[:n]); err != nil {
			return err
		}
		x = x[n:]
	}
	return nil
}

// End follows the rest when no more sound comes, and tells what is still open. The errors
// are those of the handler.
func (r *Raw) End() error {
	if len(r.block) > 0 {
		if err := r.step(); err != nil {
			return err
		}
	}
	r.out = r.resampler.Push(r.out[:0], r.last)
	r.out = r.resampler.Flush(r.out, int(resample.OutputLength(r.frames, r.rate)-r.made))
	if err := r.follow(); err != nil {
		return err
	}
	return r.needle.End()
}
