package clip

import (
	"bufio"
	"strings"
)

const (
	sniffed      = 64 // bytes that sniff looks at, when there are as many
	shortestHead = 12 // bytes of the shortest container head: RIFF, size, WAVE
)

// kind is a kind of file that is told by its first bytes.
type kind struct {
	begins string // the first bytes; ? stands for any byte
	name   string // with its article: "an MP3 file"
	silent bool   // not sound at all
	open   func(*bufio.Reader, Limits) (decoder, error)
}

// kinds lists what can be told apart; the first row that matches counts.
//
// Sources: the formats' own specifications; RFC 3533 (Ogg), RFC 7845 (Opus),
// RFC 9639 (FLAC), RFC 4867 (AMR), RFC 8794 (EBML), ISO 14496-12 (ftyp);
// the rest from memory.
func kinds() []kind {
	oggPage := "OggS" + strings.Repeat("?", 24)
	return []kind{
		{begins: "RIFF????WAVE", name: "a WAV file", open: openWAV},
		{begins: "RF64????WAVE", name: "an RF64 file", open: openWAV},
		{begins: "BW64????WAVE", name: "a BW64 file", open: openWAV},
		{begins: "RIFX????WAVE", name: "a big-endian WAV file (RIFX)"},
		{begins: "riff\x2e\x91\xcf\x11", name: "a Wave64 file"},
		{begins: "RIFF????AVI ", name: "an AVI video"},
		{begins: "FORM????AIFF", name: "an AIFF file"},
		{begins: "FORM????AIFC", name: "a compressed AIFF file"},
		{begins: "caff", name: "a CAF file"},
		{begins: ".snd", name: "an AU file"},
		{begins: "fLaC", name: "a FLAC file"},
		{begins: oggPage + "OpusHead", name: "an Ogg file (Opus)"},
		{begins: oggPage + "\x01vorbis", name: "an Ogg file (Vorbis)"},
		{begins: "OggS", name: "an Ogg file"},
		{begins: "#!AMR", name: "an AMR voice recording"},
		{begins: "ID3", name: "an MP3 file"},
		{begins: "????ftypM4A", name: "an M4A file (AAC)"},
		{begins: "????ftyp3g", name: "a 3GP recording"},
		{begins: "????ftypqt", name: "a MOV video"},
		{begins: "????ftyp", name: "an MP4 or M4A file"},
		{begins: "\x1a\x45\xdf\xa3", name: "a WebM or Matroska file"},
		{begins: "\x30\x26\xb2\x75\x8e\x66\xcf\x11", name: "a WMA or WMV file"},
		{begins: "\x89PNG\r\n", name: "a picture (PNG)", silent: true},
		{begins: "\xff\xd8\xff", name: "a picture (JPEG)", silent: true},
		{begins: "%PDF-", name: "a PDF document", silent: true},
		{begins: "PK\x03\x04", name: "a ZIP archive", silent: true},
		{begins: "\x1f\x8b", name: "a gzip archive", silent: true},
		{begins: "<!DOCTYPE", name: "a web page", silent: true},
		{begins: "<!doctype", name: "a web page", silent: true},
		{begins: "<html", name: "a web page", silent: true},
	}
}

// sniff tells the kind of a file from its first bytes, at least shortestHead of
// them. The zero kind is none that is known.
func sniff(head []byte) kind {
	for _, k := range kinds() {
		if beginsWith(head, k.begins) {
			return k
		}
	}
	return sniffFrame(head)
}

func beginsWith(head []byte, pattern string) bool {
	if len(head) < len(pattern) {
		return false
	}
	for i := range len(pattern) {
		if pattern[i] != '?' && pattern[i] != head[i] {
			return false
		}
	}
	return true
}

// sniffFrame knows the streams that begin with a frame and no name: 11 or 12
// set bits, then fields of which some values do not occur.
//
// Sources: ISO 11172-3 2.4.1.3 (MPEG audio), ISO 13818-7 (AAC in ADTS).
func sniffFrame(head []byte) kind {
	second, third := head[1], head[2]
	switch {
	case head[0] != 0xff:
		return kind{}
	case second&0xf6 == 0xf0: // 12 bits, layer 0
		return kind{name: "an AAC file"}
	case second&0xe0 == 0xe0 && second&0x18 != 0x08 && second&0x06 != 0 && third>>4 != 0xf && third&0x0c != 0x0c:
		return kind{name: "an MP3 file"}
	}
	return kind{}
}
