package verdict

import (
	"slices"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// guards are the rules that take the place of a safe one. They stand behind the whole
// table, so that no line of it has to be trusted, the next one to be written included.
var guards = []rule{
	{
		code: NotEnough,
		name: "not proven to be under the limit",
		when: func(f *facts) bool { return !f.provenUnder() },
		why:  "Safe is said only where everything that was held anywhere in the clip is under the limit, its uncertainty included.",
		says: saysUnproven, advice: adviceRecord,
	},
	{
		code: NotEnough,
		name: "what was taken for something else reaches the limit",
		when: (*facts).strayOver,
		why:  "A softer sound to which the speed leaps is another engine or a voice nearly always; but this engine further away, or in another part of a clip that was cut, is as soft and leaps as well.",
		says: saysStray, advice: adviceStray,
	},
	{
		code: NotEnough,
		name: "broken sound",
		when: func(f *facts) bool { return f.broken != nil },
		why:  "Lost, repeated or mislabelled samples change the speed that is read, or imitate missed firings.",
		says: saysBroken, advice: adviceBroken,
	},
	{
		code: NotEnough,
		name: "an idle slower than any",
		when: (*facts).slowedDown,
		why:  "In slow motion an engine over its limit sounds like a rich one under it. An idle that is too slow gives that away.",
		says: saysSlowedDown, advice: adviceMisfit,
	},
	{
		code: NotEnough,
		name: "four-stroking at idle and on the way as well",
		when: (*facts).fourStrokesThroughout,
		why:  "No engine misses firings in a pattern all the time. At a multiple of its speed any engine seems to, and one in slow motion is read at a multiple.",
		says: saysThroughout, advice: adviceMisfit,
	},
	{
		code: NotEnough,
		name: "a dull sound, and under the limit by a tenth or no idle to compare with",
		when: func(f *facts) bool {
			return f.dull && !f.fourStroke && (f.Idle == nil || f.top.Sustained.Speed < f.limits.Max*engine.RPM(f.opt.DullNeeds))
		},
		why:  "Slow motion has nothing above a share of what its sampling rate can hold, and a multiple of the slowed speed passes for that of a rich engine. Codecs cut the band as well: the two cannot be told apart.",
		says: saysDull, advice: adviceMisfit,
	},
	{
		code: NotEnough,
		name: "far under the limit, and no idle to compare with",
		when: func(f *facts) bool {
			return f.Idle == nil && !f.fourStroke && f.top.Sustained.Speed < f.limits.Max*engine.RPM(f.opt.NeedsIdle) && f.outrun() == nil
		},
		why:  "So slow a top may be slow motion, or another multiple of the speed. Only an idle at its usual speed shows that it is neither. Where another run was faster, this one was not fully open, and the last line holds.",
		says: saysNoIdleSlow, advice: adviceMisfit,
	},
	{
		code: NotEnough,
		name: "cold, choked, or with a dirty air filter",
		when: (*facts).richByState,
		why:  "Each of them makes any setting rich for now, and it turns lean by itself when the engine is warm, the choke open or the filter cleaned.",
		says: saysRichByState, advice: adviceState,
	},
	{
		code: NotEnough,
		name: "the speed leaps at full throttle",
		when: (*facts).leaps,
		why:  "On one side of a leap the readings are wrong, and which is not known.",
		says: saysLeapAtTop, advice: adviceRecord,
	},
	{
		code: NotEnough,
		name: "a faster run at full throttle, too short to be judged",
		when: func(f *facts) bool { return f.outrun() != nil },
		why:  "What ran slower was not fully open, or was loaded, and four-strokes there whatever the mixture at full throttle.",
		says: saysOutrun, advice: adviceOutrun, faster: true,
	},
}

// outrun gives the fastest plateau that cannot be judged and may have been faster than
// the one under judgement by more than an eighth of a turn of H does, with its
// uncertainty; nil for none, and where the firing says nothing.
func (f *facts) outrun() *pass.TopEnd {
	if f.basis.evidence != byFiring && f.basis.evidence != byBurble {
		return nil
	}
	var fastest *pass.TopEnd
	for i := range f.Plateaus {
		g := *f
		g.top = &f.Plateaus[i]
		faster := reach(g.top.Sustained) > f.top.Sustained.Speed*engine.RPM(1+f.opt.EighthTurn)
		if faster && !g.isCandidate() && (fastest == nil || g.top.Sustained.Speed > fastest.Sustained.Speed) {
			fastest = g.top
		}
	}
	return fastest
}

// richByState reports whether it is known to have run in a state that makes a
// two-stroke richer than it will be at work.
func (f *facts) richByState() bool { return !f.fourStroke && len(f.richStates()) > 0 }

// richStates names what makes it richer than it will be at work.
func (f *facts) richStates() []string {
	var out []string
	for _, s := range []struct {
		answer engine.Answer
		says   string
	}{
		{f.state.Warm, "the engine was cold"}, {f.state.ChokeOpen, "the choke was not fully open"}, {f.state.FilterClean, "the air filter was dirty"},
	} {
		if s.answer == engine.No {
			out = append(out, s.says)
		}
	}
	return out
}

// slowedDown reports whether the idle is slower than that of the engine, or of any
// such engine where none was entered.
func (f *facts) slowedDown() bool {
	if f.Idle == nil || f.fourStroke {
		return false
	}
	least := f.opt.MinIdle
	if f.limits.Idle.Told() {
		least = f.limits.Idle * engine.RPM(f.opt.OfIdle)
	}
	return reach(f.Idle.Speed) < least
}

// fourStrokesThroughout reports whether it four-strokes for most of the time away from
// full throttle as well, where that is told for enough of it: a few points on the way to
// full throttle and back, or of a ragged idle, are nothing that holds throughout.
func (f *facts) fourStrokesThroughout() bool {
	var four, told, all float64
	for _, p := range f.Phases {
		switch p.Kind {
		case pass.Idle, pass.ReturnToIdle, pass.Rise, pass.Fall:
			length := float64(p.To - p.From)
			all += length
			told += p.FiringTold * length
			four += p.FourStroking * p.FiringTold * length
		}
	}
	return !f.fourStroke && all > 0 && told >= f.opt.FiringTold*all && four >= f.opt.Mostly*told
}

// leaps reports whether the speed leaps further than a shaft can at the plateau under
// judgement. A leap at one end alone is that of what lies beyond it, where at the
// other end the shaft comes from its idle, or goes back to it, without one.
func (f *facts) leaps() bool {
	var before, after bool
	for _, at := range f.Evidence.Jumps {
		switch {
		case at > f.top.From && at < f.top.To:
			return true
		case at == f.top.From:
			before = true
		case at == f.top.To:
			after = true
		}
	}
	return before && after || before && !f.idles(f.top.To, false) || after && !f.idles(f.top.From, true)
}

// idles reports whether the shaft is followed without a break from the end of an idle
// to a time, or from the time to the beginning of an idle.
func (f *facts) idles(at engine.Seconds, before bool) bool {
	i := slices.IndexFunc(f.Phases, func(p pass.Phase) bool { return before && p.To == at || !before && p.From == at })
	for ; i >= 0 && i < len(f.Phases); i++ {
		p := f.Phases[i]
		switch {
		case p.Kind == pass.Idle || p.Kind == pass.ReturnToIdle:
			return true
		case p.Kind != pass.Rise && p.Kind != pass.Fall:
			return false
		case slices.ContainsFunc(f.Evidence.Jumps, func(j engine.Seconds) bool { return j >= p.From && j <= p.To }):
			return false
		}
		if before {
			i -= 2
		}
	}
	return false
}

// provenUnder reports whether every speed that was held anywhere in the clip is
// under the limit with its uncertainty. A speed or a limit that is no number
// proves nothing.
func (f *facts) provenUnder() bool {
	return f.limited() && f.highestReach() < f.ceiling()
}

// strayOver reports whether what was taken back as something else's is at or over the
// limit, and no faster than an engine gets over it.
func (f *facts) strayOver() bool {
	stray := f.Evidence.Stray.Speed
	return f.limited() && stray >= f.ceiling() && f.possible(stray)
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
