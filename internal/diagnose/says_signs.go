package diagnose

import (
	"fmt"
	"math"
	"strconv"

	"topnote/internal/engine"
)

// What is said of each sign: seen, or looked for and not seen.

// percent writes the size of a shift of the mixture.
func percent(v float64) string { return engine.FormatPercent(math.Abs(v)) }

// leanerOrRicher writes a shift with its side, where a tenth shows one.
func leanerOrRicher(v float64) string {
	if tenth(v) == 0 {
		return percent(0)
	}
	if v < 0 {
		return percent(v) + " richer"
	}
	return percent(v) + " leaner"
}

// side says how sure it is on which side of the mixture what is left lies.
func (p *pair) side(name string) string {
	how := "is on the " + name + " side"
	if math.Abs(p.rest.v) < engine.CoverageFactor*p.rest.sd {
		how = "is more likely on the " + name + " side than not"
	}
	return fmt.Sprintf("what is left %s: %s, give or take %s", how, leanerOrRicher(p.rest.v), percent(engine.CoverageFactor*p.rest.sd))
}

func saysLeaner(p *pair) string { return p.side("lean") }
func saysRicher(p *pair) string { return p.side("rich") }

func saysNotLeaner(p *pair) string {
	return fmt.Sprintf("nothing is left on the lean side (%s, give or take %s)", leanerOrRicher(p.rest.v), percent(engine.CoverageFactor*p.rest.sd))
}

func saysNotRicher(p *pair) string {
	return fmt.Sprintf("nothing is left on the rich side (%s, give or take %s)", leanerOrRicher(p.rest.v), percent(engine.CoverageFactor*p.rest.sd))
}

func saysNothingLeft(p *pair) string {
	return fmt.Sprintf("air and screws leave no more than one pass differs from the next: %s, give or take %s", leanerOrRicher(p.rest.v), percent(engine.CoverageFactor*p.rest.sd))
}

func saysSlowly(p *pair) string {
	return fmt.Sprintf("it came slowly, over %d passes", len(p.course))
}

func saysAtOnce(p *pair) string {
	return fmt.Sprintf("it came at once, with pass %d", p.course[p.came.leap].Number)
}

func saysTakenBack(p *pair) string {
	return fmt.Sprintf("it takes back what had crept in before, %s", leanerOrRicher(p.came.crept.v))
}

func saysNotTakenBack(*pair) string { return "it takes nothing back that had crept in before" }

func saysFilterNew(p *pair) string {
	return fmt.Sprintf("the air filter was noted as %s", strconv.Quote(p.noteSince(filterNotes, filterRenewed)))
}

func saysNoFilterNew(*pair) string { return "no new or cleaned air filter was noted" }

func saysFilterDirty(p *pair) string {
	return fmt.Sprintf("the air filter was noted as %s", strconv.Quote(p.noteSince(filterNotes, filterDirty)))
}

func saysNoFilterDirty(*pair) string { return "no dirty air filter was noted" }

func saysWayCleaned(p *pair) string {
	return fmt.Sprintf("it was noted of the fuel's way: %s", strconv.Quote(p.noteSince(fuelNotes, fuelWayCleaned)))
}

func saysNoWayCleaned(*pair) string { return "nothing was noted as cleaned on the fuel's way" }

func saysFuelChanged(p *pair) string {
	return fmt.Sprintf("the fuel was noted as %s", strconv.Quote(p.noteSince(fuelNotes, fuelOther)))
}

func saysNoFuelChanged(*pair) string { return "no other fuel was noted" }

func saysLongStand(p *pair) string {
	return fmt.Sprintf("there was no pass for %.0f days", p.longestStand())
}

func saysNoLongStand(*pair) string { return "it did not stand for long between the passes" }

func (p *pair) idleWords() string {
	change, _ := p.idleChange()
	return fmt.Sprintf("%s rpm, before %s", engine.FormatTens(float64(p.now.Report.Idle.RPM)), engine.FormatTens(float64(p.now.Report.Idle.RPM)-change.v))
}

func saysIdleHigher(p *pair) string    { return "the idle is higher: " + p.idleWords() }
func saysIdleNotHigher(p *pair) string { return "the idle is not higher: " + p.idleWords() }
func saysIdleLower(p *pair) string     { return "the idle is lower: " + p.idleWords() }
func saysIdleNotLower(p *pair) string  { return "the idle is not lower: " + p.idleWords() }

func saysHang(*pair) string    { return "on its way back to idle it hangs, or takes longer than it did" }
func saysNoHang(*pair) string  { return "it comes back to idle as it did" }
func saysClimb(*pair) string   { return "at steady full throttle the speed climbs" }
func saysNoClimb(*pair) string { return "at steady full throttle the speed does not climb" }
func saysSink(*pair) string    { return "at steady full throttle the speed sinks or surges" }
func saysNoSink(*pair) string  { return "at steady full throttle the speed neither sinks nor surges" }

func saysUneven(*pair) string {
	return "it runs unevenly: it hunts, surges, or its firing cannot be told"
}
func saysNotUneven(*pair) string { return "it runs no less evenly than before" }

func saysFiringAgainst(p *pair) string {
	return fmt.Sprintf("the four-stroking does not go with the speed: %s of the time, before %s", engine.FormatShare(p.now.top.FourStrokingShare), engine.FormatShare(p.then.top.FourStrokingShare))
}

func saysFiringAgrees(p *pair) string {
	return fmt.Sprintf("the four-stroking goes with the speed: %s of the time, before %s", engine.FormatShare(p.now.top.FourStrokingShare), engine.FormatShare(p.then.top.FourStrokingShare))
}

func saysLeanAgain(*pair) string    { return "H was opened, and lean came back" }
func saysNotLeanAgain(*pair) string { return "lean did not come back after H was opened" }
func saysPinned(*pair) string       { return "the coil pins the top speed" }
func saysNotPinned(*pair) string    { return "the top speed is not pinned by the coil" }

func saysDoubt(*pair) string   { return "one of the two recordings is doubtful: see its own verdict" }
func saysNoDoubt(*pair) string { return "both recordings were read without doubt" }

// adviceOf gives what a technician knows of a cause.
//
// Source: common practice.
func adviceOf(c Cause) advice {
	switch c {
	case CauseFilterLoaded:
		return advice{"the air filter loading up", "rich", "in",
			"Look at the air filter and its cover; clean or renew it before any screw. It turns lean at once after that: open H by 1/8 turn first."}
	case CauseFilterNew:
		return advice{"a new or cleaned air filter", "lean", "out",
			"Was the filter renewed or cleaned? Then H wants out: 1/8 turn, listen, record a pass."}
	case CauseStarved:
		return advice{"a starved fuel supply: line, filter, inlet screen, jet or tank vent", "lean", "out",
			"Change the fuel filter, look at line and tank vent, clean the inlet screen, and record again; after that it runs richer. Do not screw against it."}
	case CauseFreed:
		return advice{"a fuel supply that was cleaned", "rich", "in",
			"Was filter, line, screen or jet cleaned? Then the old setting is too rich: record a cut, and close H by 1/8 turn at most if it four-strokes there."}
	case CauseFuel:
		return advice{"stale fuel, other oil or another oil ratio", "either", "to the best point, but fresh fuel is better",
			"Empty the tank, fill it with fresh fuel of the right ratio, and record again before any screw."}
	case CauseLeak:
		return advice{"a leak: barrel (base) gasket, crank seals or intake boot", "lean", "out, which helps for a while only",
			"Stop adjusting. Test crankcase and boot for leaks by pressure and vacuum, and repair; with a leak no setting holds."}
	case CauseSpark:
		return advice{"a coil that limits the speed", "not told by the top speed", "not by the top speed",
			"Judge it in the cut: record 3 s without load and then 5 s in wood."}
	case CauseMeasured:
		return advice{"the reading or the record: another tool, a cold engine, a screw or a day that was not noted", "either", "not before it is recorded again",
			"Record once more, warm, with the same bar and chain, and note screws, air, filter and fuel."}
	default:
		return advice{"nothing but the air and the screws as noted", "with the air: cold, low and dry lean; hot, high and humid rich", "with the air: out when lean, in when rich",
			"Nothing else needs looking for: follow the verdict of the pass itself."}
	}
}
