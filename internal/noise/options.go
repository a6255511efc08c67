package noise

import "topnote/internal/engine"

// Options holds everything that was tuned, but for the mains. Start from Default.
// "Measured" is by the tests of this package and of quality: over simulated
// passes, with the damage and without, and over field recordings.
type Options struct {
	// Levels and wind.

	Hop        engine.Seconds // of the levels
	RumbleTo   engine.Hz      // gusts are below the lines of an engine, up to here,
	EngineFrom engine.Hz      // and the engine from here
	GustShare  float64        // 0 to 1: share of the hops that is gusts, and as much lulls
	GustOver   engine.Decibel // gusts over the engine where that is loud, from which it is wind
	GustSpread engine.Decibel // gusts over lulls: wind comes and goes, a steady rumble is noise

	// A voice: syllables, and a pitch.

	SpeechStep                 engine.Seconds // of the levels in the bands of a voice
	SpeechWindow               engine.Seconds // of a judgement
	SyllableSlow, SyllableFast engine.Hz      // rates of syllables
	MinModulation              engine.Decibel // at these rates, middle to top; engines have 2 and, as they start or stop, more (measured)
	PitchLow, PitchHigh        engine.Hz      // of voices, a little beyond them
	PitchWindow, PitchStep     engine.Seconds // that a pitch is looked for in, and between two of them
	MinPitch                   float64        // 0 to 1: correlation of one period with the next
	MinVoiced                  float64        // 0 to 1: share of the window with a pitch
}

// Default gives the options that the tests hold for.
func Default() Options {
	return Options{
		Hop: 0.2, RumbleTo: 50, EngineFrom: 100, GustShare: 0.2, GustOver: -4, GustSpread: 7,

		SpeechStep: 0.016, SpeechWindow: 1, SyllableSlow: 3, SyllableFast: 7, MinModulation: 4,
		PitchLow: 75, PitchHigh: 330, PitchWindow: 0.04, PitchStep: 0.02, MinPitch: 0.65, MinVoiced: 0.2,
	}
}
