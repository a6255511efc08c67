package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"topnote/internal/engine"
	"topnote/internal/verdict"
)

// The words of a comparison beside the verdict's own sentences.

const (
	headPasses = "The passes"
	headMeans  = "What the differences can come from"
)

// Ordinal gives the word for a place from 1 to MaxPasses: first, second.
func Ordinal(n int) string {
	return [...]string{"first", "second", "third", "fourth", "fifth", "sixth"}[n-1]
}

func saysAgainstFirst(n int) string {
	return fmt.Sprintf("The %s against the %s", Ordinal(n), Ordinal(1))
}

func saysPlace(n int, c Clip) string {
	return fmt.Sprintf("The %s: %s", Ordinal(n), fileName(c))
}

func saysHeldShort(t TopEnd) string {
	return fmt.Sprintf("%s ± %s rpm", t.SustainedRPM.Reading(), engine.FormatHalfWidth(t.SDRPM))
}

// saysTop gives the sustained speed, compared with the limit.
func saysTop(r Report) string {
	if r.TopEnd == nil {
		return "no full throttle without load"
	}
	if r.Limits.MaxRPM.Told() {
		return fmt.Sprintf("top speed %s, %s", saysHeldShort(*r.TopEnd), saysAgainst(r))
	}
	return fmt.Sprintf("top speed %s", saysHeldShort(*r.TopEnd))
}

// figureName names a figure of a comparison, for the engine of its passes.
func figureName(figure string, e Engine) string {
	switch verdict.Compared(figure) {
	case verdict.ComparedHeld:
		return rowHeld
	case verdict.ComparedFour:
		return e.missing()
	case verdict.ComparedRise:
		return "rise"
	case verdict.ComparedSag:
		return "bogs on opening"
	case verdict.ComparedFall:
		return "fall to idle"
	case verdict.ComparedHang:
		return "hanging above idle"
	case verdict.ComparedCut:
		return "in the cut"
	case verdict.ComparedCutFour:
		return fmt.Sprintf("%s in the cut", e.missing())
	default:
		return figure
	}
}

// saysFigure writes a figure with its unit, a dash for none.
func saysFigure(unit string, v *float64) string {
	if v == nil {
		return "-"
	}
	switch unit {
	case "rpm":
		return engine.FormatTens(*v) + " rpm"
	case "share":
		return engine.FormatShare(*v)
	default:
		return fmt.Sprintf("%.2f %s", *v, unit)
	}
}

// saysDifference writes a difference with its uncertainty.
func saysDifference(d Difference) string {
	switch d.Tell {
	case TellNotBy:
		return "-"
	case TellSame:
		return "about the same"
	}
	sign := "+"
	if d.Tell == TellLess {
		sign = minus
	}
	switch d.Unit { // of the figures as they are shown
	case "rpm":
		by := math.Abs(engine.Change(*d.First, *d.Second))
		return fmt.Sprintf("%s%s ± %s rpm", sign, engine.FormatWhole(by), engine.FormatHalfWidth(*d.SD))
	case "share":
		return sign + engine.FormatShare(math.Abs(shown(*d.Second)-shown(*d.First)))
	default:
		by := math.Abs(engine.Round(*d.Second, 100) - engine.Round(*d.First, 100))
		return fmt.Sprintf("%s%.2f ± %.2f %s", sign, by, engine.CoverageFactor**d.SD, d.Unit)
	}
}

// ComparisonHeadline gives the conclusion in a few words, and the passes that are at
// or over the limit or not safe for another reason.
func ComparisonHeadline(c Comparison) string {
	var fast, unsafe []string
	for i, p := range c.Passes {
		place, v := Ordinal(i+1), p.Report.Verdict
		switch {
		case verdict.Code(v.Code).Danger() == verdict.OverLimit.Danger():
			fast = append(fast, place)
		case v.tone() == toneStop:
			unsafe = append(unsafe, place)
		}
	}
	says := saysConclusion(c)
	told := len(c.Pairs) == 1 && verdict.Mixture(c.Pairs[0].Mixture) != verdict.Unclear
	switch {
	case told && slices.Equal(fast, []string{Ordinal(2)}):
		says = fmt.Sprintf("%s, and at or over the limit", says)
	case len(fast) > 0:
		says += "; " + saysOf(fast, "the %s pass is at or over the limit", "the %s passes are at or over the limit")
	}
	if len(unsafe) > 0 {
		says += "; " + saysOf(unsafe, "the %s pass is not safe", "the %s passes are not safe")
	}
	return says
}

// saysOf says one thing of the passes at some places.
func saysOf(places []string, one, several string) string {
	last := len(places) - 1
	if last == 0 {
		return fmt.Sprintf(one, places[0])
	}
	return fmt.Sprintf(several, strings.Join(places[:last], ", ")+" and "+places[last])
}

// saysMoreOfPasses says what the short text of a comparison leaves out.
func saysMoreOfPasses(c Comparison) string {
	findings, problems := 0, 0
	for _, p := range c.Passes {
		findings += len(p.Report.Verdict.Findings)
		problems += len(p.Report.Quality.Problems)
	}
	return fmt.Sprintf("--full prints the rest: every figure and what it can come from, findings %d, problems with the recordings %d, all cautions.", findings, problems)
}

func saysConclusion(c Comparison) string {
	if len(c.Pairs) != 1 {
		return fmt.Sprintf("%d passes side by side", len(c.Passes))
	}
	p := c.Pairs[0]
	switch verdict.Mixture(p.Mixture) {
	case verdict.Leaner:
		return "The second pass is leaner"
	case verdict.Richer:
		return "The second pass is richer"
	case verdict.Alike:
		return "The second pass is about the same"
	default:
		return "Whether the second pass is leaner or richer cannot be told"
	}
}
