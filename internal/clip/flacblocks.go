package clip

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"math/bits"

	"github.com/mewkiz/flac/frame"
)

// flacBlocks reads the blocks of a FLAC stream through mewkiz/flac.
//
// For every block whose header says 24 or 176.4 kHz the library writes a request
// for test files to the log of the whole process. Such a header is therefore
// replaced by one that says "the rate in the header of the file". The library then
// finds the checksum of the block wrong, so that it is checked here, over the
// original bytes.
//
// Source: RFC 9639, 9.1 (frame header) and 9.3 (frame footer).
type flacBlocks struct{ in *bufio.Reader }

// Codes of sample rates, the low half of the third byte of a header.
const (
	flacRateMask  = 0x0f
	flacRate176k4 = 0x2
	flacRate24k   = 0x7
)

// flacHeadMax is the longest header that is replaced, bytes: four, a number of
// seven, a block size of two and a checksum of one.
const flacHeadMax = 14

// next gives the next block. The error is io.EOF at the end of the stream.
func (b flacBlocks) next() (*frame.Frame, error) {
	ahead, _ := b.in.Peek(flacHeadMax) // a header may be shorter; an error comes again when it is read
	n := flacHeadSize(ahead)
	if n == 0 || len(ahead) < n {
		return frame.Parse(b.in)
	}
	var rate uint32
	switch ahead[2] & flacRateMask {
	case flacRate176k4:
		rate = 176400
	case flacRate24k:
		rate = 24000
	default:
		return frame.Parse(b.in)
	}
	head := bytes.Clone(ahead[:n])
	if flacCRC8(head) != 0 {
		return nil, errFLACHead
	}
	var sum flacCRC16
	sum.Write(head)
	head[2] &^= flacRateMask
	head[n-1] = flacCRC8(head[:n-1])
	b.in.Discard(n) // cannot fail: they are buffered
	f, err := frame.Parse(io.MultiReader(bytes.NewReader(head), io.TeeReader(b.in, &sum)))
	if err != nil && sum == 0 && flacComplete(f) {
		err = nil // the checksum alone
	}
	if f != nil {
		f.SampleRate = rate
	}
	return f, err
}

// flacHeadSize gives the length of the header at the start of b, with a rate that is
// coded in its third byte alone; 0 where b does not begin with a header.
func flacHeadSize(b []byte) int {
	const fixed, number, checksum = 4, 7, 1
	if len(b) <= fixed || b[0] != 0xff || b[1]&0xfe != 0xf8 {
		return 0
	}
	coded := bits.LeadingZeros8(^b[4]) // of the block's number, coded as in UTF-8
	switch {
	case coded == 0:
		coded = 1
	case coded == 1 || coded > number:
		return 0
	}
	size := 0 // of the block size at the end of the header, as its code tells
	switch b[2] >> 4 {
	case 6:
		size = 1
	case 7:
		size = 2
	}
	return fixed + coded + size + checksum
}

// flacComplete reports whether a block was decoded to its end.
func flacComplete(f *frame.Frame) bool {
	if f == nil || len(f.Subframes) == 0 {
		return false
	}
	for _, sub := range f.Subframes {
		if sub == nil || len(sub.Samples) != int(f.BlockSize) {
			return false
		}
	}
	return true
}

var errFLACHead = errors.New("clip: a FLAC block has a header with a wrong checksum")

// flacCRC8 gives the checksum of a header; 0 for one with its own checksum at
// its end. Polynomial x^8 + x^2 + x + 1.
func flacCRC8(b []byte) byte {
	const polynomial = 0x07
	var sum byte
	for _, v := range b {
		sum ^= v
		for range 8 {
			carry := sum >> 7
			sum = sum<<1 ^ carry*polynomial
		}
	}
	return sum
}

// flacCRC16 is the checksum of a block so far; 0 after one with its own checksum
// at its end. Polynomial x^16 + x^15 + x^2 + 1.
type flacCRC16 uint16

// Write implements io.Writer.
func (s *flacCRC16) Write(p []byte) (int, error) {
	const polynomial = 0x8005
	sum := *s
	for _, v := range p {
		sum ^= flacCRC16(v) << 8
		for range 8 {
			carry := sum >> 15
			sum = sum<<1 ^ carry*polynomial
		}
	}
	*s = sum
	return len(p), nil
}
