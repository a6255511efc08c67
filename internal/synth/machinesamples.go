package synth

import (
	"math"

	"topnote/internal/engine"
)

// machineSamples are passes of machines other than the saw of the other samples,
// each invented, with speeds within the ranges of the trade (facts.md section 6)
// and with the sound of what its shaft drives.
func machineSamples() []Sample {
	return []Sample{blowerSample(), governedSample(), hedgeTrimmerSample(), lineTrimmerSample()}
}

// on gives the sample the machine and its printed speeds.
func (s Sample) on(kind engine.Kind, l Limits, wheels ...Wheel) Sample {
	s.Build.Kind, s.Limits = kind, l
	s.Scene.Voice.Wheels = wheels
	s.Scene.Voice.Levels.Chain = Off
	s.Scene.Voice.ChainFrom = l.Clutch
	return s
}

// blowerSample: the fan sits on the shaft and always loads the engine, so it
// rises and falls slowly, and a good mixture runs clean.
func blowerSample() Sample {
	fan := Wheel{Level: -4, PerTurn: 11, Overtones: []float64{1, 0.4, 0.15}, Runout: 0.2, Rush: 1.2}
	p := Pass{Idle: 2800, Top: 7480, IdleFor: 2.2, RiseIn: 0.9, HoldFor: 4.6, FallIn: 1.9, ReturnFor: 1.8}
	return sample("blower", 113, p, Clean(), Clean()).on(engine.Blower, Limits{Max: 7800, Idle: 2800}, fan).
		says("below-limit", "A blower that runs clean under its maximum, as a good one does: its fan always loads it.")
}

// governedSample: near its set speed the governor of the carburettor adds fuel, so
// the engine four-strokes there, wherever the H screw stands, and the speed swings a
// little as the valve of the governor opens and shuts. In the cut, below the set
// speed, it is shut.
func governedSample() Sample {
	const set, cut = 9290, 7600 // rpm
	burble := Mixed(0.35, 0.4, Mode{2, 0.8}, Mode{3, 0.1}, Mode{1, 0.1})
	p := sampleCutPass(set, cut)
	p.Idle = 2600
	belt := Wheel{Level: -18, PerTurn: 0.52, Overtones: []float64{1, 0.6, 0.4, 0.2}, Clutched: true}
	s := sample("governed", 114, p, burble, Clean()).on(engine.CutOffSaw, Limits{Max: 9800, Idle: 2600, Clutch: 3500}, belt)
	s.Build.Governor = engine.Yes
	s.Scene.Profile = swinging(s.Scene.Profile, set, 0.003, 1.9)
	return s.says("governed", "A cut-off saw whose governor adds fuel at 9,300 rpm; what it fires there tells nothing of the mixture.")
}

// swinging adds the swing of a governor to the stretches at full throttle: a share
// of the set speed, so many times a second.
func swinging(base Profile, set engine.RPM, share float64, rate engine.Hz) Profile {
	at := base.At
	base.At = func(t engine.Seconds) OperatingPoint {
		m := at(t)
		if m.Throttle == 1 && m.Load == 0 && m.Speed > set*(1-0.01) {
			m.Speed += set * engine.RPM(share*math.Sin(2*math.Pi*float64(rate)*float64(t)))
		}
		return m
	}
	return base
}

// hedgeTrimmerSample: a pinion of nine teeth drives a crank, and each of its turns
// moves the knives twice.
func hedgeTrimmerSample() Sample {
	const ratio = 1 / 4.6
	mesh := Wheel{Level: -9, PerTurn: 9, Overtones: []float64{1, 0.5, 0.2}, Runout: 0.25, Ratio: ratio, Uneven: 0.4, Clutched: true}
	knives := Wheel{Level: -12, PerTurn: 2 * ratio, Overtones: []float64{0.6, 1, 0.7, 0.5, 0.3, 0.2}, Clutched: true}
	p := samplePass(8650)
	p.Idle = 2900
	return sample("hedge-trimmer", 115, p, fieldFourStroking(), Clean()).
		on(engine.HedgeTrimmer, Limits{Max: 9300, Idle: 2900, Clutch: 4000}, mesh, knives).
		says("four-stroking", "A hedge trimmer on the rich side; its gear and its knives sound as well.")
}

// lineTrimmerSample: two cutting lines behind a bevel gear. The line rushes through
// the air and is a load that never leaves the engine.
func lineTrimmerSample() Sample {
	const ratio = 1 / 1.36
	mesh := Wheel{Level: -16, PerTurn: 11, Overtones: []float64{1, 0.4}, Runout: 0.2, Ratio: ratio, Uneven: 0.2, Clutched: true}
	line := Wheel{Level: -8, PerTurn: 2 * ratio, Overtones: []float64{0.5, 0.3, 0.2}, Ratio: ratio, Uneven: 0.5, Rush: 1.5, Clutched: true}
	p := samplePass(8900)
	p.Idle = 2900
	return sample("line-trimmer", 116, p, fieldFourStroking(), Clean()).
		on(engine.Trimmer, Limits{Max: 9800, Idle: 2900, Clutch: 4100}, mesh, line).
		says("four-stroking", "A line trimmer on the rich side; its cutting line rushes.")
}
