package clip

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
)

// aiffWalk reads the chunks of an AIFF or AIFF-C file up to its sound.
//
// The samples are big-endian and otherwise those of WAV, so that the decoders of
// WAV read them after conversion in place.
//
// Sources: AIFF 1.3; AIFF-C 1991, with the later compression types of other readers.
type aiffWalk struct {
	in     *input
	typed  bool // AIFF-C: with a type of compression
	common *aiffCommon
}

// aiffCommon is the COMM chunk.
type aiffCommon struct {
	Channels uint16
	Frames   uint32
	Bits     uint16
	Exponent uint16 // of the rate, a number of 80 bits, with its sign
	Mantissa uint64
	Type     [4]byte // of compression, in AIFF-C only
}

const (
	aiffHead  = 12 // FORM, size, AIFF
	aiffPlain = 18 // bytes of aiffCommon without the type
	aiffTyped = 22
)

// rate gives the samples a second, rounded; the most that the type holds for more.
func (c *aiffCommon) rate() uint32 {
	const bias, point = 16383, 63
	rate := math.Round(math.Ldexp(float64(c.Mantissa), int(c.Exponent)-bias-point))
	return uint32(min(rate, math.MaxUint32))
}

// openAIFF reads as far as the first sample.
func openAIFF(in *input) (decoder, error) {
	var head [aiffHead]byte
	if _, err := io.ReadFull(in, head[:]); err != nil {
		return nil, err
	}
	w := &aiffWalk{in: in, typed: string(head[8:]) == "AIFC"}
	size, err := w.toSound()
	if err != nil {
		return nil, err
	}
	c, l := w.common, in.o.Limits
	switch rate := c.rate(); {
	case int(c.Channels) < 1 || int(c.Channels) > l.Channels:
		return nil, sayChannels(c.Channels, l)
	case float64(rate) < float64(l.MinRate) || float64(rate) > float64(l.MaxRate):
		return nil, sayRate(rate, l)
	}
	return w.decoder(size)
}

// toSound reads up to the first sample and gives the size of the sound by its
// header, bytes.
func (w *aiffWalk) toSound() (uint32, error) {
	var head [8]byte
	for {
		if _, err := io.ReadFull(w.in, head[:]); err != nil {
			return 0, w.headerError(err)
		}
		id, size := head[:4], binary.BigEndian.Uint32(head[4:])
		var err error
		switch string(id) {
		case "SSND":
			return w.intoSound(size)
		case "COMM":
			err = w.readCommon(size)
		default:
			err = w.skip(id, int64(size))
		}
		if err == nil && size%2 == 1 {
			err = w.skip(id, 1)
		}
		if err != nil {
			return 0, err
		}
	}
}

// headerError turns the end of the file within its header into a *Problem.
func (w *aiffWalk) headerError(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return sayEndsEarly()
	}
	return err
}

// skip skips size bytes of the chunk named id.
func (w *aiffWalk) skip(id []byte, size int64) error {
	_, err := io.CopyN(io.Discard, w.in, size)
	if errors.Is(err, io.EOF) {
		return sayDamaged(wrongPart(id, uint32(size)))
	}
	return err
}

func (w *aiffWalk) readCommon(size uint32) error {
	if size < aiffPlain {
		return sayDamaged(wrongShortFormat)
	}
	b := make([]byte, aiffPlain, aiffTyped)
	if w.typed && size >= aiffTyped {
		b = b[:aiffTyped]
	}
	if _, err := io.ReadFull(w.in, b); err != nil {
		return w.headerError(err)
	}
	rest := int64(size) - int64(len(b))
	b = append(b, "NONE"...) // the type, where the chunk has none
	c := &aiffCommon{}
	if _, err := binary.Decode(b, binary.BigEndian, c); err != nil {
		return err
	}
	w.common = c
	return w.skip([]byte("COMM"), rest)
}

// intoSound reads from the header of the SSND chunk, which has an offset and a
// block size, to the first sample. A file whose sound is before its description
// cannot be read in one pass.
func (w *aiffWalk) intoSound(size uint32) (uint32, error) {
	if w.common == nil {
		return 0, errUnsupported(nameAIFFOrder)
	}
	var head [8]byte
	if _, err := io.ReadFull(w.in, head[:]); err != nil {
		return 0, w.headerError(err)
	}
	offset := binary.BigEndian.Uint32(head[:])
	if err := w.skip([]byte("SSND"), int64(offset)); err != nil {
		return 0, err
	}
	before := uint64(len(head)) + uint64(offset)
	if size == unknownSize || uint64(size) < before {
		return unknownSize, nil // recorders leave it so when they are cut off
	}
	return size - uint32(before), nil
}

// decoder chooses how the samples are read.
func (w *aiffWalk) decoder(size uint32) (decoder, error) {
	c := w.common
	codec, err := c.codec()
	if err != nil {
		return nil, err
	}
	frame := codec.width * int(c.Channels)
	data := &frames{in: w.in.Reader, frame: frame, left: int64(size), toWAV: codec.toWAV()}
	if size == unknownSize || size == 0 && c.Frames == 0 && !chunkFollows(w.in.Reader, binary.BigEndian) {
		data.left, data.open = math.MaxInt64, true
	} else if c.Frames > 0 {
		data.left = min(data.left, int64(c.Frames)*int64(frame))
	}
	return codec.open(pcmBase{frames: data, desc: format{
		container: "aiff", codec: codec.name, rate: int(c.rate()), channels: int(c.Channels), frameBytes: frame,
		fullScaleFrom: fullScale16, fullScaleTo: math.MaxFloat32,
	}}, codec.width)
}

// aiffCodec is how the samples of one compression type are read.
type aiffCodec struct {
	name   string // as in Info.Codec
	width  int    // bytes of a sample
	little bool   // the bytes are in the order of WAV
	open   func(base pcmBase, width int) (decoder, error)
}

func (c *aiffCommon) codec() (aiffCodec, error) {
	const perByte = 8
	whole := aiffCodec{width: (int(c.Bits) + perByte - 1) / perByte, open: newIntDecoder}
	float := func(base pcmBase, width int) (decoder, error) { return newFloatDecoder(base, width), nil }
	table := func(law func(byte) int) func(pcmBase, int) (decoder, error) {
		return func(base pcmBase, _ int) (decoder, error) { return newTableDecoder(base, law), nil }
	}
	switch kind := string(c.Type[:]); kind {
	case "NONE", "twos":
	case "sowt":
		whole.little = true
	case "in24":
		whole.width = 3
	case "in32":
		whole.width = 4
	case "raw ":
		return aiffCodec{"pcm_u8", 1, true, newIntDecoder}, nil
	case "fl32", "FL32":
		return aiffCodec{"", 4, false, float}, nil
	case "fl64", "FL64":
		return aiffCodec{"", 8, false, float}, nil
	case "alaw", "ALAW":
		return aiffCodec{"alaw", 1, true, table(aLaw)}, nil
	case "ulaw", "ULAW":
		return aiffCodec{"mulaw", 1, true, table(muLaw)}, nil
	default:
		return aiffCodec{}, errUnsupported(nameAIFF(kind))
	}
	const widest = 4
	if whole.width < 1 || whole.width > widest {
		return aiffCodec{}, sayDamaged(wrongBits(c.Bits))
	}
	whole.name = fmt.Sprintf("pcm_s%d", perByte*whole.width)
	whole.little = whole.little && whole.width > 1 // single bytes are signed here and unsigned in WAV
	return whole, nil
}

// toWAV gives the function that converts samples to those of WAV in place; nil where
// they are.
func (c aiffCodec) toWAV() func([]byte) {
	width := c.width
	switch {
	case c.little:
		return nil
	case width == 1:
		return func(p []byte) {
			for i := range p {
				p[i] ^= 1 << 7
			}
		}
	case width == 2:
		return func(p []byte) {
			for i := 0; i+1 < len(p); i += 2 {
				p[i], p[i+1] = p[i+1], p[i]
			}
		}
	}
	return func(p []byte) {
		for one := range slices.Chunk(p, width) {
			slices.Reverse(one)
		}
	}
}
