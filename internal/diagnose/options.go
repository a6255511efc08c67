package diagnose

// Options are the judgements that trends and explanations go by. None of them is
// a speed of some machine: speeds are counted as shares of what was measured.
// Standard deviations unless the comment says otherwise. Start from Default.
type Options struct {
	// What a machine does before it has shown it of itself.

	// SpeedPerPercent is how far the top speed without load rises when the
	// mixture turns leaner by 1 %, as a share of the speed, and SpeedPerPercentSD how
	// far machines differ in it. 0.008, 0.003: an eighth of a turn of H moves the
	// top by 200 to 400 rpm of 13,000 (common practice).
	SpeedPerPercent, SpeedPerPercentSD float64
	// PercentPerTurn is how much richer one turn of H out makes the mixture, in
	// percent: 22, 8. An eighth of a turn makes 2 to 4 % (common practice).
	PercentPerTurn, PercentPerTurnSD float64
	// FourPerPercent is how much of the time less it four-strokes at full
	// throttle without load for each 1 % leaner, 0 to 1: 0.05, 0.02. It begins
	// gradually, over some 20 % of mixture (common practice).
	FourPerPercent, FourPerPercentSD float64

	// How far figures may be out.

	Scatter     float64 // share of speed: one pass to the next with nothing changed, 0.006: warmth, fuel left, chain
	FourScatter float64 // 0 to 1: the same of the share of four-stroking, 0.12
	IdleScatter float64 // share of idle: the same of the idle speed, 0.025
	Bend        float64 // share of what air and screws are reckoned to do by which a straight line misses it, 0.25
	NoAir       float64 // percent of mixture that air may have moved which nobody noted, 3: a change of 15 C
	NoScrew     float64 // turns that H may have been moved where nobody ever notes it, 0.06
	NoScrewOnce float64 // the same where it was noted for one pass of two, 0.12
	Creep       float64 // share of speed that a machine drifts by within a month, 0.01, by itself
	Jump        float64 // share of speed that it may leap by where a note says that something was renewed, 0.04

	// When something counts.

	Worth       float64 // percent of mixture that is worth a cause, 1.5: half a step of H
	IdleWorth   float64 // share of idle that it must move by to count, 0.05
	HangWorth   float64 // s that the way back to idle must have become longer by, 0.8
	LongStand   float64 // days between two passes after which fuel is suspected, 60
	Speaks      float64 // factor by which a sign must favour a cause, or speak against it, to be named beside it, 1.5
	PairPrior   float64 // how much rarer two causes at once are than chance would have it, factor, 1
	MaxWindow   int     // passes that are looked back on, 40
	TrendBefore int     // passes before the first of two that show its course, 8

	// The next move of H.

	MinSettings  int     // settings of H that must have been tried before it is told, 3
	SettingApart float64 // turns that two settings are apart at least, 0.06: half a step
	MaxStep      float64 // turns in one move at most, 0.125 (design: 1/8 turn)
	MinStep      float64 // turns: nobody turns a screw finer, 0.0625
	LimitSD      float64 // standard deviations that stay clear of the limit, 2
}

// Default gives the judgements that the program uses; docs/book.md says what
// they were tried on.
func Default() Options {
	return Options{
		SpeedPerPercent: 0.008, SpeedPerPercentSD: 0.003,
		PercentPerTurn: 22, PercentPerTurnSD: 8,
		FourPerPercent: 0.05, FourPerPercentSD: 0.02,

		Scatter: 0.009, FourScatter: 0.12, IdleScatter: 0.025, Bend: 0.25,
		NoAir: 3, NoScrew: 0.06, NoScrewOnce: 0.12, Creep: 0.02, Jump: 0.04,

		Worth: 1.5, IdleWorth: 0.05, HangWorth: 0.8, LongStand: 60, Speaks: 1.5,
		PairPrior: 1, MaxWindow: 40, TrendBefore: 8,

		MinSettings: 3, SettingApart: 0.06, MaxStep: 0.125, MinStep: 0.0625, LimitSD: 2,
	}
}
