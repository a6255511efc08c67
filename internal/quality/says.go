package quality

import (
	"fmt"
	"math"

	"topnote/internal/engine"
)

// Every sentence of this package that a person can read. docs/recording.md has
// a table of the same codes; a test holds it to this file.

func saysInterferer(Assessment) Problem {
	return Problem{
		Says: "Another engine seems to run beside this one; one may be taken for the other.",
		Do:   "Have every other machine switched off, and record again.",
	}
}

func saysNoise(a Assessment) Problem {
	says := "The engine stands out little from what else sounds."
	switch full, idle := typical(a.full), typical(a.idle); {
	case below(a.full, a.opt.MinFull):
		says = fmt.Sprintf("At full throttle the engine stands only %.0f dB out of what else sounds; four-stroking may pass for clean running.", *full)
	case below(a.idle, a.opt.MinIdle):
		says = fmt.Sprintf("At idle the engine stands only %.0f dB out of what else sounds; its speed there may be lost or misread.", *idle)
	case a.lost >= a.opt.MaxLost:
		says = fmt.Sprintf("For %.1f s something is so loud that an idle would not be heard.", a.lost)
	}
	return Problem{Says: says, Do: "Go half as far away, 2 m or a little more, on the side of the exhaust, with nothing between; other machines off."}
}

func saysQuiet(a Assessment) Problem {
	do := "Go nearer, turn the recorder's level up, and see that no finger or case covers the microphone."
	if a.info.PeakLevel == 0 {
		return Problem{Says: "The recording is silent.", Do: do}
	}
	return Problem{Says: "The recording is so quiet that an idle drowns in the recorder's own rounding.", Do: do}
}

func saysWind(Assessment) Problem {
	return Problem{
		Says: "Wind rumbles over the microphone.",
		Do:   "Turn your back to the wind and shield the phone with your body, out of the stream of the exhaust.",
	}
}

func saysHum(a Assessment) Problem {
	return Problem{
		Says: fmt.Sprintf("Hum of the %.0f Hz mains lies under the sound.", a.conditions.Mains),
		Do:   "Unplug the phone, and keep away from cables, chargers and lamps; or go outdoors.",
	}
}

func saysNarrow(a Assessment) Problem {
	return Problem{
		Says: fmt.Sprintf("Only the tones from about %s to %s Hz were recorded, as in a telephone call; the lowest tones of the engine are missing.",
			round(float64(a.info.LowEdge), tensOfHz), round(float64(a.info.HighEdge), hundredsOfHz)),
		Do: "Use the plain sound recorder or the camera, not a call or a voice message, and send the file as it is.",
	}
}

func saysClipping(a Assessment) Problem {
	return Problem{
		Says: fmt.Sprintf("The sound is clipped for %.1f %% of the time: too loud for the phone. Lines that are not the engine's come of it.", a.info.ClippedPct),
		Do:   "Go twice as far away, to the side and out of the stream of the exhaust.",
	}
}

func saysSpeech(a Assessment) Problem {
	return Problem{
		Says: fmt.Sprintf("Somebody speaks over the engine, for %.1f s or more.", a.conditions.Speech.Length()),
		Do:   "Do not talk while the engine runs; say what there is to say before or after.",
	}
}

func saysGain(a Assessment) Problem {
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

func saysWrongHeader(Assessment) Problem {
	return Problem{
		Says: "The header of the file contradicts itself, so the speed of the sound is not known.",
		Do:   "Use the original file of the recording, not one that was converted or repaired.",
	}
}

func saysPaired(Assessment) Problem {
	return Problem{
		Says: "The samples come in pairs: this is a stereo recording labelled as mono, and it plays at half its speed.",
		Do:   "Use the original file of the recording, or convert it again.",
	}
}

func saysLostSound(a Assessment) Problem {
	return Problem{
		Says: "Pieces of the sound are lost or repeated, again and again.",
		Do:   "Close other programs on the phone, record again with a plain recorder, and use that file as it is.",
	}
}
