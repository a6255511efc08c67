package diagnose

import (
	"fmt"
	"math"
	"strconv"

	"topnote/internal/engine"
)

// What is said of each sign: present, or looked for and absent.

// percent writes the size of a shift of the mixture.
func percent(v float64) string { return engine.FormatPercent(math.Abs(v)) }

// leanerOrRicher writes a shift of the mixture with its side, unless a tenth of a
// percent rounds to none.
func leanerOrRicher(v float64) string {
	if tenth(v) == 0 {
		return percent(0)
	}
	if v < 0 {
		return percent(v) + " richer"
	}
	return percent(v) + " leaner"
}

// saysSide says on which side of the mixture the residual is, and how surely.
func (c *comparison) saysSide(name string) string {
	how := "is on the " + name + " side"
	if !c.residual.significant() {
		how = "is more likely on the " + name + " side than not"
	}
	return fmt.Sprintf("what is left %s: %s, give or take %s", how, leanerOrRicher(c.residual.value), percent(c.residual.halfWidth()))
}

func saysLeaner(c *comparison) string { return c.saysSide("lean") }
func saysRicher(c *comparison) string { return c.saysSide("rich") }

func saysNotLeaner(c *comparison) string {
	return fmt.Sprintf("nothing is left on the lean side (%s, give or take %s)", leanerOrRicher(c.residual.value), percent(c.residual.halfWidth()))
}

func saysNotRicher(c *comparison) string {
	return fmt.Sprintf("nothing is left on the rich side (%s, give or take %s)", leanerOrRicher(c.residual.value), percent(c.residual.halfWidth()))
}

func saysNothingLeft(c *comparison) string {
	return fmt.Sprintf("air and screws leave no more than one pass differs from the next: %s, give or take %s", leanerOrRicher(c.residual.value), percent(c.residual.halfWidth()))
}

func saysSlowly(c *comparison) string {
	return fmt.Sprintf("it came slowly, over %d passes", len(c.window))
}

func saysAtOnce(c *comparison) string {
	return fmt.Sprintf("it came at once, with pass %d", c.window[c.onset.step].Number)
}

func saysTakenBack(c *comparison) string {
	return fmt.Sprintf("it takes back what had crept in before, %s", leanerOrRicher(c.onset.before.value))
}

func saysNotTakenBack(*comparison) string { return "it takes nothing back that had crept in before" }

func saysFilterNew(c *comparison) string {
	return fmt.Sprintf("the air filter was noted as %s", strconv.Quote(c.newNote(filterNote, filterRenewed)))
}

func saysNoFilterNew(*comparison) string { return "no new or cleaned air filter was noted" }

func saysFilterDirty(c *comparison) string {
	return fmt.Sprintf("the air filter was noted as %s", strconv.Quote(c.newNote(filterNote, filterDirty)))
}

func saysNoFilterDirty(*comparison) string { return "no dirty air filter was noted" }

func saysWayCleaned(c *comparison) string {
	return fmt.Sprintf("it was noted of the fuel's way: %s", strconv.Quote(c.newNote(fuelNote, fuelSystemCleaned)))
}

func saysNoWayCleaned(*comparison) string { return "nothing was noted as cleaned on the fuel's way" }

func saysFuelChanged(c *comparison) string {
	return fmt.Sprintf("the fuel was noted as %s", strconv.Quote(c.newNote(fuelNote, otherFuel)))
}

func saysNoFuelChanged(*comparison) string { return "no other fuel was noted" }

func saysLongStand(c *comparison) string {
	return fmt.Sprintf("there was no pass for %.0f days", c.longestGap())
}

func saysNoLongStand(*comparison) string { return "it did not stand for long between the passes" }

func (c *comparison) saysIdle() string {
	change, _ := c.idleChange()
	return fmt.Sprintf("%s rpm, before %s", engine.FormatTens(float64(c.now.Report.Idle.RPM)), engine.FormatTens(float64(c.now.Report.Idle.RPM)-change.value))
}

func saysIdleHigher(c *comparison) string    { return "the idle is higher: " + c.saysIdle() }
func saysIdleNotHigher(c *comparison) string { return "the idle is not higher: " + c.saysIdle() }
func saysIdleLower(c *comparison) string     { return "the idle is lower: " + c.saysIdle() }
func saysIdleNotLower(c *comparison) string  { return "the idle is not lower: " + c.saysIdle() }

func saysHang(*comparison) string {
	return "on its way back to idle it hangs, or takes longer than it did"
}
func saysNoHang(*comparison) string  { return "it comes back to idle as it did" }
func saysClimb(*comparison) string   { return "at steady full throttle the speed climbs" }
func saysNoClimb(*comparison) string { return "at steady full throttle the speed does not climb" }
func saysSink(*comparison) string    { return "at steady full throttle the speed sinks or surges" }
func saysNoSink(*comparison) string {
	return "at steady full throttle the speed neither sinks nor surges"
}

func saysUneven(*comparison) string {
	return "it runs unevenly: it hunts, surges, or its firing cannot be told"
}
func saysNotUneven(*comparison) string { return "it runs no less evenly than before" }

func saysFiringAgainst(c *comparison) string {
	return fmt.Sprintf("the four-stroking does not go with the speed: %s of the time, before %s", engine.FormatShare(c.now.top.FourStrokingShare), engine.FormatShare(c.then.top.FourStrokingShare))
}

func saysFiringAgrees(c *comparison) string {
	return fmt.Sprintf("the four-stroking goes with the speed: %s of the time, before %s", engine.FormatShare(c.now.top.FourStrokingShare), engine.FormatShare(c.then.top.FourStrokingShare))
}

func saysLeanAgain(*comparison) string    { return "H was opened, and lean came back" }
func saysNotLeanAgain(*comparison) string { return "lean did not come back after H was opened" }
func saysPinned(*comparison) string       { return "the coil pins the top speed" }
func saysNotPinned(*comparison) string    { return "the top speed is not pinned by the coil" }

func saysDoubt(*comparison) string {
	return "one of the two recordings is doubtful: see its own verdict"
}
func saysNoDoubt(*comparison) string { return "both recordings were read without doubt" }
