package diagnose

import (
	"fmt"
	"math"
	"slices"
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
	headChanged  = "What was different"
	headParts    = "What the change of the top speed is made of"
	headCauses   = "Possible causes of the rest, most likely first (two can be at work at once)"
	headCheck    = "Check first"
	headNext     = "The next move of H"
	headVerdict  = "The verdict of the later pass"
	headAssumed  = "What this rests on"
	headCautions = "Take care"

	saysMoreOfWhy = "--full prints the rest: why, both passes, what was different, every cause with its evidence, all cautions."
)

// minNamed is the probability from which a cause is written out in text; the
// first two are in any case.
const minNamed = 0.05

// saysAnswer sums an explanation up.
func saysAnswer(c *comparison, parts []Part, causes []RankedCause) string {
	first := causes[0]
	switch {
	case c.now.code() == codeSpark:
		return fmt.Sprintf("In pass %d the coil holds the speed, so the top speed cannot tell how the mixture changed.", c.now.Number)
	case c.now.code() == codeGoverned || !c.machine.speedTells():
		return saysNotJudged(c.machine)
	case !c.comparable:
		return "The top speeds of the two passes cannot be compared, so only the other signs count."
	case first.Cause == GroupNone && !c.change.significant() && math.Abs(c.expected.value) < c.change.sd:
		return "There is nothing to explain: the top speeds differ by no more than one pass does from the next."
	case first.Cause == GroupNone:
		return fmt.Sprintf("The air and the screws explain it: %s in all, %s by them. What is left (%s) is no more than one pass differs from the next.",
			upOrDown(c.change.value), upOrDown(c.expected.value), c.residualRPM.rpmWords())
	}
	if says, two := saysTwo(parts, causes, c.opt); two {
		return says
	}
	left := c.saysLeft(first.Cause)
	if !c.names(causes) {
		return fmt.Sprintf("%s No cause stands out. Look first for: %s. Then for: %s.", left, called(first), called(second(causes)))
	}
	return fmt.Sprintf("%s Most likely: %s (%s).", left, called(first), inHundred(first.Probability))
}

// names reports whether one group of causes stands out enough to be named: it is
// likely enough, and the side of the mixture is decided. Where the firing does not
// tell the mixture, slower may be richer or weaker, and more is asked for.
func (c *comparison) names(causes []RankedCause) bool {
	enough := c.opt.MinNaming
	if g := causes[0].Cause; (g == GroupRich || g == GroupWeak || g == GroupPastPeak) && !c.firingTold() {
		enough = c.opt.Decided
	}
	return causes[0].Probability >= enough && !c.openSign()
}

// saysLeft says what air and screws leave, with the side of the mixture where it is
// told.
func (c *comparison) saysLeft(likeliest Group) string {
	by, sd := engine.FormatTens(math.Abs(c.residualRPM.value)), engine.FormatTens(c.residualRPM.halfWidth())
	left := fmt.Sprintf("It is %s rpm (± %s rpm) faster than air and screws explain.", by, sd)
	if c.residualRPM.value < 0 {
		left = fmt.Sprintf("It is %s rpm (± %s rpm) slower than air and screws explain.", by, sd)
	}
	return strings.TrimSpace(left + " " + c.saysSideOf(likeliest))
}

// saysSideOf says in a sentence which side of the mixture that is, "" where it is not
// told.
func (c *comparison) saysSideOf(likeliest Group) string {
	switch c.side(likeliest) {
	case sideOpen:
		return "It runs clean in both passes, so it is open whether that is richer or so lean that it is past the peak: " +
			"treat it as lean until the cut, the rise or a pass in other air decides."
	case sidePast:
		return "That is not richer, but leaner and past the peak."
	case sidePower:
		return ""
	}
	switch leaner := math.Round(c.residual.value); {
	case leaner >= farOff:
		return "That is far leaner."
	case leaner <= -farOff:
		return "That is far richer."
	case leaner > 0:
		return fmt.Sprintf("That is about %.0f %% leaner.", leaner)
	case leaner < 0:
		return fmt.Sprintf("That is about %.0f %% richer.", -leaner)
	}
	return ""
}

// side says what a change of the top speed beyond air and screws means.
type side string

const (
	sideMixture side = ""          // faster is leaner, slower is richer
	sideOpen    side = "open"      // both passes run clean: richer, or past the peak
	sidePast    side = "past-peak" // leaner, and slower for it
	sidePower   side = "power"     // of power or load, not of the mixture
)

// side gives it for the likeliest group of causes.
func (c *comparison) side(likeliest Group) side {
	switch {
	case c.openSign():
		return sideOpen
	case likeliest == GroupPastPeak:
		return sidePast
	case likeliest == GroupWeak, likeliest == GroupFree, !c.machine.firingTells() && c.machine.compensated == engine.Yes:
		return sidePower
	}
	return sideMixture
}

// second gives the likeliest cause after the first that is one at all.
func second(causes []RankedCause) RankedCause {
	if causes[1].Cause == GroupNone {
		return causes[2]
	}
	return causes[1]
}

// inHundred writes a probability as people can use it: to five, and never as a
// certainty.
func inHundred(probability float64) string {
	const step, most = 5, 95
	switch n := step * math.Round(100*probability/step); {
	case n >= most:
		return "over 90 in 100"
	case n < step:
		return "under 5 in 100"
	default:
		return fmt.Sprintf("about %.0f in 100", n)
	}
}

// saysTwo names two causes at once: with their shares where the residual could be
// separated into what grew and what came in a step, and a cause of either kind is
// suspected; without, where two are likelier than not.
func saysTwo(parts []Part, causes []RankedCause, o Options) (string, bool) {
	slow, sudden := partNamed(parts, partSlow), partNamed(parts, partSudden)
	grows, steps := likeliest(causes, comesSlowly), likeliest(causes, comesAtOnce)
	if slow != nil && sudden != nil && min(grows.Probability, steps.Probability) >= o.MinSuspicion {
		return fmt.Sprintf("Two things at once: what came slowly, %s, fits %s (%s); what came at once, %s, fits %s (%s).",
			upOrDown(slow.RPM), called(grows), inHundred(grows.Probability),
			upOrDown(sudden.RPM), called(steps), inHundred(steps.Probability)), true
	}
	a, b := causes[0], causes[1]
	if b.Cause == GroupNone || b.Probability < even {
		return "", false
	}
	return fmt.Sprintf("More than one thing at once: %s (%s) and %s (%s). They add up; these passes cannot part their shares.",
		called(a), inHundred(a.Probability), called(b), inHundred(b.Probability)), true
}

func partNamed(parts []Part, what string) *Part {
	for i := range parts {
		if parts[i].What == what {
			return &parts[i]
		}
	}
	return nil
}

// likeliest gives the likeliest group that comes in a way.
func likeliest(causes []RankedCause, how onsetKind) RankedCause {
	for _, c := range causes {
		if groupOf(c.Cause).comes == how {
			return c
		}
	}
	return RankedCause{}
}

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
		says = append(says, fmt.Sprintf("The air went from %s to %s: by itself %s, ± %s.",
			saysAir(*c.then.air), saysAir(*c.now.air), leanerOrRicher(float64(s.Mixture)), percent(float64(engine.CoverageFactor*s.SD))))
	}
	for _, screw := range []struct {
		format string
		a, b   *book.Turns
	}{
		{"H went from %s to %s turns out.", c.then.Screws.H, c.now.Screws.H}, {"L went from %s to %s turns out.", c.then.Screws.L, c.now.Screws.L},
		{"The idle screw went from %s to %s turns in.", c.then.Screws.Idle, c.now.Screws.Idle},
	} {
		if moved(screw.a, screw.b) {
			says = append(says, fmt.Sprintf(screw.format, screw.a, screw.b))
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
		says = append(says, fmt.Sprintf("The limit went from %s to %s rpm.", a, b))
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
	switch c.screw {
	case screwUnknown:
		says = append(says, "H is noted for neither pass, so it counts as not moved.")
	case screwPartly:
		says = append(says, "H is noted for one pass only, so it counts as hardly moved.")
	}
	says = append(says, "± is 95 %, as far as common practice and this machine's passes tell.",
		"The signs and their weights are common practice (docs/causes.md). The idle is not corrected for the air: no law is known for it.")
	return says
}

// saysResponse says what a turn of H and a percent of mixture do, and how that is
// known.
func saysResponse(r Response, o Options) string {
	perTurn, perPercent := engine.FormatTens(-r.PerTurn), engine.FormatTens(r.PerPercent)
	switch {
	case r.Learned && r.PerTurn < 0:
		return fmt.Sprintf("On this machine one turn of H out takes %s rpm (± %s) off the top speed, and 1 %% leaner adds %s rpm (± %s): "+
			"learned from %d passes at %d settings of H.",
			perTurn, engine.FormatTens(engine.CoverageFactor*r.PerTurnSD), perPercent, engine.FormatTens(engine.CoverageFactor*r.PerPercentSD), r.Passes, r.Settings)
	case r.Learned:
		return fmt.Sprintf("On this machine H has not moved the top speed as it should: learned from %d passes at %d settings of H.", r.Passes, r.Settings)
	}
	return fmt.Sprintf("One turn of H out is taken to lower the top speed by about %s rpm, and 1 %% leaner to raise it by about %s rpm, each known to half of itself "+
		"(common practice; passes at %d settings of H would tell for this machine).",
		perTurn, perPercent, o.MinSettings)
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
		return "unexplained"
	}
}

func saysChange(e Explanation) string {
	if e.ChangeRPM == nil {
		return fmt.Sprintf("Pass %d of %s, compared with pass %d.", e.Now.Number, strconv.Quote(e.Machine), e.Then.Number)
	}
	return fmt.Sprintf("From pass %d to pass %d of %s the top speed went from %s to %s rpm: %s, ± %s rpm (95 %%).",
		e.Then.Number, e.Now.Number, strconv.Quote(e.Machine), e.Then.SustainedRPM.Reading(), e.Now.SustainedRPM.Reading(),
		upOrDown(engine.Change(float64(e.Then.SustainedRPM), float64(e.Now.SustainedRPM))), engine.FormatTens(engine.CoverageFactor**e.ChangeSDRPM))
}

// clear is the share of a group from which one of its causes stands for it.
const clear = 0.75

// isClear reports whether one cause of a group stands out.
func isClear(which []Suspect) bool {
	sum := 0.0
	for _, s := range which {
		sum += s.Probability
	}
	return len(which) > 0 && which[0].Probability >= clear*sum
}

// called gives the name of the cause that stands out, or else that of the group.
func called(r RankedCause) string {
	if isClear(r.Which) {
		return r.Which[0].Name
	}
	return r.Name
}

// saysCause writes the first line of a cause.
func saysCause(c RankedCause) string {
	name := called(c)
	return fmt.Sprintf("%s: %s", strings.ToUpper(name[:1])+name[1:], inHundred(c.Probability))
}

// saysNext says how to check a group of causes: what comes before anything else, and
// how the bench tells which it is. It turns no screw.
func saysNext(g groupRow, which []Suspect) string {
	const named = 3
	var says []string
	if g.before != "" {
		says = append(says, g.before)
	}
	if isClear(which) {
		which = which[:1]
	}
	for _, s := range which[:min(named, len(which))] {
		if !slices.Contains(says, s.Check) {
			says = append(says, s.Check)
		}
	}
	return strings.Join(says, " ")
}

// screwsFor says which way people turn the screws for a group of causes, where there
// are any.
func (t traits) screwsFor(g groupRow) string {
	if !t.hasScrews() {
		return "there are none to turn"
	}
	return g.screws
}

// saysWhich names the causes of a group, where there is more than one.
func saysWhich(r RankedCause) string {
	const named = 3
	if len(r.Which) < 2 || isClear(r.Which) {
		return ""
	}
	var names []string
	for _, s := range r.Which[:min(named, len(r.Which))] {
		names = append(names, s.Name)
	}
	return fmt.Sprintf("A recording does not tell these apart: %s.", strings.Join(names, "; "))
}
