package clip

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"testing/iotest"
	"time"
)

// readAlone reads as Read does on a machine without ffmpeg.
func readAlone(r io.Reader) (*Sound, error) {
	o := Default()
	o.FFmpeg = ""
	return collect(r, "made", o)
}

const (
	export   = "save or export it as WAV with plain samples (PCM, 16 bits or more) and use that"
	original = "use the original recording, not a copy; if it is the original, open it in an audio editor and export it as WAV"
	again    = "copy it again from the phone or recorder: the copy may be incomplete"
	fewer    = "export it as WAV with one or two channels and use that"
	install  = "install ffmpeg (ffmpeg.org has it for every system) and try again, open it on the page of topnote serve, where the browser may decode it, or " + exportIt
	exportIt = "save or export the recording as WAV with plain samples (PCM, 16 bits or more) and use that"
	noFFmpeg = ", and ffmpeg, the program that would decode it, is not installed; " + install
)

// refused is a file that cannot be read, with the code and the whole sentence.
type refused struct {
	name       string
	file       []byte
	code, want string
}

func checkRefused(t *testing.T, all []refused) {
	t.Helper()
	for _, c := range all {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := readAlone(bytes.NewReader(c.file))
			wantProblem(t, err, c.code, c.want)
		})
	}
}

// plainWAV is what the refused WAV files are changed from; changedWAV makes one.
var plainWAV = made{rate: 48000, channels: 1, bits: 16, tag: tagPCM}

func changedWAV(change func(*made)) []byte {
	w := plainWAV
	change(&w)
	return w.file(make([]byte, 960))
}

// TestProblems reads what is not a recording, or ends before its sound.
func TestProblems(t *testing.T) {
	data := make([]byte, 960)
	with := changedWAV
	checkRefused(t, []refused{
		{"empty", nil, CodeEmpty, "the file is empty; " + again},
		{"five bytes", []byte("RIFF$"), CodeTooShort, "the file ends after 5 bytes, before any sound; " + again},
		{"head only", []byte("RIFF\x24\x00\x00\x00WAVE"), CodeTooShort, "the file ends before its sound begins; " + again},
		{"cut in fmt", plainWAV.file(data)[:30], CodeTooShort, "the file ends before its sound begins; " + again},
		{"cut before data", plainWAV.file(data)[:36], CodeTooShort, "the file ends before its sound begins; " + again},
		{"text", []byte("Dear all,\nplease listen"), CodeNotAudio,
			`this is not a sound recording of a known kind: it begins with "Dear all,\npl"; choose the recording itself; if this is one, ` + export},
		{"zeros", make([]byte, 4096), CodeNotAudio,
			"this is not a sound recording: it begins with nothing but zeros; " + again},
		{"picture", []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"), CodeNotAudio, "this is a picture (PNG), not a sound recording; choose the recording itself"},
		{"no fmt", append([]byte("RIFF\x24\x00\x00\x00WAVEdata\x04\x00\x00\x00"), 0, 0, 0, 0), CodeDamaged,
			"the file is damaged: the description of its samples is missing; " + original},
		{"short fmt", []byte("RIFF\x24\x00\x00\x00WAVEfmt \x08\x00\x00\x00\x01\x00\x01\x00\x80\xbb\x00\x00data\x00\x00\x00\x00"), CodeDamaged,
			"the file is damaged: the description of its samples is cut short; " + original},
		{"short extensible", with(func(w *made) { w.tag = 0xfffe }), CodeDamaged,
			"the file is damaged: the description of its samples is cut short; " + original},
		{"huge LIST", damageSize(with(func(w *made) { w.between = []chunk{{"LIST", "INFO"}} }), "LIST", 0xfffffff0), CodeDamaged,
			`the file is damaged: its part "LIST" claims 4,294,967,280 bytes, more than there are; ` + original},
		{"escape in a name", damageSize(with(func(w *made) { w.between = []chunk{{"\x1b[2J", "INFO"}} }), "\x1b[2J", 0xfffffff0), CodeDamaged,
			`the file is damaged: its part "\x1b[2J" claims 4,294,967,280 bytes, more than there are; ` + original},
	})
}

// TestWAVProblems reads WAV files whose description is impossible, and such without
// sound.
func TestWAVProblems(t *testing.T) {
	with := changedWAV
	numbers := tone(1000, 0.01, 0.5)
	for i := range 20 {
		numbers[40*i] = float32(math.NaN())
	}
	floats := made{rate: 48000, channels: 1, bits: 32, tag: tagFloat}
	checkRefused(t, []refused{
		{"0 Hz", with(func(w *made) { w.rate = 0 }), CodeRate, "the file claims 0 samples a second; 4,000 to 384,000 can be read; " + original},
		{"2 GHz", with(func(w *made) { w.rate = 2e9 }), CodeRate, "the file claims 2,000,000,000 samples a second; 4,000 to 384,000 can be read; " + original},
		{"0 channels", with(func(w *made) { w.channels = 0 }), CodeChannels, "the file claims 0 channels; 1 to 8 can be read; " + fewer},
		{"65535 channels", with(func(w *made) { w.channels = 65535 }), CodeChannels, "the file claims 65,535 channels; 1 to 8 can be read; " + fewer},
		{"0 bits", with(func(w *made) { w.bits = 0 }), CodeDamaged, "the file is damaged: it claims samples of 0 bits; " + original},
		{"64 bits", with(func(w *made) { w.bits = 64 }), CodeDamaged, "the file is damaged: it claims samples of 64 bits; " + original},
		{"float of 16 bits", with(func(w *made) { w.tag = tagFloat }), CodeDamaged, "the file is damaged: it claims samples of 16 bits; " + original},
		{"no sound", plainWAV.file(nil), CodeNoSound, noSound},
		{"no sound but a list", made{rate: 48000, channels: 1, bits: 16, tag: tagPCM, after: []chunk{{"LIST", "INFO"}}}.file(nil), CodeNoSound,
			noSound},
		{"half a sample", plainWAV.file([]byte{1}), CodeNoSound, noSound},
		{"not numbers", floats.file(floats.encode(numbers)), CodeDamaged, "the file is damaged: 2 % of its samples are not numbers; " + original},
	})
}

// TestWAVCodecs names the sample formats that are not read.
func TestWAVCodecs(t *testing.T) {
	with := changedWAV
	checkRefused(t, []refused{
		{"ADPCM", with(func(w *made) { w.tag, w.bits = 0x11, 4 }), CodeNoFFmpeg, "this is a WAV file with compressed sound (ADPCM)" + noFFmpeg},
		{"MP3 in WAV", with(func(w *made) { w.tag, w.bits = 0x55, 0 }), CodeNoFFmpeg, "this is a WAV file with compressed sound (MPEG, MP3)" + noFFmpeg},
		{"GSM", with(func(w *made) { w.tag, w.bits = 0x31, 0 }), CodeNoFFmpeg, "this is a WAV file with compressed speech (GSM 6.10)" + noFFmpeg},
		{"AAC", with(func(w *made) { w.tag = 0xff }), CodeNoFFmpeg, "this is a WAV file with compressed sound (AAC)" + noFFmpeg},
		{"WMA", with(func(w *made) { w.tag = 0x161 }), CodeNoFFmpeg, "this is a WAV file with compressed sound (WMA)" + noFFmpeg},
		{"unknown tag", with(func(w *made) { w.tag = 0x1234 }), CodeNoFFmpeg, "this is a WAV file with sound of an unknown format (0x1234)" + noFFmpeg},
		{"unknown identifier", bytes.Replace(with(func(w *made) { w.extensible = true }), []byte("\x38\x9b\x71"), []byte("\x38\x9b\x72"), 1), CodeNoFFmpeg,
			"this is a WAV file with sound of an unknown format (0100000000001000800000aa00389b72)" + noFFmpeg},
	})
}

// damageSize overwrites the size of the chunk named id.
func damageSize(file []byte, id string, size uint32) []byte {
	binary.LittleEndian.PutUint32(file[bytes.Index(file, []byte(id))+4:], size)
	return file
}

// wantProblem holds code and sentence as the program prints it: SAYS; DO.
func wantProblem(t *testing.T, err error, code, want string) {
	t.Helper()
	var p *Problem
	if !errors.As(err, &p) {
		t.Fatalf("error %v, want a Problem", err)
	}
	if got := p.Says + "; " + p.Do; p.Code != code || got != want {
		t.Errorf("%s: %s\nwant %s: %s", p.Code, got, code, want)
	}
}

// fileStart is how a file of some kind begins.
type fileStart struct{ bytes, name, container string }

func fileStarts() []fileStart {
	page := "OggS\x00\x02" + strings.Repeat("\x00", 21) + "\x01"
	return []fileStart{
		{"RIFX\x00\x00\x00\x24WAVE", "a big-endian WAV file (RIFX)", "rifx"},
		{"riff\x2e\x91\xcf\x11\xa5\xd6\x28\xdb", "a Wave64 file", "w64"},
		{"RIFF\x24\x00\x00\x00AVI LIST", "an AVI video", "avi"},
		{"FORM\x00\x00\x00\x24AIFFCOMM", "an AIFF file", "aiff"},
		{"FORM\x00\x00\x00\x24AIFCFVER", "an AIFF-C file", "aiff"},
		{"caff\x00\x01\x00\x00desc", "a CAF file", "caf"},
		{".snd\x00\x00\x00\x18\xff\xff\xff\xff", "an AU file", "au"},
		{"fLaC\x00\x00\x00\x22\x10\x00\x10\x00", "a FLAC file", "flac"},
		{page + "OpusHead\x01", "an Ogg file", "ogg"},
		{"#!AMR\n\x3c\x08\x00\x00\x00\x00", "an AMR voice recording", "amr"},
		{"ID3\x04\x00\x00\x00\x00\x00\x00\x00\x00", "an MP3 file", "mp3"},
		{"\xff\xfb\x90\x64\x00\x00\x00\x00\x00\x00\x00\x00", "an MP3 file", "mp3"},
		{"\xff\xf3\x44\xc4\x00\x00\x00\x00\x00\x00\x00\x00", "an MP3 file", "mp3"},
		{"\xff\xf1\x50\x80\x00\x00\x00\x00\x00\x00\x00\x00", "an AAC file", "aac"},
		{"\x00\x00\x00\x20ftypM4A \x00\x00\x00\x00", "an M4A file (AAC)", "m4a"},
		{"\x00\x00\x00\x20ftyp3gp4\x00\x00\x00\x00", "a 3GP recording", "3gp"},
		{"\x00\x00\x00\x14ftypqt  \x00\x00\x00\x00", "a MOV video", "mov"},
		{"\x00\x00\x00\x08wide\x00\x00\x00\x00mdat", "a MOV video", "mov"},
		{"\x00\x00\x00\x20ftypisom\x00\x00\x00\x00", "an MP4 or M4A file", "mp4"},
		{"\x1a\x45\xdf\xa3\x9f\x42\x86\x81\x01\x42\xf7\x81", "a WebM or Matroska file", "matroska"},
		{"\x30\x26\xb2\x75\x8e\x66\xcf\x11\xa6\xd9\x00\xaa", "a WMA or WMV file", "asf"},
	}
}

// TestKinds holds what is made of the first bytes of a file where there is no
// ffmpeg: those that only it decodes are named, and the others are taken on.
func TestKinds(t *testing.T) {
	for _, c := range fileStarts() {
		k := sniff([]byte(c.bytes))
		if k.name != c.name || k.container != c.container || k.open == nil || k.demuxer == "" {
			t.Errorf("%q is %+v, want %s, %s", c.bytes, k, c.name, c.container)
		}
		_, err := readAlone(strings.NewReader(c.bytes))
		var p *Problem
		if !errors.As(err, &p) {
			t.Errorf("%q: error %v, want a Problem", c.bytes, err)
			continue
		}
		switch got := p.Says + "; " + p.Do; p.Code {
		case CodeNoFFmpeg:
			if !strings.HasPrefix(got, "this is "+c.name) || !strings.HasSuffix(got, noFFmpeg) {
				t.Errorf("%q: %s", c.bytes, got)
			}
		case CodeTooShort, CodeDamaged:
		default:
			t.Errorf("%q: %s: %s", c.bytes, p.Code, got)
		}
	}
	for _, noise := range []string{"\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff", "\xff\xe0\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00"} {
		if k := sniff([]byte(noise)); k.name != "" {
			t.Errorf("%q is taken for %s", noise, k.name)
		}
	}
}

func TestOpenProblems(t *testing.T) {
	dir := t.TempDir()
	_, err := Open(dir)
	wantProblem(t, err, CodeFolder, "this is a folder, not a recording; name the recordings in it")

	_, err = Open(filepath.Join(dir, "absent.wav"))
	wantProblem(t, err, CodeNotFound, "there is no such file; check the name and the folder")
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%v does not wrap fs.ErrNotExist", err)
	}
	if got, want := err.Error(), "clip: there is no such file: stat "; !strings.HasPrefix(got, want) {
		t.Errorf("for the log: %q, want %q and the path", got, want)
	}
	if got := sayEmpty().Error(); got != "clip: the file is empty" {
		t.Errorf("for the log: %q", got)
	}

	refused := &fs.PathError{Op: "open", Path: "x.wav", Err: syscall.EACCES}
	wantProblem(t, sayOpen(refused), CodeNoPermission,
		"the file may not be read: permission is missing; copy it to a folder of your own, or ask its owner")
	wantProblem(t, sayOpen(&fs.PathError{Op: "open", Path: "x.wav", Err: syscall.EIO}), CodeReadFailed,
		"the system cannot open the file; check the disk, cable or connection, or copy it to a folder of your own under a short name")
}

func TestOpenWithoutPermission(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("the superuser may read every file: run as another user")
	}
	path := filepath.Join(t.TempDir(), "locked.wav")
	if err := os.WriteFile(path, []byte("x"), 0o000); err != nil {
		t.Fatal(err)
	}
	_, err := Open(path)
	wantProblem(t, err, CodeNoPermission,
		"the file may not be read: permission is missing; copy it to a folder of your own, or ask its owner")
}

// TestBrokenPipe holds that sound is not made of a file that broke off by a
// fault, wherever that happens; one that merely ends is another thing.
func TestBrokenPipe(t *testing.T) {
	w := made{rate: 48000, channels: 2, bits: 16, tag: tagPCM, after: []chunk{{"LIST", "INFO"}}}
	file := w.file(w.encode(tone(2*48000, 0.01, 0.5)))
	for _, after := range []int{0, 3, 20, 44, 50000, len(file) - 5, len(file)} {
		_, err := Read(io.MultiReader(bytes.NewReader(file[:after]), iotest.ErrReader(syscall.EIO)), "-")
		wantProblem(t, err, CodeReadFailed, "reading stopped before the end; check the disk, cable or connection and try again")
		if !errors.Is(err, syscall.EIO) {
			t.Errorf("after %d bytes: %v does not wrap the cause", after, err)
		}
	}
}

func TestLimits(t *testing.T) {
	w := made{rate: 8000, channels: 1, bits: 16, tag: tagPCM}
	file := w.file(w.encode(tone(8000*10, 0.01, 0.5)))
	read := func(change func(*Limits)) error {
		o := Default()
		change(&o.Limits)
		_, err := collect(bytes.NewReader(file), "made", o)
		return err
	}
	size := int64(len(file))
	if err := read(func(l *Limits) { l.Bytes, l.Duration = size, 10 }); err != nil {
		t.Errorf("at the limits: %v", err)
	}
	wantProblem(t, read(func(l *Limits) { l.Bytes = size - 1 }), CodeTooBig, "the file is larger than 0.00016 GB; cut out the pass and use that")
	wantProblem(t, read(func(l *Limits) { l.Duration = 9.99 }), CodeTooLong, "the recording is longer than 0.167 minutes; cut out the pass and use that")
	wantProblem(t, read(func(l *Limits) { l.DecodeTime = -1 }), CodeTooSlow,
		"decoding the file takes too long; save or export it as WAV with plain samples (PCM, 16 bits or more) and use that")
	wantProblem(t, sayTooBig(DefaultLimits().Bytes), CodeTooBig, "the file is larger than 4 GB; cut out the pass and use that")
	wantProblem(t, sayTooLong(DefaultLimits().Duration), CodeTooLong, "the recording is longer than 120 minutes; cut out the pass and use that")
}

// TestGuard holds what becomes of a decoder's own failures.
func TestGuard(t *testing.T) {
	g := guard{src: newSource(context.Background(), strings.NewReader(""), 1), limit: time.Hour}
	cause := errors.New("bad huffman table")
	const want = "the file is damaged: its sound cannot be decoded; use the original recording, not a copy; " +
		"if it is the original, open it in an audio editor and export it as WAV"
	for _, f := range []func() error{
		func() error { return fmt.Errorf("decoder: %w", cause) },
		func() error { panic("index out of range") },
	} {
		wantProblem(t, g.run(f), CodeDamaged, want)
	}
	if err := g.run(func() error { return cause }); !errors.Is(err, cause) {
		t.Errorf("%v does not wrap its cause", err)
	}
	for _, want := range []error{nil, io.EOF, sayEmpty()} {
		if got := g.run(func() error { return want }); got != want {
			t.Errorf("%v became %v", want, got)
		}
	}
}

// TestGuardSeesThrough: what is wrong with the input comes out, though a library
// takes it for the end of the file or gives it another name.
func TestGuardSeesThrough(t *testing.T) {
	for _, hidden := range []error{io.EOF, errors.New("not enough data")} {
		g := guard{src: newSource(context.Background(), iotest.ErrReader(syscall.EIO), 1), limit: time.Hour}
		err := g.run(func() error {
			if _, err := g.src.Read(make([]byte, 1)); err == nil {
				t.Error("a broken input gave bytes")
			}
			return hidden
		})
		wantProblem(t, err, CodeReadFailed, "reading stopped before the end; check the disk, cable or connection and try again")
	}
}

// endless is an input that never ends.
type endless struct{}

func (endless) Read(b []byte) (int, error) { return len(b), nil }

// TestGuardStopsReading: a decoder that reads on and never comes back is stopped
// by its input.
func TestGuardStopsReading(t *testing.T) {
	g := guard{src: newSource(context.Background(), endless{}, math.MaxInt64), limit: 10 * time.Millisecond}
	err := g.run(func() error {
		_, err := io.Copy(io.Discard, g.src)
		return err
	})
	wantProblem(t, err, CodeTooSlow, "decoding the file takes too long; "+export)
}
