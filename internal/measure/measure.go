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

	"topnote/internal/audio"
	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/entry"
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

// options are all the numbers between a sound and its verdict.
type options struct {
	Mains   noise.MainsOptions
	Noise   noise.Options
	Shaft   shaft.Options
	Firing  firing.Options
	Quality quality.Options
	Pass    pass.Options
	Verdict verdict.Options
}

func defaults() options {
	return options{
		Mains: noise.DefaultMains(), Noise: noise.Default(), Shaft: shaft.Default(), Firing: firing.Default(),
		Quality: quality.Default(), Pass: pass.Default(), Verdict: verdict.Default(),
	}
}

// measure judges a sound, which goes into the measurement or is closed. No result
// is given of a sound that could not be read to its end.
func measure(ctx context.Context, sound *clip.Sound, machine engine.Machine) (Measurement, error) {
	m, err := judge(ctx, sound, machine, defaults())
	if err != nil {
		sound.Close() // the first error counts
		return Measurement{}, err
	}
	return m, nil
}

// judge takes a decoded sound all the way to its report. The error is that of ctx,
// a *entry.Refusal, a *clip.Problem when the sound cannot be read back, or a
// *parallel.Panic.
func judge(ctx context.Context, sound *clip.Sound, machine engine.Machine, o options) (Measurement, error) {
	if err := entry.Check(machine); err != nil {
		return Measurement{}, err
	}
	f, err := follow(ctx, sound, machine, o)
	if err != nil {
		return Measurement{}, err
	}
	a, err := f.assess(ctx, sound, machine, o)
	if err != nil {
		return Measurement{}, err
	}
	return f.judge(sound, machine, a, o)
}

// followed is what is heard in a sound before anything is judged.
type followed struct {
	conditions noise.Conditions
	track      shaft.Track
	cycles     firing.Cycles
}

// assess assesses the sound along the track. The error is that of ctx, or of a sound
// that cannot be read back, or a *parallel.Panic.
func (f followed) assess(ctx context.Context, sound *clip.Sound, machine engine.Machine, o options) (quality.Assessment, error) {
	return quality.Assess(ctx, quality.Input{Sound: sound, Conditions: f.conditions, Track: f.track, Engine: machine.Spec}, o.Quality)
}

// judge judges what was heard. The error is a *parallel.Panic.
func (f followed) judge(sound *clip.Sound, machine engine.Machine, a quality.Assessment, o options) (Measurement, error) {
	f.track = a.Discount(f.track)
	whole := pass.NewWhole(f.track, f.cycles, machine, o.Pass)
	summary := whole.Summary
	missing := verdict.Incomplete(summary, sound.Info.Duration, o.Verdict)
	problems := a.Judge(missing)
	judgement := verdict.Judge(summary, machine, problems, o.Verdict)
	openings, err := f.openings(whole, machine, a, o)
	if err != nil {
		return Measurement{}, err
	}
	return Measurement{
		Report: report.New(report.Parts{
			Clip: sound.Info, Query: machine, Track: f.track, Pass: summary, Quality: problems, Verdict: judgement,
			Openings: openings,
		}),
		Reply: verdict.Reply(judgement),
		sound: sound, summary: summary,
	}, nil
}

// follow assesses a sound, follows the shaft through it and classifies its firing. The
// conditions are found meanwhile. Where a voice is louder than the engine, no speed is
// read: what was followed until one is found is followed anew.
func follow(ctx context.Context, sound *clip.Sound, machine engine.Machine, o options) (f followed, err error) {
	following, stop := context.WithCancel(ctx)
	defer stop()
	var assessing parallel.Group
	assessing.Go(func() (err error) {
		f.conditions, err = noise.Assess(ctx, sound.Samples, sound.Rate, noise.Mains{}, o.Noise)
		if err != nil || o.drowned(f.conditions.Speech) != nil {
			stop()
		}
		return err
	})
	if sound.Info.Duration > shaft.Long {
		if err := assessing.Wait(); err != nil {
			return f, err
		}
	}
	var h heard
	err = parallel.Try(func() error { return h.follow(following, sound, machine, o) })
	if fault := assessing.Wait(); fault != nil {
		return f, fault
	}
	return f, parallel.Try(func() error {
		if o.Shaft.Drowned = o.drowned(f.conditions.Speech); o.Shaft.Drowned != nil {
			err = h.follow(ctx, sound, machine, o)
		}
		if err != nil {
			return err
		}
		f.conditions.Mains = h.mains
		f.track, f.cycles, err = o.Firing.Classify(ctx, h.sound, sound.Rate, h.track, machine.Spec)
		return err
	})
}

// drowned gives where a voice is louder than the engine.
func (o *options) drowned(voice noise.Speech) (all []shaft.Span) {
	if voice.Length() < o.Quality.MaxSpeech {
		return nil
	}
	for _, s := range voice {
		all = append(all, shaft.Span(s))
	}
	return all
}

// heard is a sound without its mains hum, and the shaft as it was followed through that.
type heard struct {
	sound audio.Signal // nil: hum was not looked for yet
	mains engine.Hz    // of the hum that was removed; 0: none
	hum   []engine.Hz  // all of them
	track shaft.Track
}

// follow removes the mains hum, once, and follows the shaft. The error is that of ctx, or
// of a sound that cannot be read back.
func (h *heard) follow(ctx context.Context, sound *clip.Sound, machine engine.Machine, o options) (err error) {
	if h.sound == nil {
		if err := h.removeHum(ctx, sound, o.Mains); err != nil {
			return err
		}
	}
	o.Shaft.Hum = h.hum
	h.track, err = shaft.FollowWith(ctx, h.sound, sound.Rate, machine, o.Shaft)
	return err
}

// removeHum removes that of the mains, and of a generator, which hums at another
// frequency.
func (h *heard) removeHum(ctx context.Context, sound *clip.Sound, o noise.MainsOptions) error {
	h.hum = nil
	x := sound.Samples
	for range 2 {
		mains, err := noise.FindMainsWith(ctx, x, sound.Rate, o)
		if err != nil {
			return err
		}
		x = mains.Remove(x)
		nominal := mains.Nominal()
		if nominal == 0 {
			break
		}
		h.hum = append(h.hum, nominal)
	}
	if h.sound = x; len(h.hum) > 0 {
		h.mains = h.hum[0]
	}
	return nil
}
