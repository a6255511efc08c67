package report

import (
	"fmt"
	"math"
	"strings"

	"topnote/internal/engine"
)

// The words for the figures of a pass. Faults in them are the verdict's findings.

func joinParts(says ...string) string {
	var told []string
	for _, s := range says {
		if s != "" {
			told = append(told, s)
		}
	}
	return strings.Join(told, "; ")
}

// saysIdle says the idle of a pass; opened says whether the throttle was opened in it.
func saysIdle(i Idle, opened bool) string {
	return joinParts(
		fmt.Sprintf("%s rpm, give or take %s%s", i.RPM.Reading(), engine.FormatHalfWidth(i.SDRPM), saysWhich(i, opened)),
		fmt.Sprintf("nine readings in ten within %s rpm of it", engine.FormatTens(i.SpreadRPM)),
		saysAgainstEntered(i.AboveEnteredRPM, "above", "below", "the idle speed entered"),
		saysAgainstEntered(i.UnderClutchRPM, "under", "over", "the clutch engagement speed"))
}

// saysWhich says which idle of a pass it is.
func saysWhich(i Idle, opened bool) string {
	which := ""
	switch {
	case i.Returned:
		which = ", after the throttle was let go"
	case opened:
		which = ", before the throttle was opened"
	}
	if i.Settling {
		which += ", still falling"
	}
	return which
}

// saysAgainstEntered compares a figure with an entered speed; v is the difference.
func saysAgainstEntered(v *float64, more, less, of string) string {
	if v == nil {
		return ""
	}
	side := more
	if *v < 0 {
		side = less
	}
	return fmt.Sprintf("%s rpm %s %s", engine.FormatTens(math.Abs(*v)), side, of)
}

func saysRise(r Rise) string {
	return fmt.Sprintf("%.2f s from %s rpm to 90 %% of %s rpm", r.TimeS, r.IdleRPM.Reading(), r.TopRPM.Reading())
}

func saysCut(c Cut) string {
	back := ""
	if c.BackS != nil {
		back = fmt.Sprintf("back at the top after %.1f s", *c.BackS)
	}
	return joinParts(
		fmt.Sprintf("%s rpm, give or take %s, %s below the top", c.RPM.Reading(), engine.FormatHalfWidth(c.SDRPM), engine.FormatShare(c.PulledShare)),
		fmt.Sprintf("four-stroking %s of the time, clean %s", engine.FormatShare(c.FourStrokingShare), engine.FormatShare(c.CleanShare)),
		back)
}

func saysFall(f Fall) string {
	if !f.Back {
		return fmt.Sprintf("not back at idle after %.1f s", f.TimeS)
	}
	return fmt.Sprintf("%.1f s until back at idle", f.TimeS)
}
