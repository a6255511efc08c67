package diagnose

import (
	"math"

	"topnote/internal/book"
	"topnote/internal/engine"
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

// counts gives the change of the top speed that needs a cause, in rpm.
func (c *comparison) counts() float64 { return c.opt.MinResidual * c.response.PerPercent }

func (c *comparison) checkFaster() presence {
	return presence{c.comparable, c.residualRPM.probAbove(c.counts())}
}

func (c *comparison) checkSlower() presence {
	return presence{c.comparable, c.residualRPM.negative().probAbove(c.counts())}
}

func (c *comparison) checkBurblesLess() presence { return c.checkBurble(1) }
func (c *comparison) checkBurblesMore() presence { return c.checkBurble(-1) }

func (c *comparison) checkBurble(sign float64) presence {
	byFiring, told := c.residualFromFiring()
	byFiring.value *= sign
	return presence{told, byFiring.probAbove(c.opt.MinResidual)}
}

func (c *comparison) checkStaysClean() presence {
	if !c.comparable || !c.firingTold() {
		return presence{}
	}
	if c.bothClean() {
		return presence{true, c.opt.WrittenPresent}
	}
	return presence{true, 1 - c.opt.WrittenPresent}
}

// checkAgainstAir looks for a top speed that went against the air of the day: of an
// engine that is past the peak, leaner air makes it slower still.
func (c *comparison) checkAgainstAir() presence {
	if !c.comparable || c.shift == nil || math.Abs(float64(c.shift.Mixture)) < c.opt.MinShift || !c.bothClean() {
		return presence{}
	}
	against := c.change.less(c.byScrew)
	against.value *= -math.Copysign(1, c.byAir.value)
	return presence{true, against.probAbove(c.counts())}
}

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

func (c *comparison) checkFallsSooner() presence { return c.checkFall(-1) }
func (c *comparison) checkFallsLater() presence  { return c.checkFall(1) }

// checkFall looks for a fall to idle that takes less or more time, without the time
// that it hangs.
func (c *comparison) checkFall(sign float64) presence {
	a, b := c.then.Report.Fall, c.now.Report.Fall
	if a == nil || b == nil || !a.Back || !b.Back || a.TimeS-a.HangS <= 0 || b.TimeS-b.HangS <= 0 {
		return presence{}
	}
	scatter := math.Hypot(c.opt.TimeScatter*math.Sqrt2, math.Hypot(a.SDS/a.TimeS, b.SDS/b.TimeS))
	ratio := estimate{sign * math.Log((b.TimeS-b.HangS)/(a.TimeS-a.HangS)), scatter}
	return presence{true, ratio.probAbove(c.opt.MinTimeChange)}
}

func (c *comparison) checkRise() presence {
	a, b := c.then.Report.Rise, c.now.Report.Rise
	if a == nil || b == nil || a.TimeS <= 0 || b.TimeS <= 0 {
		return presence{}
	}
	scatter := math.Hypot(c.opt.TimeScatter*math.Sqrt2, math.Hypot(a.SDS/a.TimeS, b.SDS/b.TimeS))
	return presence{true, estimate{math.Log(b.TimeS / a.TimeS), scatter}.probAbove(c.opt.MinTimeChange)}
}

func (c *comparison) checkClimb() presence { return c.checkNewFinding(findingClimbs) }
func (c *comparison) checkSink() presence  { return c.checkNewFinding(findingSinks, findingSurges) }

func (c *comparison) checkBog() presence {
	if c.now.Report.Rise == nil {
		return presence{}
	}
	return c.checkNewFinding(findingSags)
}

// checkNewFinding looks for a finding that was not there then.
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

// checkWeakInCut looks for a cut that pulls the speed down further. How hard the tool
// was pushed is not known, so only much counts.
func (c *comparison) checkWeakInCut() presence {
	a, b := c.then.Report.Cut, c.now.Report.Cut
	if a == nil || b == nil || !a.RPM.Told() || !b.RPM.Told() {
		return presence{}
	}
	down := estimate{-math.Log(float64(b.RPM) / float64(a.RPM)), math.Sqrt2 * c.opt.CutScatter}
	return presence{true, down.probAbove(c.opt.MinCutChange)}
}

func (c *comparison) checkRichInCut() presence {
	rich := func(o observation) bool {
		return o.code() == codeRichInCut || o.Report.Cut != nil && o.Report.Cut.FourStrokingShare > even
	}
	switch {
	case !c.machine.firingTells() || c.now.Report.Cut == nil && !rich(c.now):
		return presence{}
	case rich(c.now) && rich(c.then):
		return presence{true, even}
	}
	return c.asNoted(rich(c.now))
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

func (c *comparison) checkGoverned() presence {
	if c.now.top == nil {
		return presence{}
	}
	return c.asNoted(c.now.code() == codeGoverned || c.machine.governor == engine.Yes)
}

func (c *comparison) checkDoubtful() presence {
	return c.asNoted(c.now.doubtful(c.opt) || c.then.doubtful(c.opt))
}

// answered gives the presence of what a person answered with each pass.
func (c *comparison) answered(a engine.Answer, when engine.Answer) presence {
	if a == "" {
		return presence{}
	}
	return c.asNoted(a == when)
}

func (c *comparison) checkCold() presence {
	then, now := c.then.Report.State.Warm, c.now.Report.State.Warm
	if then == engine.No {
		return c.asNoted(true)
	}
	return c.answered(now, engine.No)
}

func (c *comparison) checkChoke() presence {
	if _, found := c.noted(chokeOn); found {
		return c.asNoted(true)
	}
	return c.answered(c.now.Report.State.ChokeOpen, engine.No)
}

func (c *comparison) checkFilterClean() presence {
	return c.answered(c.now.Report.State.FilterClean, engine.Yes)
}

// checkFilterDirty looks for a filter that was noted or answered as dirty.
func (c *comparison) checkFilterDirty() presence {
	if c.now.Report.State.FilterClean == engine.No {
		return c.asNoted(true)
	}
	return c.checkNote(filterDirty)
}
