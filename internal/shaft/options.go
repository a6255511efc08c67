package shaft

import "topnote/internal/engine"

// FrameConfig is one way of looking at the sound: a kind of frame, and what the
// levels in it count for.
type FrameConfig struct {
	Decimated int            // the sound is at this fraction of the rate; 0 or 1: at the rate
	Window    engine.Seconds // length of the frame
	Size      int            // of the transform
	Top       engine.Hz      // highest line looked at
	Floor     engine.Hz      // width of the running mean that is taken for noise
	Line      ClippedLinear  // evidence of the level where a line should stand
	Gap       ClippedLinear  // evidence of the level half-way between lines
	HalfAt    float64        // how many lines of a comb count: the one that counts half
	Lines     int            // how many lines of a comb are looked at
	Resolve   float64        // window times line spacing under which lines run together
	Weight    float64        // of this view's evidence beside the others
	Blur      float64
	Sure      float64   // evidence at which a frame needs no other slope
	Slopes    []float64 // d ln f / dt, 1/s, that frames are also taken for
}

// Options holds everything that was tuned. docs/method.md says how far each
// can move before the figures fall.
type Options struct {
	Hop      engine.Seconds // between points
	Stride   int            // hops between looks, a power of two; fewer where they do not hear the same lines
	Block    engine.Seconds // that is followed at once
	Margin   engine.Seconds // that it sees of its neighbours, either side
	Spectra  []FrameConfig  // of the sound itself: long windows resolve idle, short ones follow a rise
	Envelope FrameConfig    // of the strength of the hiss, which beats with the firing
	Hiss     engine.Hz      // lower edge of that hiss

	Slowest, Fastest engine.RPM // the search
	OutOfRange       engine.Hz  // harmonic sound is followed up to here, to tell it from an engine
	PerOctave        int        // steps of the search grid in an octave

	Contrast            ClippedLinear  // evidence, for missed firing, of whole orders over fractional ones
	LevelLow, LevelHigh engine.Decibel // what a level counts at the least and most in a contrast
	ContrastOrders      int            // whole orders that a contrast looks at
	MaxContrast         engine.Decibel // that one of them counts, either way: the last line of a series stands over nothing
	ContrastWhile       engine.Seconds // of a stretch that hears the same lines, that its contrast counts for: one engine is one draw
	EmissionExponent    float64        // weight of one frame's evidence; frames overlap and so repeat each other

	RefineSize   int       // of the transform
	RefineShort  float64   // s, least length of the window
	RefineLong   float64   // s, greatest length
	RefineCycles float64   // line spacings in a window in between
	RefineTaper  float64   // power of the half sine that the window is
	RefineLines  int       // lines looked at: higher ones tell more in noise, but jitter blurs them first
	RefineMore   int       // and so many more for each turn that a firing is missed
	GroupDelay   float64   // cycles of a line by which it comes late
	RefineMoves  float64   // of ln speed, 1/s: from here on points are read twice, and unclear ends of runs trimmed
	RefineStill  float64   // of ln speed, 1/s: up to here lines within RefineMask of a mask are left out
	RefineMask   engine.Hz // see RefineStill
	RefineLeave  float64   // where this share of the lines or less are
	RefineReach  float64   // how far from the lattice's frequency, relative
	RefineStep   float64   // of the search
	PriorSD      float64   // standard deviation of the lattice's frequency, relative
	RefineAgree  float64   // of ln speed: points two hops apart that agree so well have the one between them half-way
	RefineSNR    float64   // least power of a line over the noise beside it
	Loudness     Loudness
	Octave       OctaveOptions
	Interferer   InterfererOptions
	Presence
	SDNoise  float64   // claimed standard deviation for each one that the noise explains
	SDWander float64   // for each one of the unevenness of the speed around
	SDLeast  engine.Hz // least standard deviation claimed, of the firing frequency

	SteadySD           float64    // of the change of log frequency in a hop, held throttle
	FastestRise        float64    // of log frequency while the throttle moves, 1/s; any slower is as likely
	FastestFall        float64    // the same; friction slows a shaft down less fast than fuel speeds it up
	TransitionExponent float64    // power of what a step of a sweep costs, a choice out of so many frequencies: steps of one sweep are alike, and cost less
	Open               float64    // chance in a hop that the throttle begins to move, each way
	Hold               float64    // chance in a hop that it comes to rest
	Flip               float64    // chance that the firing period changes in a hop
	Start              float64    // chance in a hop that an engine begins to be heard
	Stop               float64    // chance in a hop that it is no longer heard
	Periods            [4]float64 // prior share of firing every 1st to 4th
	OtherPeriods       [4]float64 // the same for other engines than a two-stroke single

	// Where a shaft is likely to be met before anything is heard: around idle,
	// around the top, or anywhere.
	IdleAt, TopAt         engine.RPM // used where the user entered nothing
	IdleShare, TopShare   float64
	IdleSpread, TopSpread float64 // standard deviation of ln speed
	NoEngineScore         float64 // evidence that sound without an engine gets
}

// ClippedLinear turns a level over the floor into evidence: Slope per decibel above
// Zero, never under Low or over High. Natural-log units.
type ClippedLinear struct {
	Zero, Slope, Low, High float64
}

// At gives the evidence of a value.
func (r ClippedLinear) At(v float64) float64 { return min(max(r.Slope*(v-r.Zero), r.Low), r.High) }

func (r ClippedLinear) at(level float32) float32 {
	return float32(min(max(r.Slope*(float64(level)-r.Zero), r.Low), r.High))
}

// Default gives the options that docs/accuracy.md was measured with.
func Default() Options {
	line := ClippedLinear{Zero: 3, Slope: 0.4, Low: -1.5, High: 4}
	gap := ClippedLinear{Zero: 0, Slope: -0.25, Low: -2, High: 0.8}
	v := FrameConfig{Window: 0.09, Size: 1024, Top: 3400, Floor: 300, Line: line, Gap: gap, HalfAt: 12, Lines: 28, Resolve: 2.2, Weight: 0.5, Blur: 0.5}
	long := v
	long.Window = 0.18
	long.Size = 2048
	v.Slopes = []float64{2.5, 5}
	v.Sure = 15
	return Options{
		Hop: 0.02, Stride: 4, Block: 30, Margin: 2, Spectra: []FrameConfig{v, long}, Hiss: 1500,
		Envelope: FrameConfig{Decimated: 5, Window: 0.18, Size: 512, Top: 780, Floor: 200, Line: line, Gap: gap, HalfAt: 2, Lines: 4, Resolve: 2.2, Weight: 0.5},
		Slowest:  1200, Fastest: 18000, OutOfRange: 1100, PerOctave: 53,
		EmissionExponent: 0.25,
		Contrast:         ClippedLinear{Zero: 1, Slope: 0.15, Low: -6, High: 4}, LevelLow: -5, LevelHigh: 40, ContrastOrders: 8, MaxContrast: 8, ContrastWhile: 1.5,
		RefineSize: 2048, RefineShort: 0.09, RefineLong: 0.2, RefineCycles: 6, RefineTaper: 1.25, RefineLines: 12, RefineMore: 3, GroupDelay: 0.5, RefineMoves: 1, RefineStill: 0.5, RefineMask: 8, RefineLeave: 0.3,
		RefineReach: 0.04, RefineStep: 0.002, PriorSD: 0.02, RefineAgree: 0.01, RefineSNR: 6, SDNoise: 1.2, SDWander: 0.5, SDLeast: 0.14,
		Presence: Presence{ClearLines: 12, ClearOver: 1, MinClear: 2, ClearSomewhere: 5, ShortestRun: 0.8, Unbroken: 1.5, ClearThroughout: 1.5,
			StepOver: 0.04, StepIn: 0.2, StepStill: 0.1, StillUnder: 0.005, MinSteps: 3, StepEvery: 2},
		Octave:     defaultOctave(),
		Interferer: InterfererOptions{Level: 5, Share: 0.85, MinLines: 3, Slow: 40, Width: 14, Keeps: 0.4, Same: 0.25, Moves: 1.5, Owned: 0.6, Near: 8, Tolerance: 4},
		Loudness:   Loudness{Window: 0.2, Quiet: 7, Loud: 4, Divide: 5500, Blur: 0.15, Slope: 0.02, Max: 0.15},
		SteadySD:   0.008, FastestRise: 8, FastestFall: 6.5, TransitionExponent: 0.92, Open: 0.0025, Hold: 0.08,
		Flip: 0.02, Start: 0.01, Stop: 0.005,
		Periods: [4]float64{0.5, 0.3, 0.12, 0.08}, OtherPeriods: [4]float64{0.94, 0.03, 0.02, 0.01}, NoEngineScore: -1,
		IdleAt: 2800, TopAt: 11500, IdleShare: 0.4, TopShare: 0.4, IdleSpread: 0.2, TopSpread: 0.25,
	}
}
