package verdict

import (
	"fmt"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// The sentence of each rule: what was found, when, and how it compares with the
// limit. What to do about it is in says_advice.go.

// fastest gives the top speed of the clip and when it was held: the fastest plateau
// or, where there is none, the fastest half second.
func (f *facts) fastest() (speed pass.Figure, when string) {
	if f.TopEnd != nil {
		return f.TopEnd.Sustained, timeSpan(f.TopEnd.From, f.TopEnd.To)
	}
	return f.Evidence.Fastest, fmt.Sprintf("at %s", engine.FormatSeconds(f.Evidence.At))
}

// heldWhen is the plateau under judgement in words.
func (f *facts) heldWhen() string { return timeSpan(f.top.From, f.top.To) }

// margin says how far the plateau under judgement is from the limit.
func (f *facts) margin() string {
	return fmt.Sprintf("%s the limit of %s", apart(f.top.Sustained.Speed, f.limits.Max, "under", "over"), rpm(f.limits.Max))
}

func saysOver(f *facts) string {
	speed, when := f.fastest()
	over := speed.Speed - f.limits.Max
	if over <= engine.CoverageFactor*speed.SD { // another half second is surer, or only readings that are not firm reach so high
		return fmt.Sprintf("Too fast: at %s it ran at %s or more, even if the readings err high, and the limit is %s.",
			engine.FormatSeconds(f.Evidence.LowerBound.At), rpm(f.Evidence.LowerBound.Speed), rpm(f.limits.Max))
	}
	return fmt.Sprintf("Too fast: %s it holds %s, which is %s (%.1f %%) over the limit of %s.",
		when, figure(speed), rpm(over), 100*float64(over/f.limits.Max), rpm(f.limits.Max))
}

func saysAt(f *facts) string {
	if !f.at() {
		t := f.touched()
		return fmt.Sprintf("At the limit: at least once %s it ran at %s for a moment, and the limit is %s; it holds %s. Treat it as too fast.",
			timeSpan(t.From, t.To), rpm(t.Brief.Speed), rpm(f.limits.Max), figure(t.Sustained))
	}
	speed, when := f.fastest()
	if speed.Speed+engine.CoverageFactor*speed.SD < f.limits.Max {
		return fmt.Sprintf("At the limit: at %s the readings leave room for %s, and the limit is %s. Treat it as too fast.",
			engine.FormatSeconds(f.Evidence.UpperBound.At), rpm(f.Evidence.UpperBound.Speed), rpm(f.limits.Max))
	}
	return fmt.Sprintf("At the limit: %s it holds %s, too close to the limit of %s to tell below from above. Treat it as too fast.",
		when, figure(speed), rpm(f.limits.Max))
}

func saysNoEngine(*facts) string {
	return "No engine was heard: nothing in this recording runs like one for half a second."
}

func saysShort(f *facts) string {
	switch {
	case f.top != nil:
		return fmt.Sprintf("Not enough to judge: it stayed at its top, %s, for %s only, %s; a judgement needs %s of full throttle without load.",
			figure(f.top.Sustained), engine.FormatSeconds(f.top.UnloadedFor), f.heldWhen(), engine.FormatSeconds(f.opt.MinPlateau))
	case f.Idle != nil:
		return fmt.Sprintf("Not enough to judge: no full throttle without load was heard, only an idle at %s %s%s.",
			figure(f.Idle.Speed), timeSpan(f.Idle.From, f.Idle.To), f.blipWords())
	default:
		return "Not enough to judge: no full throttle without load was heard."
	}
}

// blipWords says how far the throttle was blipped where it was not held.
func (f *facts) blipWords() string {
	var highest pass.Phase
	for _, p := range f.Phases {
		if (p.Kind == pass.Rise || p.Kind == pass.Fall) && p.Max > highest.Max {
			highest = p
		}
	}
	if highest.Max == 0 {
		return ""
	}
	return fmt.Sprintf(", and short blips, up to %s at about %s", rpm(highest.Max), engine.FormatSeconds(highest.From))
}

func saysGaps(f *facts) string {
	if f.top.ToldShare < f.opt.PlateauTold {
		return fmt.Sprintf("Not enough to judge: %s, at about %s, the speed could be told only %s of the time.",
			f.heldWhen(), rpm(f.top.Sustained.Speed), engine.FormatShare(f.top.ToldShare))
	}
	return fmt.Sprintf("Not enough to judge: %s the speed seems to be %s, but the engine stands out too little from other sounds to be sure of it.",
		f.heldWhen(), rpm(f.top.Sustained.Speed))
}

func saysDoubtful(f *facts) string {
	return fmt.Sprintf("Not enough to judge: at %s the readings are so uncertain that it may have run at %s, and the limit is %s.",
		engine.FormatSeconds(f.Evidence.WeakUpperBound.At), rpm(f.Evidence.WeakUpperBound.Speed), rpm(f.limits.Max))
}

func saysUnproven(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it holds %s, but the readings leave room for %s, and the limit is %s.",
		f.heldWhen(), figure(f.top.Sustained), rpm(f.highestReach()), rpm(f.limits.Max))
}

func saysMisfit(f *facts) string {
	speed, when := f.fastest()
	return fmt.Sprintf("The limit and the recording do not fit: %s it holds %s, %s of the limit of %s. One of the two is wrong.",
		when, figure(speed), engine.FormatShare(float64(speed.Speed/f.limits.Max)), rpm(f.limits.Max))
}

func saysBroken(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it seems to hold %s, but the sound is not as it was recorded: %s",
		f.heldWhen(), figure(f.top.Sustained), f.broken.Says)
}

func saysSlowedDown(f *facts) string {
	return fmt.Sprintf("Not enough to judge: the idle is at %s, slower than such an engine idles, so the recording may be in slow motion and the %s at full throttle wrong.",
		figure(f.Idle.Speed), rpm(f.top.Sustained.Speed))
}

func saysNoIdleSlow(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it holds %s, %s, and no idle was heard that would show that this speed is right.",
		f.heldWhen(), figure(f.top.Sustained), f.margin())
}

func saysLeapAtTop(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s the speed that was read leaps further than a shaft can, so it may be wrong there.", f.heldWhen())
}

func saysSecond(f *facts) string {
	then := fmt.Sprintf("that reaches the limit of %s", rpm(f.limits.Max))
	if f.dangerousAlternative() == nil {
		then = "the same sound would then be another way of firing"
	}
	r := f.namedAlternative()
	return fmt.Sprintf("Not enough to judge: %s the sound fits %s best, but %s is also possible (%s of the belief), and %s.",
		f.heldWhen(), figure(f.top.Sustained), rpm(r.Speed), engine.FormatShare(r.Share), then)
}

func saysNoLimit(f *facts) string {
	return fmt.Sprintf("No limit was entered, so this is a measurement and no judgement: %s it holds %s; %s.",
		f.heldWhen(), figure(f.top.Sustained), f.firing())
}

// firing says how it fired in the plateau under judgement.
func (f *facts) firing() string {
	if f.fourStroke {
		return "the firing of a four-stroke engine does not tell its mixture"
	}
	if f.stutter() != nil {
		return "it stutters at a pinned speed, so the coil holds it there and the firing does not tell the mixture"
	}
	if !f.firingTold() {
		return "how it fires could not be told"
	}
	four, _ := f.top.Mixture()
	switch {
	case !f.mostlyFour():
		return fmt.Sprintf("it %s, which is the lean side", cleanWords(four))
	case f.cleansUp():
		return fmt.Sprintf("it four-strokes, but runs clean %s at full speed, which is the lean side", timeSpan(f.top.CleanFrom, f.top.CleanTo))
	default:
		return fmt.Sprintf("it four-strokes %s of the time, which is the rich side", engine.FormatShare(four))
	}
}

// rare is a share too small to speak of.
const rare = 0.15

func cleanWords(four float64) string {
	if four < rare {
		return "runs clean"
	}
	return fmt.Sprintf("four-strokes only %s of the time", engine.FormatShare(four))
}

func saysBelow(f *facts) string {
	return fmt.Sprintf("Under the limit: %s it holds %s, %s. The mixture of a four-stroke engine is not judged from its firing.",
		f.heldWhen(), figure(f.top.Sustained), f.margin())
}

func saysSpark(f *facts) string {
	rate := ""
	if r := f.stutter().Rate; r > 0 {
		rate = fmt.Sprintf(" %.0f times a second", float64(r))
	}
	return fmt.Sprintf("The ignition holds it back: %s it stutters%s, pinned to %s, %s, so the top speed says nothing about the mixture%s.",
		f.heldWhen(), rate, figure(f.top.Sustained), f.margin(), f.cutWords())
}

func saysPerhapsSpark(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it is pinned to %s and misses firings, but four-stroking cannot be told from a coil that limits the speed.",
		f.heldWhen(), figure(f.top.Sustained))
}

func saysFiring(f *facts) string {
	_, told := f.top.Mixture()
	return fmt.Sprintf("Not enough to judge: %s it holds %s, %s, but whether it four-strokes could be told only %s of the time%s.",
		f.heldWhen(), figure(f.top.Sustained), f.margin(), engine.FormatShare(told), f.whatWasTold(told))
}

// whatWasTold warns of clean firing where little firing was told.
func (f *facts) whatWasTold(told float64) string {
	if told >= rare && f.top.Clean > f.top.FourStroking {
		return ", and then it mostly ran clean, which is the lean side"
	}
	return ""
}

func saysSlow(f *facts) string {
	four, _ := f.top.Mixture()
	return fmt.Sprintf("Not enough to judge: %s it %s at %s, %s; so slow, it was loaded, or the throttle was not fully open, or something starves it.",
		f.heldWhen(), cleanWords(four), figure(f.top.Sustained), f.margin())
}

func saysClean(f *facts) string {
	four, _ := f.top.Mixture()
	side := "Lean side"
	if four >= rare {
		side = "On the edge of lean"
	}
	return fmt.Sprintf("%s: %s it %s without load and holds %s, %s%s.",
		side, f.heldWhen(), cleanWords(four), figure(f.top.Sustained), f.margin(), f.cutWords())
}

func saysCleansUp(f *facts) string {
	return fmt.Sprintf("Lean side: it four-strokes at first, but runs clean %s at full speed without load; it holds %s, %s%s.",
		timeSpan(f.top.CleanFrom, f.top.CleanTo), figure(f.top.Sustained), f.margin(), f.cutWords())
}

func saysRichCut(f *facts) string {
	four, _ := f.cutFiring()
	return fmt.Sprintf("Too rich: it four-strokes in the cut as well, %s of the time %s at %s; without load it holds %s, %s.",
		engine.FormatShare(four), timeSpan(f.Cut.From, f.Cut.To), rpm(f.Cut.Speed.Speed), figure(f.top.Sustained), f.margin())
}

func saysRichFar(f *facts) string {
	four, _ := f.top.Mixture()
	below := float64(1 - f.top.Sustained.Speed/f.limits.Max)
	return fmt.Sprintf("Far too slow: %s it four-strokes %s of the time and holds only %s, %s (%s).",
		f.heldWhen(), engine.FormatShare(four), figure(f.top.Sustained), f.margin(), engine.FormatShare(below))
}

func saysFour(f *facts) string {
	four, _ := f.top.Mixture()
	return fmt.Sprintf("Safe side: %s it four-strokes %s of the time without load and holds %s, %s%s.",
		f.heldWhen(), engine.FormatShare(four), figure(f.top.Sustained), f.margin(), f.cutWords())
}

// cutWords says how it fired in the cut, nothing where that was not told.
func (f *facts) cutWords() string {
	four, told := f.cutFiring()
	if !told {
		return ""
	}
	how := "runs clean"
	switch {
	case four >= f.opt.MostlyFour:
		how = "four-strokes too"
	case four >= f.opt.PartlyRich:
		how = fmt.Sprintf("still four-strokes %s of the time", engine.FormatShare(four))
	}
	return fmt.Sprintf("; in the cut, %s, it %s at %s", timeSpan(f.Cut.From, f.Cut.To), how, rpm(f.Cut.Speed.Speed))
}

// saysBut follows a verdict that a finding outranks.
func saysBut(s *sign) string { return fmt.Sprintf(" But %s.", s.but) }
