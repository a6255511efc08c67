package clip

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
)

// Ogg packs the packets of one or more streams into pages of up to 64 kB. A page
// has a checksum, the serial number of its stream, and its granule position: the
// time at its end, in a unit of the codec.
//
// Source: RFC 3533.
const (
	oggName   = "OggS"
	oggHead   = 27      // bytes before the segment table
	oggPacket = 1 << 16 // bytes of the longest packet that is kept

	oggContinued = 1 // flags: the first packet began on a page before
	oggFirst     = 2 // the stream begins
	oggLast      = 4 // the stream ends
)

// oggPage is one page. Its bytes are valid until the next one is read.
type oggPage struct {
	flags    byte
	granule  int64 // -1: no packet ends on this page
	serial   uint32
	segments []byte
	body     []byte
}

// packet is one packet of a stream.
type packet struct {
	data    []byte // valid until the next is read
	long    bool   // longer than oggPacket; data is its beginning
	granule int64  // of the page; -1 when another packet ends on it later
	stop    int64  // granule of the page that ends the stream, on every packet of it; -1 elsewhere
}

// oggReader reads the packets of one stream out of Ogg pages.
type oggReader struct {
	in     *input
	serial uint32 // of the stream that is read

	page    oggPage
	segment int  // next segment of page
	offset  int  // of it in the body
	begun   bool // inside a packet
	skip    bool // the packet lacks its beginning
	pending packet

	damaged bool // pages were skipped
	ended   bool // the stream ended with its last page
	chained bool // another stream follows it
	cut     bool // the file ended within a page
	buffer  [oggHead + 255 + 255*255]byte
	table   [256]uint32
}

func newOggReader(in *input) *oggReader {
	r := &oggReader{in: in}
	const polynomial = 0x04c11db7
	for i := range r.table {
		sum := uint32(i) << 24
		for range 8 {
			carry := sum >> 31
			sum = sum<<1 ^ carry*polynomial
		}
		r.table[i] = sum
	}
	return r
}

func (r *oggReader) checksum(b []byte) uint32 {
	var sum uint32
	for _, v := range b {
		sum = sum<<8 ^ r.table[byte(sum>>24)^v]
	}
	return sum
}

// readPage reads the next page of any stream whose checksum is right.
func (r *oggReader) readPage() error {
	for {
		if err := r.sync(); err != nil {
			return err
		}
		good, err := r.parsePage()
		switch {
		case good:
			r.damaged = r.damaged || r.cut // it was not the end of the file
			r.cut = false
			return nil
		case errors.Is(err, io.EOF):
			r.cut = true
		case err != nil:
			return err
		default:
			r.damaged = true
		}
		r.in.Discard(1) // cannot fail: it is buffered; the search goes on behind it
	}
}

// sync skips to the beginning of a page.
func (r *oggReader) sync() error {
	for {
		ahead, err := r.in.Peek(max(len(oggName), r.in.Buffered()))
		at := bytes.Index(ahead, []byte(oggName))
		if at == 0 {
			return nil
		}
		r.damaged = r.damaged || len(ahead) > 0 && !r.cut
		if at < 0 && err != nil {
			r.in.Discard(len(ahead)) // cannot fail: they are buffered
			return err
		}
		if at < 0 {
			at = len(ahead) - len(oggName) + 1 // the name may begin at the end
		}
		r.in.Discard(at) // likewise
	}
}

// parsePage reads the page that begins here. It reports false, and reads nothing,
// where there is none with a correct checksum. io.EOF is the end of the file within
// what may be a page.
func (r *oggReader) parsePage() (bool, error) {
	head, err := r.in.Peek(oggHead)
	if err != nil || head[4] != 0 { // the version
		return false, err
	}
	body := oggHead + int(head[26])
	if head, err = r.in.Peek(body); err != nil {
		return false, err
	}
	whole := body
	for _, size := range head[oggHead:] {
		whole += int(size)
	}
	ahead, err := r.in.Peek(whole)
	if err != nil {
		return false, err
	}
	b := r.buffer[:copy(r.buffer[:], ahead)]
	want := binary.LittleEndian.Uint32(b[22:])
	clear(b[22:26])
	if r.checksum(b) != want {
		return false, nil
	}
	r.in.Discard(whole) // cannot fail: they are buffered
	r.page = oggPage{
		flags: b[5], granule: int64(binary.LittleEndian.Uint64(b[6:])), serial: binary.LittleEndian.Uint32(b[14:]),
		segments: b[oggHead:body], body: b[body:],
	}
	r.segment, r.offset = 0, 0
	return true, nil
}

// next reads the next packet of the stream. io.EOF is the end of the stream or
// of the file.
func (r *oggReader) next() (packet, error) {
	p := packet{data: r.pending.data[:0]}
	for {
		for r.segment < len(r.page.segments) {
			size := int(r.page.segments[r.segment])
			p.add(r.page.body[r.offset : r.offset+size])
			r.segment++
			r.offset += size
			if r.begun = size == 255; r.begun {
				continue
			}
			r.pending = p // its memory is reused
			if r.skip {
				r.skip = false
				p = packet{data: p.data[:0]}
				continue
			}
			return r.withGranule(p), nil
		}
		if err := r.nextPage(); err != nil {
			return packet{}, err
		}
		if continued := r.page.flags&oggContinued != 0; continued != r.begun {
			p = packet{data: p.data[:0]} // a page is missing between
			r.begun, r.skip, r.damaged = continued, continued, true
		}
	}
}

// add appends a piece of the packet.
func (p *packet) add(piece []byte) {
	room := oggPacket - len(p.data)
	p.long = p.long || len(piece) > room
	p.data = append(p.data, piece[:min(len(piece), room)]...)
}

// withGranule sets the granule positions of the packet: only the last that ends on a
// page has that of the page.
func (r *oggReader) withGranule(p packet) packet {
	p.granule, p.stop = -1, -1
	if r.page.flags&oggLast != 0 {
		p.stop = r.page.granule
	}
	for _, size := range r.page.segments[r.segment:] {
		if size < 255 {
			return p
		}
	}
	p.granule = r.page.granule
	return p
}

// nextPage reads the next page of the stream.
func (r *oggReader) nextPage() error {
	for !r.ended {
		if r.page.serial == r.serial && r.page.flags&oggLast != 0 {
			ahead, _ := r.in.Peek(6)
			r.ended, r.chained = true, len(ahead) == 6 && ahead[5]&oggFirst != 0
			break
		}
		if err := r.readPage(); err != nil {
			return err
		}
		if r.page.serial != r.serial {
			continue
		}
		if r.page.flags&oggFirst != 0 {
			r.ended, r.chained = true, true
			break
		}
		return nil
	}
	r.page.segments = nil
	return io.EOF
}

// remarks says what was wrong with the pages up to the end of the stream.
func (r *oggReader) remarks() []string {
	var notes []string
	switch {
	case r.cut:
		notes = append(notes, remarkCut)
	case r.damaged:
		notes = append(notes, remarkParts)
	case !r.ended:
		notes = append(notes, remarkNoEnd)
	}
	if r.chained {
		notes = append(notes, remarkChained)
	}
	return notes
}

// openOgg opens the first stream of sound among those that begin in the file.
func openOgg(in *input) (decoder, error) {
	r := newOggReader(in)
	name := in.kind.name
	for {
		err := r.readPage()
		switch {
		case errors.Is(err, io.EOF):
			return nil, sayEndsEarly()
		case err != nil:
			return nil, err
		case r.page.flags&oggFirst == 0:
			return nil, errUnsupported(name)
		}
		r.serial = r.page.serial
		switch body := r.page.body; {
		case bytes.HasPrefix(body, []byte("OpusHead")):
			return openOpus(r)
		case bytes.HasPrefix(body, []byte("\x01vorbis")):
			return openVorbis(r)
		case bytes.HasPrefix(body, []byte("Speex   ")):
			name = nameSpeex
		case bytes.HasPrefix(body, []byte("\x7fFLAC")):
			name = nameOggFLAC
		}
	}
}
