package clip

const (
	sniffBytes = 64 // bytes that sniff examines, where there are as many
	minHead    = 12 // bytes of the shortest container head: RIFF, size, WAVE
)

// kind is a kind of file, recognised by its first bytes.
type kind struct {
	magic     string // the first bytes; ? stands for any byte
	name      string // with its article: "an MP3 file"
	notSound  bool   // not sound at all
	container string // as Info.Container has it
	demuxer   string // ffmpeg's name of the container
	open      func(*input) (decoder, error)
}

// kinds lists the kinds that are recognised; the first row that matches counts.
//
// Sources: RFC 3533 (Ogg), RFC 7845 (Opus), RFC 9639 (FLAC), RFC 4867 (AMR),
// RFC 8794 (EBML), ISO 14496-12 (ftyp); the other magic numbers are those that other
// readers use.
func kinds() []kind {
	movie := func(begins, name, container string) kind {
		return kind{magic: begins, name: name, container: container, demuxer: "mov", open: leaveToFFmpeg}
	}
	other := func(begins, name, container, demuxer string) kind {
		return kind{magic: begins, name: name, container: container, demuxer: demuxer, open: leaveToFFmpeg}
	}
	silent := func(begins, name string) kind { return kind{magic: begins, name: name, notSound: true} }
	return []kind{
		{magic: "RIFF????WAVE", name: "a WAV file", container: "wav", demuxer: "wav", open: openWAV},
		{magic: "RF64????WAVE", name: "an RF64 file", container: "wav", demuxer: "wav", open: openWAV},
		{magic: "BW64????WAVE", name: "a BW64 file", container: "wav", demuxer: "wav", open: openWAV},
		other("RIFX????WAVE", "a big-endian WAV file (RIFX)", "rifx", "wav"),
		other("riff\x2e\x91\xcf\x11", "a Wave64 file", "w64", "w64"),
		other("RIFF????AVI ", "an AVI video", "avi", "avi"),
		{magic: "FORM????AIFF", name: "an AIFF file", container: "aiff", demuxer: "aiff", open: openAIFF},
		{magic: "FORM????AIFC", name: "an AIFF-C file", container: "aiff", demuxer: "aiff", open: openAIFF},
		other("caff", "a CAF file", "caf", "caf"),
		other(".snd", "an AU file", "au", "au"),
		{magic: "fLaC", name: "a FLAC file", container: "flac", demuxer: "flac", open: openFLAC},
		{magic: "OggS", name: "an Ogg file", container: "ogg", demuxer: "ogg", open: openOgg},
		other("#!AMR", "an AMR voice recording", "amr", "amr"),
		{magic: "ID3", name: "an MP3 file", container: "mp3", demuxer: "mp3", open: openTagged},
		movie("????ftypM4", "an M4A file (AAC)", "m4a"),
		movie("????ftyp3g", "a 3GP recording", "3gp"),
		movie("????ftypqt", "a MOV video", "mov"),
		movie("????ftyp", "an MP4 or M4A file", "mp4"),
		movie("????moov", "a MOV video", "mov"),
		movie("????mdat", "a MOV video", "mov"),
		movie("????wide", "a MOV video", "mov"),
		other("\x1a\x45\xdf\xa3", "a WebM or Matroska file", "matroska", "matroska"),
		other("\x30\x26\xb2\x75\x8e\x66\xcf\x11", "a WMA or WMV file", "asf", "asf"),
		silent("\x89PNG\r\n", "a picture (PNG)"),
		silent("\xff\xd8\xff", "a picture (JPEG)"),
		silent("%PDF-", "a PDF document"),
		silent("PK\x03\x04", "a ZIP archive"),
		silent("\x1f\x8b", "a gzip archive"),
		silent("<!DOCTYPE", "a web page"),
		silent("<!doctype", "a web page"),
		silent("<html", "a web page"),
	}
}

// leaveToFFmpeg is the open function of what only ffmpeg can decode.
func leaveToFFmpeg(in *input) (decoder, error) { return nil, errUnsupported(in.kind.name) }

// sniff recognises the kind of a file by its first bytes, at least minHead of
// them. The zero kind means an unknown one.
func sniff(head []byte) kind {
	for _, k := range kinds() {
		if matches(head, k.magic) {
			return k
		}
	}
	return sniffFrame(head)
}

func matches(head []byte, pattern string) bool {
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

// sniffFrame recognises streams that begin with a frame and have no magic number:
// 11 or 12 set bits, then fields of which some values are reserved.
//
// Sources: ISO 11172-3 2.4.1.3 (MPEG audio), ISO 13818-7 (AAC in ADTS).
func sniffFrame(head []byte) kind {
	second, third := head[1], head[2]
	switch {
	case head[0] != 0xff:
		return kind{}
	case second&0xf6 == 0xf0: // 12 bits, layer 0
		return kind{name: "an AAC file", container: "aac", demuxer: "aac", open: leaveToFFmpeg}
	case second&0xe0 == 0xe0 && second&0x18 != 0x08 && second&0x06 != 0 && third>>4 != 0xf && third&0x0c != 0x0c:
		return kind{name: "an MP3 file", container: "mp3", demuxer: "mp3", open: openMP3}
	}
	return kind{}
}
