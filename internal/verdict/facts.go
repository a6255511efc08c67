package verdict

import (
	"math"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// facts is what a rule can ask about: the whole pass, and one stretch of it at
// full throttle that is under judgement.
type facts struct {
	pass.Summary
	limits     engine.Limits
	fourStroke bool // the engine has four strokes
	top        *pass.TopEnd
	opt        Options
}

func (f *facts) limited() bool { return f.limits.Max.Told() }

// over reports whether the limit was passed for half a second even if the
// readings err high.
func (f *facts) over() bool { return f.limited() && f.Evidence.LowerBound.Speed > f.limits.Max }

// at reports whether the limit lies within the uncertainty of the fastest half
// second.
func (f *facts) at() bool { return f.limited() && f.Evidence.UpperBound.Speed >= f.limits.Max }

// touched gives the stretch in which the speed stood above the limit for a
// fifth of a second, nil for none.
func (f *facts) touched() *pass.TopEnd {
	for i := range f.Plateaus {
		if f.limited() && f.Plateaus[i].Brief.Speed >= f.limits.Max {
			return &f.Plateaus[i]
		}
	}
	return nil
}

// doubtful reports whether readings too uncertain to be firm reach the limit.
func (f *facts) doubtful() bool {
	return f.limited() && f.Evidence.WeakUpperBound.Speed >= f.limits.Max
}

// long reports whether the stretch under judgement was heard for long enough.
func (f *facts) long() bool { return f.top != nil && f.top.UnloadedFor >= f.opt.MinPlateau }

// solid reports whether it was also heard without too many gaps.
func (f *facts) solid() bool {
	return f.long() && f.top.ToldShare >= f.opt.PlateauTold && f.top.Confidence >= f.opt.MinBelief
}

// firingTold reports whether the firing was told for enough of the stretch.
func (f *facts) firingTold() bool {
	_, told := f.top.Mixture()
	return told >= f.opt.FiringTold
}

// firingLong reports whether it was also told for long.
func (f *facts) firingLong() bool { return f.firingTold() && f.top.FiringFor >= f.opt.MinFiring }

// counts reports whether a stretch has a say: it is solid, and its firing was
// told for long or no other solid stretch, whose firing was, ran as fast. A
// mixture that has become leaner runs faster.
func (f *facts) counts() bool {
	if !f.solid() {
		return false
	}
	if f.firingLong() {
		return true
	}
	for i := range f.Plateaus {
		g := *f
		g.top = &f.Plateaus[i]
		if g.solid() && g.firingLong() && g.top.Sustained.Speed >= f.top.Sustained.Speed*engine.RPM(1-f.opt.SameSpeed) {
			return false
		}
	}
	return true
}

// alternative gives the most believed second reading of the stretch that
// keeps at least a share of belief, nil for none.
func (f *facts) alternative(share float64) *pass.Alternative {
	if f.top == nil {
		return nil
	}
	for i := range f.top.Alternatives {
		if f.top.Alternatives[i].Share >= share {
			return &f.top.Alternatives[i]
		}
	}
	return nil
}

// dangerousAlternative gives a second reading that would reach the limit, nil for
// none. It is as uncertain, in proportion, as the first.
func (f *facts) dangerousAlternative() *pass.Alternative {
	if !f.limited() || f.top == nil {
		return nil
	}
	for i, r := range f.top.Alternatives {
		off := engine.CoverageFactor * f.top.Sustained.SD * r.Speed / max(1, f.top.Sustained.Speed)
		if r.Share >= f.opt.AlternativeOver && r.Speed+off >= f.limits.Max {
			return &f.top.Alternatives[i]
		}
	}
	return nil
}

// unsettled gives the second reading that has to be named: the one that would
// reach the limit, or else the most believed; nil for none.
func (f *facts) unsettled() *pass.Alternative {
	if r := f.dangerousAlternative(); r != nil {
		return r
	}
	return f.alternative(f.opt.AlternativeOver)
}

// stutter gives the stutter of a limiting coil in the stretch under judgement,
// or in one that ran as fast: the ceiling is the same, heard or not. It is nil
// where there is none that is sure.
func (f *facts) stutter() *pass.Stutter {
	for i := range f.Plateaus {
		p := &f.Plateaus[i]
		apart := float64(p.Sustained.Speed/f.top.Sustained.Speed) - 1
		if p.Stutter != nil && p.Stutter.Belief >= f.opt.StutterSure && math.Abs(apart) <= f.opt.SameSpeed {
			return p.Stutter
		}
	}
	return nil
}

// mostlyFour reports whether it four-strokes for most of the stretch.
func (f *facts) mostlyFour() bool {
	four, _ := f.top.Mixture()
	return four >= f.opt.MostlyFour
}

// cleansUp reports whether it ran clean for long at full speed.
func (f *facts) cleansUp() bool { return f.top.CleanFor() >= f.opt.CleanHold }

// farUnder reports whether the stretch is much slower than the limit.
func (f *facts) farUnder() bool {
	return f.top.Sustained.Speed < f.limits.Max*engine.RPM(f.opt.FarUnder)
}

// cutFiring gives the share of four-stroking in the cut; heard says whether
// enough of it was told to count.
func (f *facts) cutFiring() (four float64, heard bool) {
	if f.Cut == nil {
		return 0, false
	}
	four, told := f.Cut.Mixture()
	length := f.Cut.To - f.Cut.From
	return four, told >= f.opt.FiringTold && engine.Seconds(told)*length >= f.opt.MinCut
}

// richInCut reports whether it four-strokes for most of the cut, too.
func (f *facts) richInCut() bool {
	four, heard := f.cutFiring()
	return heard && four >= f.opt.MostlyFour
}

// milder gives the facts of another stretch at full throttle that would be
// called safe where the one under judgement is not, nil for none.
func (f *facts) milder() *facts {
	if f.top == nil || f.rule().code.Danger() == 0 {
		return nil
	}
	for _, top := range f.candidates() {
		g := *f
		g.top = top
		if g.rule().code.Danger() == 0 {
			return &g
		}
	}
	return nil
}
