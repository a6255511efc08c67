package picture

import (
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/report"
	"topnote/internal/verdict"
)

// Everything that a person reads on a picture.
const (
	axisTime           = "seconds"
	axisSpeed          = "shaft speed, rpm"
	axisFrequency      = "per minute"
	capSpectrogram     = "Read from the lines in the sound (stronger is louder):"
	legendSpeed        = "speed and its uncertainty (95 %)"
	legendFourStroking = "four-stroking"
	legendEveryTurn    = "firing every turn"
	legendNotTold      = "firing not told"
	legendEveryCycle   = "firing every cycle"
	axisOpening        = "seconds since the throttle opened"
	axisOrders         = "order: times the shaft turns"
	axisDB             = "dB"
	capOrders          = "The orders of each plateau. With a head: four-stroking, at ½ every 2nd turn, at thirds every 3rd."
	capOrdersShort     = "The orders of each plateau. With a head: four-stroking."
	nameLimit          = "limit"
	nameSetTo          = "set to"
	noOrders           = "no plateau long enough"
	noSpectrogram      = "no sound was kept to draw"
	footer             = "Measured from sound, as advice. The maker's handbook and local rules come first."
	restOfFile         = "%s, %.1f s"
)

// headline says the verdict's code with its figure, in a few words.
func headline(r report.Report) string {
	words := r.Verdict.Headline()
	if r.TopEnd == nil || verdict.Code(r.Verdict.Code) == verdict.NoEngine {
		return words
	}
	held, limit := r.TopEnd.SustainedRPM, r.Limits.MaxRPM
	if !limit.Told() {
		return fmt.Sprintf("%s: top speed %s rpm", words, held.Reading())
	}
	if len(edgesOf(r)) > 0 {
		return fmt.Sprintf("%s: top speed %s, set to %s ± %s rpm", words, held.Reading(), limit, engine.FormatWhole(r.Engine.Tolerance))
	}
	return fmt.Sprintf("%s: top speed %s, limit %s rpm", words, held.Reading(), limit)
}

func saysFile(c report.Clip) string {
	return fmt.Sprintf(restOfFile, report.Printable(filepath.Base(c.File)), c.DurationS)
}

// describe says in words what the picture of a pass shows.
func describe(r report.Report) string {
	says := []string{fmt.Sprintf("The speed of the shaft over %.1f seconds, above the lines in the sound that it was read from.", r.Clip.DurationS)}
	for _, p := range r.Phases {
		stretch := fmt.Sprintf("From %.1f s to %.1f s %s", p.FromS, p.ToS, PhaseName(p))
		if p.RPMMedian.Told() {
			stretch += fmt.Sprintf(" at about %s rpm", p.RPMMedian.Reading())
		}
		says = append(says, stretch+".")
	}
	switch edges := edgesOf(r); {
	case len(edges) > 0:
		says = append(says, fmt.Sprintf("The set-to figure is drawn from %s to %s rpm.", edges[0], edges[1]))
	case r.Limits.MaxRPM.Told():
		says = append(says, fmt.Sprintf("The limit is drawn at %s rpm.", r.Limits.MaxRPM))
	}
	return strings.Join(says, " ")
}

// describeComparison says in words what the picture of a comparison shows.
func describeComparison(c report.Comparison) string {
	says := []string{"The speeds of the passes over the time since the throttle opened, above the lines in the sound of each at full throttle."}
	for i, p := range c.Passes {
		says = append(says, saysPass(i, p)+".")
	}
	return strings.Join(says, " ")
}

// saysPass names the nth pass of a comparison, from 0.
func saysPass(n int, p report.ComparedPass) string {
	name := strconv.Itoa(n+1) + " " + report.Printable(filepath.Base(p.Report.Clip.File))
	if p.Report.TopEnd == nil {
		return name
	}
	name += ": " + saysSustained(*p.Report.TopEnd)
	if p.OpensAtS == nil {
		name += ", opening not heard"
	}
	return name
}

func saysPasses(n int) string { return fmt.Sprintf("%d passes", n) }

// PhaseName gives the short name of a phase, as it is written over its part of the
// axis.
func PhaseName(p report.Phase) string {
	if pass.Kind(p.Kind) == pass.ReturnToIdle {
		return "idle again"
	}
	return strings.ReplaceAll(p.Kind, "-", " ")
}

// saysFires names a firing period.
func saysFires(n int) string {
	return "every " + firingWords[n]
}

// firingWords names the firing periods.
var firingWords = [...]string{"", "one", "2nd", "3rd", "4th"}

func saysSustained(t report.TopEnd) string {
	return fmt.Sprintf("%s ± %s rpm", t.SustainedRPM.Reading(), engine.FormatWhole(t.HalfWidthRPM()))
}

// saysOrder names an order of the shaft.
func saysOrder(n int) string {
	if n == 1 {
		return "1 × shaft"
	}
	return fmt.Sprintf("%d ×", n)
}

// saysSlower names the frequency of firing every nth time.
func saysSlower(n int) string { return fmt.Sprintf("1/%d", n) }

func legendFiring(e report.Engine) string {
	if e.Strokes == 4 {
		return legendEveryCycle
	}
	return legendEveryTurn
}
