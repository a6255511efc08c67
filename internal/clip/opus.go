package clip

import (
	"encoding/binary"
	"errors"
	"io"
	"math"

	"github.com/pion/opus"
)

const (
	opusRate   = 48000 // of every stream, whatever was recorded
	opusFrames = 5760  // samples of the longest packet, of each channel: 120 ms
)

// opusDecoder reads Opus out of Ogg, with pion/opus for the packets.
//
// The first samples of a stream, the pre-skip, are dropped; the granule position of
// the last page says where the sound ends within its last packet.
//
// Source: RFC 7845.
type opusDecoder struct {
	ogg    *oggReader
	packet opus.Decoder
	desc   format
	gain   float32

	out     []float32 // of the packet, shape [frames * channels]
	waiting []float32 // of out, not given out yet
	preSkip int64     // frames dropped at the start
	skip    int64     // of these, still to come
	made    int64     // frames of packets so far
	base    int64     // granule of the first of them; -1 before it is known
	notes   []string
}

// openOpus reads the headers of the stream; r has read its first page.
func openOpus(r *oggReader) (decoder, error) {
	head, err := r.next()
	if err != nil {
		return nil, opusHeaderError(err)
	}
	const headSize, mappingAt = 19, 18
	b := head.data
	if len(b) < headSize || b[8]>>4 != 0 { // the major version
		return nil, sayDamaged(wrongShortFormat)
	}
	channels := int(b[9])
	switch {
	case channels < 1:
		return nil, sayChannels(uint16(channels), r.in.o.Limits)
	case channels > 2 || b[mappingAt] != 0:
		return nil, errUnsupported(nameOgg("Opus", channels))
	}
	const q8, perDecade = 256, 20 // gain is in dB, a number of 8 and 8 bits
	gain := float64(int16(binary.LittleEndian.Uint16(b[16:]))) / q8
	skip := int64(binary.LittleEndian.Uint16(b[10:]))
	if _, err := r.next(); err != nil { // the tags
		return nil, opusHeaderError(err)
	}
	packets, err := opus.NewDecoderWithOutput(opusRate, channels)
	if err != nil {
		return nil, err
	}
	return &opusDecoder{
		ogg: r, packet: packets, gain: float32(math.Pow(10, gain/perDecade)),
		out:     make([]float32, opusFrames*channels),
		preSkip: skip, skip: skip, base: -1,
		desc: format{
			container: "ogg", codec: "opus", rate: opusRate, channels: channels, lossy: true,
			fullScaleFrom: fullScale16, fullScaleTo: maxMagnitude,
		},
	}, nil
}

// opusHeaderError turns the end of the file within the headers into a *Problem.
func opusHeaderError(err error) error {
	if errors.Is(err, io.EOF) {
		return sayEndsEarly()
	}
	return err
}

func (d *opusDecoder) format() format    { return d.desc }
func (d *opusDecoder) remarks() []string { return append(d.ogg.remarks(), d.notes...) }

func (d *opusDecoder) decode(dst []float32) (int, error) {
	for len(d.waiting) == 0 {
		p, err := d.ogg.next()
		if errors.Is(err, io.EOF) && d.made == 0 && !d.ogg.ended {
			return 0, sayEndsEarly()
		}
		if err != nil {
			return 0, err
		}
		if err := d.decodePacket(p); err != nil {
			return 0, err
		}
	}
	n := copy(dst, d.waiting)
	d.waiting = d.waiting[n:]
	return n, nil
}

// decodePacket decodes a packet into d.waiting, less what is dropped at the start or
// end. A damaged packet gives silence, or an error where it is the first.
func (d *opusDecoder) decodePacket(p packet) error {
	frames := opusDuration(p.data)
	if frames == 0 || p.long {
		d.ogg.damaged = true
		return nil
	}
	if _, err := d.packet.DecodeToFloat32(p.data, d.out); err != nil {
		if d.made == 0 {
			return err
		}
		d.ogg.damaged = true
		clear(d.out)
	}
	began := d.made
	d.made += frames
	if d.base < 0 && p.granule >= 0 {
		d.base = max(0, p.granule-d.made) // the recording of a broadcast begins at a later one
	}
	to := frames
	if p.stop >= 0 {
		to = d.until(p.stop-max(0, d.base), began, frames)
	}
	from := min(d.skip, to)
	d.skip -= from
	d.waiting = d.out[from*int64(d.desc.channels) : to*int64(d.desc.channels)]
	for i := range d.waiting {
		d.waiting[i] *= d.gain
	}
	return nil
}

// until gives how many frames of a packet, which begins at frame began of the
// stream, are before its end. An end before the first sound is an error of the
// recorder and ignored, with a remark.
func (d *opusDecoder) until(end, began, frames int64) int64 {
	if end > d.preSkip {
		return min(max(0, end-began), frames)
	}
	if len(d.notes) == 0 {
		d.notes = append(d.notes, remarkNoCount)
	}
	return frames
}

// opusDuration gives the frames in a packet by its first two bytes; 0 for an invalid
// one.
//
// Source: RFC 6716, 3.1 and 3.2.
func opusDuration(p []byte) int64 {
	if len(p) == 0 {
		return 0
	}
	const perMillisecond = opusRate / 1000
	var each int64
	switch mode := p[0] >> 3; {
	case mode < 12: // SILK
		each = [4]int64{10, 20, 40, 60}[mode&3] * perMillisecond
	case mode < 16: // both
		each = [2]int64{10, 20}[mode&1] * perMillisecond
	default: // CELT
		each = perMillisecond * 5 / 2 << (mode & 3)
	}
	count := int64(2)
	switch p[0] & 3 {
	case 0:
		count = 1
	case 3:
		if len(p) < 2 {
			return 0
		}
		count = int64(p[1] & 0x3f)
	}
	if each*count > opusFrames {
		return 0
	}
	return each * count
}
