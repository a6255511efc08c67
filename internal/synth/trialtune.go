package synth

import "topnote/internal/engine"

// TuneKind is how an engine fires at full throttle without load.
type TuneKind string

// The kinds of tune, clean and lean first, then four-stroking in patterns
// that hold and patterns that do not.
const (
	CleanTune   TuneKind = "clean"
	RaggedLean  TuneKind = "ragged lean" // fires every time, but unevenly from cycle to cycle
	EverySecond TuneKind = "every 2nd"
	EveryThird  TuneKind = "every 3rd"
	EveryFourth TuneKind = "every 4th"
	Slipping    TuneKind = "slipping" // every 2nd or 3rd, now and then one later or sooner
	Mixture     TuneKind = "mixture"  // of every 1st to 4th, drawn anew after each firing
	Changing    TuneKind = "changing" // from pattern to pattern, each for some tenths of a second
	RunsOfMiss  TuneKind = "runs"     // firings and misses in runs
	RandomMiss  TuneKind = "random"   // misses without any order
)

// Lean reports whether the engine fires every time: nothing safe may be said of
// it, whatever its speed.
func (k TuneKind) Lean() bool { return k == CleanTune || k == RaggedLean }

// FourStrokes reports whether it misses in a pattern for most of the time.
func (k TuneKind) FourStrokes() bool {
	switch k {
	case EverySecond, EveryThird, EveryFourth, Slipping:
		return true
	}
	return false
}

// drawTune draws a kind of tune and the rule for it. A missed cycle still pushes
// gas out: its pulse has a tenth to six tenths of a fired one.
func drawTune(d dice) (TuneKind, Firing) {
	kind := pick(d, []weighted[TuneKind]{
		{CleanTune, 24}, {RaggedLean, 9}, {EverySecond, 18}, {EveryThird, 10}, {EveryFourth, 6},
		{Slipping, 13}, {Mixture, 5}, {Changing, 7}, {RunsOfMiss, 4}, {RandomMiss, 4},
	})
	f := Clean()
	f.Depth, f.Spread, f.Timing = d.between(0.1, 0.6), d.between(0.04, 0.16), d.between(0.002, 0.012)
	switch kind {
	case RaggedLean:
		f.Spread, f.Timing, f.Memory = d.between(0.2, 0.5), d.between(0.01, 0.03), d.between(-0.3, 0.4)
		f.MissAfterFire = d.between(0, 0.06)
	case EverySecond:
		f.Modes = []Mode{{Every: 2}}
	case EveryThird:
		f.Modes = []Mode{{Every: 3}}
	case EveryFourth:
		f.Modes = []Mode{{Every: 4}}
	case Slipping:
		f.Modes, f.Slip = []Mode{{Every: 2 + d.IntN(2)}}, d.between(0.03, 0.3)
	case Mixture:
		f.Modes, f.Shuffle = []Mode{{1, d.between(0, 0.4)}, {2, 1}, {3, d.between(0.1, 0.8)}, {4, d.between(0, 0.3)}}, true
	case Changing:
		f.Modes, f.Dwell = []Mode{{1, d.between(0, 1)}, {2, 1}, {3, d.between(0, 1)}}, d.seconds(0.2, 0.8)
	case RunsOfMiss:
		f.MissAfterFire, f.FireAfterMiss = d.between(0.15, 0.4), d.between(0.2, 0.5)
	case RandomMiss:
		p := d.between(0.2, 0.6)
		f.MissAfterFire, f.FireAfterMiss = p, 1-p
	}
	return kind, f
}

// drawIdling draws how it fires with the throttle shut: never in a pattern that
// holds for good.
func drawIdling(d dice) Firing {
	f := pick(d, []weighted[Firing]{
		{Clean(), 2}, {Idling(), 3}, {Ragged(d.between(0.05, 0.3), 0.4), 2},
		{Mixed(d.seconds(0.2, 0.6), 0.4, Mode{1, 1}, Mode{2, 1}), 1},
	})
	f.Depth, f.Spread = d.between(0.1, 0.6), d.between(0.05, 0.15)
	return f
}

// drawPlan draws the firing over a course.
func drawPlan(d dice, p Profile) (TuneKind, Plan) {
	kind, full := drawTune(d)
	idling := drawIdling(d)
	rise, work := Clean(), Clean()
	rise.Depth, work.Depth = full.Depth, full.Depth
	if d.chance(0.3) {
		rise = full
	}
	if !kind.Lean() && d.chance(0.2) {
		work = full // too rich: it does not clear up under load
	}
	return kind, ByPhase(p, map[string]Firing{
		"": idling, Rise: rise, Blip: rise, FullThrottle: full, InCut: work, Fall: Ragged(d.between(0.1, 0.4), full.Depth),
	})
}

// drawTop draws the speed of the plateau around a limit: over it, at it, or
// under it.
func drawTop(d dice, limit engine.RPM, onlyOver bool) engine.RPM {
	over, at, under := [2]float64{1.02, 1.09}, [2]float64{0.985, 1.02}, [2]float64{0.905, 0.985}
	r := over
	if !onlyOver {
		r = pick(d, []weighted[[2]float64]{{over, 9}, {at, 3}, {under, 8}})
	}
	return limit * d.rpm(r[0], r[1])
}
