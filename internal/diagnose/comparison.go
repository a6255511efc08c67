package diagnose

import (
	"math"
	"slices"

	"topnote/internal/air"
)

// comparison is two passes of a machine, with the passes around them: what the
// signs are looked for in.
type comparison struct {
	then, now observation
	earlier   []observation // all of the machine's passes before then
	since     []observation // all after then, up to now
	window    []observation // usable ones from a little before then up to now
	response  Response
	opt       Options

	shift   *air.Shift // of the air; nil: not noted for both
	opening float64    // turns of H out from then to now
	screw   screwRecord

	machine  traits
	model    *model
	events   []noteFound // of the notes since then
	evidence []evidence
	belief   belief

	comparable       bool     // both top speeds depend on the mixture; what follows holds
	change, expected estimate // of the top speed, rpm: what it did; what air and H account for
	byAir, byScrew   estimate // the parts of expected
	residual         estimate // percent of mixture that remains, above 0 leaner: from speed and firing together
	residualRPM      estimate // the same from the speed alone, in rpm

	days            []float64  // of the window
	residuals       []estimate // at each pass of the window, against its first, in percent
	onset           onset      // how the residual came about
	gradual, sudden estimate   // percent of it that grew, and that came in a step
	separated       bool       // gradual and sudden hold
}

// screwRecord says what is known of the H screw.
type screwRecord int

const (
	screwUnknown screwRecord = iota // noted for neither pass: taken as not moved
	screwPartly                     // noted for one of them
	screwKnown
)

// newComparison compares the passes with the indices then and now of all passes
// of the machine, in order of time.
func newComparison(all []observation, then, now int, o Options) *comparison {
	c := &comparison{then: all[then], now: all[now], opt: o, response: learnResponse(all[:now+1], o)}
	c.machine = traitsOf(c.now.Report.Engine)
	c.model = newModel(c.machine)
	c.earlier, c.since = all[:then:then], all[then+1:now+1]
	c.events = c.newEvents()
	for _, r := range all[max(0, then-o.PassesBefore) : now+1] {
		if r.usable {
			c.window = append(c.window, r)
		}
	}
	c.opening, c.screw = openingBetween(c.then, c.now)
	if c.then.air != nil && c.now.air != nil {
		s := air.Compare(*c.now.air, *c.then.air, air.Default())
		c.shift = &s
	}
	// The response divides below, so it must be above 0.
	c.comparable = c.then.usable && c.now.usable && c.response.PerPercent > 0
	if c.comparable {
		c.decompose()
		c.days, c.residuals = c.residualSeries()
		c.onset = c.fitOnset()
		c.gradual, c.sudden, c.separated = c.separate()
	}
	c.evidence = c.collectEvidence()
	c.belief = c.model.judge(c.evidence, o)
	return c
}

// openingBetween gives the turns by which H was opened from one pass to another,
// 0 where it is not known.
func openingBetween(from, to observation) (opened float64, record screwRecord) {
	a, notedA := from.setting()
	b, notedB := to.setting()
	switch {
	case notedA && notedB:
		return b - a, screwKnown
	case notedA || notedB:
		return 0, screwPartly
	default:
		return 0, screwUnknown
	}
}

// decompose parts the change of the top speed into what the air and H account
// for, and the residual.
func (c *comparison) decompose() {
	o, perPercent := c.opt, c.response.PerPercent
	c.change = estimate{c.now.speed() - c.then.speed(), math.Sqrt(c.then.variance(o) + c.now.variance(o))}
	c.expected = c.predict(c.then, c.now)
	byAir, varAir := c.response.predict(airShift(c.then, c.now), 0)
	byScrew, varScrew := c.response.predict(0, c.opening)
	c.byAir = estimate{byAir, math.Sqrt(varAir + square(perPercent*c.airSD()))}
	c.byScrew = estimate{byScrew, math.Sqrt(varScrew + square(c.response.PerTurn*c.screwSD(c.screw)))}
	c.residualRPM = estimate{c.change.value - c.expected.value, math.Hypot(c.change.sd, c.expected.sd)}
	c.residual = c.residualRPM.over(perPercent)
}

// airShift gives the percent by which the air made the mixture leaner from one
// pass to another; 0 where it is not known.
func airShift(from, to observation) float64 {
	if from.air == nil || to.air == nil {
		return 0
	}
	return float64(air.MixtureShift(to.air.State, from.air.State))
}

// airSD gives the deviation of the shift by the air, in percent. Where the air was
// not noted, observation.variance contains it.
func (c *comparison) airSD() float64 {
	if c.shift == nil {
		return 0
	}
	return float64(c.shift.SD)
}

// screwSD gives how far H may have moved without a note, in turns.
func (c *comparison) screwSD(record screwRecord) float64 {
	switch record {
	case screwUnknown:
		return c.opt.UnknownScrew
	case screwPartly:
		return c.opt.PartlyKnownScrew
	default:
		return 0
	}
}

// predict gives the change of the top speed that the air and H account for, from
// one pass to another, in rpm.
func (c *comparison) predict(from, to observation) estimate {
	opened, record := openingBetween(from, to)
	change, variance := c.response.predict(airShift(from, to), opened)
	variance += square(c.opt.ModelError * change)
	if from.air != nil && to.air != nil {
		variance += square(c.response.PerPercent * float64(air.Compare(*to.air, *from.air, air.Default()).SD))
	}
	variance += square(c.response.PerTurn * c.screwSD(record))
	return estimate{change, math.Sqrt(variance)}
}

// residualFromFiring gives the residual by the share of four-stroking, in percent
// of mixture, above 0 leaner. It is not told where both shares are at the same end,
// none or all, and for a machine whose firing does not follow its mixture.
func (c *comparison) residualFromFiring() (estimate, bool) {
	if !c.comparable || !c.firingTold() {
		return estimate{}, false
	}
	a, _ := c.then.FourStrokingShare()
	b, _ := c.now.FourStrokingShare()
	end := c.opt.SaturatedFiring
	if max(a, b) < end || min(a, b) > 1-end {
		return estimate{}, false
	}
	slope, slopeSD := c.opt.FourStrokingPerPercent, c.opt.FourStrokingPerPercentSD
	moved := (a - b) / slope // percent leaner, by all causes
	expected := c.expected.over(c.response.PerPercent)
	sd := math.Hypot(math.Sqrt2*c.opt.FourStrokingScatter/slope, moved*slopeSD/slope)
	return estimate{moved - expected.value, math.Hypot(sd, expected.sd)}, true
}

// firingTold reports whether the four-stroking of both passes is known, and tells
// the mixture.
func (c *comparison) firingTold() bool {
	_, then := c.then.FourStrokingShare()
	_, now := c.now.FourStrokingShare()
	return then && now && c.machine.firingTells()
}

// bothClean reports whether neither pass four-strokes without load to speak of.
func (c *comparison) bothClean() bool {
	a, _ := c.then.FourStrokingShare()
	b, _ := c.now.FourStrokingShare()
	return c.firingTold() && max(a, b) <= c.opt.CleanShare
}

// openSign reports whether it is open on which side of the mixture a change of the
// top speed lies: both passes run clean, and neither the cut nor the rise nor the
// air of the day has decided it.
func (c *comparison) openSign() bool {
	if !c.comparable || !c.bothClean() || math.Abs(c.residualRPM.value) < c.counts() {
		return false
	}
	rich := c.belief.any(func(r causeRow) bool { return groupOf(r.group).mixture == "rich" })
	return max(rich, c.belief.lean()) < c.opt.Decided
}

// hasResidual reports whether there is more likely a residual than none: only
// then does it matter how it came about.
func (c *comparison) hasResidual() bool {
	return c.comparable && c.checkFaster().probability+c.checkSlower().probability > even
}

// even is the probability at which two outcomes are equally likely.
const even = 0.5

// residualSeries gives the days of the window, and the residual of each of its
// passes against the first, in percent.
func (c *comparison) residualSeries() (days []float64, residuals []estimate) {
	first := c.window[0]
	for _, r := range c.window {
		change := r.speed() - first.speed() - c.predict(first, r).value
		days = append(days, r.day)
		residuals = append(residuals, estimate{change, math.Sqrt(r.variance(c.opt))}.over(c.response.PerPercent))
	}
	return days, residuals
}

// thenIndex gives the index of the pass then in the window; -1 where it is not
// usable.
func (c *comparison) thenIndex() int { return c.windowIndex(c.then) }

// nowIndex gives that of the pass now.
func (c *comparison) nowIndex() int { return c.windowIndex(c.now) }

func (c *comparison) windowIndex(r observation) int {
	return slices.IndexFunc(c.window, func(w observation) bool { return w.Number == r.Number })
}
