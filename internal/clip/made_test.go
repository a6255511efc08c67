package clip

import (
	"encoding/binary"
	"math"
)

// made describes a WAV file that a test makes, byte by byte and by no code of
// the package.
type made struct {
	rate, channels int
	bits           int // of a sample, as the header says
	tag            uint16

	extensible bool
	word       int     // bytes of a sample where they are more than bits need
	before     []chunk // ahead of the fmt chunk
	between    []chunk // ahead of the data chunk
	after      []chunk
	dataSize   *uint32 // what the header claims, where that is not the truth
	block      *uint16 // likewise
	form       string  // "RIFF" when empty
}

type chunk struct {
	id   string
	body string
}

func ptr[T any](v T) *T { return &v }

func (w made) width() int {
	if w.word > 0 {
		return w.word
	}
	return (w.bits + 7) / 8
}

// encode writes samples, full scale 1, in the format of the file; integers are
// rounded to the nearest code and held at the rails.
func (w made) encode(samples []float32) []byte {
	var b []byte
	le := binary.LittleEndian
	for _, v := range samples {
		switch {
		case w.tag == tagFloat && w.bits == 32:
			b = le.AppendUint32(b, math.Float32bits(v))
			continue
		case w.tag == tagFloat && w.bits == 64:
			b = le.AppendUint64(b, math.Float64bits(float64(v)))
			continue
		}
		b = w.code(b, codeOf(v, w.bits))
	}
	return b
}

// codeOf rounds a sample to a code of so many bits.
func codeOf(v float32, bits int) int64 {
	full := math.Ldexp(1, bits-1)
	return int64(min(max(math.Round(float64(v)*full), -full), full-1))
}

// code appends one integer sample, left-aligned in its word.
func (w made) code(b []byte, code int64) []byte {
	width := w.width()
	code <<= 8*width - w.bits
	if width == 1 {
		code += 128
	}
	for i := range width {
		b = append(b, byte(code>>(8*i)))
	}
	return b
}

// file puts the header and the other chunks round the data.
func (w made) file(data []byte) []byte {
	le := binary.LittleEndian
	tag, size := w.tag, uint32(16)
	if w.extensible {
		tag, size = 0xfffe, 40
	}
	block := uint16(w.channels * w.width())
	claimed := block
	if w.block != nil {
		claimed = *w.block
	}
	body := appendChunks([]byte("WAVE"), w.before)
	body = append(body, "fmt "...)
	body = le.AppendUint32(body, size)
	body = le.AppendUint16(body, tag)
	body = le.AppendUint16(body, uint16(w.channels))
	body = le.AppendUint32(body, uint32(w.rate))
	body = le.AppendUint32(body, uint32(w.rate)*uint32(block))
	body = le.AppendUint16(body, claimed)
	headerBits := w.bits
	if w.extensible {
		headerBits = 8 * w.width()
	}
	body = le.AppendUint16(body, uint16(headerBits))
	if w.extensible {
		body = le.AppendUint16(body, 22)
		body = le.AppendUint16(body, uint16(w.bits))
		body = le.AppendUint32(body, 0)
		body = le.AppendUint16(body, w.tag)
		body = append(body, "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"...)
	}
	body = appendChunks(body, w.between)
	body = append(body, "data"...)
	dataSize := uint32(len(data))
	if w.dataSize != nil {
		dataSize = *w.dataSize
	}
	body = le.AppendUint32(body, dataSize)
	body = append(body, data...)
	if len(data)%2 == 1 && len(w.after) > 0 {
		body = append(body, 0)
	}
	body = appendChunks(body, w.after)

	form := "RIFF"
	if w.form != "" {
		form = w.form
	}
	return append(le.AppendUint32([]byte(form), uint32(len(body))), body...)
}

func appendChunks(b []byte, chunks []chunk) []byte {
	for _, c := range chunks {
		b = append(b, c.id...)
		b = binary.LittleEndian.AppendUint32(b, uint32(len(c.body)))
		b = append(b, c.body...)
		if len(c.body)%2 == 1 {
			b = append(b, 0)
		}
	}
	return b
}

// tone gives n samples of a sine of so many cycles a sample.
func tone(n int, cycles, level float64) []float32 {
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(level * math.Sin(2*math.Pi*cycles*float64(i)))
	}
	return x
}
