package report

import (
	"fmt"
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

// saysIdle says the idle of a pass against the speeds that were entered; opened says
// whether the throttle was opened in it.
func saysIdle(i Idle, l Limits, opened bool) string {
	return joinParts(
		fmt.Sprintf("%s ± %s rpm%s", i.RPM.Reading(), engine.FormatHalfWidth(i.SDRPM), saysWhich(i, opened)),
		fmt.Sprintf("90 %% within ± %s rpm", engine.FormatTens(i.SpreadRPM)),
		saysIdleAgainst("", i.RPM, l.IdleRPM, "the idle speed entered, %s rpm"),
		saysIdleAgainst(fmt.Sprintf("at its fastest, %s rpm, ", i.HighestRPM.Reading()), i.HighestRPM, l.ClutchRPM, "the %s rpm at which the clutch engages"))
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

// saysIdleAgainst compares a speed at idle with one that was entered; "" where none
// was.
func saysIdleAgainst(which string, idle, entered Speed, of string) string {
	if !idle.Told() || !entered.Told() {
		return ""
	}
	of = fmt.Sprintf(of, entered)
	switch over := engine.Margin(idle, entered); {
	case over == 0:
		return which + "as fast as " + of
	case over < 0:
		return fmt.Sprintf("%s%s rpm below %s", which, engine.FormatWhole(-over), of)
	default:
		return fmt.Sprintf("%s%s rpm above %s", which, engine.FormatWhole(over), of)
	}
}

func saysRise(r Rise) string {
	return fmt.Sprintf("%.2f s from %s rpm to 90 %% of %s rpm", r.TimeS, r.IdleRPM.Reading(), r.TopRPM.Reading())
}

func saysCut(c Cut) string {
	back := ""
	if c.BackS != nil {
		back = fmt.Sprintf("back at top speed after %.1f s", *c.BackS)
	}
	return joinParts(
		fmt.Sprintf("%s ± %s rpm, %s below the top speed", c.RPM.Reading(), engine.FormatHalfWidth(c.SDRPM), engine.FormatShare(c.PulledShare)),
		fmt.Sprintf("four-stroking %s of the time, clean %s", engine.FormatShare(c.FourStrokingShare), engine.FormatShare(c.CleanShare)),
		back)
}

func saysFall(f Fall) string {
	if !f.Back {
		return fmt.Sprintf("not back at idle after %.1f s", f.TimeS)
	}
	return fmt.Sprintf("%.1f s until back at idle", f.TimeS)
}
