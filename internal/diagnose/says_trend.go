package diagnose

import (
	"fmt"
	"strings"
	"time"

	"topnote/internal/engine"
	"topnote/internal/layout"
	"topnote/internal/report"
)

// What is said of a trend.

func saysTrend(t Trend) string {
	says := fmt.Sprintf("%s: %s.", report.Printable(t.Machine.Name), layout.Count(len(t.Passes), "pass", "passes"))
	if t.Machine.Limits.MaxRPM.Told() {
		says += fmt.Sprintf(" Limit %s rpm.", t.Machine.Limits.MaxRPM)
	}
	return says
}

func trendHead() []string {
	return []string{"pass", "recorded", "top", "±", "std air", "burble", "idle", "H", "verdict"}
}

func (p TrendPoint) cells() []string {
	speed, give, corrected, four, h := "-", "", "-", "-", "-"
	if p.SustainedRPM.Told() {
		speed, give = p.SustainedRPM.Reading(), engine.FormatTens(engine.CoverageFactor*p.SDRPM)
	}
	if p.CorrectedRPM.Told() {
		corrected = p.CorrectedRPM.Reading()
	}
	if p.FourStrokingShare != nil {
		four = engine.FormatShare(*p.FourStrokingShare)
	}
	if p.Screws.H != nil {
		h = p.Screws.H.String()
	}
	return []string{fmt.Sprint(p.Number), p.Recorded.Format(time.DateOnly), speed, give, corrected, four, p.IdleRPM.Reading(), h, p.Verdict}
}

// trendNotes say what was corrected and how, and what was not.
func trendNotes(t Trend, corrected int, o Options) []string {
	says := []string{"Top is the top speed, held for half a second, in rpm, ± as it stands (95 %); burble is the share of the full throttle " +
		"without load that it four-strokes; H is in turns out."}
	if corrected > 0 {
		says = append(says,
			"Std air is the top speed as it would be at 15 °C, 1013.25 hPa and no humidity with the screws as they were: "+
				"the air's shift of the mixture times what 1 % of mixture does to the top speed, by the passes up to that one: a later pass changes no figure. "+
				"By now: "+lowerFirst(saysResponse(t.Response, o)),
			"The limit holds for the speed as it was measured, never for std air. Std air takes out the air alone, not the screws, and where air and machine changed together it may take out too much.")
	}
	if n := len(t.Passes) - corrected; n > 0 {
		says = append(says, fmt.Sprintf("%s not corrected: air not noted, no top speed, a coil that holds it, or a four-stroke engine.", layout.Count(n, "pass is", "passes are")))
	}
	return append(says, "Four-stroking and idle stand as they were measured: no law is known for them.")
}

// lowerFirst begins a sentence within another.
func lowerFirst(says string) string { return strings.ToLower(says[:1]) + says[1:] }
