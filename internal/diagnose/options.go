package diagnose

// Options are the judgements that trends and explanations rest on. None of them
// is a speed of some machine: speeds are shares of what was measured. Standard
// deviations unless the comment says otherwise. Start from Default.
type Options struct {
	// What a machine does before its own passes have shown it.

	// SpeedPerPercent is how far the top speed without load rises when the
	// mixture turns leaner by 1 %, as a share of the speed; SpeedPerPercentSD is
	// how far machines differ in it. An eighth of a turn of H moves the top speed
	// by 200 to 400 rpm of 13,000 (common practice).
	SpeedPerPercent, SpeedPerPercentSD float64
	// PercentPerTurn is how much richer one turn of H out makes the mixture, in
	// percent. An eighth of a turn makes 2 to 4 % (common practice).
	PercentPerTurn, PercentPerTurnSD float64
	// FourStrokingPerPercent is how much less of the time the engine four-strokes
	// at full throttle without load for each 1 % leaner, 0 to 1. It begins
	// gradually, over some 20 % of mixture (common practice).
	FourStrokingPerPercent, FourStrokingPerPercentSD float64

	// How uncertain figures are.

	SpeedScatter        float64 // share of speed: from one pass to the next with nothing changed (warmth, fuel left, chain)
	FourStrokingScatter float64 // 0 to 1: the same of the share of four-stroking
	IdleScatter         float64 // share of idle: the same of the idle speed
	HangScatter         float64 // s: the same of the hanging on the way back to idle
	TimeScatter         float64 // natural logarithm: of the time of a rise or a fall, from one pass to the next
	CutScatter          float64 // natural logarithm: of the speed in the cut, by how hard the tool is pushed
	ModelError          float64 // share of the predicted change by which a straight line is wrong
	UnknownAir          float64 // percent of mixture that air which was not noted may have moved: 15 C
	UnknownScrew        float64 // turns that H may have moved where it is never noted
	PartlyKnownScrew    float64 // turns that H may have moved where it was noted for one pass of two
	MonthlyDrift        float64 // share of speed that a machine drifts by in a month, by itself
	RenewalStep         float64 // share of speed that it may step by where a note says that something was renewed
	WrittenPresent      float64 // probability that what a person wrote down as done was done, and that clean firing is clean; not a deviation
	NotedPresent        float64 // probability that what a program found or a person noted is there; not a deviation
	NotedAbsent         float64 // probability that it is there although it was not found or noted
	SaturatedFiring     float64 // 0 to 1: within this of none or all, the share of four-stroking says nothing
	MaxSpeedSD          float64 // share of speed: a top speed less certain than this is doubtful
	MinResponse         float64 // share of the prior's response to mixture below which the learned one does not go

	// When something counts.

	MinResidual        float64 // percent of mixture that needs a cause: half a step of H
	MinIdleChange      float64 // share of idle that it must change by
	MinHangChange      float64 // s that the way back to idle must have become longer by
	MinTimeChange      float64 // natural logarithm of how much longer or shorter a rise or a fall must be
	MinCutChange       float64 // natural logarithm of how much slower it must be in the cut
	MinShift           float64 // percent by which the air must move the mixture to tell one side of the peak from the other
	CleanShare         float64 // 0 to 1: share of four-stroking up to which a pass runs clean
	Decided            float64 // probability from which one side of the mixture is decided
	LongStandDays      float64 // days between two passes after which stale fuel is suspected
	MinLikelihoodRatio float64 // factor by which a sign must favour a cause, or speak against it, to be named
	MinNaming          float64 // probability from which one group of causes is named alone
	MinSuspicion       float64 // probability from which a cause is named as one of two
	PairPriorFactor    float64 // how much rarer two causes at once are than chance would have it
	MaxPasses          int     // latest passes that the response is learned from
	PassesBefore       int     // passes before the first of two that show how the residual came

	// The next move of H.

	MinSettings        int     // settings of H that must have been tried before it is turned in
	MinSettingStep     float64 // turns by which two settings differ at least: half a step
	MaxStep            float64 // turns in one move at most (design: 1/8 turn)
	MinStep            float64 // turns: nobody turns a screw finer
	LimitMargin        float64 // standard deviations that the expected speed stays below the limit
	MaxLeanProbability float64 // of a cause that makes lean: above it, H is not turned in
}

// Default gives the judgements that the program uses; docs/book.md says what
// they were tried on.
func Default() Options {
	return Options{
		SpeedPerPercent: 0.008, SpeedPerPercentSD: 0.003,
		PercentPerTurn: 20, PercentPerTurnSD: 8,
		FourStrokingPerPercent: 0.05, FourStrokingPerPercentSD: 0.02,

		SpeedScatter: 0.009, FourStrokingScatter: 0.12, IdleScatter: 0.025, HangScatter: 0.3, TimeScatter: 0.1, CutScatter: 0.05, ModelError: 0.25,
		UnknownAir: 3, UnknownScrew: 0.06, PartlyKnownScrew: 0.12, MonthlyDrift: 0.02, RenewalStep: 0.04,
		WrittenPresent: 0.99, NotedPresent: 0.95, NotedAbsent: 0.05, SaturatedFiring: 0.05, MaxSpeedSD: 0.015, MinResponse: 0.4,

		MinResidual: 1.5, MinIdleChange: 0.05, MinHangChange: 0.8, MinTimeChange: 0.15, MinCutChange: 0.06, MinShift: 2, CleanShare: 0.15, Decided: 0.85,
		LongStandDays: 60, MinLikelihoodRatio: 1.5,
		MinNaming: 0.6, MinSuspicion: 0.2, PairPriorFactor: 1, MaxPasses: 40, PassesBefore: 8,

		MinSettings: 3, MinSettingStep: 0.06, MaxStep: 0.125, MinStep: 0.0625, LimitMargin: 2, MaxLeanProbability: 0.2,
	}
}
