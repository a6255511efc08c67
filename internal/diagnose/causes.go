package diagnose

// Cause names what can change the mixture.
type Cause string

// The causes. The values are part of the schema of an explanation.
const (
	CauseNone         Cause = "air"               // the air and the screws as noted; nothing else
	CauseFilterLoaded Cause = "air-filter-loaded" // and its screen, its cover
	CauseFilterNew    Cause = "air-filter-new"
	CauseStarved      Cause = "fuel-starved" // line, filter, inlet screen, jet, tank vent
	CauseFreed        Cause = "fuel-freed"   // the same, cleaned or renewed
	CauseFuel         Cause = "fuel-quality" // stale, other oil, other ratio
	CauseLeak         Cause = "leak"         // barrel (base) gasket, crank seals, intake boot
	CauseSpark        Cause = "spark-limit"  // the coil holds the speed
	CauseMeasured     Cause = "measurement"  // the reading or the record
)

// causes are in the order of the columns of signTable.
var causes = [...]Cause{
	CauseNone, CauseFilterLoaded, CauseFilterNew, CauseStarved, CauseFreed, CauseFuel, CauseLeak, CauseSpark, CauseMeasured,
}

// numCauses is how many there are.
const numCauses = len(causes)

// priors are how many of 100 changes have each cause, before any sign is looked
// at. Common practice, rough; the signs outweigh it.
var priors = [numCauses]float64{36, 14, 6, 13, 3, 7, 12, 3, 6}

// perCent divides the figures of priors and signTable.
const perCent = 100

// sign is one line of the table of signs.
type sign struct {
	code        string
	per100      [numCauses]float64         // in how many of 100 cases with that cause alone the sign is present
	check       func(*comparison) presence // looks for it
	saysPresent func(*comparison) string   // it is present
	saysAbsent  func(*comparison) string   // it was looked for and is absent
}

// presence says how surely a sign is present.
type presence struct {
	told        bool    // it could be looked for
	probability float64 // 0 to 1: that it is present
}

// Codes of signs that belong together: the two sides of the mixture, and the two
// ways in which a residual comes about.
const (
	codeLeaner = "leaner"
	codeRicher = "richer"
	codeSlowly = "slowly"
	codeAtOnce = "at-once"
)

// signTable holds the signs, each with the share of cases in which it is present
// with each cause alone. All figures are common practice that we put into numbers:
// read a row as "of 100 machines with a leak, 65 idle higher than before". To
// correct the program, correct the number. Two causes at once show the signs of
// both. docs/book.md shows this table, and a test compares the two.
//
//	columns: nothing else, filter loaded, filter new, fuel starved, fuel freed,
//	fuel stale or other, leak, coil, measurement
var signTable = []sign{
	{codeLeaner, [...]float64{2, 2, 88, 88, 2, 45, 88, 10, 35}, (*comparison).checkLeaner, saysLeaner, saysNotLeaner},
	{codeRicher, [...]float64{2, 88, 2, 2, 88, 45, 2, 20, 35}, (*comparison).checkRicher, saysRicher, saysNotRicher},
	{codeSlowly, [...]float64{50, 80, 30, 75, 30, 40, 80, 45, 30}, (*comparison).checkGradual, saysSlowly, saysAtOnce},
	{codeAtOnce, [...]float64{50, 30, 80, 35, 80, 70, 30, 60, 75}, (*comparison).checkSudden, saysAtOnce, saysSlowly},
	{"takes-back", [...]float64{4, 3, 60, 3, 60, 10, 3, 5, 10}, (*comparison).checkReversal, saysTakenBack, saysNotTakenBack},
	{"filter-renewed", [...]float64{7, 3, 75, 7, 7, 7, 7, 7, 7}, (*comparison).checkFilterRenewed, saysFilterNew, saysNoFilterNew},
	{"filter-dirty", [...]float64{5, 40, 2, 5, 5, 5, 5, 5, 5}, (*comparison).checkFilterDirty, saysFilterDirty, saysNoFilterDirty},
	{"fuel-way-cleaned", [...]float64{3, 3, 3, 3, 75, 3, 3, 3, 3}, (*comparison).checkFuelSystemCleaned, saysWayCleaned, saysNoWayCleaned},
	{"fuel-changed", [...]float64{12, 12, 12, 12, 12, 60, 12, 12, 12}, (*comparison).checkFuelChanged, saysFuelChanged, saysNoFuelChanged},
	{"long-stand", [...]float64{20, 20, 20, 25, 20, 50, 22, 20, 20}, (*comparison).checkLongStand, saysLongStand, saysNoLongStand},
	{"idle-higher", [...]float64{7, 5, 12, 8, 5, 12, 65, 5, 15}, (*comparison).checkIdleHigher, saysIdleHigher, saysIdleNotHigher},
	{"idle-lower", [...]float64{7, 15, 5, 12, 12, 35, 3, 5, 15}, (*comparison).checkIdleLower, saysIdleLower, saysIdleNotLower},
	{"hangs", [...]float64{4, 2, 15, 15, 3, 15, 65, 4, 10}, (*comparison).checkHang, saysHang, saysNoHang},
	{"climbs", [...]float64{4, 2, 8, 12, 3, 8, 40, 2, 8}, (*comparison).checkClimb, saysClimb, saysNoClimb},
	{"sinks", [...]float64{4, 4, 4, 45, 3, 20, 6, 5, 8}, (*comparison).checkSink, saysSink, saysNoSink},
	{"uneven", [...]float64{8, 12, 8, 20, 8, 60, 25, 10, 30}, (*comparison).checkUneven, saysUneven, saysNotUneven},
	{"firing-against", [...]float64{6, 6, 6, 8, 6, 30, 8, 30, 40}, (*comparison).checkFiringAgainst, saysFiringAgainst, saysFiringAgrees},
	{"lean-again", [...]float64{4, 2, 6, 40, 2, 10, 55, 5, 10}, (*comparison).checkLeanAgain, saysLeanAgain, saysNotLeanAgain},
	{"pinned", [...]float64{2, 2, 2, 2, 2, 2, 2, 95, 5}, (*comparison).checkPinned, saysPinned, saysNotPinned},
	{"doubtful", [...]float64{8, 8, 8, 8, 8, 12, 8, 8, 65}, (*comparison).checkDoubtful, saysDoubt, saysNoDoubt},
}

// causeAdvice is what a technician knows of a cause: which way it moves the
// mixture, which way people turn the screws, and what to check next.
//
// Source: common practice, all of it.
type causeAdvice struct {
	name    string
	mixture string // "rich", "lean", "either"
	screws  string
	next    string
}
