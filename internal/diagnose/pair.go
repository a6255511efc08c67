package diagnose

import (
	"math"
	"slices"

	"topnote/internal/air"
)

// pair is two passes of a machine that are held against each other, with those
// around them: what a sign can ask about.
type pair struct {
	then, now reading
	before    []reading // all of the machine's passes before then
	since     []reading // all after then, up to now
	course    []reading // usable ones from a little before then until now, both among them where they are usable
	response  Response
	opt       Options

	shift  *air.Shift // of the air; nil: not noted for both
	opened float64    // turns of H out since then
	screw  screwNote

	change, expected figure // of the top speed, rpm: what it did; what air and H make of it
	byAir, byScrew   figure // the parts of expected
	rest             figure // percent of mixture, above 0 leaner: what is left, from speed and firing together
	restRPM          figure // the same from the speed alone, in rpm
	comparable       bool   // change, rest and restRPM hold, and what follows

	days         []float64 // of the course
	rests        []figure  // percent that is left at each pass of the course, against its first
	came         course    // how what is left came about
	slow, sudden figure    // percent of it that grew, and that leapt
	parted       bool      // slow and sudden hold
}

// figure is a value with its standard deviation.
type figure struct{ v, sd float64 }

// screwNote says what is known of the H screw.
type screwNote int

const (
	screwUnknown screwNote = iota // noted for neither pass: taken as not moved
	screwHalf                     // noted for one of them
	screwKnown
)

// newPair holds the pass now against the pass then. all are the readings of the
// machine, in order of time.
func newPair(all []reading, then, now int, o Options) *pair {
	p := &pair{then: all[then], now: all[now], opt: o, response: learn(all[:now+1], o)}
	p.before, p.since = all[:then:then], all[then+1:now+1]
	for _, r := range all[max(0, then-o.TrendBefore) : now+1] {
		if r.usable {
			p.course = append(p.course, r)
		}
	}
	p.opened, p.screw = openedSince(p.then, p.now)
	if p.then.air != nil && p.now.air != nil {
		s := air.Compare(*p.now.air, *p.then.air, air.Default())
		p.shift = &s
	}
	p.comparable = p.then.usable && p.now.usable
	if p.comparable {
		p.weigh()
	}
	if p.comparable {
		p.days, p.rests = p.series()
		p.came = p.courseOf()
		p.slow, p.sudden, p.parted = p.split()
	}
	return p
}

func openedSince(then, now reading) (opened float64, note screwNote) {
	a, notedA := then.setting()
	b, notedB := now.setting()
	switch {
	case notedA && notedB:
		return b - a, screwKnown
	case notedA || notedB:
		return 0, screwHalf
	default:
		return 0, screwUnknown
	}
}

// weigh works out the change of the top speed, what the air and H make of it,
// and what is left.
func (p *pair) weigh() {
	o := p.opt
	p.change = figure{p.now.speed() - p.then.speed(), math.Sqrt(p.then.variance(o) + p.now.variance(o))}
	p.expected = p.expect(p.then, p.now)
	byAir, varAir := p.response.expect(p.leaner(p.then, p.now), 0)
	byScrew, varScrew := p.response.expect(0, p.opened)
	p.byAir = figure{byAir, math.Sqrt(varAir + square(p.response.PerPercent*p.airSD()))}
	p.byScrew = figure{byScrew, math.Sqrt(varScrew + square(p.response.PerTurn*p.screwSD()))}
	p.restRPM = figure{p.change.v - p.expected.v, math.Hypot(p.change.sd, p.expected.sd)}

	k := p.response.PerPercent
	if k <= 0 { // nothing that can be divided by
		p.comparable = false
		return
	}
	bySpeed := figure{p.restRPM.v / k, p.restRPM.sd / k}
	p.rest = bySpeed
	if byFiring, told := p.restByFiring(); told {
		p.rest = combine(bySpeed, byFiring)
	}
}

// leaner gives the percent by which the air made the mixture leaner from one
// reading to another; 0 where it is not known.
func (p *pair) leaner(from, to reading) float64 {
	if from.air == nil || to.air == nil {
		return 0
	}
	return float64(air.MixtureShift(to.air.State, from.air.State))
}

// airSD gives the deviation of the shift by the air, in percent. Where it was not
// noted, the readings' own variance has it.
func (p *pair) airSD() float64 {
	if p.shift == nil {
		return 0
	}
	return float64(p.shift.SD)
}

// screwSD gives how far H may have been moved without a note, in turns.
func (p *pair) screwSD() float64 {
	switch p.screw {
	case screwUnknown:
		return p.opt.NoScrew
	case screwHalf:
		return p.opt.NoScrewOnce
	default:
		return 0
	}
}

// expect gives what the air and H make of the top speed from one reading to
// another, in rpm.
func (p *pair) expect(from, to reading) figure {
	opened, note := openedSince(from, to)
	leaner := p.leaner(from, to)
	change, variance := p.response.expect(leaner, opened)
	variance += square(p.opt.Bend * change)
	if from.air != nil && to.air != nil {
		variance += square(p.response.PerPercent * float64(air.Compare(*to.air, *from.air, air.Default()).SD))
	}
	switch note {
	case screwUnknown:
		variance += square(p.response.PerTurn * p.opt.NoScrew)
	case screwHalf:
		variance += square(p.response.PerTurn * p.opt.NoScrewOnce)
	}
	return figure{change, math.Sqrt(variance)}
}

// restByFiring gives what is left by the share of four-stroking, in percent; not
// told where it stays at one of its ends, which says nothing.
func (p *pair) restByFiring() (figure, bool) {
	a, toldA := p.then.FourStrokingShare()
	b, toldB := p.now.FourStrokingShare()
	if !toldA || !toldB {
		return figure{}, false
	}
	const end = 0.05 // of the share: none or all
	low := a < end && b < end
	high := a > 1-end && b > 1-end
	if low || high {
		return figure{}, false
	}
	q, qSD := p.opt.FourPerPercent, p.opt.FourPerPercentSD
	moved := (a - b) / q // percent leaner, all causes
	known := p.expected.v / p.response.PerPercent
	sd := math.Hypot(math.Sqrt2*p.opt.FourScatter/q, moved*qSD/q)
	return figure{moved - known, math.Hypot(sd, p.expected.sd/p.response.PerPercent)}, true
}

// combine joins two independent figures of one quantity. Where they are further
// apart than they should be, both are out by more than they claim.
func combine(a, b figure) figure {
	wa, wb := 1/square(a.sd), 1/square(b.sd)
	sd := math.Sqrt(1 / (wa + wb))
	stretch := math.Abs(a.v-b.v) / math.Hypot(a.sd, b.sd)
	return figure{(wa*a.v + wb*b.v) / (wa + wb), sd * max(1, stretch)}
}

// leanerBy gives the belief that what is left is leaner by more than is worth a
// cause, and richerBy that it is richer.
func (p *pair) leanerBy() float64 { return normalAbove(p.rest.v, p.rest.sd, p.opt.Worth) }
func (p *pair) richerBy() float64 { return normalAbove(-p.rest.v, p.rest.sd, p.opt.Worth) }

// left gives the belief that anything is left.
func (p *pair) left() float64 { return p.leanerBy() + p.richerBy() }

// series gives what is left at each usable pass of the course against its first
// one, in percent, with the days.
func (p *pair) series() (days []float64, rests []figure) {
	k := p.response.PerPercent
	for _, r := range p.course {
		change := r.speed() - p.course[0].speed() - p.expect(p.course[0], r).v
		days = append(days, r.day)
		rests = append(rests, figure{change / k, math.Sqrt(r.variance(p.opt)) / k})
	}
	return days, rests
}

// thenAt and nowAt give where both passes stand in the course; -1 where they are
// not usable.
func (p *pair) thenAt() int { return p.at(p.then) }
func (p *pair) nowAt() int  { return p.at(p.now) }

func (p *pair) at(r reading) int {
	return slices.IndexFunc(p.course, func(c reading) bool { return c.Number == r.Number })
}
