package measure

import (
	"context"
	"io"

	"topnote/internal/clip"
	"topnote/internal/engine"
)

// Watch is how a program that does other things meanwhile keeps a hand on a
// measurement.
type Watch struct {
	Clip    clip.Options    // what the recording may cost
	Decoded func(clip.Info) // told when all of the sound is there, which is a small part of the work; nil: nobody asks
}

// Watched measures as Stream does. Between the steps of the way it looks whether
// ctx has ended, and gives its error then. Within a step it does not: the
// longest takes some hundredths of the length of the sound.
func Watched(ctx context.Context, r io.Reader, name string, q engine.Machine, w Watch) (Measurement, error) {
	if err := Check(q); err != nil { // before anything is decoded
		return Measurement{}, err
	}
	stream, err := clip.NewStream(r, name, w.Clip)
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
	return measure(ctx, sound, q)
}

// WriteSound writes the sound that was measured, mono at clip.WorkingRate, to w as
// a WAV file, for players that cannot play the recording itself. The errors are
// those of clip.WriteWAV, and a *clip.Problem when the sound cannot be read back.
func (m Measurement) WriteSound(w io.WriteSeeker) error {
	return clip.WriteWAV(w, m.sound.Samples, m.sound.Rate)
}
