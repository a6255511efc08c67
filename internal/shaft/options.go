package shaft

import "topnote/internal/engine"

// Options holds everything that was tuned, and what is known of the sound.
// docs/sensitivity.md says how far each can move before the figures fall.
type Options struct {
	Drowned []Span      // in which something else is louder than the engine: nothing is read there
	Hum     []engine.Hz // mains frequencies of hum that was taken out of the sound, as far as it was steady

	Hop           engine.Seconds // between points
	Stride        int            // hops between frames, a power of two; fewer where neighbouring frames have different line spacings
	Block, Margin engine.Seconds // of sound that is followed at once, and of its neighbours on either side

	Spectra  []FrameConfig // of the sound itself: long windows resolve idle, short ones follow a rise
	Envelope FrameConfig   // of the envelope of the hiss, which pulses with the firing
	Hiss     engine.Hz     // lower edge of that hiss

	MinSpeed, MaxSpeed engine.RPM // the search
	OutOfRange         engine.Hz  // harmonic sound is followed up to here, to tell it from an engine
	PerOctave          int        // points of the search grid in an octave

	EmissionExponent float64 // of the likelihood of one frame: overlapping frames are not independent
	NoEngineScore    float64 // log likelihood of a frame without an engine

	Contrast   ContrastOptions
	Loudness   LoudnessOptions
	Octave     OctaveOptions
	Transition TransitionOptions
	Prior      PriorOptions
	Interferer InterfererOptions
	Refine     RefineOptions
	Gate       GateOptions
	Calls      CallOptions
	Presence   PresenceOptions
	SD         SDOptions
	Stream     StreamOptions
}

// FrameConfig is one kind of frame, and what the levels in it count for. Evidence is
// in natural-log units.
type FrameConfig struct {
	Decimation       int            // the sound is at this fraction of the rate; 0 or 1: at the rate
	Window           engine.Seconds // length of the frame
	Top              engine.Hz      // highest frequency used
	FloorWidth       engine.Hz      // of the running mean that is the noise floor
	Line             ClippedLinear  // evidence of the level at a harmonic
	Gap              ClippedLinear  // evidence of the level half-way between harmonics
	Harmonics        int            // in a comb
	HalfWeightAt     float64        // the harmonic that counts half: weight 1/(1+(j/HalfWeightAt)^2)
	UnresolvedWeight float64        // of the evidence of lines that are not resolved
	ChirpRates       []float64      // d ln f / dt, 1/s, that frames are also warped by, up and down
	Decisive         float64        // evidence of a frame above which it needs no warped one
}

// ContrastOptions says how whole orders are compared with the fractional orders
// beside them.
type ContrastOptions struct {
	Zero        engine.Decibel // contrast from which it is evidence for missed firings
	Slope       float64        // evidence per decibel over that
	Orders      int            // whole orders that are compared
	Limit       engine.Decibel // of one order's contrast, either way: the last line of a series has only noise above it
	MaxDuration engine.Seconds // that the contrast of frames with the same lines counts for: one engine is one sample
}

// TransitionOptions gives the weight of one state following another. Probabilities
// are per hop.
type TransitionOptions struct {
	SteadySD float64 // of the change of log frequency in a hop, throttle held
	MaxRise  float64 // of log frequency while the throttle moves, 1/s; any slower is as likely
	MaxFall  float64 // the same; friction slows a shaft down less fast than fuel speeds it up
	Exponent float64 // on the uniform transition of a sweep; 1 is normalised
	Open     float64 // that the throttle begins to move, each way
	Settle   float64 // that it stops moving
	Flip     float64 // that the firing period changes
	Start    float64 // that an engine begins to sound
	Stop     float64 // that it no longer does
}

// PriorOptions gives the distribution of states before any frame. Speeds are as likely
// on the whole grid: what is known of them counts once for the clip, in OctavePrior.
type PriorOptions struct {
	MissOdds      float64 // of firing every (n+1)th cycle over every nth
	OtherMissOdds float64 // the same for engines other than a two-stroke single
}

// ClippedLinear turns a value into evidence: Slope per unit above Zero, never under
// Low or over High.
type ClippedLinear struct {
	Zero, Slope, Low, High float64
}

// At gives the evidence of a value.
func (c ClippedLinear) At(v float64) float64 { return min(max(c.Slope*(v-c.Zero), c.Low), c.High) }

// Default gives the options that docs/accuracy.md was measured with.
func Default() Options {
	line := ClippedLinear{Zero: 3, Slope: 0.4, Low: -1.5, High: 4}
	gap := ClippedLinear{Zero: 0, Slope: -0.25, Low: -2, High: 0.8}
	short := FrameConfig{
		Window: 0.09, Top: 3400, FloorWidth: 300, Line: line, Gap: gap,
		Harmonics: 28, HalfWeightAt: 12, UnresolvedWeight: 0.5,
	}
	long := short
	long.Window = 2 * short.Window
	short.ChirpRates, short.Decisive = []float64{maxSlew / 3.}, 15
	const envelopeHalf = 2
	envelope := FrameConfig{
		Decimation: 5, Window: long.Window, Top: short.Top, FloorWidth: 200, Line: line, Gap: gap,
		Harmonics: 2 * envelopeHalf, HalfWeightAt: envelopeHalf,
	}
	octave, gate, refine := defaultOctave(), defaultGate(), defaultRefine(short, long)
	return Options{
		Hop: 0.02, Stride: 4, Block: 30, Margin: 2,
		Spectra: []FrameConfig{short, long}, Envelope: envelope, Hiss: 1500,
		MinSpeed: 1200, MaxSpeed: 18000, OutOfRange: 1100, PerOctave: 53,
		EmissionExponent: 0.125, NoEngineScore: -1,
		Contrast: ContrastOptions{
			Zero: 2, Slope: 0.15, Orders: 8, Limit: 8, MaxDuration: 1.5,
		},
		Loudness: defaultLoudness(), Octave: octave, Interferer: defaultInterferer(gate.PeakProminence, long.Window, octave.MaxIdle),
		Refine: refine, Gate: gate, Calls: defaultCalls(), Presence: defaultPresence(),
		Transition: TransitionOptions{
			SteadySD: 0.008, MaxRise: maxSlew, MaxFall: 6.5, Exponent: 0.92,
			Open: 0.0025, Settle: 0.08, Flip: 0.02, Start: 0.01, Stop: 0.005,
		},
		Prior:  PriorOptions{MissOdds: 0.5, OtherMissOdds: 0.05},
		SD:     SDOptions{NoiseFactor: 1.2, UnevennessFactor: 0.5, Min: 0.14},
		Stream: defaultStream(octave),
	}
}
