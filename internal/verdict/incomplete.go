package verdict

import (
	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/quality"
)

// completeness is what can be missing from a recorded pass.
type completeness struct {
	pass.Summary
	recorded engine.Seconds
	opt      Options
}

// gap is one thing that is missing: when it is, and what is said of it.
type gap struct {
	code quality.Code
	when func(*completeness) bool
	says func(*completeness) quality.Problem
}

// gaps has the most harmful first. Of a pass that is too short nothing else is
// said to be missing.
var gaps = []gap{
	{quality.TooShort, (*completeness).short, saysTooShort},
	{quality.ShortPlateau, func(c *completeness) bool { return c.ran() && !c.short() && c.plateau() < c.opt.WholePlateau }, saysShortPlateau},
	{quality.NoIdle, func(c *completeness) bool { return c.ran() && !c.short() && c.Idle == nil }, saysNoIdle},
}

// Incomplete gives what is missing from a pass, with what to do about it, the
// most harmful first. s is what pass.Summarise measured of a recording that is so
// long. A recording without an engine is no pass; only its length can be wrong.
func Incomplete(s pass.Summary, recorded engine.Seconds, o Options) []quality.Problem {
	c := &completeness{s, recorded, o}
	var out []quality.Problem
	for _, g := range gaps {
		if g.when(c) {
			p := g.says(c)
			p.Code = g.code
			out = append(out, p)
		}
	}
	return out
}

// ran reports whether there was an engine.
func (c *completeness) ran() bool { return c.Evidence.ToldFor >= c.opt.MinEngine }

// short reports whether what was recorded is too short for a pass.
func (c *completeness) short() bool {
	if !c.ran() {
		return c.recorded < c.opt.WholePass
	}
	return c.Evidence.ToldFor < c.opt.WholePass
}

// plateau gives the longest time at full throttle without load.
func (c *completeness) plateau() engine.Seconds {
	var longest engine.Seconds
	for _, p := range c.Plateaus {
		longest = max(longest, p.UnloadedFor)
	}
	return longest
}
