package quality

import (
	"topnote/internal/engine"
	"topnote/internal/pass"
)

// facts is what a rule can ask about.
type facts struct {
	Assessment
	pass.Summary
}

// rule is one problem: when it is there, and what is said of it.
type rule struct {
	code Code
	when func(facts) bool
	says func(facts) Problem
}

// rules are gone through in this order, the most harmful first. What is said of
// an engine holds only where one is heard.
var rules = []rule{
	{MoreThanOneEngine, facts.rivalled, saysRival},
	{Noise, facts.noisy, saysNoise},
	{Speech, facts.spoken, saysSpeech},
	{TooQuiet, facts.quiet, saysQuiet},
	{TooShort, facts.short, saysShort},
	{ShortPlateau, facts.shortPlateau, saysPlateau},
	{NoIdle, func(f facts) bool { return f.engine() && !f.short() && f.Idle == nil }, saysNoIdle},
	{Wind, func(f facts) bool {
		return f.engine() && f.rumble.over >= f.opt.GustOver && f.rumble.spread >= f.opt.GustSpread
	}, saysWind},
	{Hum, func(f facts) bool { return f.mains > 0 }, saysHum},
	{NarrowBand, facts.narrow, saysNarrow},
	{Clipping, func(f facts) bool { return f.info.ClippedPct >= f.opt.ClippedOver }, saysClipping},
	{AutomaticGain, facts.evened, saysGain},
}

func (f facts) engine() bool { return f.told >= f.opt.HeardFrom }

func (f facts) rivalled() bool { return f.engine() && f.rival().height > 0 }

// rival gives the other engine; a height of 0: none. What is there for a while
// only, and has a voice's pitch, is a voice.
func (f facts) rival() interferer {
	switch {
	case f.always.height >= float64(f.opt.RivalOver):
		return f.always
	case f.while.height >= float64(f.opt.RivalWhile) && f.speech.length() < f.opt.SpeechFor:
		return f.while
	}
	return interferer{}
}

func (f facts) spoken() bool { return f.voiced() && !f.rivalled() }

// voiced reports whether there is a voice, or something that sounds like one.
func (f facts) voiced() bool { return f.engine() && f.speech.length() >= f.opt.SpeechFor }

// mistaken reports whether the other engine may be the one that was followed: it
// stands out about as much, and the followed speed never was an idle.
func (f facts) mistaken() bool {
	if !f.rivalled() || f.stands.usual(f.stands.slow) != nil {
		return false
	}
	fast := f.stands.usual(f.stands.fast)
	return fast == nil || engine.Decibel(f.rival().clear) >= *fast-f.opt.MistakenClear
}

// noisy reports whether the engine stands out too little, at full throttle or
// at idle, or is lost in what is as loud.
func (f facts) noisy() bool {
	return f.engine() && (f.lost >= f.opt.LostFor || f.dull(f.stands.fast, f.opt.ClearFast) || f.dull(f.stands.slow, f.opt.ClearSlow))
}

// dull reports whether the lines stand out by less than they ought to.
func (f facts) dull(clear []float64, least engine.Decibel) bool {
	v := f.stands.usual(clear)
	return v != nil && *v < least
}

// perStep is how many steps of a 16-bit recording full scale has.
const perStep = 1 << 15

func (f facts) quiet() bool { return f.info.PeakLevel*perStep < f.opt.QuietSteps }

// short reports whether what was recorded is too short for a pass.
func (f facts) short() bool {
	if !f.engine() {
		return f.info.Duration < f.opt.MinPass
	}
	return f.told < f.opt.MinPass
}

// plateau gives the longest time at full throttle without load.
func (f facts) plateau() engine.Seconds {
	var longest engine.Seconds
	for _, p := range f.Plateaus {
		longest = max(longest, p.HeardFor)
	}
	return longest
}

func (f facts) shortPlateau() bool {
	return f.engine() && !f.short() && f.plateau() < f.opt.MinPlateau
}

// narrow reports whether what is missing from the band is missed.
func (f facts) narrow() bool {
	low, high := f.info.LowEdge, f.info.HighEdge
	if high == 0 {
		return false // silent
	}
	telephone := low > f.opt.LowEdge && high < f.opt.HighEdge
	// Without an engine there may have been nothing to hear down there.
	return telephone || high < f.opt.HighCut || f.engine() && low > f.opt.LowCut
}

// evened reports whether the recorder made idle about as loud as full throttle.
// Where something else sounds, or the idle does not stand out, its loudness
// tells nothing.
func (f facts) evened() bool {
	if !f.engine() || f.rivalled() || f.spoken() || f.mains > 0 {
		return false
	}
	idle := f.stands.usual(f.stands.slow)
	return idle != nil && *idle >= f.opt.GainClear && len(f.stands.fast) > 0 && f.gap() < f.opt.GainGap
}

// gap gives how much louder full throttle is than idle.
func (f facts) gap() engine.Decibel {
	usual := func(x []float64) float64 { return median(append([]float64{}, x...)) }
	return engine.Decibel(usual(f.stands.fastLevel) - usual(f.stands.slowLevel))
}
