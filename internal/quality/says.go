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
		Says: "Another engine seems to run nearby; one may be taken for the other.",
		Do:   "Switch off every other machine and record again.",
	}
}

func saysNoise(a Assessment) Problem {
	says := "The engine stands out little from the background."
	switch full, idle := typical(a.full), typical(a.idle); {
	case below(a.full, a.opt.MinFull):
		says = fmt.Sprintf("At full throttle the engine is only %.0f dB louder than the background; four-stroking may pass for clean running.", *full)
	case below(a.idle, a.opt.MinIdle):
		says = fmt.Sprintf("At idle the engine is only %.0f dB louder than the background; its speed there may be lost or misread.", *idle)
	case a.lost >= a.opt.MaxLost:
		says = fmt.Sprintf("For %.1f s something is so loud that an idle would be drowned.", a.lost)
	}
	return Problem{Says: says, Do: "Put the phone half as far away, 2 m or a little more, to the side of the machine, out of the exhaust stream, with nothing between. Switch off other machines."}
}

func saysQuiet(a Assessment) Problem {
	do := "Put the phone nearer, but not nearer than 2 m, turn the recorder's level up, and see that nothing covers the microphone."
	if a.info.PeakLevel == 0 {
		return Problem{Says: "The recording is silent.", Do: do}
	}
	return Problem{Says: "The recording is so quiet that an idle is lost in the recorder's own noise.", Do: do}
}

func saysWind(Assessment) Problem {
	return Problem{
		Says: "Wind rumbles over the microphone.",
		Do:   "Put the phone behind something that keeps the wind off, to the side of the machine, out of the exhaust stream.",
	}
}

func saysHum(a Assessment) Problem {
	return Problem{
		Says: fmt.Sprintf("There is %.0f Hz mains hum.", a.conditions.Mains),
		Do:   "Unplug the phone and keep it away from cables, chargers and lamps, or go outdoors.",
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
		Says: fmt.Sprintf("The sound is clipped %.1f %% of the time: too loud for the phone. That adds tones that the engine does not make.", a.info.ClippedPct),
		Do:   "Put the phone twice as far away, to the side of the machine, out of the exhaust stream.",
	}
}

func saysSpeech(a Assessment) Problem {
	return Problem{
		Says: fmt.Sprintf("Somebody talks over the engine, for %.1f s or more.", a.conditions.Speech.Length()),
		Do:   "Do not talk while the engine runs; say what you have to say before or after.",
	}
}

func saysGain(a Assessment) Problem {
	return Problem{
		Says: "The recorder has evened out the loudness: idle is about as loud as full throttle. That does not change the speeds, but a soft sound may be faded out.",
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
		Says: "The header of the file contradicts itself, so how fast it plays is not known.",
		Do:   "Use the original file of the recording, not one that was converted or repaired.",
	}
}

func saysPaired(Assessment) Problem {
	return Problem{
		Says: "The samples come in pairs: this is a stereo recording labelled as mono, so it plays at half speed.",
		Do:   "Use the original file of the recording, or convert it again.",
	}
}

func saysLostSound(a Assessment) Problem {
	return Problem{
		Says: "Pieces of the sound are missing or repeated, again and again.",
		Do:   "Close other programs on the phone, record again with a plain recorder, and use that file as it is.",
	}
}
