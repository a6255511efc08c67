package quality

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
	"topnote/internal/shaft"
)

// rule is one problem: when it is there, and what is said of it.
type rule struct {
	code Code
	when func(Assessment) bool
	says func(Assessment) Problem
}

// rules has the problems of the sound. What is said of an engine holds only
// where there is one.
var rules = []rule{
	{WrongHeader, func(a Assessment) bool { return a.info.Integrity.Contradicts }, saysWrongHeader},
	{PairedSound, func(a Assessment) bool { return a.info.Integrity.PairedPct >= a.opt.MaxPaired }, saysPaired},
	{LostSound, Assessment.lostSound, saysLostSound},
	{MoreThanOneEngine, Assessment.interfered, saysInterferer},
	{Noise, Assessment.noisy, saysNoise},
	{Speech, Assessment.spoken, saysSpeech},
	{TooQuiet, Assessment.quiet, saysQuiet},
	{Wind, func(a Assessment) bool { return a.engine() && a.conditions.Wind }, saysWind},
	{Hum, func(a Assessment) bool { return a.conditions.Mains > 0 }, saysHum},
	{NarrowBand, Assessment.narrow, saysNarrow},
	{Clipping, func(a Assessment) bool { return a.info.ClippedPct >= a.opt.MaxSpoilt }, saysClipping},
	{AutomaticGain, Assessment.levelled, saysGain},
}

// lostSound reports whether buffers were lost, muted or repeated.
func (a Assessment) lostSound() bool {
	return a.info.Integrity.SplicesPct > 0 || a.info.Integrity.RepeatedPct >= a.opt.MaxSpoilt
}

func (a Assessment) engine() bool { return a.told >= a.opt.MinEngine }

func (a Assessment) interfered() bool { return a.engine() && a.interferer().height > 0 }

// interferer gives the other engine; a height of 0: none. What is there for a
// while only, and has a voice's pitch, is a voice.
func (a Assessment) interferer() interferer {
	switch {
	case a.steady.height >= float64(a.opt.MinSteady):
		return a.steady
	case a.passing.height >= float64(a.opt.MinPassing) && a.conditions.Speech.Length() < a.opt.MaxSpeech:
		return a.passing
	}
	return interferer{}
}

func (a Assessment) spoken() bool { return a.voiced() && !a.interfered() }

// voiced reports whether there is a voice, or something that sounds like one.
func (a Assessment) voiced() bool {
	return a.engine() && a.conditions.Speech.Length() >= a.opt.MaxSpeech
}

// mistaken reports whether the other engine may be the one that was followed: it
// is about as prominent, and the followed speed never was an idle.
func (a Assessment) mistaken() bool {
	if !a.interfered() || typical(a.idle) != nil {
		return false
	}
	full := typical(a.full)
	return full == nil || engine.Decibel(a.interferer().prominence) >= *full-a.opt.SpeechMargin
}

// imitated reports whether the other engine's lines lie where missed firings have
// theirs at a speed of the first: at whole multiples of an Nth of it, so closely that
// they are not yet apart by an eighth of a turn after the revolutions that firing
// compares.
func (a Assessment) imitated(speed engine.RPM) bool {
	const revolutions, apart = 6, 1. / 8
	if !a.interfered() {
		return false
	}
	ratio := float64(a.interferer().speed / speed)
	for n := range shaft.MaxPeriod {
		period := float64(n + 1)
		nearest := math.Round(period * ratio)
		if math.Mod(nearest, period) != 0 && math.Abs(period*ratio-nearest)*revolutions/period < apart {
			return true
		}
	}
	return false
}

// noisy reports whether the engine is too little prominent, at full throttle or
// at idle, or is lost in what is as loud.
func (a Assessment) noisy() bool {
	return a.engine() && (a.lost >= a.opt.MaxLost || below(a.full, a.opt.MinFull) || below(a.idle, a.opt.MinIdle))
}

// below reports whether the lines are less prominent than they ought to be.
func below(prominence []float64, least engine.Decibel) bool {
	v := typical(prominence)
	return v != nil && *v < least
}

// perStep is how many steps of a 16-bit recording full scale has.
const perStep = 1 << 15

func (a Assessment) quiet() bool { return a.info.PeakLevel*perStep < a.opt.MinPeak }

// narrow reports whether what is missing from the band matters.
func (a Assessment) narrow() bool {
	low, high := a.info.LowEdge, a.info.HighEdge
	if high == 0 {
		return false // silent
	}
	telephone := low > a.opt.TelephoneFrom && high < a.opt.TelephoneTo
	// Without an engine there may have been nothing to record down there.
	return telephone || high < a.opt.MinHighEdge || a.engine() && low > a.opt.MaxLowEdge
}

// dull gives Quality.Dull.
func (a Assessment) dull() bool {
	const slowest, nyquist = 0.6, 0.5
	return a.info.HighEdge > 0 && a.info.HighEdge < slowest*nyquist*a.info.SampleRate
}

// levelled reports whether the recorder made idle about as loud as full throttle.
// Where something else sounds, or the idle is not prominent, its loudness tells
// nothing.
func (a Assessment) levelled() bool {
	if !a.engine() || a.interfered() || a.spoken() || a.conditions.Mains > 0 {
		return false
	}
	idle := typical(a.idle)
	return idle != nil && *idle >= a.opt.MinIdle && len(a.full) > 0 && a.levelRange() < a.opt.MinLevelRange
}

// levelRange gives how much louder full throttle is than idle.
func (a Assessment) levelRange() engine.Decibel {
	return engine.Decibel(dsp.Median(a.fullLevel) - dsp.Median(a.idleLevel))
}
