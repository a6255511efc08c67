package verdict

import (
	"fmt"
	"strings"
)

// What to do next, step by step. A screw is turned by an eighth at most, towards
// rich first, and never more than twice before the cause is looked for.

const (
	openH = "Stop the engine and open the H screw (turn it out, on the common type) by 1/8 turn at most. " +
		"Start, let it idle for 10 s, and record again from idle."
	listenBurble = "Listen for the burble: at full throttle without load it must four-stroke, and it must clean up as soon as it is in wood."
	stopTurning  = "If two such steps change nothing, or the speed creeps back up, stop turning screws and look for the cause: " +
		"air leaking in (intake boot, gaskets, crank seals) or too little fuel (filter, line, carburettor screen, tank vent)."
	fuelToo    = "Fresh fuel with the right share of oil comes before any screw."
	noScrew    = "Where there is no H screw, or it has stops or a cap, do not force it: on such a machine a wrong speed is a fault to be found."
	notAtFull  = "Do not run it at full throttle again as it is."
	recordPass = "Record one pass: 3 s of idle, full throttle without load for 3 s, let go, 3 s of idle."
	recordHow  = "Let a second person hold the phone 2 to 4 m away, to the side of the machine, out of the wind and out of the exhaust; " +
		"use a plain recording program, not a call, with noise suppression off."
	rushFirst = "Until it is judged, take it for lean: no full throttle longer than the recording needs."
)

// adviceFirst puts what is more dangerous than the verdict before its steps.
func adviceFirst(s *sign, steps []string) []string {
	if len(steps) > 0 {
		steps[0] = "After that: " + strings.ToLower(steps[0][:1]) + steps[0][1:]
	}
	return append([]string{s.do}, steps...)
}

func adviceOver(f *facts) []string {
	if f.fourStroke {
		return []string{
			"Let the throttle go. " + notAtFull,
			"Look for the cause in the governor, its spring and linkage, and a throttle that sticks; set the speed as the handbook says.",
		}
	}
	steps := []string{"Let the throttle go. " + notAtFull, openH, listenBurble, stopTurning, noScrew}
	if f.wellTold() && f.firingTold() && f.mostlyFour() {
		steps = append(steps, "It four-strokes all the same: check that the limit is the one for this machine, and that bar and chain or cutting tool are fitted. A bare engine runs faster.")
	}
	return steps
}

func adviceNoEngine(*facts) []string {
	return []string{"Check that the right file was taken and that it plays.", recordHow, recordPass}
}

func adviceRecord(f *facts) []string {
	if f.top == nil {
		return []string{recordPass, recordHow, rushFirst}
	}
	again := fmt.Sprintf("Record the full throttle again (it was heard %s): hold it open without load for 3 s, no longer.", f.heldWhen())
	return []string{again, recordHow, rushFirst}
}

func adviceSecond(f *facts) []string {
	return []string{
		"To settle it, record again with 3 s of idle right before the throttle is opened: from idle upwards the speed can be followed without a break.",
		fmt.Sprintf("A tachometer settles it at once: %s or %s.", rpm(f.top.Sustained.Speed), rpm(f.namedAlternative().Speed)),
		recordHow, rushFirst,
	}
}

func adviceMisfit(f *facts) []string {
	return []string{
		"Check the limit: the maximum speed of this machine from its handbook or plate, no digit missing, engine speed and not spindle speed.",
		"Check the recording: normal speed, not slow motion, straight from the phone and not edited; then record again with 3 s of idle before the throttle is opened.",
		"Turn no screw before the two fit. " + rushFirst,
	}
}

func adviceBroken(f *facts) []string {
	return []string{f.broken.Do, recordPass, rushFirst}
}

func adviceNoLimit(f *facts) []string {
	steps := []string{
		"Find the maximum speed without load for this very machine in its handbook or on its plate, and enter it.",
		"Do not take the figure of a similar machine: they differ by thousands of rpm.",
		rushFirst,
	}
	if f.stutter() != nil {
		return append(steps, adviceSpark(f)...)
	}
	if !f.fourStroke && f.firingTold() && (!f.mostlyFour() || f.cleansUp()) {
		steps = append(steps, openH, listenBurble)
	}
	return steps
}

func adviceBelow(*facts) []string {
	return []string{"Leave the speed as it is. For the mixture, follow the handbook: spark plug, smoke and pull under load tell it, not the burble."}
}

func adviceSpark(*facts) []string {
	return []string{
		"Do not lean the H screw to get past the stutter: a lean engine hides behind it.",
		"Judge it in the cut: record 3 s without load and then 5 s in wood at full throttle. There it must pull strongly and run clean, without a rising scream.",
		"To make sure, open the H screw by 1/8 turn: if the top speed stays where it is, the coil holds it; if the speed drops and a burble comes, it was four-stroking.",
		"Where the handbook gives a basic setting of the H screw, begin from that.",
	}
}

func adviceSlow(*facts) []string {
	return []string{
		"Was it in wood, or the throttle half open? Then record again at full throttle without load for 3 s.",
		"If not: check that the throttle opens fully, the brake is off, and the limit is the one for this machine.",
		"Then look for what starves it: fuel filter, line and carburettor screen, tank vent, stale fuel; a blocked spark screen or exhaust.",
		rushFirst,
	}
}

func adviceClean(*facts) []string {
	return []string{openH, listenBurble, stopTurning, fuelToo, noScrew}
}

func adviceRichCut(*facts) []string {
	return []string{
		"First clean the air filter and make sure that the choke is fully open: both make any setting too rich.",
		"Was that stretch really in wood at full throttle? If the throttle was half open, leave the screw and record a cut.",
		"Then close the H screw (turn it in, on the common type) by 1/8 turn at most, and record again without load: it must still four-stroke there and stay under the limit.",
		"Stop when it cleans up in the cut. If it does not after two steps, turn both back and look for the cause: needle valve, diaphragm, a jet that is too large, too much oil in the fuel.",
	}
}

func adviceRichFar(*facts) []string {
	return []string{
		"First check that the limit is the one for this machine, that the throttle opens fully, the choke is fully open, the brake is off and the chain or tool turns freely.",
		"Clean the air filter; look at the spark screen and the exhaust for carbon.",
		"Only then close the H screw (turn it in, on the common type) by 1/8 turn at most, and record again: without load it must still four-stroke and stay under the limit.",
	}
}

func adviceFour(f *facts) []string {
	if _, told := f.cutFiring(); told {
		return []string{
			"Leave the H screw where it is.",
			"Record again when the weather changes by more than 15 °C or the place by 500 m of height, and after a new filter or fresh fuel.",
		}
	}
	return []string{
		"Leave the H screw where it is.",
		"Try it in wood: it should clean up there and pull strongly. To have that judged too, record 3 s without load and then 5 s in the cut.",
	}
}

// Cautions gives what comes before any advice, whatever was found.
//
// Sources: noise at work, Directive 2003/10/EC; exhaust gas, NIOSH 96-118a; the
// rest common practice.
func Cautions() []string {
	return []string{
		"This is advice from sound alone. The maker's handbook and the local rules come first; where only a licensed workshop may set an engine, leave the screws to it.",
		"Ear and eye protection for everybody near, the one with the phone as well; gloves, boots, nothing loose that a chain can catch.",
		"Only with bar and chain or cutting tool fitted and rightly tensioned, brake tested and on while starting, the machine held firmly over clear ground, nobody in front.",
		"If chain or tool moves at idle, do not use the machine.",
		"Full throttle without load for seconds, never minutes, and with a warm engine.",
		"Outdoors only: the exhaust gas kills in closed rooms within minutes.",
	}
}
