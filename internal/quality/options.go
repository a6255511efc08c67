package quality

import (
	"topnote/internal/engine"
)

// Options holds everything that was tuned. Start from Default. "Measured" is by
// the tests of this package: over simulated passes, with the damage and
// without, and over field recordings.
type Options struct {
	// Looking.

	Hop        engine.Seconds // between looks
	Window     engine.Seconds // of a look: lines of an idle that fires every second turn, 23 Hz apart, stand apart in it
	Size       int            // of the transform
	Top        engine.Hz      // highest line looked at: the top of a telephone's band
	SlopeOver  engine.Seconds // on either side of a look, over which the change of speed is read
	MaxSlope   float64        // 1/s, of ln speed: faster changes smear the lines even when they are followed
	MaxSettled float64        // 1/s: an idle changes no faster; what does is on its way up or down
	FastFrom   float64        // of the top speed: from here on full throttle
	SlowTo     float64        // of the top speed: up to here idle
	HeardFrom  engine.Seconds // of engine: under it there is none, and nothing is said of one (as verdict.Options.HeardLeast)

	// The engine over the background. In noise alone the figure is about 3 dB,
	// as the highest of three bins is taken for a line.

	ClearLines int            // lines looked at
	GapShare   float64        // of the spacing, on either side of the middle between two lines: what counts as between
	ClearFast  engine.Decibel // at full throttle: under it noise is a problem; field recordings have 13 to 29 (measured)
	ClearSlow  engine.Decibel // at idle: the same; with 10 nothing is lost, with 8 a tenth of all readings (measured)
	LostLoud   engine.Decibel // a stretch without a speed no softer than full throttle by this would hide an idle, which is 8 to 24 dB softer (measured on recordings)
	LostFor    engine.Seconds // of such stretches before noise is a problem

	// The recorder.

	ClippedOver float64   // of samples at the rails, percent: more than stray peaks, as clip.Options.ClippedOver has it
	QuietSteps  float64   // loudest sample, in steps of a 16-bit recording: under it the idle begins to drown in the rounding (measured: at 18 steps nothing is lost, at 8 one reading in ten, at 4 four)
	LowEdge     engine.Hz // a band that begins above it and ends below HighEdge is a telephone's
	HighEdge    engine.Hz
	LowCut      engine.Hz      // a band that begins above this has lost the fundamental of any engine
	HighCut     engine.Hz      // a band that ends below this has lost lines that the speed is read from
	GainGap     engine.Decibel // full throttle over idle: under it the recorder has evened the level out; natural are 8 to 24 dB, 4 and less are left by a gain control (measured)
	GainClear   engine.Decibel // as far the idle has to stand out, or its loudness is that of the background

	// What else sounds.

	RumbleTo   engine.Hz      // gusts are heard below the lines of an engine, up to here,
	EngineFrom engine.Hz      // and the engine from here
	GustShare  float64        // 0 to 1: share of the looks that is gusts, and as much lulls
	GustOver   engine.Decibel // gusts over the engine where that is loud, from which wind is a problem
	GustSpread engine.Decibel // gusts over lulls: wind comes and goes, a steady rumble is noise

	RivalSlow, RivalFast engine.RPM     // speeds of a second engine
	RivalStep            float64        // of the search grid, relative
	RivalLines           int            // lines looked at
	MinRival             int            // of them that the first engine must leave free
	RivalMask            engine.Hz      // on either side of a line of the first engine that is not looked at,
	RivalMaskBy          float64        // and of its frequency
	RivalRoom            engine.Hz      // between the lines of the first engine, under which there is no room for another's: at idle
	RivalCap             engine.Decibel // a line over the floor counts no more than this
	RivalZero            engine.Decibel // level of a line in noise alone
	RivalApart           float64        // how far its speed must be off simple fractions of the first engine's, relative,
	RivalOwn             float64        // 0 to 1: in all but this share of the looks
	RivalNear            int            // steps of the grid on either side that it must stand out of: lines are that wide
	RivalBlock           int            // looks; over two blocks in a row a second engine is looked for that changes speed
	RivalLooks           int            // at which the engine was heard: fewer tell nothing of the whole clip
	RivalOver            engine.Decibel // mean height over the whole clip from which there is a second engine
	RivalWhile           engine.Decibel // the same over two blocks, over which chance is wider
	RivalHeard           float64        // 0 to 1: share of the looks in which it must have been possible to hear it

	// A voice: syllables, and a pitch.

	SpeechStep                 engine.Seconds // between readings of the loudness
	SpeechWindow               engine.Seconds // of a judgement
	SyllableSlow, SyllableFast engine.Hz      // rhythm of syllables
	SyllableSwing              engine.Decibel // least swing in that rhythm, middle to top; engines swing by 2 and, as they start or stop, by more (measured)
	PitchLow, PitchHigh        engine.Hz      // of voices, a little beyond them
	PitchWindow, PitchStep     engine.Seconds // of a look for a pitch, and between looks
	PitchLike                  float64        // 0 to 1: likeness of one period to the next
	PitchShare                 float64        // 0 to 1: least share of the window with a pitch
	SpeechFor                  engine.Seconds // of speech before it is a problem; the start of an engine may pass for one window of it (measured)

	// VoiceClear is how much louder than the louder syllables of a voice the engine
	// must be for its firing to be told. Chosen on 8 simulated clean passes with a
	// voice at 8 levels: it made the firing wrong up to 4.7 dB, and no more wrong
	// than without it from 6.2 dB on. On 6 others, with 4 other voices at 5 levels,
	// a clean pass passed for four-stroking 6 times of 120 without it, never with it.
	VoiceClear engine.Decibel

	// Widen is by how much a problem makes the standard deviations of the
	// readings larger than they say by themselves; the largest counts. They know
	// the noise beside each line but not what bends it. Measured (TestHarm):
	// largest error of the held speed over six passes, against 0.1 % without
	// damage: another engine 12 dB softer 3 %, noise 1 %, a voice 11 %, clipping
	// 0.3 %. What is a tenth off is for Mistaken; the factors are for the rest.
	Widen map[Code]float64

	// FiringSD is what a problem adds to the standard deviation of a share of
	// four-stroking, 0 to 1; the largest counts. Measured on samples/mixed.wav
	// only, so it is a rough figure: 0.38 off in pink noise as loud as the engine,
	// 0.12 in half of it. docs/recording.md has the table.
	FiringSD map[Code]float64

	// MistakenClear is how much less than the first engine, at full throttle,
	// another one may stand out and still be taken for it, dB; see Mistaken.
	MistakenClear engine.Decibel

	// Mistaken, 0 to 1, is what is left of the belief in readings that may be
	// another engine's, or a voice's while somebody speaks: so little that no verdict is built on them, except that
	// the engine runs too fast.
	Mistaken float64
}

// Default gives the options that the tests hold for.
func Default() Options {
	return Options{
		Hop: 0.2, Window: 0.25, Size: 2048, Top: 3400, SlopeOver: 0.1, MaxSlope: 1, MaxSettled: 0.2,
		FastFrom: 0.85, SlowTo: 0.45, HeardFrom: 0.5,

		ClearLines: 12, GapShare: 0.2, ClearFast: 11, ClearSlow: 9, LostLoud: 12, LostFor: 1,

		ClippedOver: 0.5, QuietSteps: 32, LowEdge: 140, HighEdge: 4300, LowCut: 220, HighCut: 3000,
		GainGap: 5.5, GainClear: 9.5,

		RumbleTo: 50, EngineFrom: 100, GustShare: 0.2, GustOver: -4, GustSpread: 7,

		RivalSlow: 1200, RivalFast: 18000, RivalStep: 0.01, RivalLines: 10, MinRival: 3,
		RivalMask: 10, RivalMaskBy: 0.006, RivalRoom: 40, RivalCap: 15, RivalZero: 3, RivalApart: 0.012, RivalOwn: 0.3, RivalNear: 4, RivalBlock: 5, RivalLooks: 15, RivalOver: 5, RivalWhile: 7.3, RivalHeard: 0.4,

		SpeechStep: 0.016, SpeechWindow: 1, SyllableSlow: 3, SyllableFast: 7, SyllableSwing: 4,
		PitchLow: 75, PitchHigh: 330, PitchWindow: 0.04, PitchStep: 0.02, PitchLike: 0.65, PitchShare: 0.2, SpeechFor: 1.4,
		VoiceClear: 6,

		Widen:         map[Code]float64{MoreThanOneEngine: 3, Noise: 2, Speech: 2, TooQuiet: 2, Clipping: 1.5},
		FiringSD:      map[Code]float64{MoreThanOneEngine: 0.2, Noise: 0.2},
		MistakenClear: 6, Mistaken: 0.2,
	}
}
