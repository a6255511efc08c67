package verdict

import (
	"fmt"

	"topnote/internal/engine"
)

// kindWords are the words that differ from one kind of machine to another.
type kindWords struct {
	moves  string // what the clutch drives: "chain"
	tool   string // what must be on it before it runs at full throttle, as a list
	fitted string // the same, and in which state, as a list
	people string // who stands where: a whole sentence
	free   string // how it runs for the test
}

// wordsOf gives the words for a kind of machine.
func wordsOf(k engine.Kind) kindWords {
	switch k {
	case engine.Saw:
		return kindWords{"chain", "bar and chain", "bar and chain fitted and rightly tensioned, chain brake tested and on",
			"Nobody but the one at the saw is within reach of the saw or of what it cuts.", "without load"}
	case engine.CutOffSaw:
		return kindWords{"wheel", "wheel and guard", "an undamaged wheel of the right speed and its guard fitted",
			"Nobody stands in the plane of the wheel, in front or behind: a wheel can burst.", "without load"}
	case engine.Trimmer:
		return kindWords{"head", "head, line and guard", "head and guard fitted, the line at the length of the guard's knife",
			"Everybody else stays as far away as the handbook says, about 15 m: it throws stones.", "without load"}
	case engine.BrushCutter:
		return kindWords{"blade", "blade and guard", "blade and guard fitted",
			"Everybody else stays as far away as the handbook says, about 15 m: it throws stones and pieces of blade.", "without load"}
	case engine.HedgeTrimmer:
		return kindWords{"cutter bar", "cutter bar", "cutter bar fitted, its gearbox warm", "Nobody else is within reach of the cutter bar.", "without load"}
	case engine.Blower:
		return kindWords{"fan", "tube and nozzle", "tube and nozzle fitted, the intake free", "Nobody stands in the stream of air or behind the intake.", "with tube and nozzle on"}
	case engine.Auger:
		return kindWords{"auger", "auger", "auger fitted and clear of everything", "Nobody else is within reach of the auger.", "without load"}
	case engine.Pump:
		return kindWords{"pump", "hoses", "hoses on, the pump filled, never dry", "Nobody stands at the open end of a hose.", "while it pumps"}
	}
	return kindWords{"chain or tool", "cutting tool and guard", "cutting tool and guard fitted, a chain rightly tensioned, its brake tested and on",
		"Keep everybody else out of reach of a saw, out of the plane of a wheel, and about 15 m away from a trimmer or brush cutter.", "without load"}
}

// words gives the words for the machine that is judged.
func (f *facts) words() kindWords { return wordsOf(f.build.Kind) }

// Place says where the phone goes and who stands where, for a kind of machine.
//
// Source: common practice; 15 m is what handbooks of brush cutters and trimmers
// commonly ask for, and the machine's own goes first.
func Place(k engine.Kind) string {
	return join("Lay or mount the phone 2 to 4 m to the side of the machine, out of the exhaust stream and the wind; start the recording, and go back to the machine.",
		wordsOf(k).people)
}

// Cautions gives what comes before any advice, whatever was found, for a kind of
// machine; engine.KindUnknown where it is not known.
//
// Sources: noise at work, Directive 2003/10/EC; exhaust gas, NIOSH 96-118a; the
// rest common practice.
func Cautions(k engine.Kind) []string {
	w := wordsOf(k)
	return []string{
		"This is advice from sound alone. The maker's handbook and the local rules come first; where only a licensed workshop may set an engine, leave the screws to it.",
		"Ear and eye protection for everybody near. Gloves, boots, nothing loose that the machine can catch.",
		join(fmt.Sprintf("Before you start it: %s. Hold the machine firmly over clear ground.", w.fitted), w.people),
		fmt.Sprintf("If the %s moves at idle, do not use the machine.", w.moves),
		fmt.Sprintf("Full throttle for seconds, never minutes, %s, and with a warm engine.", w.free),
		"Outdoors only: indoors the exhaust gas kills within minutes.",
	}
}

// cautionsFor gives the cautions for the machine that is judged.
func (f *facts) cautionsFor() []string {
	all := Cautions(f.build.Kind)
	if f.build.Kind == engine.Blower { // its fan always turns
		all = append(all[:3], all[4:]...)
	}
	if f.build.Catalyst == engine.Yes {
		all = append(all, "The muffler has a catalyst: an engine that misses firings for long overheats it. Burble for seconds only, off dry grass.")
	}
	return all
}

// replyCaution closes a message.
func (f *facts) replyCaution() string {
	w := f.words()
	return join(fmt.Sprintf("Please: your machine's handbook comes before anything I say. Ear and eye protection, and outdoors. Before you start it: %s. "+
		"Full throttle for a few seconds only, %s.", w.fitted, w.free), w.people)
}
