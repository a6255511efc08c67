package verdict

import (
	"fmt"
	"slices"
	"strings"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// The sentence of each rule: what was found, when, and how it compares with the
// limit. What to do about it is in says_advice.go.
//
// Each sentence is whole, so that it can be translated. A place in it holds a figure,
// a stretch of time (timeSpan), a distance from the limit (margin) or the limit itself
// (limitWords, ceilingWords), never a clause; what else there is to say is a sentence of
// its own after it (join).

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
		return fmt.Sprintf("At the limit: %s it holds %s, but for a moment it ran at %s, over %s. Treat it as too fast.",
			timeSpan(t.From, t.To), figure(t.Sustained), rpm(t.Brief.Speed), f.ceilingWords())
	}
	speed, when := f.fastest()
	under := speed.Speed+engine.CoverageFactor*speed.SD < f.ceiling()
	if t := f.perhapsTouched(); under && t != nil && f.Evidence.UpperBound.Speed < f.ceiling() {
		return fmt.Sprintf("At the limit: %s it holds %s, and for a moment it seems to have run at %s, over %s. Treat it as too fast.",
			timeSpan(t.From, t.To), figure(t.Sustained), rpm(t.Brief.Speed), f.ceilingWords())
	}
	if under {
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
		return fmt.Sprintf("Not enough to judge: it stayed at its top, %s, for %s, %s; a judgement needs %s of full throttle without load.",
			figure(f.top.Sustained), shortOf(f.top.UnloadedFor, f.opt.MinPlateau), f.heldWhen(), engine.FormatSeconds(f.opt.MinPlateau))
	case f.Idle != nil && f.blip().Max > 0:
		return fmt.Sprintf("Not enough to judge: no full throttle without load was heard, only an idle at %s %s, and short blips, up to %s at about %s.",
			figure(f.Idle.Speed), timeSpan(f.Idle.From, f.Idle.To), rpm(f.blip().Max), engine.FormatSeconds(f.blip().From))
	case f.Idle != nil:
		return fmt.Sprintf("Not enough to judge: no full throttle without load was heard, only an idle at %s %s.",
			figure(f.Idle.Speed), timeSpan(f.Idle.From, f.Idle.To))
	default:
		return "Not enough to judge: no full throttle without load was heard."
	}
}

// blip gives the highest rise or fall where the throttle was not held, zero for none.
func (f *facts) blip() (highest pass.Phase) {
	for _, p := range f.Phases {
		if (p.Kind == pass.Rise || p.Kind == pass.Fall) && p.Max > highest.Max {
			highest = p
		}
	}
	return highest
}

func saysGaps(f *facts) string {
	if f.top.ToldShare < f.opt.Mostly {
		return fmt.Sprintf("Not enough to judge: %s, at about %s, the speed could be told only %s of the time.",
			f.heldWhen(), rpm(f.top.Sustained.Speed), engine.FormatShare(f.top.ToldShare))
	}
	return fmt.Sprintf("Not enough to judge: %s the speed seems to be %s, but the engine stands out too little from the background to be sure of it.",
		f.heldWhen(), rpm(f.top.Sustained.Speed))
}

func saysDoubtful(f *facts) string {
	if p := f.perhapsTouched(); p != nil && f.Evidence.WeakUpperBound.Speed < f.ceiling() {
		return fmt.Sprintf("Not enough to judge: %s it seems to have run for a moment at %s, over %s, but the readings are too uncertain to be sure of it.",
			timeSpan(p.From, p.To), rpm(p.Brief.Speed), f.ceilingWords())
	}
	return fmt.Sprintf("Not enough to judge: at %s the readings are so uncertain that it may have run at %s, over %s.",
		engine.FormatSeconds(f.Evidence.WeakUpperBound.At), rpm(f.Evidence.WeakUpperBound.Speed), f.ceilingWords())
}

func saysUnproven(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it holds %s, but the readings leave room for %s, over %s.",
		f.heldWhen(), figure(f.top.Sustained), rpm(f.highestReach()), f.ceilingWords())
}

func saysStray(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it holds %s, but at %s something softer ran at %s, over %s: another engine, or this one further away.",
		f.heldWhen(), figure(f.top.Sustained), engine.FormatSeconds(f.Evidence.Stray.At), rpm(f.Evidence.Stray.Speed), f.ceilingWords())
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
	return fmt.Sprintf("Not enough to judge: %s it holds %s, %s, but %s. That makes it richer and slower than it will be at work.",
		f.heldWhen(), figure(f.top.Sustained), f.margin(), list(f.richStates(), "and"))
}

func saysBroken(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it seems to hold %s, but the sound is not as it was recorded: %s",
		f.heldWhen(), figure(f.top.Sustained), f.broken.Says)
}

func saysSlowedDown(f *facts) string {
	return fmt.Sprintf("Not enough to judge: the idle is at %s, slower than such an engine idles. The recording may be in slow motion, and then the %s at full throttle are wrong.",
		figure(f.Idle.Speed), rpm(f.top.Sustained.Speed))
}

func saysNoIdleSlow(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it holds %s, %s, but no idle was heard that would show that this speed is right.",
		f.heldWhen(), figure(f.top.Sustained), f.margin())
}

func saysThroughout(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it holds %s, %s, but it seems to miss firings at idle and in between as well, as no engine does, so the true speed may be another.",
		f.heldWhen(), figure(f.top.Sustained), f.margin())
}

func saysDull(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it holds %s, %s, but the sound has no high tones, as in slow motion, so this speed may be wrong.",
		f.heldWhen(), figure(f.top.Sustained), f.margin())
}

func saysLeapAtTop(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s the speed that was read jumps further than a shaft can, so it may be wrong there.", f.heldWhen())
}

func saysOutrun(f *facts) string {
	fast, slow := f.outrun(), "holds"
	if f.mostlyFour() {
		slow = "four-strokes at"
	}
	return fmt.Sprintf("Not enough to judge: %s it %s %s, but %s it ran at %s, for too short a time to tell how it fires there.",
		f.heldWhen(), slow, figure(f.top.Sustained), timeSpan(fast.From, fast.To), figure(fast.Sustained))
}

func saysSecond(f *facts) string {
	r := f.namedAlternative()
	if f.dangerousAlternative() == nil {
		return fmt.Sprintf("Not enough to judge: %s the sound fits %s best, but %s with another way of firing is also possible (%s likely).",
			f.heldWhen(), figure(f.top.Sustained), rpm(r.Speed), engine.FormatShare(r.Share))
	}
	return fmt.Sprintf("Not enough to judge: %s the sound fits %s best, but %s is also possible (%s likely), and that reaches %s.",
		f.heldWhen(), figure(f.top.Sustained), rpm(r.Speed), engine.FormatShare(r.Share), f.ceilingWords())
}

func saysNoLimit(f *facts) string {
	how := f.firing()
	if fast := f.outrun(); fast != nil {
		how = fmt.Sprintf("It also ran at %s %s, for too short a time to tell how it fires there.", figure(fast.Sustained), timeSpan(fast.From, fast.To))
	}
	return join(fmt.Sprintf("No limit was entered, so this is a measurement and no judgement: %s it holds %s.",
		f.heldWhen(), figure(f.top.Sustained)), how)
}

// join sets sentences after one another; "" is none.
func join(sentences ...string) string {
	return strings.Join(slices.DeleteFunc(sentences, func(s string) bool { return s == "" }), " ")
}

// firing says in a sentence how it fired in the plateau under judgement.
func (f *facts) firing() string {
	switch {
	case f.fourStroke:
		return "The firing of a four-stroke engine does not tell its mixture."
	case f.basis.evidence == bySpeed:
		return "The firing of such a machine does not tell its mixture."
	case f.basis.evidence == byLoad:
		return "A governor holds it there, so the firing does not tell the mixture."
	case f.stutter() != nil:
		return "It is on the rev limiter: the coil holds it there, so the firing does not tell the mixture."
	}
	if !f.firingTold() {
		return "How it fires could not be told."
	}
	switch {
	case !f.mostlyFour() && f.hardlyFour():
		return "It runs clean, which is the lean side."
	case !f.mostlyFour():
		return fmt.Sprintf("It four-strokes only %s of the time, which is the lean side.", f.fourShare())
	case f.cleansUp():
		return fmt.Sprintf("It four-strokes, but runs clean %s at full speed, which is the lean side.", timeSpan(f.top.CleanFrom, f.top.CleanTo))
	default:
		return fmt.Sprintf("It four-strokes %s of the time, which is the rich side.", f.fourShare())
	}
}

// rare is a share too small to speak of.
const rare = 0.15

// hardlyFour reports whether it four-strokes too rarely to speak of.
func (f *facts) hardlyFour() bool {
	four, _ := f.top.Mixture()
	return four < rare
}

// fourShare writes how much of the plateau under judgement it four-strokes.
func (f *facts) fourShare() string { return engine.FormatShare(f.top.FourStroking) }

func saysBelow(f *facts) string {
	how := ""
	switch {
	case f.basis.evidence == byBurble && f.hardlyFour():
		how = "It runs clean."
	case f.basis.evidence == byBurble:
		how = fmt.Sprintf("It four-strokes only %s of the time.", f.fourShare())
	}
	return join(fmt.Sprintf("Under the limit: %s it holds %s, %s.", f.heldWhen(), figure(f.top.Sustained), f.margin()), how, f.basis.says)
}

func saysSpark(f *facts) string {
	says := fmt.Sprintf("The ignition holds it back: %s it is on the rev limiter and stutters at %s, %s.",
		f.heldWhen(), figure(f.top.Sustained), f.margin())
	if r := f.stutter().Rate; r > 0 {
		says = fmt.Sprintf("The ignition holds it back: %s it is on the rev limiter and stutters %.0f times a second at %s, %s.",
			f.heldWhen(), float64(r), figure(f.top.Sustained), f.margin())
	}
	return join(says, "So the top speed says nothing about the mixture.", f.cutWords())
}

func saysPerhapsSpark(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it stays at %s and misses firings, but four-stroking cannot be told from a rev limiter.",
		f.heldWhen(), figure(f.top.Sustained))
}

func saysGoverned(f *facts) string {
	says := ""
	switch {
	case !f.firingTold():
		says = fmt.Sprintf("The governor holds it: %s it holds %s, %s.", f.heldWhen(), figure(f.top.Sustained), f.margin())
	case f.mostlyFour():
		says = fmt.Sprintf("The governor holds it: %s it four-strokes %s of the time at %s, %s.",
			f.heldWhen(), f.fourShare(), figure(f.top.Sustained), f.margin())
	case f.hardlyFour():
		says = fmt.Sprintf("The governor holds it: %s it runs clean at %s, %s.", f.heldWhen(), figure(f.top.Sustained), f.margin())
	default:
		says = fmt.Sprintf("The governor holds it: %s it four-strokes only %s of the time at %s, %s.",
			f.heldWhen(), f.fourShare(), figure(f.top.Sustained), f.margin())
	}
	return join(says, "A governor does that wherever the H screw stands, so neither the speed nor the burble tells the mixture.", f.cutWords())
}

func saysPerhapsGoverned(f *facts) string {
	return fmt.Sprintf("Not enough to judge: %s it four-strokes %s of the time at %s, %s. If a governor holds it there, that says nothing about the mixture, and whether one does was not entered.",
		f.heldWhen(), f.fourShare(), figure(f.top.Sustained), f.margin())
}

func saysFiring(f *facts) string {
	_, told := f.top.Mixture()
	lean := ""
	if told >= rare && f.top.Clean > f.top.FourStroking {
		lean = "Where it could, it mostly ran clean, which is the lean side."
	}
	return join(fmt.Sprintf("Not enough to judge: %s it holds %s, %s, but whether it four-strokes could be told only %s of the time.",
		f.heldWhen(), figure(f.top.Sustained), f.margin(), engine.FormatShare(told)), lean)
}

func saysSlow(f *facts) string {
	const slow = "This is too slow for full throttle without load: it was loaded, not fully open, or short of fuel."
	if f.hardlyFour() {
		return join(fmt.Sprintf("Not enough to judge: %s it runs clean at %s, %s.", f.heldWhen(), figure(f.top.Sustained), f.margin()), slow)
	}
	return join(fmt.Sprintf("Not enough to judge: %s it four-strokes only %s of the time at %s, %s.",
		f.heldWhen(), f.fourShare(), figure(f.top.Sustained), f.margin()), slow)
}

func saysClean(f *facts) string {
	says := fmt.Sprintf("Lean side: %s it runs clean without load and holds %s, %s.", f.heldWhen(), figure(f.top.Sustained), f.margin())
	if !f.hardlyFour() {
		says = fmt.Sprintf("On the edge of lean: %s it four-strokes only %s of the time without load and holds %s, %s.",
			f.heldWhen(), f.fourShare(), figure(f.top.Sustained), f.margin())
	}
	return join(says, f.cutWords(), f.needNotBeLean())
}

func saysUneven(f *facts) string {
	return join(fmt.Sprintf("Lean side, as far as can be told: %s it fires unevenly without load, but misses no firings in a pattern, and holds %s, %s.",
		f.heldWhen(), figure(f.top.Sustained), f.margin()), f.cutWords(), f.needNotBeLean())
}

func saysCleansUp(f *facts) string {
	return join(fmt.Sprintf("Lean side: it four-strokes at first, but runs clean %s at full speed without load; it holds %s, %s.",
		timeSpan(f.top.CleanFrom, f.top.CleanTo), figure(f.top.Sustained), f.margin()), f.cutWords(), f.needNotBeLean())
}

func saysRichCut(f *facts) string {
	four, _ := f.cutFiring()
	return join(fmt.Sprintf("%s: it four-strokes in the cut as well, %s of the time %s at %s; without load it holds %s, %s.",
		f.opening(RichInCut, "Too rich", "Too rich, unless a governor holds it"),
		engine.FormatShare(four), timeSpan(f.Cut.From, f.Cut.To), rpm(f.Cut.Speed.Speed), figure(f.top.Sustained), f.margin()),
		f.givenWords(RichInCut))
}

func saysRichFar(f *facts) string {
	return join(fmt.Sprintf("%s: %s it four-strokes %s of the time and holds only %s, %s.",
		f.opening(RichInCut, "Far too slow", "Far too slow, unless a governor holds it"),
		f.heldWhen(), f.fourShare(), figure(f.top.Sustained), f.margin()), f.givenWords(RichInCut))
}

func saysFour(f *facts) string {
	opening := f.opening(FourStroking, "Safe side", "Safe side, unless a governor holds it")
	if f.outranked { // what outranks it comes first, and nothing is called safe after that
		opening = f.opening(FourStroking, "Apart from that", "Apart from that, and unless a governor holds it")
	}
	return join(fmt.Sprintf("%s: %s it four-strokes %s of the time without load and holds %s, %s.",
		opening, f.heldWhen(), f.fourShare(), figure(f.top.Sustained), f.margin()), f.cutWords(), f.givenWords(FourStroking))
}

// cutWords says in a sentence how it fired in the cut, "" where that was not told.
func (f *facts) cutWords() string {
	four, told := f.cutFiring()
	if !told {
		return ""
	}
	when, speed := timeSpan(f.Cut.From, f.Cut.To), rpm(f.Cut.Speed.Speed)
	switch {
	case four >= f.opt.Mostly:
		return fmt.Sprintf("In the cut, %s, it four-strokes as well, at %s.", when, speed)
	case four >= f.opt.PartlyRich:
		return fmt.Sprintf("In the cut, %s, it still four-strokes %s of the time, at %s.", when, engine.FormatShare(four), speed)
	}
	return fmt.Sprintf("In the cut, %s, it runs clean at %s.", when, speed)
}
