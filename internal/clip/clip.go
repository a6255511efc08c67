// Package clip turns a recording into the sound that the rest of the program
// measures: mono, 8000 samples a second, with what is known of the file beside
// it.
//
// A recording is a container around samples of some codec, rate and number of
// channels. Its bytes pass through stages that each hold one block: a source that
// counts and hashes them, a decoder chosen by content and never by the name of the
// file, a meter for peaks and clipping, a resampler with a steep low-pass for each
// channel, and the choice between a mix and the best single channel. While a block
// is resampled, the next is decoded and metered. The 8 kHz result stays in memory
// while it is short; a long one goes to a temporary file, so that memory does not
// grow with the recording.
//
// WAV, AIFF, FLAC, Ogg Vorbis, Ogg Opus and most MP3 are decoded here; for the
// other formats of phones, ffmpeg is called where it is installed.
//
// Start with Open, or with NewStream to read the sound block by block. What cannot
// be read is a *Problem: what is wrong and what to do, in words for people. Where
// a header is wrong, a recorder was cut off or a file is damaged, the part that can
// be read is read, and Info.Remarks says so. Samples that are not numbers are
// replaced by silence.
//
// Not done here: nothing is denoised, equalised or made louder.
//
// Sources: Microsoft and IBM 1991 (RIFF, WAVE); Microsoft 2001 (extensible format);
// EBU Tech 3306 (RF64); ITU-T G.711. The decoders name their own.
package clip

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"

	"topnote/internal/audio"
	"topnote/internal/engine"
	"topnote/internal/resample"
)

// WorkingRate is the rate of the sound that is analysed. Everything that is
// measured of an engine lies below 3.4 kHz, the top of a telephone's band.
const WorkingRate = resample.Rate

// Info is what is known of a clip from its container and from its samples.
type Info struct {
	File       string         // as the user named it; "-" for standard input
	SHA256     string         // of the bytes read, lower-case hex
	Duration   engine.Seconds // of the sound that could be read
	SampleRate engine.Hz      // of the file
	Channels   int            // in the file
	Used       string         // what was measured, in words: "the only channel", "channel 2 of 2", "mix of 2"
	Container  string         // "wav", "aiff", "flac", "ogg", "mp3", "m4a", "mp4", "mov", "3gp", "amr" ...
	Codec      string         // "pcm_s16", "float32", "alaw", "flac", "vorbis", "opus", "mp3", or ffmpeg's name: "aac" ...
	ClippedPct float64        // share of samples at full scale in the channels used, percent
	PeakLevel  float64        // largest magnitude in the channels used, 1 at full scale
	LowEdge    engine.Hz      // lowest frequency at which there is sound in the channels used; 0: silent
	HighEdge   engine.Hz      // highest such frequency, at most half of SampleRate; 0: silent
	Integrity  Integrity      // whether the samples can be those that were recorded
	Remarks    []string       // for people, without a full stop: "the file was cut off; what it holds was read"
}

// Sound is a clip ready for analysis. It is to be closed.
type Sound struct {
	Info    Info
	Rate    engine.Hz    // WorkingRate
	Samples audio.Signal // -1 to 1, at Rate
}

// Close removes the temporary file, if there is one. The error is that of the file.
func (s *Sound) Close() error {
	if c, ok := s.Samples.(io.Closer); ok {
		return c.Close()
	}
	return nil
}

// readBack is a spool whose read errors are worded for people.
type readBack struct{ *audio.Spool }

// Segment implements audio.Signal; the error is a *Problem.
func (r readBack) Segment(buf []float32, from, to int) ([]float32, error) {
	samples, err := r.Spool.Segment(buf, from, to)
	if err != nil {
		return nil, sayLost(err)
	}
	return samples, nil
}

// Open reads the recording at path, whatever its name ends in.
//
// The result holds ceil(frames * 8000 / rate) samples; sample k is at k/8000 s
// after the first sample of the file. Digital silence is no error. The error is a
// *Problem. Standard input is read with Read: here "-" is a file of that name.
func Open(path string) (*Sound, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, sayOpen(err)
	}
	if info.IsDir() {
		return nil, sayFolder()
	}
	o := Default()
	if info.Mode().IsRegular() && info.Size() > o.Limits.Bytes {
		return nil, sayTooBig(o.Limits.Bytes)
	}
	f, err := openFile(path, info.Mode(), o)
	if err != nil {
		return nil, err
	}
	defer f.Close() // only read from: nothing can be lost
	return collect(f, path, o)
}

// openFile opens what is not a folder.
func openFile(path string, mode fs.FileMode, o Options) (*os.File, error) {
	if mode&fs.ModeNamedPipe != 0 {
		return openPipe(path, o.PipeWait)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, sayOpen(err)
	}
	return f, nil
}

// Read reads a recording from r to its end, as Open does from a file. name is
// what Info.File shows: "-" for standard input.
func Read(r io.Reader, name string) (*Sound, error) {
	return collect(r, name, Default())
}

func collect(r io.Reader, name string, o Options) (*Sound, error) {
	s, err := NewStream(context.Background(), r, name, o)
	if err != nil {
		return nil, err
	}
	return s.Collect()
}

// sayOpen turns an error of opening a path into a *Problem.
func sayOpen(err error) *Problem {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return sayNotFound(err)
	case errors.Is(err, fs.ErrPermission):
		return sayNoPermission(err)
	default: // a name too long, links in a circle
		return sayCannotOpen(err)
	}
}
