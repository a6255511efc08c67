package diagnose

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/engine"
)

// What is said of the difference of two passes.

// The headings of an explanation.
const (
	headSides    = "The two passes"
	headChanged  = "What was noted otherwise"
	headParts    = "What makes up the change of the top speed"
	headCauses   = "For the rest, most likely first (belief in 100; two at once count twice)"
	headNext     = "The next move of H"
	headVerdict  = "What the later pass says by itself"
	headAssumed  = "What this rests on"
	headCautions = "Take care"
)

// minNamed is the probability from which a cause is written out in text; the
// first two are in any case.
const minNamed = 0.05

// saysAnswer sums an explanation up.
func saysAnswer(c *comparison, parts []Part, causes []RankedCause) string {
	first := causes[0]
	switch {
	case c.now.code() == codeSpark:
		return fmt.Sprintf("In pass %d the coil holds the speed, so the top speed cannot tell what became of the mixture.", c.now.Number)
	case !c.comparable:
		return "The top speeds of the two passes cannot be held against each other, so only the signs beside them speak."
	case first.Cause == CauseNone && !c.change.significant() && math.Abs(c.expected.value) < c.change.sd:
		return "Nothing is left to explain: the top speed is the same within what one pass differs from the next."
	case first.Cause == CauseNone:
		return fmt.Sprintf("The air and the screws explain it: of %s they make %s, and no more is left (%s, give or take %s) than one pass differs from the next.",
			upOrDown(c.change.value), upOrDown(c.expected.value), leanerOrRicher(c.residual.value), percent(c.residual.halfWidth()))
	}
	if says, two := saysTwo(parts, causes, c.opt); two {
		return says
	}
	left := fmt.Sprintf("The air and the screws leave %s, give or take %s.", leanerOrRicher(c.residual.value), percent(c.residual.halfWidth()))
	if first.Probability < even {
		return fmt.Sprintf("%s No cause stands out: look first for %s, then for %s.", left, first.Name, second(causes).Name)
	}
	return fmt.Sprintf("%s Most likely: %s (%s).", left, first.Name, inHundred(first.Probability))
}

// second gives the likeliest cause after the first that is one at all.
func second(causes []RankedCause) RankedCause {
	if causes[1].Cause == CauseNone {
		return causes[2]
	}
	return causes[1]
}

func inHundred(probability float64) string {
	return fmt.Sprintf("%.0f in 100", math.Round(100*probability))
}

// saysTwo names two causes at once: with their shares where the residual could be
// separated into what grew and what came in a step, and a cause of either kind is
// suspected; without, where two are likelier than not.
func saysTwo(parts []Part, causes []RankedCause, o Options) (string, bool) {
	slow, sudden := partNamed(parts, partSlow), partNamed(parts, partSudden)
	grows, steps := likeliest(causes, comesSlowly), likeliest(causes, comesAtOnce)
	if slow != nil && sudden != nil && min(grows.Probability, steps.Probability) >= o.MinSuspicion {
		return fmt.Sprintf("Two things at once: what came slowly, %s, fits %s (%s); what came at once, %s, fits %s (%s).",
			leanerOrRicher(slow.Leaner), grows.Name, inHundred(grows.Probability),
			leanerOrRicher(sudden.Leaner), steps.Name, inHundred(steps.Probability)), true
	}
	a, b := causes[0], causes[1]
	if b.Cause == CauseNone || b.Probability < even {
		return "", false
	}
	return fmt.Sprintf("More than one thing at once: %s (%s) and %s (%s). They add up; these passes cannot part their shares.",
		a.Name, inHundred(a.Probability), b.Name, inHundred(b.Probability)), true
}

func partNamed(parts []Part, what string) *Part {
	for i := range parts {
		if parts[i].What == what {
			return &parts[i]
		}
	}
	return nil
}

// likeliest gives the likeliest cause of a kind.
func likeliest(causes []RankedCause, kind func(Cause) bool) RankedCause {
	for _, c := range causes {
		if kind(c.Cause) {
			return c
		}
	}
	return RankedCause{}
}

func comesAtOnce(c Cause) bool { return c == CauseFilterNew || c == CauseFreed || c == CauseFuel }
func comesSlowly(c Cause) bool { return c == CauseFilterLoaded || c == CauseStarved || c == CauseLeak }

func upOrDown(rpm float64) string {
	if rpm < 0 {
		return engine.FormatTens(-rpm) + " rpm down"
	}
	return engine.FormatTens(rpm) + " rpm up"
}

// saysChanges says what was noted otherwise for the later pass.
func (c *comparison) saysChanges() []string {
	says := []string{}
	if c.shift != nil {
		s := c.shift
		says = append(says, fmt.Sprintf("The air, from %s to %s: by itself %s, give or take %s.",
			saysAir(*c.then.air), saysAir(*c.now.air), leanerOrRicher(float64(s.Mixture)), percent(float64(engine.CoverageFactor*s.SD))))
	}
	for _, screw := range []struct {
		name string
		a, b *book.Turns
	}{{"H", c.then.Screws.H, c.now.Screws.H}, {"L", c.then.Screws.L, c.now.Screws.L}, {"The idle screw", c.then.Screws.Idle, c.now.Screws.Idle}} {
		if moved(screw.a, screw.b) {
			says = append(says, fmt.Sprintf("%s, from %s to %s turns out.", screw.name, screw.a, screw.b))
		}
	}
	for _, r := range c.since {
		if r.FilterNote != "" && r.FilterNote != c.then.FilterNote {
			says = append(says, fmt.Sprintf("Air filter, pass %d: %s.", r.Number, strconv.Quote(r.FilterNote)))
		}
		if r.FuelNote != "" && r.FuelNote != c.then.FuelNote {
			says = append(says, fmt.Sprintf("Fuel, pass %d: %s.", r.Number, strconv.Quote(r.FuelNote)))
		}
	}
	if a, b := c.then.Report.Limits.MaxRPM, c.now.Report.Limits.MaxRPM; a != b {
		says = append(says, fmt.Sprintf("The limit, from %s to %s rpm.", a, b))
	}
	return says
}

func saysAir(a air.Air) string {
	return fmt.Sprintf("%.0f °C, %.0f %%, %.0f hPa", math.Round(float64(a.Temp))+0, float64(a.RH), a.Pressure.Hectopascal())
}

// saysAssumptions say what an explanation rests on beside the figures.
func (c *comparison) saysAssumptions() []string {
	says := []string{saysResponse(c.response, c.opt)}
	if c.shift == nil {
		says = append(says, fmt.Sprintf("The air is not noted for both passes; it may have moved the mixture by %s either way.", percent(engine.CoverageFactor*c.opt.UnknownAir)))
	}
	if _, told := c.residualFromFiring(); c.comparable && told {
		says = append(says, "What is left over is told in percent by the speed and the four-stroking together, in rpm by the speed alone.")
	}
	switch c.screw {
	case screwUnknown:
		says = append(says, "H is noted for neither pass and taken as not moved.")
	case screwPartly:
		says = append(says, "H is noted for one pass only and taken as hardly moved.")
	}
	says = append(says, "Give or take, and ±, hold the truth in 95 of 100 cases, as far as common practice and this machine's passes tell.",
		"The signs and their weights are common practice; see docs/book.md. The idle is not reckoned to another air: no law is known for it.")
	return says
}

// saysResponse says what a turn of H and a percent of mixture do, and how that is
// known.
func saysResponse(r Response, o Options) string {
	if r.Learned {
		return fmt.Sprintf("On this machine one turn of H out moves the top speed by %s rpm, give or take %s, and 1 %% leaner by %s, give or take %s "+
			"(learned from %d passes at %d settings of H).",
			engine.FormatTens(r.PerTurn), engine.FormatTens(engine.CoverageFactor*r.PerTurnSD), engine.FormatTens(r.PerPercent), engine.FormatTens(engine.CoverageFactor*r.PerPercentSD), r.Passes, r.Settings)
	}
	return fmt.Sprintf("One turn of H out is taken to move the top speed by about %s rpm, and 1 %% leaner by about %s, each known to half of itself "+
		"(common practice; passes at %d settings of H would tell for this machine).",
		engine.FormatTens(r.PerTurn), engine.FormatTens(r.PerPercent), o.MinSettings)
}

func saysPart(what string) string {
	switch what {
	case partAir:
		return "air"
	case partTemp:
		return "  temperature"
	case partPressure:
		return "  pressure"
	case partHumidity:
		return "  humidity"
	case partScrew:
		return "H screw"
	case partSlow:
		return "  came slowly"
	case partSudden:
		return "  came at once"
	default:
		return "left over"
	}
}

func saysChange(e Explanation) string {
	if e.ChangeRPM == nil {
		return fmt.Sprintf("Pass %d of %s against pass %d.", e.Now.Number, strconv.Quote(e.Machine), e.Then.Number)
	}
	return fmt.Sprintf("From pass %d to pass %d of %s the top speed went from %s to %s rpm: %s, give or take %s.",
		e.Then.Number, e.Now.Number, strconv.Quote(e.Machine), e.Then.SustainedRPM.Reading(), e.Now.SustainedRPM.Reading(),
		upOrDown(*e.ChangeRPM), engine.FormatTens(engine.CoverageFactor**e.ChangeSDRPM))
}

// saysCause writes the first line of a cause.
func saysCause(c RankedCause) string {
	name := strings.ToUpper(c.Name[:1]) + c.Name[1:]
	return fmt.Sprintf("%s: %s", name, inHundred(c.Probability))
}
