// Package measure does the whole job: a recording in, a report out.
//
// This is the file to open first. The way of a clip through the program is the
// body of one function, judge: its sound is decoded to mono at one rate (clip),
// the shaft is followed through it (shaft), what else is in the sound is heard
// (quality), the track is cut into the phases of a pass (pass), the pass is held
// against the speeds that were entered (verdict), and what came of it is put into
// the one structure that every form of the result is drawn from (report). Each of
// those packages knows only the ones before it; this is the only place that knows
// them all. Start with File.
package measure

import (
	"bytes"
	"cmp"
	"context"
	"io"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/noise"
	"topnote/internal/parallel"
	"topnote/internal/pass"
	"topnote/internal/picture"
	"topnote/internal/quality"
	"topnote/internal/report"
	"topnote/internal/shaft"
	"topnote/internal/spectrum"
	"topnote/internal/verdict"
)

// Measurement is one measured clip. It is to be closed.
type Measurement struct {
	Report  report.Report
	Reply   string       // the result as a message to whoever sent the clip
	sound   *clip.Sound  // for the picture
	summary pass.Summary // for comparing
}

// File measures the recording at path. q is what the user knows of the engine;
// Check tells whether it can be used. The error is a *clip.Problem when the
// recording cannot be read and a *Refusal when q cannot be used.
func File(path string, q engine.Machine) (Measurement, error) {
	sound, err := clip.Open(path)
	if err != nil {
		return Measurement{}, err
	}
	return measure(context.Background(), sound, q)
}

// Stream measures a recording that is read from r to its end; name stands for
// it in the report. The errors are those of File.
func Stream(r io.Reader, name string, q engine.Machine) (Measurement, error) {
	sound, err := clip.Read(r, name)
	if err != nil {
		return Measurement{}, err
	}
	return measure(context.Background(), sound, q)
}

// measure judges a sound, which goes into the measurement or is closed. Nothing
// is believed of a sound that could not be read to its end.
func measure(ctx context.Context, sound *clip.Sound, q engine.Machine) (Measurement, error) {
	m, err := judge(ctx, sound, q)
	if err != nil {
		sound.Close() // the first error counts
		return Measurement{}, err
	}
	return m, nil
}

// judge follows, cuts and judges a sound, and reports. What does not wait for one
// another runs side by side. Between the steps it ends with ctx.
func judge(ctx context.Context, sound *clip.Sound, q engine.Machine) (Measurement, error) {
	if err := Check(q); err != nil {
		return Measurement{}, err
	}
	mains, err := noise.FindMains(ctx, sound.Samples, sound.Rate)
	if err != nil {
		return Measurement{}, err
	}
	var conditions noise.Conditions
	var track shaft.Track
	var group parallel.Group
	group.Go(func() (err error) {
		conditions, err = noise.Assess(ctx, sound.Samples, sound.Rate, mains, noise.Default())
		return err
	})
	group.Go(func() (err error) {
		track, err = shaft.Follow(ctx, mains.Remove(sound.Samples), sound.Rate, q)
		return err
	})
	if err := cmp.Or(group.Wait(), ctx.Err()); err != nil {
		return Measurement{}, err
	}
	heard, err := quality.Assess(ctx, quality.Input{Sound: sound, Conditions: conditions, Track: track, Engine: q.Spec}, quality.Default())
	if err != nil {
		return Measurement{}, err
	}
	track = heard.Discount(track)
	summary := summarise(sound, track, q)
	judgement := verdict.Judge(summary, q, verdict.Default())
	return Measurement{
		Report: report.New(report.Parts{
			Clip: sound.Info, Query: q, Track: track, Pass: summary,
			Quality: heard.Judge(verdict.Incomplete(summary, sound.Info.Duration, verdict.Default())), Verdict: judgement,
		}),
		Reply:   verdict.Reply(judgement),
		sound:   sound,
		summary: summary,
	}, nil
}

// summarise cuts a track into phases, listening to the sound where its firing asks
// for it.
func summarise(sound *clip.Sound, track shaft.Track, q engine.Machine) pass.Summary {
	o := pass.Default()
	o.Listen = pass.NewCutDetector(sound.Samples, sound.Rate, track)
	return pass.Summarise(track, q, o)
}

// Draw draws the measurement: its report above the lines in its sound. The
// errors are those of picture.Draw, and a *clip.Problem when the sound cannot be
// read back.
func (m Measurement) Draw(w io.Writer, f picture.Format, s picture.Size) error {
	lines, err := m.lines()
	if err != nil {
		return err
	}
	return picture.Draw(w, f, s, m.Report, lines)
}

// WriteHTML writes the measurement as one page with its picture in it. It
// returns the first error of w, and a *clip.Problem as Draw does.
func (m Measurement) WriteHTML(w io.Writer) error {
	var drawing bytes.Buffer
	if err := m.Inline(&drawing); err != nil {
		return err
	}
	return report.WriteHTML(w, m.Report, drawing.Bytes())
}

// lines gives the lines in the sound. The error is a *clip.Problem.
func (m Measurement) lines() (spectrum.Spectrogram, error) {
	return spectrum.NewSpectrogram(m.sound.Samples, m.sound.Rate)
}

// Close frees what the sound takes outside of memory: of one that is long, there
// are no more pictures. It may be called more than once.
func (m Measurement) Close() {
	if m.sound != nil {
		m.sound.Close() // a file for temporary use, that nothing is written to: nothing can be lost
	}
}
