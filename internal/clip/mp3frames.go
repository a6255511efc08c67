package clip

import (
	"encoding/binary"
	"errors"
	"io"
)

const (
	mp3HeadSize = 4
	mp3Samples  = 1152 // of a frame, each channel
	mp3Delay    = 529  // samples of decoder delay, 528 + 1 (Bouvigne 2005)
	mp3Longest  = 1441 // bytes of a frame: 144 * 320000 / 32000 + 1
)

// mp3Head is the header of a frame.
//
// Source: ISO 11172-3, 2.4.1.3 and 2.4.2.3; ISO 13818-3, 2.4.2.3 (low rates).
type mp3Head struct {
	layer    int // 1 to 3
	rate     int // samples a second
	low      bool
	free     bool // the bit rate is not in the header
	channels int
	size     int // bytes with the header; only for layer III, not low, not free
}

// parseMP3Head parses a header; ok is false where b is not one.
func parseMP3Head(b []byte) (h mp3Head, ok bool) {
	const reservedVersion, half = 1, 2 // 0 is a quarter, 3 the full rate
	version, layer := b[1]>>3&3, b[1]>>1&3
	bitrate, rate := int(b[2]>>4), int(b[2]>>2&3)
	if b[0] != 0xff || b[1]&0xe0 != 0xe0 || version == reservedVersion || layer == 0 || bitrate == 15 || rate == 3 || b[3]&3 == 2 {
		return mp3Head{}, false
	}
	h = mp3Head{layer: 4 - int(layer), rate: [3]int{44100, 48000, 32000}[rate], low: version != 3, free: bitrate == 0, channels: 2}
	if h.low {
		h.rate /= 2
		if version != half {
			h.rate /= 2
		}
	}
	if b[3]>>6 == 3 {
		h.channels = 1
	}
	kilobits := [15]int{0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320}[bitrate]
	h.size = mp3Samples/8*1000*kilobits/h.rate + int(b[2]>>1&1)
	return h, true
}

// sameStream reports whether two frames may belong to one stream.
func (h mp3Head) sameStream(o mp3Head) bool {
	return h.layer == o.layer && h.rate == o.rate && h.low == o.low && h.free == o.free
}

// mp3Tag is what an encoder writes into a first frame that has no sound.
type mp3Tag struct {
	frames         int  // with sound; 0: unknown
	hasDelay       bool // delay and padding
	delay, padding int  // samples of silence before and after the sound
}

// mp3Frames reads the frames of an MP3 file and skips all else, which go-mp3 would
// decode as frames.
type mp3Frames struct {
	in    *input
	head  mp3Head // of the first
	tag   mp3Tag
	frame []byte // not read yet
	found int    // frames with sound
	err   error

	damaged, cut bool
}

// first reads up to the first frame of sound and gives its header.
func (f *mp3Frames) first() (mp3Head, error) {
	if err := f.seek(func(mp3Head) bool { return true }); err != nil {
		if errors.Is(err, io.EOF) {
			return mp3Head{}, sayEndsEarly()
		}
		return mp3Head{}, err
	}
	b, _ := f.in.Peek(mp3HeadSize) // buffered
	f.head, _ = parseMP3Head(b)
	f.damaged = false // what was skipped is not sound
	switch h := f.head; {
	case h.layer != 3:
		return h, errUnsupported(nameLayer)
	case h.low:
		return h, errUnsupported(nameLowMP3(h.rate))
	case h.free:
		return h, errUnsupported(nameFreeMP3)
	}
	b, err := f.in.Peek(f.head.size)
	if err != nil && !errors.Is(err, io.EOF) {
		return f.head, err
	}
	if tag, ok := parseMP3Tag(b, f.head.channels); ok {
		f.tag = tag
		f.in.Discard(len(b)) // cannot fail: they are buffered
	}
	return f.head, nil
}

// seek skips to the next frame that is accepted: with a valid header, and followed by
// another frame or the end of the file.
func (f *mp3Frames) seek(accept func(mp3Head) bool) error {
	for {
		b, err := f.in.Peek(mp3HeadSize)
		if len(b) < mp3HeadSize {
			return err
		}
		h, ok := parseMP3Head(b)
		if ok && accept(h) && f.isFollowed(h) {
			return nil
		}
		f.damaged = true
		f.in.Discard(1) // cannot fail: it is buffered
	}
}

// isFollowed reports whether a frame of the same stream follows h. Where the length
// of a frame is unknown, its header is believed.
func (f *mp3Frames) isFollowed(h mp3Head) bool {
	if h.layer != 3 || h.low || h.free {
		return true
	}
	b, err := f.in.Peek(h.size + mp3HeadSize)
	if err != nil {
		return true
	}
	next, ok := parseMP3Head(b[h.size:])
	return ok && h.sameStream(next) || trailer(b[h.size:])
}

// trailer reports whether b begins a tag that follows the sound.
func trailer(b []byte) bool {
	return string(b[:3]) == "TAG" || string(b[:4]) == "APET" || string(b[:4]) == "LYRI" || string(b[:3]) == "ID3"
}

// next reads the next frame into f.frame.
func (f *mp3Frames) next() error {
	b, err := f.in.Peek(mp3HeadSize)
	switch {
	case len(b) < mp3HeadSize:
		return err
	case trailer(b):
		return io.EOF
	}
	h, ok := parseMP3Head(b)
	if !ok || !h.sameStream(f.head) {
		if err := f.seek(f.head.sameStream); err != nil {
			return err
		}
		b, _ = f.in.Peek(mp3HeadSize) // buffered
		h, _ = parseMP3Head(b)
	}
	b, err = f.in.Peek(h.size)
	if err != nil {
		f.cut = errors.Is(err, io.EOF)
		return err
	}
	f.frame = append(f.frame[:0], b...)
	f.in.Discard(len(b)) // cannot fail: they are buffered
	f.found++
	return nil
}

// Read implements io.Reader.
func (f *mp3Frames) Read(b []byte) (int, error) {
	if len(f.frame) == 0 {
		if f.err == nil {
			f.err = f.next()
		}
		if f.err != nil {
			return 0, f.err
		}
	}
	n := copy(b, f.frame)
	f.frame = f.frame[n:]
	return n, nil
}

// remarks says what was wrong with the frames up to the end.
func (f *mp3Frames) remarks() []string {
	switch {
	case f.cut || f.found < f.tag.frames:
		return []string{remarkCut}
	case f.damaged:
		return []string{remarkParts}
	}
	return nil
}

// parseMP3Tag parses the tag in a frame; ok is false where there is none.
//
// Source: Bouvigne 2005, of the Xing and LAME tags. Of a VBRI tag only the name is
// read.
func parseMP3Tag(frame []byte, channels int) (tag mp3Tag, ok bool) {
	const crc, vbriAt = 2, 36
	at := mp3HeadSize + 32 // side information
	if channels == 1 {
		at = mp3HeadSize + 17
	}
	if len(frame) > vbriAt+4 && string(frame[vbriAt:vbriAt+4]) == "VBRI" {
		return mp3Tag{}, true
	}
	if len(frame) < at+8 || string(frame[at:at+4]) != "Xing" && string(frame[at:at+4]) != "Info" {
		return mp3Tag{}, false
	}
	flags := frame[at+7]
	rest := frame[at+8:]
	for i, size := range []int{4, 4, 100, 4} { // frames, bytes, table, quality
		if flags>>i&1 == 0 {
			continue
		}
		if len(rest) < size {
			return tag, true
		}
		if i == 0 {
			tag.frames = int(binary.BigEndian.Uint32(rest))
		}
		rest = rest[size:]
	}
	const delayAt = 21
	if len(rest) < delayAt+3 || rest[0] == 0 { // the name of the encoder
		return tag, true
	}
	both := int(rest[delayAt])<<16 | int(rest[delayAt+1])<<8 | int(rest[delayAt+2])
	tag.hasDelay, tag.delay, tag.padding = true, both>>12, both&0xfff
	return tag, true
}
