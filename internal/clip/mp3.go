package clip

import (
	"encoding/binary"
	"errors"
	"io"
	"math"

	"github.com/hajimehoshi/go-mp3"
)

// mp3Decoder reads MP3 through go-mp3, for where ffmpeg is not installed: joint
// stereo is decoded with errors, and rates under 32 kHz are not.
type mp3Decoder struct {
	frames *mp3Frames
	sound  *mp3.Decoder
	desc   format
	skip   int64 // frames still to be dropped at the start
	left   int64 // frames still to come after that
	raw    []byte
	notes  []string
}

// openTagged opens a file that begins with an ID3 tag, nearly always MP3.
//
// Source: ID3v2.4.0, 3.1.
func openTagged(in *input) (decoder, error) {
	const size, footer = 10, 1 << 4 // of the header, bytes; flag of a footer
	for {
		b, err := in.Peek(size)
		if err != nil && !errors.Is(err, io.EOF) {
			return nil, err
		}
		if len(b) < size || string(b[:3]) != "ID3" {
			break
		}
		n := size + int(b[6]&0x7f)<<21 + int(b[7]&0x7f)<<14 + int(b[8]&0x7f)<<7 + int(b[9]&0x7f)
		if b[5]&footer != 0 {
			n += size
		}
		if _, err := in.Discard(n); errors.Is(err, io.EOF) {
			return nil, sayEndsEarly()
		} else if err != nil {
			return nil, err
		}
	}
	in.mark() // ffmpeg does not need the tag
	head, err := in.Peek(sniffBytes)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	if len(head) < minHead {
		return nil, sayEndsEarly()
	}
	if k := sniff(head); k.name != "" && !k.notSound {
		in.kind = k
		return k.open(in)
	}
	return openMP3(in)
}

// openMP3 leaves the file to ffmpeg where that is installed.
func openMP3(in *input) (decoder, error) {
	if _, err := in.ffmpeg(); err == nil {
		return nil, errUnsupported(in.kind.name)
	}
	return newMP3Decoder(in)
}

// newMP3Decoder reads up to the first sample.
func newMP3Decoder(in *input) (decoder, error) {
	frames := &mp3Frames{in: in}
	head, err := frames.first()
	if err != nil {
		return nil, err
	}
	sound, err := mp3.NewDecoder(frames)
	if err != nil && errors.Is(frames.err, io.EOF) {
		return nil, sayEndsEarly()
	}
	if err != nil {
		return nil, err
	}
	d := &mp3Decoder{frames: frames, sound: sound, left: math.MaxInt64}
	d.desc = format{
		container: "mp3", codec: "mp3", rate: head.rate, channels: head.channels, lossy: true,
		fullScaleFrom: fullScale16, fullScaleTo: math.MaxFloat32,
	}
	if tag := frames.tag; tag.hasDelay {
		d.skip = int64(tag.delay) + mp3Delay
		if sound := int64(tag.frames)*mp3Samples - int64(tag.delay+tag.padding); tag.frames > 0 && sound > 0 {
			d.left = sound
		}
	} else {
		d.notes = append(d.notes, remarkDelay)
	}
	return d, nil
}

func (d *mp3Decoder) format() format    { return d.desc }
func (d *mp3Decoder) remarks() []string { return append(d.frames.remarks(), d.notes...) }

func (d *mp3Decoder) decode(dst []float32) (int, error) {
	const frame = 4 // bytes: the library always gives two channels of 16 bits
	want := len(dst) / d.desc.channels * frame
	if len(d.raw) < want {
		d.raw = make([]byte, want)
	}
	for {
		n, err := io.ReadFull(d.sound, d.raw[:want])
		whole := int64(n / frame)
		from := min(d.skip, whole)
		d.skip -= from
		to := min(whole, from+d.left)
		d.left -= to - from
		if to > from {
			f := d.frames
			f.damaged = f.damaged || err != nil && !errors.Is(err, io.ErrUnexpectedEOF)
			return d.convert(dst, d.raw[from*frame:to*frame]), nil
		}
		if err == nil && d.left == 0 {
			err = io.EOF
		}
		if errors.Is(err, io.ErrUnexpectedEOF) {
			err = io.EOF
		}
		if err != nil {
			return 0, err
		}
	}
}

// convert turns samples of 16 bits and two channels into floats of the channels of
// the file.
func (d *mp3Decoder) convert(dst []float32, raw []byte) int {
	const scale = 1.0 / (1 << 15)
	step := 2 / d.desc.channels // one channel is given twice
	n := len(raw) / 2 / step
	for i := range n {
		dst[i] = float32(int16(binary.LittleEndian.Uint16(raw[2*step*i:]))) * scale
	}
	return n
}
