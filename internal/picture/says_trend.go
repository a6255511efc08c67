package picture

import (
	"fmt"
	"strings"

	"topnote/internal/report"
)

// What a person reads on a trend.
const (
	axisFour        = "%"
	axisIdle        = "idle, rpm"
	axisPasses      = "pass and day"
	legendMeasured  = "top speed, as measured (95 %)"
	legendCorrected = "in standard air (not for the limit)"
	nameIdle        = "idle"
	nameClutch      = "clutch"
	notToldMark     = "?"
)

// saysTrend is the headline of a trend.
func saysTrend(t Trend) string {
	return fmt.Sprintf("%s: top speed, four-stroking and idle", report.Printable(t.Name))
}

// describeTrend describes a trend for screen readers.
func describeTrend(t Trend) string {
	var told []string
	for _, p := range t.Passes {
		one := fmt.Sprintf("pass %d, %s: top speed %s rpm", p.Number, p.At.Format("2006-01-02"), p.Top.Reading())
		if p.Corrected.Told() {
			one += fmt.Sprintf(", in standard air %s", p.Corrected.Reading())
		}
		if p.FourStroking != nil {
			one += fmt.Sprintf(", four-stroking %.0f %%", 100**p.FourStroking)
		}
		if p.Idle.Told() {
			one += fmt.Sprintf(", idle %s", p.Idle.Reading())
		}
		told = append(told, one)
	}
	if len(told) == 0 {
		return "No pass yet."
	}
	return strings.Join(told, "; ") + "."
}
