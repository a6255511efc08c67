package pass

import "topnote/internal/engine"

// Options holds everything that was tuned. Start from Default.
type Options struct {
	// Mending the track.

	MaxSlew    float64        // 1/s: fastest change of the log of speed that a shaft can make; recordings stay under 6, but a rise is read with errors at both ends
	SlewSlack  float64        // of log speed: what noise may add to that between two neighbouring points
	MaxGap     engine.Seconds // a gap up to this is bridged, and readings that go away and come back within it are wrong; a longer gap parts the clip
	MaxSnippet engine.Seconds // a span of known speed shorter than this, alone between gaps, is no engine
	SmoothFor  engine.Seconds // about the length of a frame: of the running median that finds the phases; clean firing may be broken for this long

	// Speeds held.

	HeldFor        engine.Seconds // how long a speed must be held to count as sustained (design: 0.5 s)
	BriefFor       engine.Seconds // how long for a brief excess: short, yet longer than any wrong reading of one frame; drift is fitted to medians of blocks this long, so that their errors are their own
	HeldShare      float64        // 0 to 1: share of the points that must reach the held speed
	HeldBand       float64        // of speed: how far readings of one speed scatter: an oscillation is deeper, a point that falls short by less reaches a held speed, the middle 80 % of a pinned one are within it, and a band changes only beyond it
	MinTold        float64        // 0 to 1: share of points with a speed that a held speed needs
	CoverageFactor float64        // standard deviations on either side that an honest claim allows for (design: 2)
	FirmSD         float64        // of speed: a held speed whose readings scatter more is not calm, one with a larger standard deviation only doubt
	PreciseSD      float64        // of speed: a held speed with a larger standard deviation is too unsure to be told at a limit
	MinConfidence  float64        // 0 to 1: readings with less are more likely wrong than right
	CorrelatedFor  engine.Seconds // points closer than this share their errors: frames overlap
	FloorSD        float64        // of speed: clock of the telephone (0.02 %) and a hand that moves at 0.5 m/s (0.15 %)

	// Cutting into phases.

	FastFloor2  engine.RPM     // two-stroke: a clip that never holds this much never left idle (common practice: clutches take up by 4,500); a slow span above it is a throttle held partly open
	FastFloor4  engine.RPM     // four-stroke: the same (common practice: governed machines race above 2,800)
	FastShare   float64        // of the clip's top: above it a span is fast, but HighShare of the floor above is slow in any case, unless that is
	NearTop     float64        // of the clip's top
	MaxBlip     engine.Seconds // fast or slow spans shorter than this are dropped
	HighShare   float64        // of the span's top: below it the engine is pulled down; of the speed at which a span became fast: below it it is slow again
	PulledShare float64        // of the span's top: below it the throttle was let off (load takes at most two fifths)
	MinPlateau  engine.Seconds // shortest span at the top that is full throttle; a speed that is held has a part this long in which
	MinCut      engine.Seconds // shortest span pulled down that is a cut; a shorter one is a snag. No cut is slower than the floor
	CutTilt     float64        // of speed: how much a cut may fall or rise across its middle; more is a throttle in motion
	CalmRange   float64        // it stays within this share of itself
	MinPart     engine.Seconds // shortest steady part before the top that is a part throttle and not a slow rise
	SameTop     float64        // of the clip's top: a fast span that never gets this high is no full throttle at no load
	NearIdle    float64        // times the settled idle: below it the speed is back at idle
	FallSlope   float64        // 1/s: a fall that has become slower than this in log speed has ended
	MaxCrank    engine.RPM     // speeds below it, out of silence, are the starter turning the engine
	CrankShare  float64        // of the idle that follows: the same, where there is an idle
	SilenceFor  engine.Seconds // a gap this long inside a clip is taken for a stopped engine

	// Measuring.

	LeaveShare         float64        // of the way from idle to top: where a rise begins
	TopShare           float64        // of the top: where a rise ends and a fall begins (design: 90 %)
	RiseBefore         engine.Seconds // how far before a rise a sag on opening is looked for
	SagDepth           float64        // of idle: by how much a fall of speed on opening must go beyond the wander of that idle to be a sag
	SettleFor          engine.Seconds // after the top is reached: overshoot, and firing that has not settled
	CreepFor           engine.Seconds // after the top is reached: still creeping up; later: drift
	MinIdle            engine.Seconds // shortest settled idle that is measured
	SettledBand        float64        // of idle: one that is further above its end is still settling; idles wander by 1 % or so while they are held
	IdleBand           float64        // of idle: points further off are blips of the throttle, not idle
	HangFrom           float64        // times the settled idle: below it a falling speed is hanging rather than falling
	MinPeriod          engine.Seconds // shortest period of hunting or surging; quicker is firing
	MaxPeriod          engine.Seconds // longest period looked for; slower is drift
	MinPeriodicity     float64        // 0 to 1: least autocorrelation at one period
	LoadBand           float64        // of the sustained speed: slower than it by more is a light load, or a throttle not quite open
	FullBand           float64        // of the sustained speed: within it the speed is full
	FiringFor          engine.Seconds // how long a way of firing keeps at the least: what is told within it is told once (recordings flip two or three times a second)
	BackShare          float64        // of the top: where an engine that comes out of the wood is back
	MinAlternative     float64        // 0 to 1: least mean share of a second reading that is kept
	AlternativeCluster float64        // of log speed: second readings closer than this are the same

	// The stutter of a coil that limits speed.

	MinStutter    engine.Seconds // of full speed without a break
	StutterPart   engine.Seconds // the same, where the rest of the full speed is not pinned
	MinBurstRate  engine.Hz      // slowest and
	MaxBurstRate  engine.Hz      // fastest bursts
	MinBurstDepth float64        // 0 to 1: least depth of the bursts; those of 1.5 in 100 clean engines held as still seem as deep, those of 1 in 100 of the weakest coils less
	StutterUnsure float64        // 0 to 1: belief when the speed is pinned and the firing cannot be told
}

// Default gives the options that the tests and docs/verdicts.md hold for.
func Default() Options {
	return Options{
		MaxSlew: 10, SlewSlack: 0.1, MaxGap: 0.5, MaxSnippet: 0.3, SmoothFor: 0.1,

		HeldFor: 0.5, BriefFor: 0.2, HeldShare: 0.8, HeldBand: 0.015, MinTold: 0.7,
		CoverageFactor: 2, FirmSD: 0.04, PreciseSD: 0.0075, MinConfidence: 0.5, CorrelatedFor: 0.1, FloorSD: 0.0015,

		FastFloor2: 5000, FastFloor4: 2600, FastShare: 0.55, NearTop: 0.85, MaxBlip: 0.15,
		HighShare: 0.9, PulledShare: 0.6, MinPlateau: 0.4, MinCut: 0.5, CutTilt: 0.15, CalmRange: 0.06,
		MinPart: 1, SameTop: 0.75, NearIdle: 1.12, FallSlope: 0.35, MaxCrank: 1800, CrankShare: 0.85, SilenceFor: 1.5,

		LeaveShare: 0.05, TopShare: 0.9, RiseBefore: 0.4, SagDepth: 0.04, SettleFor: 0.4, CreepFor: 1, MinIdle: 1, SettledBand: 0.02, IdleBand: 0.25,
		HangFrom: 1.7, MinPeriod: 0.16, MaxPeriod: 4, MinPeriodicity: 0.5, LoadBand: 0.06, FullBand: 0.03, FiringFor: 0.3, BackShare: 0.95,
		MinAlternative: 0.02, AlternativeCluster: 0.05,

		MinStutter: 0.6, StutterPart: 1, MinBurstRate: 1.5, MaxBurstRate: 40,
		MinBurstDepth: 0.08, StutterUnsure: 0.45,
	}
}
