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
		fmt.Sprintf("%s ± %s rpm", i.RPM.Reading(), engine.FormatHalfWidth(i.SDRPM)), saysWhich(i, opened),
		fmt.Sprintf("90 %% within ± %s rpm", engine.FormatTens(i.SpreadRPM)),
		saysIdleAgainst(i.RPM, l.IdleRPM), saysIdleAgainstClutch(i.HighestRPM, l.ClutchRPM))
}

// saysWhich says which idle of a pass it is, "" where there is one alone.
func saysWhich(i Idle, opened bool) string {
	switch {
	case i.Returned && i.Settling:
		return "after release, still falling"
	case i.Returned:
		return "after release"
	case opened && i.Settling:
		return "before the throttle was opened, still falling"
	case opened:
		return "before the throttle was opened"
	case i.Settling:
		return "still falling"
	}
	return ""
}

// saysIdleAgainst compares the idle with the idle speed that was entered, "" where none
// was.
func saysIdleAgainst(idle, entered Speed) string {
	if !idle.Told() || !entered.Told() {
		return ""
	}
	switch over := engine.Margin(idle, entered); {
	case over == 0:
		return fmt.Sprintf("as fast as the %s rpm entered", entered)
	case over < 0:
		return fmt.Sprintf("%s rpm below the %s rpm entered", engine.FormatWhole(-over), entered)
	default:
		return fmt.Sprintf("%s rpm above the %s rpm entered", engine.FormatWhole(over), entered)
	}
}

// saysIdleAgainstClutch compares the fastest of an idle with the speed at which the
// clutch engages, "" where none was entered.
func saysIdleAgainstClutch(highest, clutch Speed) string {
	if !highest.Told() || !clutch.Told() {
		return ""
	}
	switch over := engine.Margin(highest, clutch); {
	case over == 0:
		return fmt.Sprintf("fastest %s rpm, as fast as the clutch engages", highest.Reading())
	case over < 0:
		return fmt.Sprintf("fastest %s rpm, %s rpm below the %s rpm at which the clutch engages", highest.Reading(), engine.FormatWhole(-over), clutch)
	default:
		return fmt.Sprintf("fastest %s rpm, %s rpm above the %s rpm at which the clutch engages", highest.Reading(), engine.FormatWhole(over), clutch)
	}
}

func saysRise(r Rise) string {
	return fmt.Sprintf("%.2f s from %s rpm to 90 %% of %s rpm", r.TimeS, r.IdleRPM.Reading(), r.TopRPM.Reading())
}

func saysCut(c Cut, e Engine) string {
	back := ""
	if c.BackS != nil {
		back = fmt.Sprintf("back at top speed after %.1f s", *c.BackS)
	}
	four, share, _ := wholeShares(c.FourStrokingShare, c.CleanShare)
	clean := fmt.Sprintf("clean %s", engine.FormatShare(share))
	if e.Strokes == 4 {
		clean = fmt.Sprintf("fires every cycle %s of the time", engine.FormatShare(share))
	}
	return joinParts(
		fmt.Sprintf("%s ± %s rpm, %s below the top speed", c.RPM.Reading(), engine.FormatHalfWidth(c.SDRPM), engine.FormatShare(c.PulledShare)),
		fmt.Sprintf("%s %s of the time", e.missing(), engine.FormatShare(four)), clean,
		back)
}

func saysFall(f Fall) string {
	if !f.Back {
		return fmt.Sprintf("not back at idle after %.1f s", f.TimeS)
	}
	return fmt.Sprintf("back at idle after %.1f s", f.TimeS)
}
