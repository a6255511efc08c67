package clip

import (
	"encoding/binary"
	"math"
)

// madeAIFF describes an AIFF file that a test makes, byte by byte.
type madeAIFF struct {
	rate     float64
	channels int
	bits     int
	kind     string // of compression; empty: AIFF and not AIFF-C

	frames *uint32 // what the header claims, where that is not the truth
	size   *uint32 // likewise, of the sound
	offset int     // bytes between the head of the sound and the sound
	before []chunk // ahead of COMM
	late   bool    // COMM behind the sound
}

// file puts the chunks round the data.
func (a madeAIFF) file(data []byte) []byte {
	be := binary.BigEndian
	put := func(b []byte, id string, size uint32, body []byte) []byte {
		b = append(be.AppendUint32(append(b, id...), size), body...)
		if len(body)%2 == 1 {
			b = append(b, 0)
		}
		return b
	}
	frames := uint32(len(data) / max(1, a.channels*((a.bits+7)/8)))
	if a.frames != nil {
		frames = *a.frames
	}
	common := be.AppendUint16(nil, uint16(a.channels))
	common = be.AppendUint32(common, frames)
	common = be.AppendUint16(common, uint16(a.bits))
	// 80 bits: sign and exponent with a bias of 16383, then 64 bits with the
	// leading one. Source: Apple, AIFF 1.3, appendix D.
	fraction, exponent := math.Frexp(a.rate)
	common = be.AppendUint16(common, uint16(exponent-1+16383))
	common = be.AppendUint64(common, uint64(math.Ldexp(fraction, 64)))
	form := "AIFF"
	if a.kind != "" {
		form = "AIFC"
		common = append(append(common, a.kind...), 0, 0) // an empty name
	}
	sound := be.AppendUint32(nil, uint32(a.offset))
	sound = append(be.AppendUint32(sound, 0), make([]byte, a.offset)...)
	sound = append(sound, data...)
	size := uint32(len(sound))
	if a.size != nil {
		size = *a.size
	}
	body := []byte(form)
	for _, c := range a.before {
		body = put(body, c.id, uint32(len(c.body)), []byte(c.body))
	}
	if a.late {
		body = put(body, "SSND", size, sound)
		body = put(body, "COMM", uint32(len(common)), common)
	} else {
		body = put(body, "COMM", uint32(len(common)), common)
		body = put(body, "SSND", size, sound)
	}
	return append(be.AppendUint32([]byte("FORM"), uint32(len(body))), body...)
}

// encode writes samples as the integers of the file, big-endian with a sign.
func (a madeAIFF) encode(samples []float32) []byte {
	width := (a.bits + 7) / 8
	var b []byte
	for _, v := range samples {
		code := codeOf(v, a.bits) << (8*width - a.bits)
		for i := range width {
			b = append(b, byte(code>>(8*(width-1-i))))
		}
	}
	return b
}
