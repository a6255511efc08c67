package verdict

import (
	"fmt"
	"slices"

	"topnote/internal/engine"
)

// What to do next, step by step: first what is stopped and what has changed, then
// the fault, and only then a screw, by an eighth at most and towards rich first.

const (
	openH = "Only when a change explains it or the test is passed, stop the engine and open the H screw (turn it out, on the common type) by 1/8 turn at most. " +
		"Start, let it idle for 10 s, and record again from idle."
	stayWithin  = "Stay within the range that cap or stops leave and never force them; at its end, have the fault found."
	whatChanged = "Did it run right before? Then ask what has changed: a screw, the air filter, the fuel, the weather or the height. " +
		"A screw that was turned goes back first."
	nothingChanged = "If nothing has changed, it is a fault and not the screw; opening H would only hide it. Fresh fuel first, then fuel filter, line, " +
		"carburettor inlet screen and tank vent (breather); then a pressure and vacuum test for air leaking in at intake boot, gaskets and crank seals."
	listenBurble = "At full throttle without load it must then four-stroke, a burble that cleans up as soon as it is in the cut."
	stopTurning  = "If two such steps change nothing, or the speed creeps back up, stop turning screws and look for the fault."
	noTurning    = "Turn no screw before that test: what else was heard points to air leaking in or fuel running short."
	release      = "Let the throttle go."
	notAtFull    = "Do not run it at full throttle again as it is."
	recordPass   = "Record one pass: 3 s of idle, full throttle without load for 3 s, let go, 3 s of idle."
	recordWith   = "Use a plain recording program, not a call, with noise suppression off."
	rushFirst    = "Until it is judged, treat it as too lean: no full throttle longer than the recording needs."
)

// recordHow says where the phone goes, and who stands where.
func recordHow(f *facts) string { return join(Place(f.build.Kind), recordWith) }

// leakSigns reports whether what else was heard points to a leak or a starved
// supply, which an open screw would hide.
func (f *facts) leakSigns() bool {
	return f.climbs() || f.doesNotReturn() || f.hangs() || surges(f)
}

// screwSteps gives what is done with the H screw once the fault is ruled out.
func (f *facts) screwSteps() []string {
	if f.leakSigns() && f.build.Carburettor != engine.FixedJets && f.build.Carburettor != engine.SelfSetting {
		return []string{noTurning}
	}
	switch f.build.Carburettor {
	case engine.Screws:
		return []string{openH, listenBurble, stopTurning}
	case engine.Capped:
		return []string{join(openH, stayWithin), listenBurble, stopTurning}
	case engine.FixedJets:
		return []string{"There is no screw to turn. Cold and low air makes fixed jets leaner by their own law, which is no fault: topnote air says by how much. More than that is a fault."}
	case engine.SelfSetting:
		return []string{"There is no screw to turn: after another filter, fuel or height it needs a learning run in the cut, as the handbook says. If it stays as it is after that, have its own fault reading looked at."}
	}
	return []string{
		openH, listenBurble, stopTurning,
		"Where caps or stops limit the screw, stay within their range. Fixed jets have none, and drift with cold and height by their own law; a self-setting carburettor needs a learning run in the cut.",
	}
}

func adviceOver(f *facts) []string {
	if f.fourStroke {
		return f.adviceOverFourStroke()
	}
	stop := join(release, notAtFull)
	if f.build.Kind == engine.CutOffSaw {
		stop = join("Stop the engine and do not cut with it: a wheel that turns too fast can burst.", notAtFull)
	}
	check := f.checkLimit()
	steps := []string{stop, whatChanged, check, nothingChanged}
	if f.wellTold() && f.firingTold() && f.mostlyFour() && f.basis.evidence != byLoad {
		steps = []string{stop, join("It four-strokes all the same, so the limit may be wrong or the tool missing.", check), whatChanged, nothingChanged}
	}
	switch {
	case f.basis.evidence == byLoad:
		return append(steps, "Look at the governor, its spring and linkage, and for a throttle that sticks, before any screw.")
	case f.build.Kind == engine.Blower:
		return slices.Insert(steps, 1, "Look at the intake: a blocked one makes the fan faster.")
	}
	return append(steps, f.screwSteps()...)
}

// checkLimit asks what the figure is, as far as that is not known, and whether the
// tool is fitted.
func (f *facts) checkLimit() string {
	meaning, shaft := "", ""
	if f.build.LimitIs == "" {
		meaning = "Is it a maximum, and not a figure to set the speed to?"
	}
	if f.build.LimitOf == "" {
		shaft = "Is it the speed of the engine, and not of the spindle?"
	}
	return join("Check the limit: is it that of this machine?", meaning, shaft,
		fmt.Sprintf("And is everything fitted (%s)? A bare engine runs faster.", f.words().tool))
}

func (f *facts) adviceOverFourStroke() []string {
	steps := []string{join(release, notAtFull)}
	if f.build.Governor != engine.No {
		steps = append(steps, "Where it has a governor, look for the cause in the governor, its spring and linkage, and for a throttle that sticks; set the speed as the handbook says.")
	}
	if f.build.Governor != engine.Yes {
		steps = append(steps, "Where it has none, like many hand-held machines, too fast means a missing tool, a lean mixture or air leaking in: see that the tool is fitted, then look for the leak.",
			"Check the valve clearance as well.")
	}
	return steps
}

func adviceNoEngine(f *facts) []string {
	return []string{"Check that the right file was taken and that it plays.", recordHow(f), recordPass}
}

func adviceRecord(f *facts) []string {
	if f.top == nil {
		return []string{recordPass, recordHow(f), rushFirst}
	}
	again := fmt.Sprintf("Record full throttle again (it was heard %s): hold it open for 3 s, no longer, %s.", f.heldWhen(), f.words().free)
	return []string{again, recordHow(f), rushFirst}
}

// adviceStray asks for one engine alone.
func adviceStray(f *facts) []string {
	return []string{
		"Record again with no other engine or voice in it: leave the phone in one place, and begin and end at idle.",
		recordHow(f), rushFirst,
	}
}

// adviceOutrun asks for more of the fastest run.
func adviceOutrun(f *facts) []string {
	g := *f
	g.top = f.outrun()
	return adviceRecord(&g)
}

func adviceSecond(f *facts) []string {
	return []string{
		"To settle it, record again with 3 s of idle right before you open the throttle: from idle upwards the speed can be followed without a break.",
		fmt.Sprintf("A tachometer settles it at once: %s or %s.", rpm(f.top.Sustained.Speed), rpm(f.namedAlternative().Speed)),
		recordHow(f), rushFirst,
	}
}

func adviceMisfit(*facts) []string {
	return []string{
		"Check the limit: it must be the maximum speed of this machine, from its handbook or rating plate, of the engine and not of the spindle, with no digit missing.",
		"Check the recording: it must be at normal speed, not slow motion, straight from the phone and not edited. Then record again with 3 s of idle before you open the throttle.",
		join("Turn no screw before the two fit.", rushFirst),
	}
}

func adviceBroken(f *facts) []string {
	return []string{f.broken.Do, recordPass, rushFirst}
}

// adviceState says what comes before another recording.
func adviceState(f *facts) []string {
	var steps []string
	if f.state.FilterClean == engine.No {
		steps = append(steps, "Clean or renew the air filter.")
	}
	if f.state.ChokeOpen == engine.No {
		steps = append(steps, "Open the choke fully.")
	}
	if f.state.Warm == engine.No {
		steps = append(steps, "Warm it up for 2 to 5 minutes under some load.")
	}
	return append(steps, "Then record again, before any screw is turned.", rushFirst)
}

func adviceNoLimit(f *facts) []string {
	steps := []string{
		"Find the maximum no-load speed of this very machine in its handbook or on its rating plate, and enter it.",
		"Do not take the figure of a similar machine: such figures differ by thousands of rpm.",
		rushFirst,
	}
	switch {
	case f.basis.evidence == bySpeed:
	case f.basis.evidence == byLoad:
		steps = append(steps, adviceGoverned(f)...)
	case f.stutter() != nil:
		steps = append(steps, adviceSpark(f)...)
	case f.basis.evidence == byFiring && f.firingTold() && (!f.mostlyFour() || f.cleansUp()):
		steps = append(steps, whatChanged, nothingChanged)
	}
	return steps
}

func adviceBelow(f *facts) []string {
	steps := f.basis.do
	if floor := f.floor(); floor > 0 && f.top.Sustained.Speed < floor {
		steps = append([]string{"It is slower than its set-to figure: look at the air filter, the exhaust and what drags before the screw."}, steps...)
	}
	return steps
}

func adviceGoverned(f *facts) []string {
	steps := []string{
		"Do not turn the H screw by this recording.",
		"Judge it under load: in the cut it must pull strongly and run clean. That proves that it is not too rich, never that it is not lean.",
		"Set the mixture as the handbook of the machine says; the colour of the spark plug after work tells more than the sound.",
	}
	if f.build.Governor == "" {
		steps = append([]string{"Find out from the handbook or at the carburettor whether it has a governor, and enter that."}, steps...)
	}
	if f.basis.first != "" {
		steps = append([]string{f.basis.first}, steps...)
	}
	return steps
}

func adviceSpark(f *facts) []string {
	const prove = "Then check it in the cut. Clean in the cut proves that it is not too rich, never that it is not lean."
	switch f.build.Carburettor {
	case engine.FixedJets, engine.SelfSetting:
		return []string{"There is no screw to turn: go by the handbook, and by the colour of the spark plug after work.", prove}
	}
	return []string{
		"Do not lean it to get past the stutter: a lean engine hides behind the coil.",
		"Open H by 1/8 turn, let it idle for 10 s, and record again. Go on by eighths until the speed leaves its ceiling with a true burble. Stay within the range of the handbook, of a cap or of stops.",
		prove,
		"If no burble comes within that range, turn it back and look for a fault: too little fuel, or air leaking in.",
		"Where the handbook gives a basic setting of the H screw, begin from that.",
	}
}

func adviceSlow(*facts) []string {
	return []string{
		"Was it in the cut, or the throttle half open? Then record again at full throttle without load for 3 s.",
		"If not, check that the throttle opens fully, the brake is off, and the limit is that of this machine.",
		"Then look for what starves or chokes it: fuel filter, line and carburettor inlet screen, tank vent (breather), stale fuel; a blocked spark arrester screen or exhaust.",
		rushFirst,
	}
}

func adviceClean(f *facts) []string {
	steps := []string{whatChanged, nothingChanged}
	if f.basis.first != "" {
		steps = append([]string{f.basis.first}, steps...)
	}
	return append(steps, f.screwSteps()...)
}

// noScrewToClose is what stands in the place of closing H where there is no screw.
const noScrewToClose = "There is no screw to turn: what stays too rich is a fault of the carburettor, or a blocked exhaust."

func adviceRichCut(f *facts) []string {
	steps := []string{
		"First clean the air filter and make sure that the choke is fully open: both make any setting too rich.",
		"Was it really in the cut at full throttle there? If the throttle was half open, leave the mixture as it is and record a cut.",
	}
	if f.build.Carburettor == engine.FixedJets {
		return append(steps, noScrewToClose)
	}
	return append(steps,
		"Then close the H screw (turn it in, on the common type) by 1/8 turn at most, and record again without load: it must still four-stroke there and stay under the limit.",
		"Stop when it cleans up in the cut. If it does not after two steps, turn both back and look for the cause: metering lever or needle valve of the carburettor, or a jet that is too large.",
	)
}

func adviceRichFar(f *facts) []string {
	steps := []string{
		"First check that the limit is that of this machine, the throttle and the choke open fully, the brake is off and the chain or tool turns freely.",
		"Clean the air filter; look at the spark arrester screen and the exhaust port for carbon.",
	}
	if f.build.Carburettor == engine.FixedJets {
		steps = append(steps, noScrewToClose)
	} else {
		steps = append(steps, "Only then close the H screw (turn it in, on the common type) by 1/8 turn at most, and record again: without load it must still four-stroke and stay under the limit.")
	}
	if f.basis.first != "" {
		steps = append([]string{f.basis.first}, steps...)
	}
	return steps
}

func adviceFour(f *facts) []string {
	leave := "Leave the H screw where it is."
	if f.build.Carburettor == engine.FixedJets {
		leave = "Leave it as it is."
	}
	if floor := f.floor(); floor > 0 && f.top.Sustained.Speed < floor {
		leave = "It is below its set-to figure, on the rich side: with filter and choke checked, set it by the handbook, in steps of 1/8 turn."
	}
	if _, told := f.cutFiring(); told {
		return []string{leave, "Record again when it is 15 °C warmer or colder, 500 m higher or lower, and after a new filter or fresh fuel."}
	}
	return []string{leave, "Try it in the cut: it should clean up there and pull strongly. To have that judged as well, record 3 s without load and then 5 s in the cut."}
}
