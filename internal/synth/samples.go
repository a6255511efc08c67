package synth

import "topnote/internal/engine"

// Limits are the speeds that a user of the samples enters.
type Limits struct {
	Max, Idle, Clutch engine.RPM
}

// Sample is one of the passes that ship with the program.
type Sample struct {
	Name   string // of the file, without .wav
	Says   string // what it is, in one sentence
	Scene  Scene
	Limits Limits
	Wants  string // code of the right verdict
	Also   string // what else is to be found, in a few words; may be empty

	Build engine.Build // to be entered as well; its zero value is the saw of sampleLimits
}

// sampleRate keeps 13 s of 16 bits under 600 KB.
const sampleRate engine.Hz = 22050

// sampleLimits are the limits of the machine in the samples: an invented saw of
// the 50 cc class, within the ranges of the trade (facts.md section 6).
func sampleLimits() Limits { return Limits{Max: 13500, Idle: 2800, Clutch: 3700} }

// samplePass is the usual pass of the samples: 11 s from idle to idle.
func samplePass(top engine.RPM) Pass {
	return Pass{Idle: 2800, Top: top, IdleFor: 2.2, RiseIn: 0.5, HoldFor: 5, FallIn: 1.3, ReturnFor: 2}
}

// sampleCutPass has 2.5 s in the wood between two stretches at full throttle.
func sampleCutPass(top, cut engine.RPM) Pass {
	p := samplePass(top)
	p.IdleFor, p.HoldFor, p.CutTo, p.CutFor, p.AgainFor, p.ReturnFor = 1.8, 3, cut, 2.5, 1.2, 1.4
	return p
}

// Idling is how a warm two-stroke fires at idle: most turns, with stretches of
// every second one (common practice: four-stroking at idle is normal).
func Idling() Firing { return Mixed(0.4, 0.5, Mode{1, 0.75}, Mode{2, 0.25}) }

// fieldFourStroking is four-stroking as field recordings have it: every second turn,
// with stretches of every third.
func fieldFourStroking() Firing { return Mixed(0.7, 0.4, Mode{2, 0.8}, Mode{3, 0.2}) }

// firing makes the plan of a sample: idling, clean on the way up, and the
// given rules at full throttle and in the wood.
func firing(p Profile, top, cut Firing) Plan {
	return ByPhase(p, map[string]Firing{"": Idling(), Rise: Clean(), FullThrottle: top, InCut: cut})
}

// sample makes the scene of a pass. Its wander is that of a throttle against its
// stop, so that a plateau has one speed.
func sample(name string, seed uint64, p Pass, top, cut Firing) Sample {
	profile := p.Profile()
	s := NewScene(seed, profile, firing(profile, top, cut))
	s.Rate = sampleRate
	s.Wander = FieldWander().Times(0.4)
	return Sample{Name: name, Scene: s, Limits: sampleLimits()}
}

func (s Sample) says(wants, says string) Sample {
	s.Wants, s.Says = wants, says
	return s
}

func (s Sample) also(what string) Sample {
	s.Also = what
	return s
}

// limitedRise makes the coil cut during the rise as well.
func (s Sample) limitedRise(f Firing) Sample {
	for i := range s.Scene.Firing {
		if s.Scene.Profile.Spans[i].Name == Rise {
			s.Scene.Firing[i].Firing = f
		}
	}
	return s
}

// Samples gives the passes that ship with the program, in the order of their
// table. Nothing is rendered.
func Samples() []Sample {
	all := topEndSamples()
	all = append(all, cutSamples()...)
	all = append(all, idleSamples()...)
	return append(all, machineSamples()...)
}

// topEndSamples are judged by the plateau at full throttle.
func topEndSamples() []Sample {
	return []Sample{
		sample("rich", 101, samplePass(12700), fieldFourStroking(), Clean()).says("four-stroking",
			"Set on the rich side: four-strokes at full throttle without load."),
		sample("over", 102, samplePass(14050), Clean(), Clean()).says("over-limit",
			"Set too lean: clean at full throttle and faster than the maker's maximum."),
		sample("clean", 103, samplePass(13050), Clean(), Clean()).says("clean-below-limit",
			"Just below the maximum, but clean at full throttle without load."),
		sample("mixed", 104, samplePass(12850), Mixed(0.5, 0.4, Mode{1, 0.25}, Mode{2, 0.45}, Mode{3, 0.3}), Clean()).
			says("four-stroking", "Changes between firing every turn, every second and every third."),
		weakPhone(sample("weak-phone", 105, samplePass(12600), Every(2, 0.3), Clean())).says("four-stroking",
			"A rich engine through a telephone at 8 kHz, in noise and mains hum."),
		birdsong().says("no-engine", "Birdsong and wind; no engine."),
	}
}

// weakPhone records a sample through a telephone's voice band.
func weakPhone(s Sample) Sample {
	s.Scene.Rate = 8000
	s.Scene.Voice.IdleLevel = -10
	s.Scene.Backgrounds = []Background{{Kind: Pink, Below: 6}, {Kind: Hum50, Below: 14}}
	s.Scene.Phone = Telephone()
	s.Scene.Phone.Peak = -14
	return s
}

// birdsong is a place without an engine.
func birdsong() Sample {
	return Sample{Name: "birdsong", Limits: sampleLimits(), Scene: Scene{
		Rate: sampleRate, Seed: 106, Profile: Profile{Length: 9},
		Backgrounds: []Background{{Kind: Birds}, {Kind: Wind, Below: 3}, {Kind: Pink, Below: 20}},
		Phone:       Recorder(),
	}}
}

// cutSamples are judged by the cut.
func cutSamples() []Sample {
	limited := Clean()
	limited.Cuts = &Cuts{Ceiling: 13200, Block: 14, Lost: 5, Ragged: 0.15}
	return []Sample{
		sample("good-in-cut", 107, sampleCutPass(12700, 9400), fieldFourStroking(), Clean()).
			says("four-stroking", "Four-strokes without load and cleans up in the wood, as it should."),
		sample("rich-in-cut", 108, sampleCutPass(11700, 8500), Every(2, 0.25), fieldFourStroking()).
			says("rich-in-cut", "Four-strokes in the wood as well: too rich."),
		sample("spark-limited", 109, samplePass(13350), limited, Clean()).limitedRise(limited).
			says("spark-limited", "The coil cuts sparks at 13,200 rpm; the top speed tells nothing of the mixture."),
	}
}

// idleSamples have a good top end and a fault at idle.
func idleSamples() []Sample {
	hanging := samplePass(12700)
	hanging.HangAt, hanging.HangFor, hanging.ReturnFor = 4300, 1.8, 1.8
	hunting := samplePass(12750)
	hunting.HuntBy, hunting.HuntPeriod, hunting.IdleFor, hunting.ReturnFor = 0.09, 1.1, 3.3, 2.4
	high := samplePass(12650)
	high.Idle = 3950
	return []Sample{
		sample("hanging-idle", 110, hanging, fieldFourStroking(), Clean()).
			says("four-stroking", "Good at the top, but the speed hangs on the way back to idle.").
			also("hangs near 4,200 rpm for 1.8 s"),
		sample("hunting-idle", 111, hunting, fieldFourStroking(), Clean()).
			says("four-stroking", "Good at the top, but the idle hunts up and down.").
			also("idle hunts by 9 % every 1.1 s"),
		sample("high-idle", 112, high, fieldFourStroking(), Clean()).
			says("four-stroking", "Good at the top, but the idle stands above clutch engagement: the chain turns.").
			also("idle above clutch engagement"),
	}
}
