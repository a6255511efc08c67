package quality

import (
	"topnote/internal/engine"
)

// rule is one problem: when it is there, and what is said of it.
type rule struct {
	code Code
	when func(Assessment) bool
	says func(Assessment) Problem
}

// rules has the problems of the sound. What is said of an engine holds only
// where one is heard.
var rules = []rule{
	{MoreThanOneEngine, Assessment.rivalled, saysRival},
	{Noise, Assessment.noisy, saysNoise},
	{Speech, Assessment.spoken, saysSpeech},
	{TooQuiet, Assessment.quiet, saysQuiet},
	{Wind, func(h Assessment) bool {
		return h.engine() && h.rumble.over >= h.opt.GustOver && h.rumble.spread >= h.opt.GustSpread
	}, saysWind},
	{Hum, func(h Assessment) bool { return h.mains > 0 }, saysHum},
	{NarrowBand, Assessment.narrow, saysNarrow},
	{Clipping, func(h Assessment) bool { return h.info.ClippedPct >= h.opt.ClippedOver }, saysClipping},
	{AutomaticGain, Assessment.evened, saysGain},
}

func (h Assessment) engine() bool { return h.told >= h.opt.HeardFrom }

func (h Assessment) rivalled() bool { return h.engine() && h.rival().height > 0 }

// rival gives the other engine; a height of 0: none. What is there for a while
// only, and has a voice's pitch, is a voice.
func (h Assessment) rival() interferer {
	switch {
	case h.always.height >= float64(h.opt.RivalOver):
		return h.always
	case h.while.height >= float64(h.opt.RivalWhile) && h.speech.length() < h.opt.SpeechFor:
		return h.while
	}
	return interferer{}
}

func (h Assessment) spoken() bool { return h.voiced() && !h.rivalled() }

// voiced reports whether there is a voice, or something that sounds like one.
func (h Assessment) voiced() bool { return h.engine() && h.speech.length() >= h.opt.SpeechFor }

// mistaken reports whether the other engine may be the one that was followed: it
// stands out about as much, and the followed speed never was an idle.
func (h Assessment) mistaken() bool {
	if !h.rivalled() || h.stands.usual(h.stands.slow) != nil {
		return false
	}
	fast := h.stands.usual(h.stands.fast)
	return fast == nil || engine.Decibel(h.rival().clear) >= *fast-h.opt.MistakenClear
}

// noisy reports whether the engine stands out too little, at full throttle or
// at idle, or is lost in what is as loud.
func (h Assessment) noisy() bool {
	return h.engine() && (h.lost >= h.opt.LostFor || h.dull(h.stands.fast, h.opt.ClearFast) || h.dull(h.stands.slow, h.opt.ClearSlow))
}

// dull reports whether the lines stand out by less than they ought to.
func (h Assessment) dull(clear []float64, least engine.Decibel) bool {
	v := h.stands.usual(clear)
	return v != nil && *v < least
}

// perStep is how many steps of a 16-bit recording full scale has.
const perStep = 1 << 15

func (h Assessment) quiet() bool { return h.info.PeakLevel*perStep < h.opt.QuietSteps }

// narrow reports whether what is missing from the band is missed.
func (h Assessment) narrow() bool {
	low, high := h.info.LowEdge, h.info.HighEdge
	if high == 0 {
		return false // silent
	}
	telephone := low > h.opt.LowEdge && high < h.opt.HighEdge
	// Without an engine there may have been nothing to hear down there.
	return telephone || high < h.opt.HighCut || h.engine() && low > h.opt.LowCut
}

// evened reports whether the recorder made idle about as loud as full throttle.
// Where something else sounds, or the idle does not stand out, its loudness
// tells nothing.
func (h Assessment) evened() bool {
	if !h.engine() || h.rivalled() || h.spoken() || h.mains > 0 {
		return false
	}
	idle := h.stands.usual(h.stands.slow)
	return idle != nil && *idle >= h.opt.GainClear && len(h.stands.fast) > 0 && h.gap() < h.opt.GainGap
}

// gap gives how much louder full throttle is than idle.
func (h Assessment) gap() engine.Decibel {
	usual := func(x []float64) float64 { return median(append([]float64{}, x...)) }
	return engine.Decibel(usual(h.stands.fastLevel) - usual(h.stands.slowLevel))
}
