package clip

import (
	"encoding/binary"
	"errors"
	"io"

	"github.com/gopxl/beep/v2"
	"github.com/gopxl/beep/v2/vorbis"
)

// vorbisDecoder reads Vorbis out of Ogg through beep/vorbis. The library gets new
// pages with one packet each: invalid pages and headers make it loop without end,
// or panic.
//
// Source: Vorbis I specification.
type vorbisDecoder struct {
	feed  *vorbisFeed
	sound beep.Streamer
	desc  format
	block [][2]float64
	made  int64 // frames so far
}

// openVorbis reads the three headers of the stream; r has read its first page.
func openVorbis(r *oggReader) (decoder, error) {
	feed := &vorbisFeed{ogg: r, stop: -1}
	is, err := feed.readHeads(r.in.o.Limits)
	if errors.Is(err, io.EOF) {
		return nil, sayEndsEarly()
	}
	if err != nil {
		return nil, err
	}
	sound, _, err := vorbis.Decode(feed)
	if err != nil && errors.Is(feed.err, io.EOF) {
		return nil, sayEndsEarly()
	}
	if err != nil {
		return nil, err
	}
	return &vorbisDecoder{feed: feed, sound: sound, desc: is}, nil
}

func (d *vorbisDecoder) format() format    { return d.desc }
func (d *vorbisDecoder) remarks() []string { return d.feed.ogg.remarks() }

func (d *vorbisDecoder) decode(dst []float32) (int, error) {
	want := len(dst) / d.desc.channels
	if len(d.block) < want {
		d.block = make([][2]float64, want)
	}
	n := 0
	for n == 0 {
		// At a damaged packet the library stops as it does at the end, and the next
		// call goes on behind it: each takes one packet at least.
		n, _ = d.sound.Stream(d.block[:want])
		switch {
		case n == want:
		case d.feed.err == nil:
			d.feed.ogg.damaged = true
		case n == 0:
			return 0, d.feed.err
		}
	}
	if stop := d.feed.stop; stop > 0 {
		n = int(min(int64(n), max(0, stop-d.made)))
	}
	if n == 0 {
		return 0, io.EOF
	}
	d.made += int64(n)
	if d.desc.channels == 1 {
		for i, v := range d.block[:n] {
			dst[i] = float32(v[0])
		}
		return n, nil
	}
	for i, v := range d.block[:n] {
		dst[2*i], dst[2*i+1] = float32(v[0]), float32(v[1])
	}
	return 2 * n, nil
}

// vorbisFeed is an Ogg stream for the library with the packets of another: each on a
// page of its own, without comments and without invalid packets.
type vorbisFeed struct {
	ogg  *oggReader
	page []byte // not read yet
	made uint32 // pages so far
	stop int64  // frames of sound, from the page that ends the stream; -1 unknown
	err  error  // of the stream, io.EOF at its end
}

// vorbisPacket is the longest packet that fits a page, bytes. Those of encoders are
// far shorter.
const vorbisPacket = 255*255 - 1

// readHeads reads the headers, checks that the library can decode them, and puts them
// first in the feed.
func (f *vorbisFeed) readHeads(l Limits) (format, error) {
	head, err := f.ogg.next()
	if err != nil {
		return format{}, err
	}
	is, err := vorbisFormat(head.data, l)
	if err != nil {
		return format{}, err
	}
	f.add(head.data)
	if _, err := f.ogg.next(); err != nil { // comments, of any length
		return format{}, err
	}
	f.add([]byte("\x03vorbis\x00\x00\x00\x00\x00\x00\x00\x00\x01"))
	setup, err := f.ogg.next()
	if err != nil {
		return format{}, err
	}
	if len(setup.data) > vorbisPacket || !vorbisSetupFits(setup.data) {
		return format{}, errUnsupported(nameVorbis)
	}
	f.add(setup.data)
	return is, nil
}

// vorbisFormat reads the first header.
func vorbisFormat(b []byte, l Limits) (format, error) {
	const size, smallest, largest = 30, 6, 13 // exponents of block sizes
	if len(b) < size {
		return format{}, sayDamaged(wrongShortFormat)
	}
	channels, rate := int(b[11]), binary.LittleEndian.Uint32(b[12:])
	short, long := b[28]&0xf, b[28]>>4
	switch {
	case channels < 1:
		return format{}, sayChannels(uint16(channels), l)
	case channels > 2:
		return format{}, errUnsupported(nameOgg("Vorbis", channels))
	case float64(rate) < float64(l.MinRate) || float64(rate) > float64(l.MaxRate):
		return format{}, sayRate(rate, l)
	case short < smallest || short > long || long > largest:
		return format{}, errUnsupported(nameVorbis)
	}
	return format{
		container: "ogg", codec: "vorbis", rate: int(rate), channels: channels, lossy: true,
		fullScaleFrom: fullScale16, fullScaleTo: maxMagnitude,
	}, nil
}

// Read implements io.Reader.
func (f *vorbisFeed) Read(b []byte) (int, error) {
	for len(f.page) == 0 {
		if f.err != nil {
			return 0, f.err
		}
		p, err := f.ogg.next()
		if err != nil {
			f.err = err
			continue
		}
		if p.stop >= 0 {
			f.stop = p.stop
		}
		if len(p.data) == 0 || len(p.data) > vorbisPacket {
			f.ogg.damaged = f.ogg.damaged || len(p.data) > 0
			continue
		}
		f.add(p.data)
	}
	n := copy(b, f.page)
	f.page = f.page[n:]
	return n, nil
}

// Close implements io.Closer, for the library.
func (f *vorbisFeed) Close() error { return nil }

// add appends a page with one packet. Its granule position is so late that the
// library trims nothing.
func (f *vorbisFeed) add(packet []byte) {
	const far = 1 << 40
	le := binary.LittleEndian
	b := append(make([]byte, 0, oggHead+255+len(packet)), oggName...)
	flags := byte(0)
	if f.made == 0 {
		flags = oggFirst
	}
	b = append(b, 0, flags)
	b = le.AppendUint64(b, far)
	b = le.AppendUint32(b, f.ogg.serial)
	b = le.AppendUint32(b, f.made)
	b = le.AppendUint32(b, 0) // checksum
	b = append(b, byte(len(packet)/255+1))
	for range len(packet) / 255 {
		b = append(b, 255)
	}
	b = append(b, byte(len(packet)%255))
	b = append(b, packet...)
	le.PutUint32(b[22:], f.ogg.checksum(b))
	f.page = append(f.page, b...)
	f.made++
}
