package diagnose

import (
	"math"

	"topnote/internal/book"
)

// How each sign of signTable is looked for.

// asNoted gives the presence of what a program found or a person noted, or did
// not: neither is always right.
func (c *comparison) asNoted(yes bool) presence {
	if yes {
		return presence{true, c.opt.NotedPresent}
	}
	return presence{true, c.opt.NotedAbsent}
}

func (c *comparison) checkLeaner() presence { return presence{c.comparable, c.probLeaner()} }
func (c *comparison) checkRicher() presence { return presence{c.comparable, c.probRicher()} }

func (c *comparison) checkGradual() presence { return c.checkOnset(c.onset.gradual) }
func (c *comparison) checkSudden() presence  { return c.checkOnset(1 - c.onset.gradual) }

// checkOnset gives the presence of one kind of onset; both are present where the
// residual could be separated.
func (c *comparison) checkOnset(probability float64) presence {
	switch {
	case !c.hasResidual():
		return presence{}
	case c.separated:
		return c.asNoted(true)
	}
	return presence{c.onset.told, probability}
}

func (c *comparison) checkReversal() presence {
	if !c.hasResidual() {
		return presence{}
	}
	return presence{c.onset.told && c.onset.step > 1, c.probReversal()}
}

func (c *comparison) checkFilterRenewed() presence { return c.checkNote(filterNote, filterRenewed) }
func (c *comparison) checkFilterDirty() presence   { return c.checkNote(filterNote, filterDirty) }

func (c *comparison) checkFuelSystemCleaned() presence {
	return c.checkNote(fuelNote, fuelSystemCleaned)
}
func (c *comparison) checkFuelChanged() presence { return c.checkNote(fuelNote, otherFuel) }

// checkNote looks for a new note since then that has a meaning. Where such notes
// are never written, their lack says nothing.
func (c *comparison) checkNote(of func(book.Pass) string, means func(string) bool) presence {
	if !c.hasNotes(of) {
		return presence{}
	}
	return c.asNoted(c.newNote(of, means) != "")
}

func (c *comparison) checkLongStand() presence {
	return c.asNoted(c.longestGap() > c.opt.LongStandDays)
}

// longestGap gives the longest time without a pass between the two, in days.
func (c *comparison) longestGap() float64 {
	longest, last := 0.0, c.then.day
	for _, r := range c.since {
		longest = max(longest, r.day-last)
		last = r.day
	}
	return longest
}

// idleChange gives the change of the idle speed in rpm. It is not told where one
// of the passes has no idle, or where a screw that moves it was turned.
func (c *comparison) idleChange() (estimate, bool) {
	a, b := c.then.Report.Idle, c.now.Report.Idle
	if a == nil || b == nil || !a.RPM.Told() || !b.RPM.Told() ||
		moved(c.then.Screws.Idle, c.now.Screws.Idle) || moved(c.then.Screws.L, c.now.Screws.L) {
		return estimate{}, false
	}
	scatter := c.opt.IdleScatter * float64(a.RPM)
	return estimate{float64(b.RPM - a.RPM), math.Sqrt(square(a.SDRPM) + square(b.SDRPM) + 2*square(scatter))}, true
}

func moved(a, b *book.Turns) bool { return a != nil && b != nil && *a != *b }

func (c *comparison) checkIdleHigher() presence { return c.checkIdle(1) }
func (c *comparison) checkIdleLower() presence  { return c.checkIdle(-1) }

func (c *comparison) checkIdle(sign float64) presence {
	change, told := c.idleChange()
	if !told {
		return presence{}
	}
	change.value *= sign
	return presence{true, change.probAbove(c.opt.MinIdleChange * float64(c.then.Report.Idle.RPM))}
}

// checkHang looks for a way back to idle that has become longer, or that hangs.
func (c *comparison) checkHang() presence {
	a, b := c.then.Report.Fall, c.now.Report.Fall
	if b == nil {
		return presence{}
	}
	if c.now.hasFinding(findingHangs, findingNoReturn) {
		if c.then.hasFinding(findingHangs, findingNoReturn) {
			return presence{true, even} // it did before
		}
		return c.asNoted(true)
	}
	if a == nil {
		return c.asNoted(false)
	}
	longer := estimate{b.HangS - a.HangS, math.Hypot(c.opt.HangScatter, math.Hypot(a.HangSDS, b.HangSDS))}
	return presence{true, max(c.opt.NotedAbsent, longer.probAbove(c.opt.MinHangChange))}
}

func (c *comparison) checkClimb() presence { return c.checkNewFinding(findingClimbs) }
func (c *comparison) checkSink() presence  { return c.checkNewFinding(findingSinks, findingSurges) }

// checkNewFinding looks for a finding at full throttle that was not there then.
func (c *comparison) checkNewFinding(codes ...string) presence {
	if c.now.top == nil {
		return presence{}
	}
	if c.now.hasFinding(codes...) && c.then.hasFinding(codes...) {
		return presence{true, even}
	}
	return c.asNoted(c.now.hasFinding(codes...))
}

// checkUneven looks for running that is uneven now and was not then.
func (c *comparison) checkUneven() presence {
	now, then := c.now.uneven(), c.then.uneven()
	if now && then {
		return presence{true, even}
	}
	return c.asNoted(now)
}

// checkFiringAgainst looks for four-stroking that contradicts the speed.
func (c *comparison) checkFiringAgainst() presence {
	if !c.hasResidual() {
		return presence{}
	}
	byFiring, told := c.residualFromFiring()
	if !told {
		return presence{}
	}
	byFiring.value *= -math.Copysign(1, c.residualRPM.value)
	return presence{true, byFiring.probAbove(c.opt.MinResidual)}
}

// checkLeanAgain looks for a lean mixture that came back after H was opened.
func (c *comparison) checkLeanAgain() presence {
	now := c.nowIndex()
	if !c.comparable || now < 0 {
		return presence{}
	}
	opened := -1
	for i := 1; i < now; i++ {
		if by, record := openingBetween(c.window[i-1], c.window[i]); record == screwKnown && by >= c.opt.MinSettingStep {
			opened = i
		}
	}
	if opened < 0 {
		return presence{}
	}
	a, b := c.residuals[opened], c.residuals[now]
	since := estimate{b.value - a.value, math.Hypot(a.sd, b.sd)}
	return presence{true, since.probAbove(c.opt.MinResidual)}
}

func (c *comparison) checkPinned() presence {
	if c.now.top == nil {
		return presence{}
	}
	return c.asNoted(c.now.code() == codeSpark)
}

func (c *comparison) checkDoubtful() presence {
	return c.asNoted(c.now.doubtful(c.opt) || c.then.doubtful(c.opt))
}
