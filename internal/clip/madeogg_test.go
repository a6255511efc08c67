package clip

import (
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"
)

// tiny gives one of the tiny files of the module's testdata; its README says how
// each came to be.
func tiny(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "tiny", "tiny."+name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// madePage is an Ogg page that a test makes, by no code of the package.
type madePage struct {
	flags   byte
	granule int64
	serial  uint32
	packets [][]byte // all end on this page
	open    []byte   // one more that does not: a multiple of 255 bytes
	spoilt  bool     // a wrong checksum
}

func (p madePage) bytes() []byte {
	le := binary.LittleEndian
	b := append([]byte("OggS"), 0, p.flags)
	b = le.AppendUint64(b, uint64(p.granule))
	b = le.AppendUint32(b, p.serial)
	b = le.AppendUint32(b, 0)
	b = le.AppendUint32(b, 0)
	var segments, body []byte
	for _, packet := range p.packets {
		for range len(packet) / 255 {
			segments = append(segments, 255)
		}
		segments = append(segments, byte(len(packet)%255))
		body = append(body, packet...)
	}
	for range len(p.open) / 255 {
		segments = append(segments, 255)
	}
	body = append(body, p.open...)
	b = append(append(append(b, byte(len(segments))), segments...), body...)
	le.PutUint32(b[22:], oggSum(b))
	if p.spoilt {
		b[22] ^= 1
	}
	return b
}

// oggSum is the checksum of RFC 3533, 6: a division bit by bit.
func oggSum(b []byte) uint32 {
	var sum uint32
	for _, v := range b {
		sum ^= uint32(v) << 24
		for range 8 {
			top := sum&(1<<31) != 0
			if sum <<= 1; top {
				sum ^= 0x04c11db7
			}
		}
	}
	return sum
}

// madeOgg joins pages to a file.
func madeOgg(pages ...madePage) []byte {
	var b []byte
	for _, p := range pages {
		b = append(b, p.bytes()...)
	}
	return b
}

// opusHead is the first packet of a stream. Source: RFC 7845, 5.1.
func opusHead(channels byte, preSkip uint16, gain int16, family byte) []byte {
	le := binary.LittleEndian
	b := append([]byte("OpusHead"), 1, channels)
	b = le.AppendUint16(b, preSkip)
	b = le.AppendUint32(b, 48000)
	b = le.AppendUint16(b, uint16(gain))
	return append(b, family)
}

// opusTags is the second. Source: RFC 7845, 5.2.
func opusTags() []byte { return []byte("OpusTags\x00\x00\x00\x00\x00\x00\x00\x00") }

// unpackOgg gives the packets of a file whose pages are right.
func unpackOgg(t testing.TB, file []byte) [][]byte {
	t.Helper()
	var packets [][]byte
	var packet []byte
	for len(file) > 0 {
		n := int(file[26])
		body := file[27+n:]
		for _, size := range file[27 : 27+n] {
			packet = append(packet, body[:size]...)
			body = body[size:]
			if size < 255 {
				packets = append(packets, packet)
				packet = nil
			}
		}
		file = body
	}
	return packets
}

// onePerPage packs a stream of headers and sound again, a page for each packet,
// with the granule after each.
func onePerPage(packets [][]byte, headers int, after func(i int) int64) []byte {
	var pages []madePage
	for i, p := range packets {
		page := madePage{packets: [][]byte{p}}
		if i >= headers {
			page.granule = after(i)
		}
		pages = append(pages, page)
	}
	pages[0].flags = 2
	pages[len(pages)-1].flags |= 4
	return madeOgg(pages...)
}

// opusFile puts packets between the head and an end at a granule.
func opusFile(head []byte, end int64, packets ...[]byte) []byte {
	return madeOgg(
		madePage{flags: 2, packets: [][]byte{head}},
		madePage{packets: [][]byte{opusTags()}},
		madePage{flags: 4, granule: end, packets: packets},
	)
}

// vorbisFile puts packets, the three headers first, into pages.
func vorbisFile(end int64, packets [][]byte) []byte {
	return madeOgg(
		madePage{flags: 2, packets: packets[:1]},
		madePage{packets: packets[1:min(3, len(packets))]},
		madePage{flags: 4, granule: end, packets: packets[min(3, len(packets)):]},
	)
}
