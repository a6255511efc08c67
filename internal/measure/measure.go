// Package measure does the whole job: a recording in, a report out.
//
// This is the file to open first. A recording is decoded (clip), its sound is
// assessed (noise), the shaft is followed through the sound without mains hum
// (shaft), the firing of each cycle is classified (firing), the engine is assessed
// along the track and what cannot be trusted of it is discounted (quality), the
// track is cut into the phases of a pass (pass), the pass is judged (verdict), and
// all of it is reported (report). Each step is done once and is a function of what
// came before it. Each package knows only the earlier ones; this is the only place
// that knows them all. Start with File.
package measure

import (
	"context"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/firing"
	"topnote/internal/noise"
	"topnote/internal/parallel"
	"topnote/internal/pass"
	"topnote/internal/quality"
	"topnote/internal/report"
	"topnote/internal/shaft"
	"topnote/internal/verdict"
)

// Measurement is one measured recording. It is to be closed.
type Measurement struct {
	Report  report.Report
	Reply   string       // the result as a message to whoever sent the recording
	sound   *clip.Sound  // for the picture
	summary pass.Summary // for comparing
}

// measure judges a sound, which goes into the measurement or is closed. No result
// is given of a sound that could not be read to its end.
func measure(ctx context.Context, sound *clip.Sound, machine engine.Machine) (Measurement, error) {
	m, err := judge(ctx, sound, machine)
	if err != nil {
		sound.Close() // the first error counts
		return Measurement{}, err
	}
	return m, nil
}

// judge takes a decoded sound all the way to its report. The error is that of ctx,
// a *Refusal, a *clip.Problem when the sound cannot be read back, or a
// *parallel.Panic.
func judge(ctx context.Context, sound *clip.Sound, machine engine.Machine) (Measurement, error) {
	if err := Check(machine); err != nil {
		return Measurement{}, err
	}
	conditions, track, cycles, err := follow(ctx, sound, machine)
	if err != nil {
		return Measurement{}, err
	}
	assessment, err := quality.Assess(ctx, quality.Input{Sound: sound, Conditions: conditions, Track: track, Engine: machine.Spec}, quality.Default())
	if err != nil {
		return Measurement{}, err
	}
	track = assessment.Discount(track)
	summary := pass.Summarise(track, cycles, machine, pass.Default())
	missing := verdict.Incomplete(summary, sound.Info.Duration, verdict.Default())
	problems := assessment.Judge(missing)
	o := verdict.Default()
	o.Dull = assessment.Dull()
	judgement := verdict.Judge(summary, machine, o, problems.Problems...)
	return Measurement{
		Report: report.New(report.Parts{
			Clip: sound.Info, Query: machine, Track: track, Pass: summary, Quality: problems, Verdict: judgement,
			Openings: openings(summary, track, cycles, machine, assessment),
		}),
		Reply: verdict.Reply(judgement),
		sound: sound, summary: summary,
	}, nil
}

// follow assesses a sound, follows the shaft through it and classifies its firing.
// The mains hum comes first, since the rest is done without it, then the other
// conditions: where a voice is louder than the engine, no speed is read.
func follow(ctx context.Context, sound *clip.Sound, machine engine.Machine) (conditions noise.Conditions, track shaft.Track, cycles firing.Cycles, err error) {
	mains, err := noise.FindMains(ctx, sound.Samples, sound.Rate)
	if err != nil {
		return conditions, track, nil, err
	}
	err = parallel.Try(func() (err error) {
		if conditions, err = noise.Assess(ctx, sound.Samples, sound.Rate, mains, noise.Default()); err != nil {
			return err
		}
		o := shaft.Default()
		if conditions.Speech.Length() >= quality.Default().MaxSpeech {
			for _, s := range conditions.Speech {
				o.Drowned = append(o.Drowned, shaft.Span(s))
			}
		}
		x := mains.Remove(sound.Samples)
		if track, err = shaft.FollowWith(ctx, x, sound.Rate, machine, o); err != nil {
			return err
		}
		track, cycles, err = firing.Classify(ctx, x, sound.Rate, track, machine.Spec)
		return err
	})
	return conditions, track, cycles, err
}
