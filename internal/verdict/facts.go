package verdict

import (
	"math"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/quality"
)

// facts is what a rule depends on: the whole pass, and one plateau of it that is
// judged.
type facts struct {
	pass.Summary
	limits     engine.Limits
	build      engine.Build
	state      engine.State
	basis      *basis           // what may be concluded for this machine
	fourStroke bool             // the engine has four strokes
	broken     *quality.Problem // the samples are not those that were recorded; nil: they are
	dull       bool             // the sound ends far below what its rate can hold: slow motion, or a codec
	top        *pass.TopEnd
	opt        Options
	outranked  bool // a finding that is more dangerous comes before the verdict
}

// misfitOver reports whether the limit was passed by more than any engine passes it.
func (f *facts) misfitOver() bool {
	return f.limited() && f.Evidence.LowerBound.Speed > f.limits.Max*engine.RPM(f.opt.MisfitOver)
}

// misfitUnder reports whether the fastest full throttle of the clip is further under the
// limit than without load it can be. A slower one beside it was not fully open.
func (f *facts) misfitUnder() bool {
	fastest, _ := f.fastest()
	return f.limited() && fastest.Speed < f.limits.Max*engine.RPM(f.opt.MisfitUnder)
}

func (f *facts) limited() bool { return f.limits.Max.Told() }

// ceiling gives the speed above which it is too fast.
func (f *facts) ceiling() engine.RPM {
	return engine.Machine{Limits: f.limits, Build: f.build}.Ceiling()
}

// over reports whether the limit was passed for half a second even if the
// readings are too high.
func (f *facts) over() bool { return f.limited() && f.Evidence.LowerBound.Speed > f.ceiling() }

// at reports whether the limit is within the uncertainty of the fastest half
// second: of its readings, or of the top speed as it is told where that is no further
// from the limit than speeds that are the same, or where it was perhaps passed from there.
func (f *facts) at() bool {
	if !f.limited() || f.perhapsNone() {
		return false
	}
	near := f.TopEnd != nil && f.TopEnd.Sustained.Speed*engine.RPM(1+f.opt.SameSpeed) >= f.ceiling()
	reached := near && (reach(f.TopEnd.Sustained) >= f.ceiling() || f.perhapsTouched() != nil)
	return reached || f.Evidence.UpperBound.Speed >= f.ceiling()
}

// perhapsNone reports whether nothing shows that an engine ran: no idle, no firing, and a
// speed that is not known to within what counts as the same. Music is as steady.
func (f *facts) perhapsNone() bool {
	if f.top == nil || f.Idle != nil || f.firingTold() {
		return false
	}
	top := f.top.Sustained
	return engine.CoverageFactor*top.SD > engine.RPM(f.opt.SameSpeed)*top.Speed
}

// touched gives the plateau in which the speed was above the limit for a fifth of a
// second even if the readings are too high, nil for none. So short an excess is told of
// exact readings alone: at the edge of a gap a few others can be anywhere.
func (f *facts) touched() *pass.TopEnd {
	return f.plateau(func(p *pass.TopEnd) bool {
		exact := p.Brief.SD <= engine.RPM(f.opt.SameSpeed)*p.Brief.Speed
		return f.limited() && exact && p.Brief.Speed-engine.CoverageFactor*p.Brief.SD >= f.ceiling()
	})
}

// perhapsTouched is the same for readings that are right, and may be too high.
func (f *facts) perhapsTouched() *pass.TopEnd {
	return f.plateau(func(p *pass.TopEnd) bool { return f.limited() && p.Brief.Speed >= f.ceiling() })
}

// plateau gives the first plateau for which something holds, nil for none.
func (f *facts) plateau(holds func(*pass.TopEnd) bool) *pass.TopEnd {
	for i := range f.Plateaus {
		if p := &f.Plateaus[i]; holds(p) {
			return p
		}
	}
	return nil
}

// doubtful reports whether readings too uncertain to be firm reach the limit.
func (f *facts) doubtful() bool {
	return f.limited() && f.Evidence.WeakUpperBound.Speed >= f.ceiling() || f.perhapsTouched() != nil
}

// longEnough reports whether the plateau is long enough to be judged.
func (f *facts) longEnough() bool { return f.top != nil && f.top.UnloadedFor >= f.opt.MinPlateau }

// wellTold reports whether its speed was also told often and surely enough.
func (f *facts) wellTold() bool {
	return f.longEnough() && f.top.ToldShare >= f.opt.Mostly && f.top.Confidence >= f.opt.MinConfidence
}

// firingTold reports whether the firing was told for enough of the plateau.
func (f *facts) firingTold() bool {
	_, told := f.top.Mixture()
	return told >= f.opt.FiringTold
}

// firingToldLong reports whether it was also told for long.
func (f *facts) firingToldLong() bool { return f.firingTold() && f.top.FiringFor >= f.opt.MinFiring }

// uneven reports whether it is told for most of the plateau that firings are missed in no
// pattern, though not that it runs clean. Nothing is concluded of a speed that full
// throttle without load does not have.
func (f *facts) uneven() bool {
	return !f.firingTold() && f.basis.evidence == byFiring && f.top.Clean+f.top.Uneven >= f.opt.Mostly && !f.farUnder()
}

// isCandidate reports whether a plateau counts: it is well told, and its firing was
// told for long or no other well-told plateau, whose firing was, ran as fast. A
// mixture that has become leaner runs faster.
func (f *facts) isCandidate() bool {
	if !f.wellTold() {
		return false
	}
	return f.firingToldLong() || !f.anyAsFast(func(*pass.TopEnd) bool { return true })
}

// anyAsFast reports whether a well-told plateau for which is holds, with its firing told
// for long, ran as fast as the one under judgement.
func (f *facts) anyAsFast(is func(*pass.TopEnd) bool) bool {
	for i := range f.Plateaus {
		g := *f
		g.top = &f.Plateaus[i]
		asFast := g.top.Sustained.Speed >= f.top.Sustained.Speed*engine.RPM(1-f.opt.SameSpeed)
		if asFast && is(g.top) && g.wellTold() && g.firingToldLong() {
			return true
		}
	}
	return false
}

// alternative gives the most probable second reading of the plateau that
// has at least a share of the probability, nil for none.
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
// none. It is as uncertain, in proportion, as the first. One so far over the limit that
// no engine gets there is no danger.
func (f *facts) dangerousAlternative() *pass.Alternative {
	if !f.limited() || f.top == nil {
		return nil
	}
	for i, r := range f.top.Alternatives {
		off := engine.CoverageFactor * f.top.Sustained.SD * r.Speed / max(1, f.top.Sustained.Speed)
		if f.possible(r.Speed-off) && r.Share >= f.opt.AlternativeOver && r.Speed+off >= f.ceiling() {
			return &f.top.Alternatives[i]
		}
	}
	return nil
}

// possible reports whether an engine with that limit gets to a speed.
func (f *facts) possible(v engine.RPM) bool { return v <= f.limits.Max*engine.RPM(f.opt.MisfitOver) }

// namedAlternative gives the second reading that has to be named: the one that would
// reach the limit, or else the most probable; nil for none.
func (f *facts) namedAlternative() *pass.Alternative {
	if r := f.dangerousAlternative(); r != nil {
		return r
	}
	return f.alternative(f.opt.AlternativeOver)
}

// stutter gives the stutter of a limiting coil in the plateau under judgement,
// or in one that ran as fast: its ceiling is the same. It is nil where there is
// none that is sure; of a coil that is known to limit the speed any sign is.
func (f *facts) stutter() *pass.Stutter {
	for i := range f.Plateaus {
		p := &f.Plateaus[i]
		apart := float64(p.Sustained.Speed/f.top.Sustained.Speed) - 1
		if p.Stutter != nil && (p.Stutter.Belief >= f.opt.Sure || f.build.CoilLimit == engine.Yes) && math.Abs(apart) <= f.opt.SameSpeed {
			return p.Stutter
		}
	}
	return nil
}

// freeElsewhere reports whether another plateau, as fast as the one under judgement, has
// its firing told for long and no sign of a limiting coil.
func (f *facts) freeElsewhere() bool {
	return f.anyAsFast(func(top *pass.TopEnd) bool { return top.Stutter == nil })
}

// mostlyFour reports whether it four-strokes for most of the plateau.
func (f *facts) mostlyFour() bool {
	four, _ := f.top.Mixture()
	return four >= f.opt.Mostly
}

// cleansUp reports whether it ran clean for long at full speed.
func (f *facts) cleansUp() bool { return f.top.CleanFor() >= f.opt.CleanHold }

// farUnder reports whether the plateau is much slower than the limit.
func (f *facts) farUnder() bool {
	return f.top.Sustained.Speed < f.limits.Max*engine.RPM(f.opt.FarUnder)
}

// cutFiring gives the share of four-stroking in the cut; told says whether enough
// of it was told to count.
func (f *facts) cutFiring() (four float64, told bool) {
	if f.Cut == nil {
		return 0, false
	}
	four, share := f.Cut.Mixture()
	length := f.Cut.To - f.Cut.From
	return four, share >= f.opt.FiringTold && engine.Seconds(share)*length >= f.opt.MinCut
}

// richInCut reports whether it four-strokes for most of the cut, too, even with what a
// share of four-stroking errs by: the advice is to lean.
func (f *facts) richInCut() bool {
	const half = 0.5
	four, told := f.cutFiring()
	return told && four >= half+engine.CoverageFactor*f.opt.ShareSD
}

// milder gives the facts of another plateau that would be called safe where the one under judgement is not, nil for none.
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
