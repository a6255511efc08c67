package diagnose

import (
	"math"

	"topnote/internal/book"
)

// How each sign of signTable is looked for.

// Beliefs in what a program finds or a person writes: neither is always right.
const (
	surely = 0.95
	hardly = 0.05
	evenly = 0.5
)

func said(yes bool) seen {
	if yes {
		return seen{true, surely}
	}
	return seen{true, hardly}
}

func (p *pair) seesLeaner() seen { return seen{p.comparable, p.leanerBy()} }
func (p *pair) seesRicher() seen { return seen{p.comparable, p.richerBy()} }

// changed reports whether something is more likely left than not: only then can
// be asked how it came.
func (p *pair) changed() bool { return p.comparable && p.left() > evenly }

func (p *pair) seesSlowly() seen { return p.seesCourse(p.came.slowly) }
func (p *pair) seesAtOnce() seen { return p.seesCourse(1 - p.came.slowly) }

// seesCourse gives the belief in one way in which it came about; both are there
// where what is left could be parted.
func (p *pair) seesCourse(belief float64) seen {
	switch {
	case !p.changed():
		return seen{}
	case p.parted:
		return said(true)
	}
	return seen{p.came.told, belief}
}

func (p *pair) seesTakenBack() seen {
	if !p.changed() {
		return seen{}
	}
	return seen{p.came.told && p.came.leap > 1, p.takesBack()}
}

func (p *pair) seesFilterNew() seen {
	return p.seesNote(filterNotes, filterRenewed)
}

func (p *pair) seesFilterDirty() seen {
	return p.seesNote(filterNotes, filterDirty)
}

func (p *pair) seesWayCleaned() seen {
	return p.seesNote(fuelNotes, fuelWayCleaned)
}

func (p *pair) seesFuelChanged() seen {
	return p.seesNote(fuelNotes, fuelOther)
}

// seesNote looks for what a new note since then means. Where nobody ever writes
// such notes, their lack tells nothing.
func (p *pair) seesNote(of func(book.Pass) string, means func(string) bool) seen {
	if !p.notes(of) {
		return seen{}
	}
	return said(p.noteSince(of, means) != "")
}

func (p *pair) seesLongStand() seen { return said(p.longestStand() > p.opt.LongStand) }

// longestStand gives the longest time without a pass between the two, in days.
func (p *pair) longestStand() float64 {
	longest, last := 0.0, p.then.day
	for _, r := range p.since {
		longest = max(longest, r.day-last)
		last = r.day
	}
	return longest
}

// idleChange gives the change of the idle speed in rpm. It is not told where the
// idle was not heard, or where its screws were moved.
func (p *pair) idleChange() (figure, bool) {
	a, b := p.then.Report.Idle, p.now.Report.Idle
	if a == nil || b == nil || !a.RPM.Told() || !b.RPM.Told() ||
		moved(p.then.Screws.Idle, p.now.Screws.Idle) || moved(p.then.Screws.L, p.now.Screws.L) {
		return figure{}, false
	}
	scatter := p.opt.IdleScatter * float64(a.RPM)
	return figure{float64(b.RPM - a.RPM), math.Sqrt(square(a.SDRPM) + square(b.SDRPM) + 2*square(scatter))}, true
}

func moved(a, b *book.Turns) bool { return a != nil && b != nil && *a != *b }

func (p *pair) seesIdleHigher() seen { return p.seesIdle(1) }
func (p *pair) seesIdleLower() seen  { return p.seesIdle(-1) }

func (p *pair) seesIdle(side float64) seen {
	change, told := p.idleChange()
	if !told {
		return seen{}
	}
	return seen{true, normalAbove(side*change.v, change.sd, p.opt.IdleWorth*float64(p.then.Report.Idle.RPM))}
}

// seesHang looks for a way back to idle that has become longer, or hangs.
func (p *pair) seesHang() seen {
	a, b := p.then.Report.Fall, p.now.Report.Fall
	if b == nil {
		return seen{}
	}
	if p.now.found(findingHangs, findingNoReturn) {
		if p.then.found(findingHangs, findingNoReturn) {
			return seen{true, evenly} // it did before
		}
		return said(true)
	}
	if a == nil {
		return said(false)
	}
	const least = 0.3 // s: what one snap of the throttle differs from the next by
	return seen{true, max(hardly, normalAbove(b.HangS-a.HangS, math.Hypot(least, math.Hypot(a.HangSDS, b.HangSDS)), p.opt.HangWorth))}
}

func (p *pair) seesClimb() seen { return p.seesNew(findingClimbs) }
func (p *pair) seesSink() seen  { return p.seesNew(findingSinks, findingSurges) }

// seesNew looks for a finding at full throttle that was not there then.
func (p *pair) seesNew(codes ...string) seen {
	if p.now.top == nil {
		return seen{}
	}
	if p.now.found(codes...) && p.then.found(codes...) {
		return seen{true, evenly}
	}
	return said(p.now.found(codes...))
}

// seesUneven looks for running that is uneven now and was not then.
func (p *pair) seesUneven() seen {
	now, then := p.now.uneven(), p.then.uneven()
	if now && then {
		return seen{true, evenly}
	}
	return said(now)
}

func (r reading) uneven() bool {
	_, told := r.FourStrokingShare()
	return r.found(findingHunts, findingUnsteady, findingSurges, findingLeaps) || (r.top != nil && !told)
}

// seesFiringAgainst looks for a four-stroking that goes the other way than the
// speed says.
func (p *pair) seesFiringAgainst() seen {
	if !p.changed() {
		return seen{}
	}
	byFiring, told := p.restByFiring()
	if !told {
		return seen{}
	}
	side := math.Copysign(1, p.restRPM.v)
	return seen{true, normalAbove(-side*byFiring.v, byFiring.sd, p.opt.Worth)}
}

// seesLeanAgain looks for lean that came back after H had been opened.
func (p *pair) seesLeanAgain() seen {
	now := p.nowAt()
	if !p.comparable || now < 0 {
		return seen{}
	}
	opened := -1
	for i := 1; i < now; i++ {
		if by, note := openedSince(p.course[i-1], p.course[i]); note == screwKnown && by >= p.opt.SettingApart {
			opened = i
		}
	}
	if opened < 0 {
		return seen{}
	}
	a, b := p.rests[opened], p.rests[now]
	since := figure{b.v - a.v, math.Hypot(a.sd, b.sd)}
	return seen{true, normalAbove(since.v, since.sd, p.opt.Worth)}
}

func (p *pair) seesPinned() seen {
	if p.now.top == nil {
		return seen{}
	}
	return said(p.now.code() == codeSpark)
}

func (p *pair) seesDoubt() seen { return said(p.now.doubtful(p.opt) || p.then.doubtful(p.opt)) }

// doubtful reports whether a reading cannot be leant on.
func (r reading) doubtful(o Options) bool {
	const vague = 0.015 // share of speed
	return r.top == nil || r.code() == codeNotEnough || r.Report.Verdict.OtherReadingRPM.Told() || r.found(findingLeaps) ||
		len(r.Report.Quality.Problems) > 0 || r.top.SDRPM > vague*r.speed()
}
