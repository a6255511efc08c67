package clip

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
)

// The tags of the sample formats in a fmt chunk that are read, and those that
// are named when they are not.
//
// Source: RFC 2361 (WAVE codec registries), annex A.
const (
	tagPCM        = 0x0001
	tagFloat      = 0x0003
	tagALaw       = 0x0006
	tagMuLaw      = 0x0007
	tagExtensible = 0xfffe
)

// nameTag names a sample format that is not read, for people.
func nameTag(tag uint16) string {
	switch tag {
	case 0x0002, 0x0011:
		return "compressed sound (ADPCM)"
	case 0x0031:
		return "compressed speech (GSM 6.10)"
	case 0x0050, 0x0055:
		return "compressed sound (MPEG, MP3)"
	case 0x00ff, 0x1600, 0x1610:
		return "compressed sound (AAC)"
	case 0x0160, 0x0161, 0x0162, 0x0163:
		return "compressed sound (WMA)"
	default:
		return sayTag(tag)
	}
}

// wavFormat is the fmt chunk.
type wavFormat struct {
	Tag      uint16
	Channels uint16
	Rate     uint32
	PerSec   uint32 // bytes; only held against the others, since it is often wrong
	Block    uint16 // bytes of a frame
	Bits     uint16 // of a sample
}

const (
	formatSize     = 16 // bytes of wavFormat
	extensibleSize = 40 // with valid bits, speakers and the sub-format
	subFormatAt    = 24
	unknownSize    = 0xffffffff // written by streams and by RF64
)

// subFormats are the tails of the identifiers in an extensible header whose
// first two bytes are a tag. Source: KSDATAFORMAT_SUBTYPE_PCM and the B-format
// of ambisonic recordings.
func subFormats() [2]string {
	return [2]string{
		"\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71",
		"\x00\x00\x21\x07\xd3\x11\x86\x44\xc8\xc1\xca\x00\x00\x00",
	}
}

// wavWalk reads the chunks of a WAV file up to its sound.
//
// go-audio/wav also does that, but it loops without end on a damaged LIST chunk,
// reads the floats of an extensible header as integers, and reads nothing where a
// stream left the size open.
type wavWalk struct {
	in       *bufio.Reader
	format   *wavFormat
	dataSize uint64 // from the ds64 chunk of RF64; 0 without one
	notes    []string
}

// openWAV reads as far as the first sample.
func openWAV(in *input) (decoder, error) { return readWAV(in.Reader, in.o.Limits) }

func readWAV(in *bufio.Reader, l Limits) (decoder, error) {
	w := &wavWalk{in: in}
	if _, err := in.Discard(minHead); err != nil {
		return nil, w.headerError(err)
	}
	size, err := w.toData()
	if err != nil {
		return nil, err
	}
	f := w.format
	switch {
	case int(f.Channels) < 1 || int(f.Channels) > l.Channels:
		return nil, sayChannels(f.Channels, l)
	case float64(f.Rate) < float64(l.MinRate) || float64(f.Rate) > float64(l.MaxRate):
		return nil, sayRate(f.Rate, l)
	}
	return w.decoder(size)
}

// toData reads up to the data chunk and gives the size in its header.
func (w *wavWalk) toData() (uint32, error) {
	var head [8]byte
	for {
		if _, err := io.ReadFull(w.in, head[:]); err != nil {
			return 0, w.headerError(err)
		}
		id, size := head[:4], binary.LittleEndian.Uint32(head[4:])
		var err error
		switch string(id) {
		case "data":
			if w.format == nil {
				return 0, sayDamaged(wrongNoFormat)
			}
			return size, nil
		case "fmt ":
			err = w.readFormat(size)
		case "ds64":
			err = w.readSizes(size)
		default:
			err = w.skip(id, size)
		}
		if err != nil {
			return 0, err
		}
		if size%2 == 1 {
			w.pad()
		}
	}
}

// headerError turns the end of the file within its header into a *Problem.
func (w *wavWalk) headerError(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return sayEndsEarly()
	}
	return err
}

// skip skips size bytes of the chunk named id.
func (w *wavWalk) skip(id []byte, size uint32) error {
	_, err := io.CopyN(io.Discard, w.in, int64(size))
	if errors.Is(err, io.EOF) {
		return sayDamaged(wrongPart(id, size))
	}
	return err
}

// pad skips the padding byte of a chunk of odd size. Some writers forget it: then
// the name of a chunk is in its place.
func (w *wavWalk) pad() {
	next, _ := w.in.Peek(4)
	if len(next) > 0 && !chunkName(next) {
		w.in.Discard(1) // cannot fail: the byte is buffered
	}
}

// chunkName reports whether b is four printable characters.
func chunkName(b []byte) bool {
	if len(b) < 4 {
		return false
	}
	for _, c := range b[:4] {
		if c < ' ' || c > '~' {
			return false
		}
	}
	return true
}

// part reads the first bytes of a chunk, at most want, and skips the rest.
func (w *wavWalk) part(id string, size uint32, want int) ([]byte, error) {
	b := make([]byte, min(int64(want), int64(size)))
	if _, err := io.ReadFull(w.in, b); err != nil {
		return nil, w.headerError(err)
	}
	return b, w.skip([]byte(id), size-uint32(len(b)))
}

func (w *wavWalk) readFormat(size uint32) error {
	b, err := w.part("fmt ", size, extensibleSize)
	if err != nil {
		return err
	}
	if len(b) < formatSize {
		return sayDamaged(wrongShortFormat)
	}
	f := &wavFormat{}
	if err := binary.Read(bytes.NewReader(b), binary.LittleEndian, f); err != nil {
		return sayDecoderFailed(err)
	}
	if f.Tag == tagExtensible {
		if len(b) < extensibleSize {
			return sayDamaged(wrongShortFormat)
		}
		tails := subFormats()
		if tail := string(b[subFormatAt+2:]); tail != tails[0] && tail != tails[1] {
			return errUnsupported(nameWAV(sayIdentifier(b[subFormatAt:])))
		}
		f.Tag = binary.LittleEndian.Uint16(b[subFormatAt:])
	}
	w.format = f
	return nil
}

// readSizes takes the true size of the sound from the ds64 chunk of RF64.
//
// Source: EBU Tech 3306, annex A.2: size of the file, of the data, and the
// number of samples, 64 bits each.
func (w *wavWalk) readSizes(size uint32) error {
	b, err := w.part("ds64", size, 16)
	if err == nil && len(b) == 16 {
		w.dataSize = binary.LittleEndian.Uint64(b[8:])
	}
	return err
}

// width gives the bytes of one sample. Samples of 17 to 31 bits may be left-aligned
// in words of four bytes, which the size of the frame shows. Where bits and frame
// contradict each other, the bits are believed.
func (w *wavWalk) width() int {
	const perByte, word = 8, 4
	bits, block, channels := int(w.format.Bits), int(w.format.Block), int(w.format.Channels)
	width := (bits + perByte - 1) / perByte
	switch {
	case block == width*channels:
	case block == word*channels && bits > 2*perByte && bits < word*perByte:
		width = word
	default:
		w.notes = append(w.notes, remarkBlock)
	}
	return width
}

// data gives a reader of the frames of the sound. A size of 0, which recorders leave
// when they are cut off, means all to the end of the file, unless another chunk
// follows: then the sound is empty.
func (w *wavWalk) data(size uint32, frame int) *frames {
	d := &frames{in: w.in, frame: frame, left: int64(size), notes: w.notes}
	switch {
	case size == unknownSize && w.dataSize > 0:
		d.left = int64(min(w.dataSize, math.MaxInt64))
	case size == unknownSize || size == 0 && !chunkFollows(w.in, binary.LittleEndian):
		d.left, d.open = math.MaxInt64, true
	}
	return d
}

// chunkFollows reports whether the next bytes are the header of a chunk of a
// plausible size.
func chunkFollows(in *bufio.Reader, order binary.ByteOrder) bool {
	const plausible = 1 << 24
	next, _ := in.Peek(8)
	return len(next) == 8 && chunkName(next) && order.Uint32(next[4:]) < plausible
}

// frames reads the bytes of a chunk of sound as whole frames, for go-audio, which
// loses alignment when a read ends within a sample.
type frames struct {
	in    *bufio.Reader
	frame int          // bytes
	left  int64        // bytes of the chunk, by its header
	open  bool         // its size is unknown: the sound ends with the file
	toWAV func([]byte) // converts the samples to those of WAV in place; nil where they are
	notes []string
	ended bool
}

// Read fills p with whole frames; only the last read gives fewer than fit.
// p holds one frame at least.
func (f *frames) Read(p []byte) (int, error) {
	if f.ended {
		return 0, io.EOF
	}
	want := min(int64(len(p)/f.frame), f.left/int64(f.frame)) * int64(f.frame)
	n, err := io.ReadFull(f.in, p[:want])
	f.left -= int64(n)
	switch {
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		f.end(n%f.frame > 0, true)
	case err != nil:
		return 0, err
	case f.left < int64(f.frame):
		f.end(f.left > 0, false)
	}
	n -= n % f.frame
	if n == 0 {
		return 0, io.EOF
	}
	if f.toWAV != nil {
		f.toWAV(p[:n])
	}
	return n, nil
}

// end adds the remark for how the sound ended: partial within a frame, eof by the
// end of the file.
func (f *frames) end(partial, eof bool) {
	f.ended = true
	switch {
	case f.open:
		f.notes = append(f.notes, remarkNoLength)
	case eof:
		f.notes = append(f.notes, remarkCut)
	case partial:
		f.notes = append(f.notes, remarkPartial)
	case f.stray():
		f.notes = append(f.notes, remarkStray)
	}
}

// stray reports whether the sound is followed by something other than a chunk, with
// or without a padding byte before it.
func (f *frames) stray() bool {
	next, _ := f.in.Peek(5)
	return len(next) == 5 && !chunkName(next) && !chunkName(next[1:])
}

// contradicts reports whether the rate, the bytes a second, the size of a frame and the
// bits of a sample cannot all be true. Bytes a second of 0 were left out.
func (w *wavWalk) contradicts(width int) bool {
	f := w.format
	frame := uint64(width) * uint64(f.Channels)
	return f.PerSec != 0 && uint64(f.PerSec) != uint64(f.Rate)*frame || uint64(f.Block) != frame
}
