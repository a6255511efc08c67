package measure

import (
	"context"
	"io"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/entry"
)

// File measures the recording at path. machine is what the user knows of the
// engine; Check tells whether it can be used. The error is a *clip.Problem when the
// recording cannot be read and a *entry.Refusal when machine cannot be used.
func File(path string, machine engine.Machine) (Measurement, error) {
	sound, err := clip.Open(path)
	if err != nil {
		return Measurement{}, err
	}
	return measure(context.Background(), sound, machine)
}

// Stream measures a recording that is read from r to its end; name stands for
// it in the report. The errors are those of File.
func Stream(r io.Reader, name string, machine engine.Machine) (Measurement, error) {
	sound, err := clip.Read(r, name)
	if err != nil {
		return Measurement{}, err
	}
	return measure(context.Background(), sound, machine)
}

// Watch is how a program that does other things meanwhile controls a measurement.
type Watch struct {
	Clip    clip.Options    // what the recording may cost
	Decoded func(clip.Info) // called when all of the sound is there, which is a small part of the work; may be nil
}

// Watched measures as Stream does, and ends with the error of ctx soon after that
// has ended.
func Watched(ctx context.Context, r io.Reader, name string, machine engine.Machine, w Watch) (Measurement, error) {
	if err := entry.Check(machine); err != nil { // before anything is decoded
		return Measurement{}, err
	}
	stream, err := clip.NewStream(ctx, r, name, w.Clip)
	if err != nil {
		return Measurement{}, err
	}
	sound, err := stream.Collect()
	if err != nil {
		return Measurement{}, err
	}
	if err := ctx.Err(); err != nil {
		sound.Close() // the first error counts
		return Measurement{}, err
	}
	if w.Decoded != nil {
		w.Decoded(sound.Info)
	}
	return measure(ctx, sound, machine)
}

// WriteSound writes the sound that was measured, mono at clip.WorkingRate, to w as
// a WAV file, for players that cannot play the recording itself. The errors are
// those of clip.WriteWAV, and a *clip.Problem when the sound cannot be read back.
func (m Measurement) WriteSound(w io.WriteSeeker) error {
	return clip.WriteWAV(w, m.sound.Samples, m.sound.Rate)
}

// Close removes the temporary file of a long sound, of which no more pictures can
// be drawn then. It may be called more than once.
func (m Measurement) Close() {
	if m.sound != nil {
		m.sound.Close() // nothing is written to it: nothing can be lost
	}
}
