package clip

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"

	"topnote/internal/dsp"
)

// fullScale16 is the largest code of 16 bits. It counts as full scale for wider
// samples as well, which often come from 16 bits.
const fullScale16 = 1 - 1.0/(1<<15)

// decoder chooses how the samples are read.
func (w *wavWalk) decoder(size uint32) (decoder, error) {
	f := w.format
	switch f.Tag {
	case tagPCM, tagFloat, tagALaw, tagMuLaw:
	default:
		return nil, errUnsupported(nameWAV(nameTag(f.Tag)))
	}
	width := w.width()
	base := pcmBase{frames: w.data(size, width*int(f.Channels)), desc: format{
		container: "wav", rate: int(f.Rate), channels: int(f.Channels), frameBytes: width * int(f.Channels),
		fullScaleFrom: fullScale16, fullScaleTo: math.MaxFloat32,
		contradicts: w.contradicts(width),
	}}
	switch {
	case f.Tag == tagPCM && width == 2:
		base.desc.codec = "pcm_s16"
		return &int16Decoder{pcmBase: base}, nil
	case f.Tag == tagPCM && width >= 1 && width <= 4:
		base.desc.codec = fmt.Sprintf("pcm_s%d", 8*width)
		if width == 1 {
			base.desc.codec = "pcm_u8"
		}
		return newIntDecoder(base, width)
	case f.Tag == tagFloat && (width == 4 || width == 8):
		return newFloatDecoder(base, width), nil
	case f.Tag == tagALaw && width == 1:
		base.desc.codec = "alaw"
		return newTableDecoder(base, aLaw), nil
	case f.Tag == tagMuLaw && width == 1:
		base.desc.codec = "mulaw"
		return newTableDecoder(base, muLaw), nil
	}
	return nil, sayDamaged(wrongBits(f.Bits))
}

// pcmBase is what the decoders of plain samples share.
type pcmBase struct {
	*frames
	desc format
}

func (b pcmBase) format() format    { return b.desc }
func (b pcmBase) remarks() []string { return b.notes }

// intDecoder reads integer samples through go-audio/wav, after a plain header
// instead of that of the file: see wavWalk.
type intDecoder struct {
	pcmBase
	dec   *wav.Decoder
	ints  audio.IntBuffer
	zero  int     // the code of silence
	scale float32 // from a code to full scale 1
}

func newIntDecoder(base pcmBase, width int) (decoder, error) {
	bits := 8 * width
	d := &intDecoder{pcmBase: base, scale: float32(math.Ldexp(1, 1-bits))}
	if width == 1 {
		d.zero = 1 << 7
		d.desc.fullScaleFrom = 1 - 1.0/(1<<7)
	}
	head := plainHeader(d.desc.rate, d.desc.channels, width)
	d.dec = wav.NewDecoder(&forward{head: head, data: base.frames})
	if err := d.dec.FwdToPCM(); err != nil {
		return nil, err
	}
	return d, d.dec.Err()
}

func (d *intDecoder) decode(dst []float32) (int, error) {
	if cap(d.ints.Data) < len(dst) {
		d.ints.Data = make([]int, len(dst))
	}
	d.ints.Data = d.ints.Data[:len(dst)]
	n, err := d.dec.PCMBuffer(&d.ints)
	if err != nil {
		return 0, err
	}
	if n == 0 {
		return 0, io.EOF
	}
	for i, v := range d.ints.Data[:n] {
		dst[i] = float32(v-d.zero) * d.scale
	}
	return n, nil
}

// int16Decoder reads integer samples of two bytes, as nearly all recordings have.
// go-audio/wav takes ten times as long, since it calls a function for each sample.
type int16Decoder struct {
	pcmBase
	raw []byte
}

func (d *int16Decoder) decode(dst []float32) (int, error) {
	raw, err := d.read(&d.raw, 2*len(dst))
	dst = dst[:len(raw)/2]
	dsp.FromInt16(dst, raw)
	return len(dst), err
}

// plainHeader gives the 44 bytes of the simplest WAV header, with the largest even
// size; the sound ends where its reader does.
func plainHeader(rate, channels, width int) []byte {
	const most = unknownSize - 1
	le := binary.LittleEndian
	b := append(make([]byte, 0, 44), "RIFF"...)
	b = le.AppendUint32(b, most)
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, formatSize)
	b = le.AppendUint16(b, tagPCM)
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(rate*channels*width))
	b = le.AppendUint16(b, uint16(channels*width))
	b = le.AppendUint16(b, uint16(8*width))
	b = append(b, "data"...)
	return le.AppendUint32(b, most)
}

// forward reads a header and then data. It has Seek only for the interface: the
// library does not call it after a plain header.
type forward struct {
	head []byte
	data io.Reader
}

var errNoSeek = errors.New("clip: a stream of samples cannot be rewound")

func (f *forward) Seek(int64, int) (int64, error) { return 0, errNoSeek }

func (f *forward) Read(p []byte) (int, error) {
	if len(f.head) > 0 {
		n := copy(p, f.head)
		f.head = f.head[n:]
		return n, nil
	}
	return f.data.Read(p)
}

// floatDecoder reads IEEE 754 samples of 4 or 8 bytes, which go-audio/wav reads as
// integers. Values that are not numbers are replaced by the meter.
type floatDecoder struct {
	pcmBase
	width int
	raw   []byte
}

func newFloatDecoder(base pcmBase, width int) decoder {
	base.desc.codec = fmt.Sprintf("float%d", 8*width)
	base.desc.fullScaleTo = 1 + 1.0/(1<<15) // floats above it are loud, not clipped
	return &floatDecoder{pcmBase: base, width: width}
}

func (d *floatDecoder) decode(dst []float32) (int, error) {
	raw, err := d.read(&d.raw, len(dst)*d.width)
	n := len(raw) / d.width
	if d.width == 4 {
		for i := range dst[:n] {
			dst[i] = math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:]))
		}
		return n, err
	}
	for i := range dst[:n] {
		dst[i] = float32(math.Float64frombits(binary.LittleEndian.Uint64(raw[8*i:])))
	}
	return n, err
}

// read gives the next bytes of the sound, at most size; they are valid until the
// next call with the same buf.
func (b pcmBase) read(buf *[]byte, size int) ([]byte, error) {
	if cap(*buf) < size {
		*buf = make([]byte, size)
	}
	n, err := b.Read((*buf)[:size])
	return (*buf)[:n], err
}

// tableDecoder reads the logarithmic samples of telephony, of one byte each.
type tableDecoder struct {
	pcmBase
	table [256]float32
	raw   []byte
}

func newTableDecoder(base pcmBase, law func(byte) int) decoder {
	d := &tableDecoder{pcmBase: base}
	d.desc.fullScaleFrom = 0
	for code := range d.table {
		v := float32(law(byte(code))) / (1 << 15)
		d.table[code] = v
		d.desc.fullScaleFrom = max(d.desc.fullScaleFrom, v)
	}
	return d
}

func (d *tableDecoder) decode(dst []float32) (int, error) {
	raw, err := d.read(&d.raw, len(dst))
	for i, code := range raw {
		dst[i] = d.table[code]
	}
	return len(raw), err
}

// muLaw expands one code to 16 bits: sign, three bits of exponent, four of
// mantissa, all inverted.
//
// Source: ITU-T G.711, table 2.
func muLaw(code byte) int {
	const bias = 33 << 2
	c := int(^code)
	v := ((c&0xf)<<3+bias)<<(c>>4&7) - bias
	if c&0x80 != 0 {
		return -v
	}
	return v
}

// aLaw expands one code to 16 bits; every other bit of it is inverted.
//
// Source: ITU-T G.711, table 1.
func aLaw(code byte) int {
	c := int(code ^ 0x55)
	v := (c&0xf)<<4 + 8
	if exponent := c >> 4 & 7; exponent > 0 {
		v = (v + 0x100) << (exponent - 1)
	}
	if c&0x80 == 0 {
		return -v
	}
	return v
}
