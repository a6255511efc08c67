package clip

import (
	"encoding/binary"
	"errors"
	"io"
	"math"

	"github.com/hajimehoshi/go-mp3"
)

// mp3Decoder reads MP3 through go-mp3, where ffmpeg is not there to do it better:
// joint stereo comes out rough, and rates under 32 kHz not at all.
type mp3Decoder struct {
	frames *mp3Frames
	sound  *mp3.Decoder
	is     format
	skip   int64 // frames of sound still to go at the start
	left   int64 // still to come after that
	raw    []byte
	notes  []string
}

// openTagged opens what begins with an ID3 tag: an MP3 file nearly always.
//
// Source: ID3v2.4.0 main structure, 3.1, 2000.
func openTagged(in *input) (decoder, error) {
	const size, footer = 10, 1 << 4 // of the head; a flag
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
	in.mark() // ffmpeg does without the tag
	head, err := in.Peek(sniffed)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	if len(head) < shortestHead {
		return nil, sayEndsEarly()
	}
	if k := sniff(head); k.name != "" && !k.silent {
		in.kind = k
		return k.open(in)
	}
	return openMP3(in)
}

// openMP3 leaves the file to ffmpeg where there is one.
func openMP3(in *input) (decoder, error) {
	if _, err := in.ffmpeg(); err == nil {
		return nil, errUnsupported(in.kind.name)
	}
	return newMP3Decoder(in)
}

// newMP3Decoder reads as far as the first sample.
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
	d.is = format{
		container: "mp3", codec: "mp3", rate: head.rate, channels: head.channels, lossy: true,
		railFrom: fullScale16, railTo: math.MaxFloat32,
	}
	if tag := frames.tag; tag.tells {
		d.skip = int64(tag.delay) + mp3Delay
		if sound := int64(tag.frames)*mp3Samples - int64(tag.delay+tag.padding); tag.frames > 0 && sound > 0 {
			d.left = sound
		}
	} else {
		d.notes = append(d.notes, remarkDelay)
	}
	return d, nil
}

func (d *mp3Decoder) format() format    { return d.is }
func (d *mp3Decoder) remarks() []string { return append(d.frames.remarks(), d.notes...) }

func (d *mp3Decoder) decode(dst []float32) (int, error) {
	const frame = 4 // bytes of two channels, whatever the file has
	want := len(dst) / d.is.channels * frame
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
			return d.take(dst, d.raw[from*frame:to*frame]), nil
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

// take turns samples of 16 bits and two channels into those of the file.
func (d *mp3Decoder) take(dst []float32, raw []byte) int {
	const scale = 1.0 / (1 << 15)
	step := 2 / d.is.channels // of one channel, the same comes twice
	n := len(raw) / 2 / step
	for i := range n {
		dst[i] = float32(int16(binary.LittleEndian.Uint16(raw[2*step*i:]))) * scale
	}
	return n
}
