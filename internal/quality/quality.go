// Package quality says how good a recording is, what the problems of its sound
// are, and what to do about them.
//
// A speed that is read from sound can be no better than the sound. Assess goes
// through the recording once more, along the track that was read from it: where
// the engine's lines are is known, so what else is there can be told. Between the
// lines is the background, and how far they are above it is the one figure for the
// whole (SNR). Lines that stay where they are while the engine's move are another
// engine's; an idle as loud as full throttle was made so by the recorder. What can
// be found without the track are the conditions of the recording (package noise).
//
// Discount is where a problem makes the track less sure; Judge gives the problems,
// the most harmful first, each with a code, what is wrong and what to do. Nothing
// is repaired here, and no problem changes a speed. Start with Assess.
package quality

import (
	"cmp"
	"context"
	"slices"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/noise"
	"topnote/internal/shaft"
)

// Code names a problem. The values are part of the report's schema.
type Code string

// The codes, the most harmful first: by the share of readings that are lost or
// more than 5 % wrong with the damage, over six simulated passes and over 20
// field recordings (none and 2 % without it), and by what is at stake.
// TestHarm prints the figures.
const (
	// Another engine is the only one that can turn a whole clip wrong: as loud as
	// the first it costs 68 and 65 % of the readings, 12 dB softer 40 and 15 %.
	MoreThanOneEngine Code = "more-than-one-engine"

	// The next three mean that the samples are not those that were recorded: the speed
	// can be wrong by any factor, and lost or repeated buffers imitate missed firings.
	WrongHeader Code = "wrong-header"
	PairedSound Code = "paired-samples"
	LostSound   Code = "lost-sound"
	Noise       Code = "noise"     // pink, as loud as the engine: 62 and 32 %; four-stroking passes for clean
	Speech      Code = "speech"    // 9 dB over the idle: 46 and 34 %
	TooQuiet    Code = "too-quiet" // nothing at 16 steps, but four in ten at 4

	// The next three leave nothing, or little, to judge. They are problems of the
	// pass, which verdict.Incomplete finds.
	TooShort     Code = "too-short"
	ShortPlateau Code = "short-plateau"
	NoIdle       Code = "no-idle"

	Wind          Code = "wind"           // 12 dB louder than the engine: 31 and 29 %
	Hum           Code = "hum"            // 15 dB softer: up to 10 and 6 %
	NarrowBand    Code = "narrow-band"    // a call: 5 %
	Clipping      Code = "clipping"       // by 10 dB: none
	AutomaticGain Code = "automatic-gain" // none; but some recorders fade a steady sound out
)

// BreaksSound reports whether the problem means that the samples are not those that
// were recorded.
func (c Code) BreaksSound() bool { return c == WrongHeader || c == PairedSound || c == LostSound }

// Codes gives all codes, the most harmful first.
func Codes() []Code {
	return []Code{
		WrongHeader, PairedSound, LostSound, MoreThanOneEngine, Noise, Speech, TooQuiet, TooShort, ShortPlateau, NoIdle, Wind, Hum, NarrowBand, Clipping, AutomaticGain,
	}
}

// Problem is one thing that is wrong with a recording, in words for people.
type Problem struct {
	Code Code
	Says string // what is wrong: one sentence
	Do   string // what to do about it: one sentence
}

// Quality is how good a recording is.
type Quality struct {
	SNR      *engine.Decibel // the engine's lines over what lies between them; nil: no speed was told for a second
	Problems []Problem       // the most harmful first
	Dull     bool            // nothing is in the upper two fifths of what the sampling rate can hold, as in slow motion of 0.6 or less
}

// Input is what is assessed: a recording, and what is known of it so far.
type Input struct {
	Sound      *clip.Sound
	Conditions noise.Conditions
	Track      shaft.Track // may hold no speed at all
	Engine     engine.Spec
}

// Assessment is what was found of a recording.
type Assessment struct {
	opt        Options
	info       clip.Info
	conditions noise.Conditions
	told       engine.Seconds // for which a speed was told
	lost       engine.Seconds // for which none was, though it is about as loud as full throttle
	alongTrack
}

// Assess assesses a recording along the track that was read from it. The error is
// that of ctx, or of a sound that cannot be read back, or a *parallel.Panic.
func Assess(ctx context.Context, in Input, o Options) (Assessment, error) {
	index := newTrackIndex(in.Track, in.Engine, o)
	along, err := assessAlong(ctx, in, index, o)
	if err != nil {
		return Assessment{}, err
	}
	return Assessment{
		opt: o, info: in.Sound.Info, conditions: in.Conditions,
		told: in.Track.Told(), lost: index.lost(in.Conditions.Levels), alongTrack: along,
	}, nil
}

// Discount gives the track with its readings as sure as the sound allows: with less
// confidence where it may be another engine or a voice that was followed. How it
// fires is not told where a voice is about as loud as the engine, found or not: its
// lines pass for those of four-stroking, and a lean engine so for a safe one.
// Four-stroking is not told where another engine's lines imitate it. FiringShareSD
// is the largest that a problem asks for. It leaves t as it is.
func (a Assessment) Discount(t shaft.Track) shaft.Track {
	mistaken, spoken := a.mistaken(), a.spoken()
	out := shaft.Track{Hop: t.Hop, Points: slices.Clone(t.Points), FiringShareSD: a.largest(a.opt.FiringShareSD)}
	voiced := a.voiced()
	for i := range out.Points {
		p := &out.Points[i]
		if mistaken || spoken && a.spokenAbout(p.At) {
			p.Confidence *= a.opt.MistakenShare
		}
		if voiced && a.conditions.Levels.EngineAt(p.At) < a.conditions.SpeechLevel+float64(a.opt.SpeechMargin) {
			p.Fires, p.Uneven, p.MissEvidence = 0, false, 0
		}
		if p.Fires.FourStroking() && a.imitated(p.Speed) {
			p.Fires, p.MissEvidence = 0, 0
		}
	}
	return out
}

// spokenAbout reports whether somebody speaks within SpeechEdge of a time.
func (a Assessment) spokenAbout(t engine.Seconds) bool {
	return slices.ContainsFunc(a.conditions.Speech, func(x noise.Span) bool {
		return t >= x.From-a.opt.SpeechEdge && t < x.To+a.opt.SpeechEdge
	})
}

// largest gives the largest figure of the problems that are there, 0 for none.
func (a Assessment) largest(figures map[Code]float64) float64 {
	var largest float64
	for _, r := range rules {
		if v := figures[r.code]; v > largest && r.when(a) {
			largest = v
		}
	}
	return largest
}

// Judge gives the quality of the recording. ofPass are the problems of the pass
// itself, which the sound does not show: verdict.Incomplete gives them.
func (a Assessment) Judge(ofPass []Problem) Quality {
	problems := slices.Clone(ofPass)
	for _, r := range rules {
		if r.when(a) {
			p := r.says(a)
			p.Code = r.code
			problems = append(problems, p)
		}
	}
	slices.SortStableFunc(problems, func(x, y Problem) int { return cmp.Compare(x.Code.rank(), y.Code.rank()) })
	return Quality{SNR: typical(a.all), Problems: problems, Dull: a.dull()}
}

// rank gives the place of a code among all, 0 for the most harmful.
func (c Code) rank() int { return slices.Index(Codes(), c) }
