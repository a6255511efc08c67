package quality

import (
	"fmt"
	"math"

	"topnote/internal/engine"
)

// Every sentence of this package that a person can read. docs/recording.md has
// a table of the same codes; a test holds it to this file.

func saysRival(facts) Problem {
	return Problem{
		Says: "Another engine seems to run beside this one; one may be taken for the other.",
		Do:   "Have every other machine switched off, and record again.",
	}
}

func saysNoise(f facts) Problem {
	says := "The engine stands out little from what else sounds."
	switch fast, slow := f.stands.usual(f.stands.fast), f.stands.usual(f.stands.slow); {
	case f.dull(f.stands.fast, f.opt.ClearFast):
		says = fmt.Sprintf("At full throttle the engine stands only %.0f dB out of what else sounds; four-stroking may pass for clean running.", *fast)
	case f.dull(f.stands.slow, f.opt.ClearSlow):
		says = fmt.Sprintf("At idle the engine stands only %.0f dB out of what else sounds; its speed there may be lost or misread.", *slow)
	case f.lost >= f.opt.LostFor:
		says = fmt.Sprintf("For %.1f s something is so loud that an idle would not be heard.", f.lost)
	}
	return Problem{Says: says, Do: "Go half as far away, 2 m or a little more, on the side of the exhaust, with nothing between; other machines off."}
}

func saysQuiet(f facts) Problem {
	do := "Go nearer, turn the recorder's level up, and see that no finger or case covers the microphone."
	if f.info.PeakLevel == 0 {
		return Problem{Says: "The recording is silent.", Do: do}
	}
	return Problem{Says: "The recording is so quiet that an idle drowns in the recorder's own rounding.", Do: do}
}

func saysShort(f facts) Problem {
	says := fmt.Sprintf("The engine is heard for %.1f s only, too short for a pass.", f.told)
	if !f.engine() {
		says = fmt.Sprintf("The recording is %.1f s long, too short for a pass.", f.info.Duration)
	}
	return Problem{Says: says, Do: "Record one whole pass: 3 s of idle, 3 s of full throttle without load, 3 s of idle."}
}

func saysPlateau(f facts) Problem {
	says := "No full throttle without load is heard."
	if t := f.plateau(); t > 0 {
		says = fmt.Sprintf("Full throttle without load is heard for %.1f s only, too short to be sure of the firing.", t)
	}
	return Problem{Says: says, Do: "Hold full throttle without load for 3 s, then let go at once."}
}

func saysNoIdle(facts) Problem {
	return Problem{
		Says: "No idle is heard, from which the speed could be followed up; that it is half or double is less surely ruled out.",
		Do:   "Begin the recording 3 s before the throttle is opened, with the engine idling.",
	}
}

func saysWind(facts) Problem {
	return Problem{
		Says: "Wind rumbles over the microphone.",
		Do:   "Turn your back to the wind and shield the phone with your body, out of the stream of the exhaust.",
	}
}

func saysHum(f facts) Problem {
	return Problem{
		Says: fmt.Sprintf("Hum of the %.0f Hz mains lies under the sound.", f.mains),
		Do:   "Unplug the phone, and keep away from cables, chargers and lamps; or go outdoors.",
	}
}

func saysNarrow(f facts) Problem {
	return Problem{
		Says: fmt.Sprintf("Only the tones from about %s to %s Hz were recorded, as in a telephone call; the lowest tones of the engine are missing.",
			round(float64(f.info.LowEdge), tensOfHz), round(float64(f.info.HighEdge), hundredsOfHz)),
		Do: "Use the plain sound recorder or the camera, not a call or a voice message, and send the file as it is.",
	}
}

func saysClipping(f facts) Problem {
	return Problem{
		Says: fmt.Sprintf("The sound is clipped for %.1f %% of the time: too loud for the phone. Lines that are not the engine's come of it.", f.info.ClippedPct),
		Do:   "Go twice as far away, to the side and out of the stream of the exhaust.",
	}
}

func saysSpeech(f facts) Problem {
	return Problem{
		Says: fmt.Sprintf("Somebody speaks over the engine, for %.1f s or more.", f.speech.length()),
		Do:   "Do not talk while the engine runs; say what there is to say before or after.",
	}
}

func saysGain(f facts) Problem {
	return Problem{
		Says: "The recorder evened the loudness out: idle is about as loud as full throttle. Speeds are not touched by that, but a soft sound may be faded out.",
		Do:   "Switch off automatic level, noise suppression and voice enhancement, or use another recorder.",
	}
}

// How frequencies are rounded: nobody can use more of these figures.
const (
	tensOfHz     = 10
	hundredsOfHz = 100
)

// round writes a frequency to a multiple of step.
func round(v float64, step float64) string { return engine.FormatWhole(math.Round(v/step) * step) }
