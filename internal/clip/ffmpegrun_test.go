package clip

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"
)

// fakeFFmpeg writes a program that does what a line of shell says.
func fakeFFmpeg(t *testing.T, script string) string {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("a program is faked as a shell script, and Windows has no shell")
	}
	path := filepath.Join(t.TempDir(), "ffmpeg")
	if err := os.WriteFile(path, []byte("#!/bin/sh\n"+script+"\n"), 0o700); err != nil {
		t.Fatal(err)
	}
	return path
}

// m4aHead is enough of a file to be taken for M4A.
const m4aHead = "\x00\x00\x00\x20ftypM4A \x00\x00\x00\x00 and the sound"

// leftovers fails the test when a file for temporary use is left behind by it.
// Such tests cannot run beside others that make such files.
func leftovers(t *testing.T) {
	t.Helper()
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir)
	t.Cleanup(func() {
		entries, err := os.ReadDir(dir)
		if err != nil || len(entries) > 0 {
			t.Errorf("left behind: %v, %v", entries, err)
		}
	})
}

// failingFFmpeg is a program in place of ffmpeg that does not do its work.
type failingFFmpeg struct{ name, script, code, want string }

// failingFFmpegs are such programs; sound is a WAV file of an open length, and sized
// one whose header says its length.
func failingFFmpegs(sound, sized string) []failingFFmpeg {
	const (
		slow    = "decoding the file takes too long; " + export
		failed  = "the file is damaged: its sound cannot be decoded (ffmpeg says %q); " + original
		broken  = "ffmpeg, the program that would decode the file, does not run; reinstall ffmpeg (ffmpeg.org has it for every system), or " + exportIt
		noTrack = "the file holds no sound: it has no sound track; record the pass again with the microphone on"
		noIndex = "the recording was never finished: the index at its end is missing; use the original if this is a copy; " +
			"otherwise record the pass again and stop the recorder before you take the file"
		noDecoder = "the ffmpeg on this computer has no decoder for the sound in the file; " + export
	)
	long := strings.Repeat("long ", 100)
	return []failingFFmpeg{
		{"hangs", "exec sleep 100", CodeTooSlow, slow},
		{"hangs with a child that holds its output", "sleep 100", CodeTooSlow, slow},
		{"hangs in the middle", "cat " + sound + "; exec sleep 100", CodeTooSlow, slow},
		{"writes no sound", "echo '[error] Invalid data' >&2; exit 1", CodeDamaged, fmt.Sprintf(failed, "Invalid data")},
		{"says more than a line can hold", "echo '[x @ 0x1] [error] " + long + "' >&2; exit 1", CodeDamaged, fmt.Sprintf(failed, long[:60]+"...")},
		{"puts escapes into what it says", `printf '[error] \033[2J\n' >&2; exit 1`, CodeDamaged, fmt.Sprintf(failed, "\x1b[2J")},
		{"says nothing", "exit 1", CodeNoFFmpeg, broken},
		{"says nothing and ends well", "exit 0", CodeNoFFmpeg, broken},
		{"writes junk", "head -c 100000 /dev/zero", CodeNoFFmpeg, broken},
		{"no index", "echo '[mov,mp4 @ 0x1] [error] moov atom not found' >&2; exit 1", CodeDamaged, noIndex},
		{"no track", `echo "[fatal] Stream map '0:a:0' matches no streams." >&2; exit 1`, CodeNoSound, noTrack},
		{"no decoder", `echo "[error] Decoding requested, but no decoder found for: apac" >&2; exit 1`, CodeCodec, noDecoder},
		{"writes on and on behind a sound of a length", "cat " + sized + "; exec cat /dev/zero", "", ""},
		{"a head without sound", "head -c 44 " + sound, CodeNoSound, "the file holds no sound: its length is zero; record the pass again, and check that the recorder's time runs"},
	}
}

// TestFFmpegFails: each failure ends with a sentence, and nothing is left behind.
func TestFFmpegFails(t *testing.T) {
	wav := made{rate: 48000, channels: 1, bits: 32, tag: tagFloat, dataSize: ptr[uint32](unknownSize)}
	sound := filepath.Join(t.TempDir(), "sound.wav")
	if err := os.WriteFile(sound, wav.file(wav.encode(tone(48000, 0.01, 0.5))), 0o600); err != nil {
		t.Fatal(err)
	}
	wav.dataSize = nil
	sized := filepath.Join(t.TempDir(), "sized.wav")
	if err := os.WriteFile(sized, wav.file(wav.encode(tone(48000, 0.01, 0.5))), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range failingFFmpegs(sound, sized) {
		t.Run(c.name, func(t *testing.T) {
			leftovers(t)
			o := Default()
			o.FFmpeg = fakeFFmpeg(t, c.script)
			o.Limits.DecodeTime = time.Minute
			if strings.HasPrefix(c.name, "hangs") {
				o.Limits.DecodeTime = 200 * time.Millisecond
			}
			got, err := collect(strings.NewReader(m4aHead), "made", o)
			if c.code == "" {
				if err != nil || got.Samples.Len() != 8000 || got.Info.Codec != "unknown" {
					t.Errorf("%v, %+v, want a second of sound", err, got)
				}
				return
			}
			wantProblem(t, err, c.code, c.want)
		})
	}
	t.Run("is no program", func(t *testing.T) {
		leftovers(t)
		o := Default()
		o.FFmpeg = filepath.Join(t.TempDir(), "none")
		_, err := collect(strings.NewReader(m4aHead), "made", o)
		wantProblem(t, err, CodeNoFFmpeg, "this is an M4A file (AAC)"+noFFmpeg)
	})
}

// TestFFmpegGetsTheFile: the program is given the whole recording as its file,
// from a path or a pipe, and arguments in which nothing of the recording's name
// occurs.
func TestFFmpegGetsTheFile(t *testing.T) {
	leftovers(t)
	dir := t.TempDir()
	wav := made{rate: 8000, channels: 1, bits: 32, tag: tagFloat}
	sound := filepath.Join(dir, "sound.wav")
	if err := os.WriteFile(sound, wav.file(wav.encode(tone(8000, 0.01, 0.5))), 0o600); err != nil {
		t.Fatal(err)
	}
	recording := append([]byte(m4aHead), bytes.Repeat([]byte("0123456789"), 20_000)...)
	named := filepath.Join(dir, "-i $(id) 'x\"; http: pass.m4a")
	if err := os.WriteFile(named, recording, 0o600); err != nil {
		t.Fatal(err)
	}
	o := Default()
	o.FFmpeg = fakeFFmpeg(t, `echo "$@" > `+dir+`/arguments; for a; do case $a in file:*) cat "${a#file:}" > `+dir+`/got;; esac; done; cat `+sound)
	check := func(name string, s *Sound, err error) {
		t.Helper()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got := readFile(t, filepath.Join(dir, "got")); !bytes.Equal(got, recording) {
			t.Errorf("%s: the program got %d bytes, want the %d of the recording", name, len(got), len(recording))
		}
		arguments := string(readFile(t, filepath.Join(dir, "arguments")))
		if !strings.Contains(arguments, "-protocol_whitelist file -f mov ") || strings.Contains(arguments, "pass") {
			t.Errorf("%s: arguments %s", name, arguments)
		}
		if s.Samples.Len() != 8000 || s.Info.Container != "m4a" || s.Info.SampleRate != 8000 {
			t.Errorf("%s: %d samples, %+v", name, s.Samples.Len(), s.Info)
		}
	}
	f, err := os.Open(named)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	got, err := collect(f, named, o)
	check("path", got, err)
	got, err = collect(bytes.NewReader(recording), "-", o)
	check("pipe", got, err)
}

// TestReopenFromTheStart: a file that was read from before is not what its name
// stands for.
func TestReopenFromTheStart(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.m4a")
	if err := os.WriteFile(path, []byte(m4aHead), 0o600); err != nil {
		t.Fatal(err)
	}
	cut, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer cut.Close()
	if _, err := cut.Seek(4, io.SeekStart); err != nil {
		t.Fatal(err)
	}
	if f := (&input{from: cut, src: newSource(context.Background(), cut, 1)}).reopen(); f != nil {
		t.Error("a file that was not read from its start is opened anew")
	}
}

// TestStreamClose ends a program that still runs, and may be called again.
func TestStreamClose(t *testing.T) {
	leftovers(t)
	wav := made{rate: 48000, channels: 1, bits: 32, tag: tagFloat, dataSize: ptr[uint32](unknownSize)}
	sound := filepath.Join(t.TempDir(), "sound.wav")
	if err := os.WriteFile(sound, wav.file(wav.encode(tone(480000, 0.01, 0.5))), 0o600); err != nil {
		t.Fatal(err)
	}
	o := Default()
	o.FFmpeg = fakeFFmpeg(t, "cat "+sound+"; exec sleep 100")
	s, err := NewStream(context.Background(), strings.NewReader(m4aHead), "made", o)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := s.Read(make([]float32, 10)); n != 10 || err != nil {
		t.Fatalf("%d samples, %v", n, err)
	}
	began := time.Now()
	if err := errors.Join(s.Close(), s.Close()); err != nil {
		t.Error(err)
	}
	if d := s.dec.(*ffmpegDecoder); d.cmd.ProcessState == nil || time.Since(began) > time.Minute {
		t.Error("the program still runs")
	}
	for err == nil {
		_, err = s.Read(make([]float32, 4096))
	}
	if errors.Is(err, io.EOF) || !errors.Is(err, fs.ErrClosed) {
		t.Errorf("after Close: %v", err)
	}
}

// TestFFmpegTooLong stops the program where the sound is longer than allowed.
func TestFFmpegTooLong(t *testing.T) {
	leftovers(t)
	o := Default()
	o.Limits.Duration = 2
	wav := made{rate: 8000, channels: 1, bits: 32, tag: tagFloat}
	head := filepath.Join(t.TempDir(), "head.wav")
	if err := os.WriteFile(head, wav.file(nil)[:40], 0o600); err != nil {
		t.Fatal(err)
	}
	o.FFmpeg = fakeFFmpeg(t, `cat `+head+`; printf '\377\377\377\377'; exec cat /dev/zero`)
	_, err := collect(strings.NewReader(m4aHead), "made", o)
	wantProblem(t, err, CodeTooLong, "the recording is longer than 0.0333 minutes; cut out the pass and use that")
}

// TestFFmpegLog holds what is made of single lines, as ffmpeg 5.1 writes them.
func TestFFmpegLog(t *testing.T) {
	const stream = "[info]   Stream #0:1 -> #0:0 (aac (native) -> pcm_f32le (native))\n"
	for _, c := range []struct {
		log    string
		failed bool
		codec  string
		notes  []string // of 10 s of sound
	}{
		{stream, false, "aac", nil},
		{stream + "[mov,mp4,m4a,3gp,3g2,mj2 @ 0x5] [error] stream 0, offset 0x4e6f: partial file\n", false, "aac", []string{remarkCut}},
		{stream + "[matroska,webm @ 0x5] [error] File ended prematurely\n", false, "aac", []string{remarkCut}},
		{stream + "[mp3 @ 0x5] [warning] filesize and duration do not match (growing file?)\n", false, "aac", []string{remarkCut}},
		{stream + "[asf @ 0x5] [warning] Estimating duration from bitrate, this may be inaccurate\n", false, "aac", nil},
		{stream + "[aac @ 0x5] [error] channel element 3.1 is not allocated\n", false, "aac", []string{remarkParts}},
		{stream, true, "aac", []string{remarkParts}},
		{"[info]   Duration: 00:00:10.12, start: 0.025057, bitrate: 124 kb/s\n" + stream, false, "aac", nil},
		{"[info]   Duration: 00:01:15.02, start: 0.025057, bitrate: 124 kb/s\n" + stream, false, "aac", []string{remarkCut}},
		{"[aac @ 0x5] [warning] Estimating duration from bitrate, this may be inaccurate\n[info]   Duration: 00:01:15.02, bitrate: 77 kb/s\n" + stream, false, "aac", nil},
		{"[info]   Duration: N/A, start: 0.025057\n" + stream, false, "aac", nil},
		{"[info]     title : -> #0:0 (evil\n[info] Stream mapping:\n", false, "", nil},
		{"[\n[]\n[error\n] [error] \n", false, "", nil},
		{strings.Repeat("x", 5000) + " [error] late\n" + stream, false, "aac", nil},
	} {
		// However it is cut into writes.
		for _, size := range []int{1, 7, len(c.log)} {
			var l ffmpegLog
			for piece := range slices.Chunk([]byte(c.log), size) {
				l.Write(piece) // never fails
			}
			if l.codec() != c.codec || !slices.Equal(l.remarks(c.failed, 10), c.notes) {
				t.Errorf("%.60q: %q, %q; want %q, %q", c.log, l.codec(), l.remarks(c.failed, 10), c.codec, c.notes)
			}
		}
	}
}

// damagedFile is a part of a file that ffmpeg decodes.
type damagedFile struct {
	name   string
	args   []string
	keep   float64 // of the bytes
	sounds bool
	code   string
	remark string
}

func damagedFiles() []damagedFile {
	return []damagedFile{
		{"x.m4a", []string{"-c:a", "aac", "-movflags", "+faststart"}, 0.5, true, "", remarkCut},
		{"x.m4a", []string{"-c:a", "aac"}, 0.5, false, CodeDamaged, ""},
		{"x.m4a", []string{"-c:a", "aac"}, 0.001, false, CodeDamaged, ""},
		{"x.webm", []string{"-c:a", "libopus"}, 0.5, true, "", remarkCut},
		{"x.webm", []string{"-c:a", "libopus"}, 0.002, false, CodeDamaged, ""},
		{"x.aac", []string{"-c:a", "aac"}, 0.5, true, "", remarkCut},
		{"x.mp3", []string{"-c:a", "libmp3lame"}, 0.5, true, "", remarkCut},
		{"x.mp3", []string{"-c:a", "libmp3lame", "-ar", "22050"}, 0.8, true, "", remarkCut},
		{"x.au", nil, 0.5, true, "", remarkCut},
		{"x.wma", []string{"-c:a", "wmav2"}, 0.5, true, "", remarkParts},
		{"x.wav", []string{"-c:a", "adpcm_ima_wav"}, 0.5, true, "", remarkCut},
		{"x.caf", []string{"-c:a", "alac"}, 0.5, false, CodeDamaged, ""},
		{"x.mp4", []string{"-an", "-f", "lavfi", "-i", "color=size=64x64:rate=5", "-t", "1", "-c:v", "mpeg4", "-map", "1:v"}, 1, false, CodeNoSound, ""},
	}
}

// TestFFmpegDamage cuts and spoils files that ffmpeg decodes.
func TestFFmpegDamage(t *testing.T) {
	run := ffmpeg(t)
	for _, c := range damagedFiles() {
		t.Run(fmt.Sprintf("%s, %g of it", c.name, c.keep), func(t *testing.T) {
			t.Parallel()
			whole := readFile(t, agreement{file: c.name, codec: c.args}.path(t, run))
			got, err := Read(bytes.NewReader(whole[:int(c.keep*float64(len(whole)))]), "cut")
			if !c.sounds {
				var p *Problem
				if !errors.As(err, &p) || p.Code != c.code {
					t.Fatalf("%v, want %s", err, c.code)
				}
				if strings.Contains(p.Says, "/dev/fd") {
					t.Errorf("names a place that nobody knows: %s", p.Says)
				}
				t.Logf("%s; %s", p.Says, p.Do)
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if n := got.Samples.Len(); n < 8000 || n > 8*8000/3 || !slices.Contains(got.Info.Remarks, c.remark) {
				t.Errorf("%d samples of the first part of 3 s, remarks %q, want %q", n, got.Info.Remarks, c.remark)
			}
		})
	}
}
