// Package quality says how good a recording is, what stands in its way, and
// what to do about it.
//
// A speed that is read from sound can be no better than the sound. Along hears
// the recording a second time, along the track that was read from it: knowing
// where the engine's lines stand, it can tell what else is there. Between the
// lines lies the background, and how far they stand out of it is the one figure
// for the whole (SNR). Lines that stay while the engine's move are another
// engine's or the mains'; loudness in the rhythm of syllables is a voice; an idle
// as loud as full throttle was made so by the recorder.
//
// Discount is where a problem makes figures less sure; Judge gives the problems,
// the most harmful first, each with a code, what is wrong and what to do. Start with Along, or with Assess where the track is yet to come.
// Nothing is repaired here, and no problem changes a speed.
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
	Noise             Code = "noise"     // pink, as loud as the engine: 62 and 32 %; four-stroking passes for clean
	Speech            Code = "speech"    // 9 dB over the idle: 46 and 34 %
	TooQuiet          Code = "too-quiet" // nothing at 16 steps, but four in ten at 4

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

// Codes gives all codes, the most harmful first.
func Codes() []Code {
	return []Code{
		MoreThanOneEngine, Noise, Speech, TooQuiet, TooShort, ShortPlateau, NoIdle, Wind, Hum, NarrowBand, Clipping, AutomaticGain,
	}
}

// Problem is one thing that stands in the way, in words for people.
type Problem struct {
	Code Code
	Says string // what is wrong: one sentence
	Do   string // what to do about it: one sentence
}

// Quality is what came of a recording.
type Quality struct {
	SNR      *engine.Decibel // the engine's lines over what lies between them; nil: no speed was heard for a second
	Problems []Problem       // the most harmful first
}

// Conditions is what is heard of a recording whatever its engine does: how
// loud it is, the mains, a voice.
type Conditions struct {
	opt    Options
	sound  *clip.Sound
	info   clip.Info
	levels levels
	rumble rumble
	mains  engine.Hz // 0: no hum
	speech speechSpans
	voice  float64 // dB, loudness while somebody speaks
}

// Assessment is what Along heard of a recording.
type Assessment struct {
	Conditions
	told   engine.Seconds // for which a speed was told
	lost   engine.Seconds // for which none was, though it is about as loud as full throttle
	stands prominence
	always interferer // another engine: over the whole clip
	while  interferer // and over a while of it
}

// Along hears what else is in a sound, along the track that was read from it.
// t may hold no speed at all.
func Listen(s *clip.Sound, t shaft.Track, e engine.Spec, o Options) (Assessment, error) {
	mains, err := noise.FindMains(context.Background(), s.Samples, s.Rate)
	if err != nil {
		return Assessment{}, err
	}
	r, err := Assess(s, mains, o)
	if err != nil {
		return Assessment{}, err
	}
	return r.Along(t, e)
}

// Assess hears the half of what Along does that needs no track: it can be heard
// while the track is still being read.
// The error is that of a sound that cannot be read back.
func Assess(s *clip.Sound, mains noise.Mains, o Options) (r Conditions, err error) {
	r = Conditions{opt: o, sound: s, info: s.Info, mains: mains.Nominal()}
	if r.levels, err = measureLevels(s.Samples, s.Rate, o); err != nil {
		return r, err
	}
	r.rumble = r.levels.rumbling(o)
	if r.speech, err = speechIn(s.Samples, s.Rate, o); err != nil {
		return r, err
	}
	r.voice = r.speech.loudness(r.levels, o)
	return r, nil
}

// Along hears the other half, along the track, which may hold no speed at all.
// The error is that of a sound that cannot be read back.
func (r Conditions) Along(t shaft.Track, e engine.Spec) (h Assessment, err error) {
	h = Assessment{Conditions: r, told: toldFor(t)}
	w := follow(t, e, r.opt)
	h.lost = w.lost(r.levels, r.opt)
	h.stands, h.always, h.while, err = look(r.sound.Samples, r.sound.Rate, w, r.levels, r.mains, r.opt)
	return h, err
}

// Discount gives the track with its readings as sure as the sound allows: with
// standard deviations wider by as much as the worst problem asks for (see
// Options.Widen), and with less belief where it may be another engine or a voice
// that was followed. How it fires is not told where a voice is about as loud as
// the engine, heard or not: its lines pass for those of four-stroking, and a lean
// engine so for a safe one. FiringShareSD is the largest of Options.FiringSD that
// holds. It leaves t as it is.
func (h Assessment) Discount(t shaft.Track) shaft.Track {
	wider, rival, spoken := h.widen(), h.mistaken(), h.spoken()
	out := shaft.Track{Hop: t.Hop, Points: slices.Clone(t.Points), FiringShareSD: h.firingShareSD()}
	for i := range out.Points {
		p := &out.Points[i]
		p.SD *= engine.RPM(wider)
		if rival || spoken && h.speech.at(p.At) {
			p.Confidence *= h.opt.Mistaken
		}
		if h.voiced() && h.levels.at(float64(p.At)) < h.voice+float64(h.opt.VoiceClear) {
			p.Fires = 0
		}
	}
	return out
}

// firingShareSD gives the largest standard deviation that a problem adds to a
// share of four-stroking, 0 for none.
func (h Assessment) firingShareSD() float64 {
	var largest float64
	for _, r := range rules {
		if by := h.opt.FiringSD[r.code]; by > largest && r.when(h) {
			largest = by
		}
	}
	return largest
}

// widen gives the largest factor that a problem of the sound asks for, 1 for
// none.
func (h Assessment) widen() float64 {
	wider := 1.0
	for _, r := range rules {
		if by := h.opt.Widen[r.code]; by > wider && r.when(h) {
			wider = by
		}
	}
	return wider
}

// Judge gives the quality of the recording. ofPass are the problems of the pass
// itself, which the sound does not show: verdict.Incomplete gives them.
func (h Assessment) Judge(ofPass []Problem) Quality {
	problems := slices.Clone(ofPass)
	for _, r := range rules {
		if r.when(h) {
			p := r.says(h)
			p.Code = r.code
			problems = append(problems, p)
		}
	}
	slices.SortStableFunc(problems, func(a, b Problem) int { return cmp.Compare(a.Code.rank(), b.Code.rank()) })
	return Quality{SNR: h.stands.snr(), Problems: problems}
}

// rank gives the place of a code among all, 0 for the most harmful.
func (c Code) rank() int { return slices.Index(Codes(), c) }
