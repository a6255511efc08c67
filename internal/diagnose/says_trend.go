package diagnose

import (
	"fmt"
	"math"
	"time"

	"topnote/internal/engine"
	"topnote/internal/layout"
	"topnote/internal/report"
)

// What is said of a trend.

func saysTrend(t Trend) string {
	name, passes := report.Printable(t.Machine.Name), layout.Count(len(t.Passes), "pass", "passes")
	if t.Machine.Limits.MaxRPM.Told() {
		return fmt.Sprintf("%s: %s, limit %s rpm.", name, passes, t.Machine.Limits.MaxRPM)
	}
	return fmt.Sprintf("%s: %s.", name, passes)
}

// saysTachometers says how well tachometer and sound agree, "" where none was noted.
func saysTachometers(all []observation) string {
	n, sum, worst := 0, 0.0, 0.0
	for _, p := range all {
		if off, told := p.TachometerOff(); told {
			n++
			sum += off
			worst = max(worst, math.Abs(off))
		}
	}
	switch {
	case n == 0:
		return ""
	case n == 1:
		return fmt.Sprintf("Tachometer: noted with 1 pass, %s rpm from the sound.", engine.FormatWhole(worst))
	case sum < 0:
		return fmt.Sprintf("Tachometer: noted with %d passes, on average %s rpm below the sound, at most %s rpm from it.", n, engine.FormatTens(-sum/float64(n)), engine.FormatWhole(worst))
	}
	return fmt.Sprintf("Tachometer: noted with %d passes, on average %s rpm above the sound, at most %s rpm from it.", n, engine.FormatTens(sum/float64(n)), engine.FormatWhole(worst))
}

// The longest head of the table is on two lines where columns are narrow.
const upperHead, lowerHead = "four-", "stroking"

func trendHead() []string {
	return []string{"pass", "recorded", "top", "±", "std air", "four-stroking", "idle", "H", "verdict"}
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

// saysMoreOfTrend says what the short text leaves out.
func saysMoreOfTrend(left int) string {
	if left > 0 {
		return fmt.Sprintf("--full prints the rest: earlier passes %d, why, how to read it, all cautions.", left)
	}
	return "--full prints the rest: why, how to read it, all cautions."
}

// trendNotes say what was corrected and how, and what was not.
func trendNotes(t Trend, corrected int, o Options) []string {
	says := []string{"Top: the top speed, held for half a second, in rpm, with its ± (95 %). Four-stroking: how much of the full throttle " +
		"without load it four-strokes. H: turns out."}
	if corrected > 0 {
		says = append(says,
			"Std air: the top speed as it would be at 15 °C, 1013.25 hPa and no humidity with the screws as they were. "+
				"It is the air's shift of the mixture times what 1 % of mixture does to the top speed by the passes up to that one, so a later pass changes no figure.",
			saysResponse(t.Response, o),
			"The limit holds for the speed as it was measured, never for std air. Std air takes out the air alone, not the screws; where air and machine changed together it may take out too much.")
	}
	if n := len(t.Passes) - corrected; n > 0 {
		says = append(says, fmt.Sprintf("%s not corrected: the air is not noted, there is no top speed, a coil holds it, or it is a four-stroke.", layout.Count(n, "pass is", "passes are")))
	}
	return append(says, "Four-stroking and idle are as measured: no law is known for them.")
}
