package verdict

import "topnote/internal/engine"

// Options holds the figures that the rules and findings go by. None of them is
// a speed: those come from the user. Start from Default.
type Options struct {
	// Evidence that a verdict needs.

	MinEngine       engine.Seconds // of engine at all; below it there is none (design: alarms are clips with 0.5 s of speed)
	MinPlateau      engine.Seconds // of full throttle without load with a speed told (design: 1 s)
	MinConfidence   float64        // 0 to 1: mean confidence of its readings; with less they are more likely wrong than right
	FiringTold      float64        // 0 to 1: share of it whose firing was told
	MinFiring       engine.Seconds // of firing told before a plateau outweighs another that ran as fast: within less, either way of firing shows by chance
	AlternativeOver float64        // 0 to 1: probability from which a second reading over the limit forbids a safe verdict: what CoverageFactor leaves out of an interval
	Sure            float64        // 0 to 1: belief from which a coil that limits speed is named; a second reading under the limit, which would only mean another firing period, may leave no less to the first
	SameSpeed       float64        // of speed: a plateau no faster than another by this is covered by it (half of what an eighth of a turn of H does)
	Mostly          float64        // 0 to 1: most of the time, of four-stroking and of telling a speed; over one half by what firing is misread
	CleanHold       engine.Seconds // clean firing for this long at full speed is lean running, whatever came before
	MisfitOver      float64        // of the limit: a top above does not belong to it (ISO 6535 races engines at most a third over their rated speed)
	MisfitUnder     float64        // of the limit: a top under does not belong to it
	NeedsIdle       float64        // of the limit: a top under is called safe only where an idle was heard, too
	DullNeeds       float64        // of the limit: a top under is called safe only where the sound is not dull
	MinIdle         engine.RPM     // slower than any idle of a hand-held two-stroke (common practice: 2,000 and more)
	OfIdle          float64        // of the entered idle: a slower one is not that of the engine (as OfIdleLow of shaft.OctavePrior)
	FarUnder        float64        // of the limit: slower than this, four-stroking is too rich, and what runs clean was hardly full throttle without load; saws cut at two thirds of it and more (common practice)
	MinCut          engine.Seconds // of the cut with its firing told before it counts
	SignificantSD   float64        // standard deviations from nothing before a change is a finding; the absence of a sag or a hanging is no exact 0, but one that many less than what makes it a finding
	EighthTurn      float64        // share of the top speed that an eighth of a turn of H out takes off: 200 to 400 rpm of 13,000
	ShareSD         float64        // 0 to 1: standard deviation of a share of four-stroking from one pass to the next at one setting; 0.03 on true tracks (go test -run ShareSD -v), the rest for what is misread

	// A whole pass, as docs/recording.md asks for it. These are under it.

	WholePass    engine.Seconds // of engine: shorter holds no pass
	WholePlateau engine.Seconds // of full throttle without load: twice what a verdict needs at the least

	// Findings. All common practice unless said otherwise.

	ClutchRatio float64        // engagement over idle: a quarter above
	DriftFor    engine.Seconds // of full throttle before a drift counts; shorter ones are still settling
	MinClimb    float64        // 1/s, of the top speed: climb at steady throttle that is a lean or leak sign
	MinSink     float64        // 1/s, of the top speed: the same downwards, a heat or fuel sign; more, because a light load does it too
	MinHang     engine.Seconds // near idle but not back before it hangs, and no less than the fall to there took
	NoReturn    engine.Seconds // not back at idle this long after the throttle was let go,
	NoReturnAt  float64        // and still at this many times idle
	MinSag      float64        // of idle: fall of speed on opening
	MinSurge    float64        // of the top speed: depth of a swing
	MinHunt     float64        // of idle: depth of a swing; twice the 3 % either way that a tender quotes from GB/T 5392-2017 (second hand), and some
	MinSpread   float64        // of idle: half width of an idle that wanders without a beat
	IdleOff     float64        // of the entered idle: how far off is worth a word
	SlowRise    engine.Seconds // idle to 90 % of the top; recordings of healthy saws take 0.3 to 0.6
	SlowBack    engine.Seconds // from the cut to the top
	PartlyRich  float64        // 0 to 1: share of four-stroking in the cut that is worth a word; more than a clean cut in wind and noise is read with (docs/verdicts.md)
}

// Default gives the options that docs/verdicts.md describes.
func Default() Options {
	return Options{
		MinEngine: 0.5, MinPlateau: 1, MinConfidence: 0.5, FiringTold: 0.5, MinFiring: 1,
		AlternativeOver: 0.05, Sure: 0.7, SameSpeed: 0.01, Mostly: 0.6,
		CleanHold: 1.5, FarUnder: 0.8, MisfitOver: 4. / 3, MisfitUnder: 0.6, NeedsIdle: 0.75, DullNeeds: 0.9, MinIdle: 1900, OfIdle: 0.8, MinCut: 0.5, SignificantSD: 3, EighthTurn: 0.02, ShareSD: 0.1,

		WholePass: 4, WholePlateau: 2,

		ClutchRatio: 1.25, DriftFor: 2, MinClimb: 0.007, MinSink: 0.02, MinHang: 1, NoReturn: 2.5, NoReturnAt: 1.4,
		MinSag: 0.1, MinSurge: 0.03, MinHunt: 0.08, MinSpread: 0.07, IdleOff: 0.08,
		SlowRise: 1.2, SlowBack: 1.5, PartlyRich: 0.35,
	}
}
