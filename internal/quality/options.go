package quality

import "topnote/internal/engine"

// Options holds everything that was tuned. Start from Default. "Measured" is by
// the tests of this package: over simulated passes, with the damage and
// without, and over field recordings.
type Options struct {
	// Frames along the track.

	Window       engine.Seconds // of a frame: it resolves the lines of an idle that fires every second turn, 23 Hz apart
	Top          engine.Hz      // highest line: the top of a telephone's band
	SlopeOver    engine.Seconds // on either side of a frame, over which the change of speed is read
	MaxSlope     float64        // 1/s, of ln speed: faster changes smear the lines even when they are followed
	MaxIdleSlope float64        // 1/s: an idle changes no faster; what does is on its way up or down
	FullShare    float64        // of the top speed: from here on full throttle
	IdleShare    float64        // of the top speed: up to here idle
	MinEngine    engine.Seconds // of engine: under it there is none, and nothing is said of one (as verdict.Options.MinHeard)

	// The engine over the background. In noise alone the prominence is about 3 dB,
	// as the highest of three bins is taken for a line.

	Lines     int            // of the engine
	GapShare  float64        // of the spacing, on either side of the middle between two lines: what counts as between
	MinFull   engine.Decibel // prominence at full throttle: under it noise is a problem; field recordings have 13 to 29 (measured)
	MinIdle   engine.Decibel // at idle: the same; with 10 nothing is lost, with 8 a tenth of all readings (measured)
	LostBelow engine.Decibel // a time without a speed no softer than full throttle by this would hide an idle, which is 8 to 24 dB softer (measured on recordings)
	MaxLost   engine.Seconds // of such times before noise is a problem

	// The recorder.

	MaxPaired     float64   // of samples equal two by two, percent: two channels of one sound, labelled as one, have nearly all, any other sound nearly none
	MaxSpoilt     float64   // of samples at full scale, or of sound that repeats the buffer before, percent: more than stray peaks (as clip.Options.SpoiltOver)
	MinPeak       float64   // loudest sample, in steps of a 16-bit recording: under it the idle begins to drown in the rounding (measured: at 18 steps nothing is lost, at 8 one reading in ten, at 4 four)
	TelephoneFrom engine.Hz // a band that begins above it and ends below TelephoneTo is a telephone's
	TelephoneTo   engine.Hz
	MaxLowEdge    engine.Hz      // a band that begins above this has lost the fundamental of any engine
	MinHighEdge   engine.Hz      // a band that ends below this has lost lines that the speed is read from
	MinLevelRange engine.Decibel // full throttle over idle: under it the recorder has levelled it; natural are 8 to 24 dB, 4 and less are left by a gain control (measured)

	// What else sounds.

	Comb       CombOptions
	MinSteady  engine.Decibel // height of an interferer over the whole clip
	MinPassing engine.Decibel // the same over two blocks, over which chance is wider
	MaxSpeech  engine.Seconds // of speech before it is a problem; the start of an engine may pass for one window of it (measured)

	// SpeechEdge is how long before a time that is found to be spoken in, and after
	// it, somebody may speak: a window of syllables has to be half full.
	SpeechEdge engine.Seconds

	// SpeechMargin is how much louder than the louder syllables of a voice the
	// engine must be for its firing to be told, and how much less prominent than the
	// first engine, at full throttle, another one may be and still be taken for it, dB. Chosen on 8 simulated clean passes
	// with a voice at 8 levels: it made the firing wrong up to 4.7 dB, and no more
	// wrong than without it from 6.2 dB on. On 6 others, with 4 other voices at 5
	// levels, a clean pass passed for four-stroking 6 times of 120 without it, never
	// with it.
	SpeechMargin engine.Decibel

	// FiringShareSD is what a problem adds to the standard deviation of a share of
	// four-stroking, 0 to 1; the largest counts. Measured on samples/mixed.wav
	// only, so it is a rough figure: 0.38 off in pink noise as loud as the engine,
	// 0.12 in half of it. docs/recording.md has the table.
	FiringShareSD map[Code]float64

	// MistakenShare, 0 to 1, is what is left of the confidence in readings that may
	// be another engine's, or a voice's while somebody speaks: of made passes, 69 in
	// 100 of them are right (go test ./internal/measure -run 'TestMachines$' -v -runs 600).
	MistakenShare float64
}

// Default gives the options that the tests hold for.
func Default() Options {
	return Options{
		Window: 0.25, Top: 3400, SlopeOver: 0.1, MaxSlope: 1, MaxIdleSlope: 0.2,
		FullShare: 0.85, IdleShare: 0.55, MinEngine: 0.5,

		Lines: 12, GapShare: 0.2, MinFull: 11, MinIdle: 9, LostBelow: 12, MaxLost: 1,

		MaxPaired: 50, MaxSpoilt: 0.5, MinPeak: 32, TelephoneFrom: 140, TelephoneTo: 4300, MaxLowEdge: 220, MinHighEdge: 3000,
		MinLevelRange: 5.5,

		Comb: CombOptions{
			Slowest: 1200, Fastest: 18000, Step: 0.01, MinLines: 3,
			MaskWidth: 10, MaxHeight: 15, NoiseHeight: 3,
			MaxOwn: 0.5, Block: 5, MinShare: 0.5,
		},
		MinSteady: 5, MinPassing: 7.3, MaxSpeech: 1.4, SpeechEdge: 0.5, SpeechMargin: 6,

		FiringShareSD: map[Code]float64{MoreThanOneEngine: 0.2, Noise: 0.2},
		MistakenShare: 0.7,
	}
}
