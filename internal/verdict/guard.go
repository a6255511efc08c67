package verdict

import (
	"topnote/internal/engine"
	"topnote/internal/pass"
)

// guard is the rule that takes the place of a safe one where the speed is not
// proven to be under the limit. No line of the table is known to need it: it is
// here so that none has to be trusted, the next one to be written included.
var guard = rule{
	code: NotEnough,
	name: "not proven to be under the limit",
	why:  "Safe is said only where everything that was held anywhere in the clip is under the limit, its uncertainty included.",
	says: saysUnproven, advice: adviceRecord,
}

// provenUnder reports whether every speed that was held anywhere in the clip is
// under the limit with its uncertainty. A speed or a limit that is no number
// proves nothing.
func (f *facts) provenUnder() bool {
	return f.limited() && f.highestReach() < f.limits.Max
}

// highestReach gives the highest speed that anything held in the clip can have
// been; NaN where one of them is no number.
func (f *facts) highestReach() engine.RPM {
	e := f.Evidence
	highest := max(e.LowerBound.Speed, e.UpperBound.Speed, e.WeakUpperBound.Speed, reach(e.Fastest))
	for _, p := range f.Plateaus {
		highest = max(highest, reach(p.Sustained), p.Brief.Speed)
	}
	if f.top != nil {
		highest = max(highest, reach(f.top.Sustained))
	}
	return highest
}

// reach gives the upper end of the 95 % interval of a figure.
func reach(f pass.Figure) engine.RPM { return f.Speed + engine.CoverageFactor*f.SD }
