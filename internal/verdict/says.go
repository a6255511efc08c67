package verdict

import (
	"fmt"
	"strings"

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
	if floor := f.floor(); floor > 0 && f.top.Sustained.Speed >= floor && f.top.Sustained.Speed <= f.ceiling() {
		return "within " + f.limitWords()
	}
	return fmt.Sprintf("%s %s", apart(f.top.Sustained.Speed, f.limits.Max, "under", "over"), f.limitWords())
}

// floor gives the lower edge of a set-to figure, 0 where there is none.
func (f *facts) floor() engine.RPM { return engine.Machine{Limits: f.limits, Build: f.build}.Floor() }

// limitWords names the figure that was entered: "the limit of 13,500 rpm", "the
// set-to figure of 13,000 ± 200 rpm".
func (f *facts) limitWords() string {
	spindle := ""
	if f.build.LimitOf == engine.OfSpindle {
		spindle = fmt.Sprintf(" (%s at the spindle)", entered(engine.Machine{Limits: f.limits, Build: f.build}.Entered().Limits.Max))
	}
	if f.floor() > 0 {
		return fmt.Sprintf("the set-to figure of %s ± %s%s", engine.FormatWhole(f.limits.Max), entered(f.build.Tolerance), spindle)
	}
	return "the limit of " + entered(f.limits.Max) + spindle
}

// ceilingWords names the speed above which it is too fast.
func (f *facts) ceilingWords() string {
	if f.floor() > 0 {
		return fmt.Sprintf("%s, the upper edge of %s", entered(f.ceiling()), f.limitWords())
	}
	return f.limitWords()
}

func saysOver(f *facts) string {
	speed, when := f.fastest()
	over := speed.Speed - f.ceiling()
	if over <= engine.CoverageFactor*speed.SD { // another half second is surer, or only readings that are not firm reach so high
		return fmt.Sprintf("Too fast: at %s it ran at %s or more, even if the readings err high, over %s.",
			engine.FormatSeconds(f.Evidence.LowerBound.At), rpm(f.Evidence.LowerBound.Speed), f.ceilingWords())
	}
	return fmt.Sprintf("Too fast: %s it holds %s, %s %s.",
		when, figure(speed), apart(speed.Speed, f.ceiling(), "under", "over"), f.ceilingWords())
}

func saysAt(f *facts) string {
	if !f.at() {
		t := f.touched()
		return fmt.Sprintf("At the limit: at least once %s it ran at %s for a moment, over %s; it holds %s. Treat it as too fast.",
			timeSpan(t.From, t.To), rpm(t.Brief.Speed), f.ceilingWords(), figure(t.Sustained))
	}
	speed, when := f.fastest()
	if speed.Speed+engine.CoverageFactor*speed.SD < f.ceiling() {
		return fmt.Sprintf("At the limit: at %s the readings leave room for %s, over %s. Treat it as too fast.",
			engine.FormatSeconds(f.Evidence.UpperBound.At), rpm(f.Evidence.UpperBound.Speed), f.ceilingWords())
	}
	return fmt.Sprintf("At the limit: %s it holds %s, too close to %s to tell below from above. Treat it as too fast.",
		when, figure(speed), f.ceilingWords())
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
	return fmt.Sprintf("Not enough to judge: at %s the readings are so uncertain that it may have run at %s, over %s.",
		engine.FormatSeconds(f.Evidence.WeakUpperBound.At), rpm(f.Evidence.WeakUpperBound.Speed), f.ceilingWords())
}

func saysUnproven(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it holds %s, but the readings leave room for %s, over %s.",
		f.heldWhen(), figure(f.top.Sustained), rpm(f.highestReach()), f.ceilingWords())
}

func saysMisfit(f *facts) string {
	speed, when := f.fastest()
	return fmt.Sprintf("The limit and the recording do not fit: %s it holds %s, %s %s. One of the two is wrong.",
		when, figure(speed), multiple(float64(speed.Speed/f.limits.Max)), f.limitWords())
}

// multiple says how a speed compares with another: above it as so many times it,
// below it in percent.
func multiple(of float64) string {
	if of > 1 {
		return fmt.Sprintf("about %s times", engine.FormatTenth(of))
	}
	return engine.FormatShare(of) + " of"
}

func saysRichByState(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it holds %s, %s, but %s, which makes it richer and slower than it will be at work.",
		f.heldWhen(), figure(f.top.Sustained), f.margin(), list(f.richStates(), "and"))
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

func saysDull(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it holds %s, %s, and the sound has no high tones, as in slow motion, so this speed may be wrong.",
		f.heldWhen(), figure(f.top.Sustained), f.margin())
}

func saysLeapAtTop(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s the speed that was read leaps further than a shaft can, so it may be wrong there.", f.heldWhen())
}

func saysSecond(f *facts) string {
	then := "that reaches " + f.ceilingWords()
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
	switch {
	case f.fourStroke:
		return "the firing of a four-stroke engine does not tell its mixture"
	case f.basis.evidence == bySpeed:
		return "the firing of such a machine does not tell its mixture"
	case f.basis.evidence == byLoad:
		return "a governor holds it there, so the firing does not tell the mixture"
	case f.stutter() != nil:
		return "it is on the rev limiter, so the coil holds it there and the firing does not tell the mixture"
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
	says := f.basis.says
	if f.basis.evidence == byBurble {
		four, _ := f.top.Mixture()
		says = "It " + cleanWords(four) + "; " + strings.ToLower(says[:1]) + says[1:]
	}
	return fmt.Sprintf("Under the limit: %s it holds %s, %s. %s.", f.heldWhen(), figure(f.top.Sustained), f.margin(), says)
}

func saysSpark(f *facts) string {
	rate := ""
	if r := f.stutter().Rate; r > 0 {
		rate = fmt.Sprintf(" %.0f times a second", float64(r))
	}
	return fmt.Sprintf("The ignition holds it back: %[1]s it is on the rev limiter at %[3]s and stutters%[2]s, %[4]s, so the top speed says nothing about the mixture%[5]s.",
		f.heldWhen(), rate, figure(f.top.Sustained), f.margin(), f.cutWords())
}

func saysPerhapsSpark(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it stays at %s and misses firings, but four-stroking cannot be told from a rev limiter.",
		f.heldWhen(), figure(f.top.Sustained))
}

func saysGoverned(f *facts) string {
	how := "holds"
	if f.firingTold() {
		four, _ := f.top.Mixture()
		how = cleanWords(four) + " at"
		if f.mostlyFour() {
			how = fmt.Sprintf("four-strokes %s of the time at", engine.FormatShare(four))
		}
	}
	return fmt.Sprintf("The governor holds it: %s it %s %s, %s. A governor does that wherever the H screw stands, so neither speed nor burble tells the mixture%s.",
		f.heldWhen(), how, figure(f.top.Sustained), f.margin(), f.cutWords())
}

func saysPerhapsGoverned(f *facts) string {
	four, _ := f.top.Mixture()
	return fmt.Sprintf("Not enough to judge: %s it four-strokes %s of the time at %s, %s; if a governor holds it there, that says nothing of the mixture, and whether one does was not entered.",
		f.heldWhen(), engine.FormatShare(four), figure(f.top.Sustained), f.margin())
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
	return fmt.Sprintf("Not enough to judge: %s it %s at %s, %s; so slow, it was loaded, the throttle was not fully open, or it was short of fuel.",
		f.heldWhen(), cleanWords(four), figure(f.top.Sustained), f.margin())
}

func saysClean(f *facts) string {
	four, _ := f.top.Mixture()
	side := "Lean side"
	if four >= rare {
		side = "On the edge of lean"
	}
	return fmt.Sprintf("%s%s: %s it %s without load and holds %s, %s%s.",
		side, f.unlessWords(CleanBelowLimit), f.heldWhen(), cleanWords(four), figure(f.top.Sustained), f.margin(), f.cutWords())
}

func saysCleansUp(f *facts) string {
	return fmt.Sprintf("Lean side%s: it four-strokes at first, but runs clean %s at full speed without load; it holds %s, %s%s.",
		f.unlessWords(CleanBelowLimit), timeSpan(f.top.CleanFrom, f.top.CleanTo), figure(f.top.Sustained), f.margin(), f.cutWords())
}

func saysRichCut(f *facts) string {
	four, _ := f.cutFiring()
	return fmt.Sprintf("Too rich%s: it four-strokes in the cut as well, %s of the time %s at %s; without load it holds %s, %s.",
		f.unlessWords(RichInCut), engine.FormatShare(four), timeSpan(f.Cut.From, f.Cut.To), rpm(f.Cut.Speed.Speed), figure(f.top.Sustained), f.margin()) + f.givenWords(RichInCut)
}

func saysRichFar(f *facts) string {
	four, _ := f.top.Mixture()
	below := float64(1 - f.top.Sustained.Speed/f.limits.Max)
	return fmt.Sprintf("Far too slow%s: %s it four-strokes %s of the time and holds only %s, %s (%s).",
		f.unlessWords(RichInCut), f.heldWhen(), engine.FormatShare(four), figure(f.top.Sustained), f.margin(), engine.FormatShare(below)) + f.givenWords(RichInCut)
}

func saysFour(f *facts) string {
	four, _ := f.top.Mixture()
	return safeSide + fmt.Sprintf("%s: %s it four-strokes %s of the time without load and holds %s, %s%s.",
		f.unlessWords(FourStroking), f.heldWhen(), engine.FormatShare(four), figure(f.top.Sustained), f.margin(), f.cutWords()) + f.givenWords(FourStroking)
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

// saysFirst puts a finding that outranks a verdict before it, and takes from it the
// words that would call the machine safe.
func saysFirst(finding, verdict string) string {
	rest, wasSafe := strings.CutPrefix(verdict, safeSide)
	if !wasSafe {
		rest = ": " + rest
	}
	return finding + " Apart from that" + rest
}

// safeSide opens the sentence of a verdict that nothing outranks.
const safeSide = "Safe side"
