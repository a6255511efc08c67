package pass

import "topnote/internal/engine"

// Options holds everything that was tuned. Start from Default.
type Options struct {
	// Mending the track.

	MaxSlew   float64        // 1/s: fastest change of the log of speed that a shaft can make; recordings stay under 6, but a rise is read with errors at both ends
	SmoothFor engine.Seconds // about the length of a frame: of the running median that finds the phases; clean firing may be broken for this long

	// Speeds held.

	HeldFor        engine.Seconds // how long a speed must be held to count as sustained (design: 0.5 s)
	BriefFor       engine.Seconds // how long for a brief excess: short, yet longer than any wrong reading of one frame; drift is fitted to medians of blocks this long, so that their errors are their own
	HeldShare      float64        // 0 to 1: share of the points that must reach the held speed
	HeldBand       float64        // of speed: how far readings of one speed scatter: an oscillation is deeper, a point that falls short by less reaches a held speed, the middle 80 % of a pinned one are within it, and a band changes only beyond it
	CoverageFactor float64        // standard deviations on either side that an honest claim allows for (design: 2)
	MinConfidence  float64        // 0 to 1: readings with less are more likely wrong than right
	CorrelatedFor  engine.Seconds // points closer than this share their errors: frames overlap
	FloorSD        float64        // of speed: clock of the telephone (0.02 %), and a hand or a machine that sways at 0.2 m/s (0.06 %)

	// Cutting into phases.

	FastFloor2  engine.RPM     // two-stroke: a clip that never holds this much never left idle (common practice: clutches take up by 4,500); a slow span above it is a throttle held partly open
	FastFloor4  engine.RPM     // four-stroke: the same (common practice: governed machines race above 2,800)
	FastShare   float64        // of the clip's top: above it a span is fast, but HighShare of the floor above is slow in any case, unless that is
	NearTop     float64        // of the clip's top
	HighShare   float64        // of the span's top: below it the engine is pulled down; of the speed at which a span became fast: below it it is slow again
	PulledShare float64        // of the span's top: below it the throttle was let off (load takes at most two fifths)
	MinPlateau  engine.Seconds // shortest span at the top that is full throttle; a speed that is held has a part this long in which
	MinCut      engine.Seconds // shortest span pulled down that is a cut; a shorter one is a snag. No cut is slower than the floor
	MinPart     engine.Seconds // shortest steady part before the top that is a part throttle and not a slow rise
	NearIdle    float64        // times the settled idle: below it the speed is back at idle
	MaxCrank    engine.RPM     // speeds below it, out of silence, are the starter turning the engine
	SilenceFor  engine.Seconds // a gap this long inside a clip is taken for a stopped engine

	// Measuring.

	LeaveShare         float64        // of the way from idle to top: where a rise begins
	TopShare           float64        // of the top: where a rise ends and a fall begins (design: 90 %)
	SettleFor          engine.Seconds // after the top is reached: overshoot, and firing that has not settled
	CreepFor           engine.Seconds // after the top is reached: still creeping up; later: drift
	MinIdle            engine.Seconds // shortest settled idle that is measured
	SettledBand        float64        // of idle: one that is further above its end is still settling; idles wander by 1 % or so while they are held. A held speed whose readings scatter by twice as much is not calm, one with such a standard deviation only doubt, and a fall on opening that goes no further is no sag
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

	MinBurstRate  engine.Hz // slowest and
	MaxBurstRate  engine.Hz // fastest bursts
	MinBurstDepth float64   // 0 to 1: least depth of the bursts; those of 1.5 in 100 clean engines held as still seem as deep, those of 1 in 100 of the weakest coils less
	StutterUnsure float64   // 0 to 1: belief when the speed is pinned and the firing cannot be told for as much of it
}

// Default gives the options that the tests and docs/verdicts.md hold for.
func Default() Options {
	return Options{
		MaxSlew: 10, SmoothFor: 0.1,

		HeldFor: 0.5, BriefFor: 0.2, HeldShare: 0.8, HeldBand: 0.015,
		CoverageFactor: 2, MinConfidence: 0.5, CorrelatedFor: 0.1, FloorSD: 0.0007,

		FastFloor2: 5000, FastFloor4: 2600, FastShare: 0.55, NearTop: 0.85,
		HighShare: 0.9, PulledShare: 0.6, MinPlateau: 0.4, MinCut: 0.5,
		MinPart: 1, NearIdle: 1.12, MaxCrank: 1800, SilenceFor: 1.5,

		LeaveShare: 0.05, TopShare: 0.9, SettleFor: 0.4, CreepFor: 1, MinIdle: 1, SettledBand: 0.02, IdleBand: 0.25,
		HangFrom: 1.7, MinPeriod: 0.16, MaxPeriod: 4, MinPeriodicity: 0.5, LoadBand: 0.06, FullBand: 0.03, FiringFor: 0.3, BackShare: 0.95,
		MinAlternative: 0.02, AlternativeCluster: 0.05,

		MinBurstRate: 1.5, MaxBurstRate: 40,
		MinBurstDepth: 0.08, StutterUnsure: 0.45,
	}
}
