package verdict

import (
	"slices"

	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/pass/passtest"
	"topnote/internal/quality"
	"topnote/internal/shaft"
)

// example is a pass as a technician would describe it, and the verdict that it
// must get.
type example struct {
	name  string
	track *passtest.Track
	query engine.Machine
	lost  passtest.Lost // strength of the cycles that is missing; nil: none
	want  Code
	rule  string // name of the rule that must give it
}

func (e example) summary() pass.Summary {
	const scatter = 0.05 // of the strength of the cycles
	return pass.Summarise(e.track.Build(), e.track.Cycles(scatter, e.lost), e.query, pass.Default())
}

func (e example) judge() Verdict { return Judge(e.summary(), e.query, quality.Quality{}, Default()) }

// saw is a two-stroke with all three speeds entered.
func saw(limit engine.RPM) engine.Machine {
	return engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: limit, Idle: 2800, Clutch: 3800}}
}

// opened is a track that has come from 2 s of idle up to a speed, from 2.4 s on.
func opened(seed uint64, top engine.RPM) *passtest.Track {
	return passtest.New(seed).Hold(2, 2800).Ramp(0.4, 2800, top)
}

// letGo closes the throttle and stays at idle for 2 s.
func letGo(t *passtest.Track, top engine.RPM) *passtest.Track {
	return t.Fires(1).Ramp(0.8, top, 2800).Hold(2, 2800)
}

// level is a whole pass with one speed at full throttle and one firing pattern.
func level(seed uint64, top engine.RPM, d engine.Seconds, fires ...shaft.Firing) *passtest.Track {
	return letGo(opened(seed, top).Fires(fires...).Hold(d, top), top)
}

// withCut is a pass that four-strokes without load, at 12,700 rpm, and is put
// to wood with another firing.
func withCut(seed uint64, fires ...shaft.Firing) *passtest.Track {
	return letGo(opened(seed, 12700).Fires(2).Hold(3, 12700).Ramp(0.3, 12700, 9000).
		Fires(fires...).Hold(3, 9000).Ramp(0.2, 9000, 12700).Fires(2).Hold(1.5, 12700), 12700)
}

// cutOuts are the sparks that a coil leaves out.
var cutOuts = passtest.Bursts(10, 3, 0.6)

// half is a way of firing that is told for hardly more than half of the time.
func half(fires shaft.Firing) []shaft.Firing {
	return []shaft.Firing{fires, fires, 0, fires, 0, fires, 0, fires, 0, fires, 0, fires, 0, fires, 0}
}

// examples has at least one pass for every rule. The wanted codes are those of
// the table in the design; what it leaves open is decided in rules.go.
func examples() []example {
	return slices.Concat(fastExamples(), unjudgedExamples(), sparkExamples(), firingExamples(), machineExamples())
}

// fastExamples hold the limit or more.
func fastExamples() []example {
	return []example{
		{"over and clean", level(1, 13900, 3, 1), saw(13500), nil, OverLimit, "held above the limit"},
		{"over and four-stroking", level(2, 13900, 3, 2), saw(13500), nil, OverLimit, "held above the limit"},
		{"over for 0.7 s only", level(3, 13900, 0.7, 1), saw(13500), nil, OverLimit, "held above the limit"},
		{"over, firing not told", level(4, 13900, 3, 0), saw(13500), nil, OverLimit, "held above the limit"},
		{"over in the second of two passes", level(5, 12500, 3, 2).Ramp(0.4, 2800, 13900).Hold(1.5, 13900), saw(13500), nil, OverLimit, "held above the limit"},
		{"over, and half of it is possible too", opened(6, 13900).Hold(3, 13900).Other(0.5, 0.4), saw(13500), nil, OverLimit, "held above the limit"},
		{"over and stuttering", opened(7, 13900).Fires(1, 1, 1, 1, 1, 1, 0, 0, 3, 0).Hold(3, 13900), saw(13500), cutOuts, OverLimit, "held above the limit"},
		{"a four-stroke engine over its limit", passtest.New(8).Hold(2, 1700).Ramp(1, 1700, 3900).Hold(4, 3900),
			engine.Machine{Spec: engine.Spec{Strokes: 4, Cylinders: 1}, Limits: engine.Limits{Max: 3600}}, nil, OverLimit, "held above the limit"},
		{"over a limit that is lower than any top", passtest.New(9).Hold(3, 4500), saw(3600), nil, OverLimit, "held above the limit"},
		{"so uncertain, and over all the same", passtest.New(10).Noise(0.03, 0.05).Hold(3, 15500), saw(13500), nil, OverLimit, "held above the limit"},

		{"at the limit", level(11, 13450, 3, 2), saw(13500), nil, AtLimit, "the limit is within the uncertainty, or was passed for 0.2 s"},
		{"just above, within the uncertainty", level(12, 13510, 3, 1), saw(13500), nil, AtLimit, "the limit is within the uncertainty, or was passed for 0.2 s"},
		{"under, but over for 0.26 s", letGo(opened(13, 13900).Hold(0.24, 13900).Ramp(0.1, 13900, 12800).Fires(2).Hold(3, 12800), 12800),
			saw(13500), nil, AtLimit, "the limit is within the uncertainty, or was passed for 0.2 s"},
		{"unsure readings are likely to reach it", letGo(opened(14, 12900).Fires(2).Hold(2, 12900).Noise(0.01, 0.02).Hold(1, 13300).Noise(0.002, 0.002), 12800),
			saw(13500), nil, AtLimit, "the limit is within the uncertainty, or was passed for 0.2 s"},
		{"at it, with nothing that shows an engine, and inexact", passtest.New(18).Fires(0).Noise(0.004, 0.02).Hold(2, 13510),
			saw(13500), nil, NotEnough, "uncertain readings reach the limit"},
		{"close under it, and perhaps over for 0.2 s", letGo(opened(17, 13420).Fires(2).Hold(2, 13420).Noise(0.0005, 0.002).Hold(0.2, 13520).Noise(0.002, 0.002).Hold(1, 13420), 13420),
			saw(13500), nil, AtLimit, "the limit is within the uncertainty, or was passed for 0.2 s"},
	}
}

// unjudgedExamples hold too little to judge the mixture, or no limit, or an engine
// whose mixture cannot be judged so.
func unjudgedExamples() []example {
	return []example{
		{"silence", passtest.New(15).Quiet(4), saw(13500), nil, NoEngine, "nothing ran for 0.5 s"},
		{"an empty track", passtest.New(15), saw(13500), nil, NoEngine, "nothing ran for 0.5 s"},
		{"a bark", passtest.New(16).Quiet(1).Hold(0.4, 9000).Quiet(1), saw(0), nil, NoEngine, "nothing ran for 0.5 s"},

		{"idle only", passtest.New(17).Hold(4, 2850), saw(13500), nil, NotEnough, "no full throttle without load for 1 s"},
		{"a blip", letGo(opened(18, 12500).Fires(2).Hold(0.1, 12500), 12500), saw(13500), nil, NotEnough, "no full throttle without load for 1 s"},
		{"0.7 s of four-stroking", level(19, 12500, 0.7, 2), saw(13500), nil, NotEnough, "no full throttle without load for 1 s"},
		{"nothing above part throttle", passtest.New(20).Hold(2, 2800).Ramp(2, 2800, 9000).Ramp(2, 9000, 2800).Hold(1, 2800), saw(0), nil, NotEnough, "no full throttle without load for 1 s"},
		{"gaps everywhere", gappy(), saw(13500), nil, NotEnough, "the speed was lost or hardly believed for too much of it"},
		{"a limit with a digit lost", level(60, 13100, 3, 1), engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: 1350}}, nil, NotEnough, "held more than a third above the limit"},
		{"scattered readings might reach it", letGo(opened(14, 12900).Fires(2).Hold(2, 12900).Noise(0.05, 0.02).Hold(1, 13200).Noise(0.002, 0.002), 12800),
			saw(13500), nil, NotEnough, "not proven to be under the limit"},
		{"hardly believed", opened(22, 12500).Fires(2).Hold(3, 12500).Each(func(_ int, p *shaft.Point) { p.Confidence = 0.2 }),
			saw(13500), nil, NotEnough, "the speed was lost or hardly believed for too much of it"},
		{"a blurred stretch that may have been over", letGo(opened(23, 12600).Fires(2).Hold(3, 12600).Noise(0.005, 0.06).Hold(0.6, 12600).Noise(0.002, 0.002), 12600),
			saw(13500), nil, NotEnough, "uncertain readings reach the limit"},
		{"the double is possible", opened(24, 7000).Hold(3, 7000).Other(2, 0.25), saw(13500), nil, NotEnough, "a second reading reaches the limit"},
		{"four-stroking, and half as much again is possible", opened(25, 9500).Fires(2).Hold(3, 9500).Other(1.5, 0.25), saw(13500), nil, NotEnough, "a second reading reaches the limit"},

		{"four-stroking at half of the limit", level(61, 7000, 3, 2), saw(13500), nil, NotEnough, "under three fifths of the limit"},

		{"no limit, four-stroking", level(26, 12500, 3, 2), saw(0), nil, NoLimit, "no limit was entered"},
		{"no limit, and half the speed is as likely", opened(26, 12500).Fires(2).Hold(3, 12500).Other(0.5, 0.4), saw(0), nil, NotEnough, "a second reading, and no limit that settles it"},
		{"no limit, and half the speed is hardly possible", opened(26, 12500).Fires(2).Hold(3, 12500).Other(0.5, 0.2), saw(0), nil, NoLimit, "no limit was entered"},
		{"no limit, clean", level(27, 12500, 3, 1), saw(0), nil, NoLimit, "no limit was entered"},
		{"no limit, half and half", level(28, 12500, 3, 1, 2), saw(0), nil, NoLimit, "no limit was entered"},
		{"no limit, firing not told", level(29, 12500, 3, 0), saw(0), nil, NoLimit, "no limit was entered"},
		{"no limit, cleans up", opened(30, 12500).Fires(2).Hold(4, 12500).Fires(1).Hold(1.8, 12600), saw(0), nil, NoLimit, "no limit was entered"},
		{"no limit, stutter", opened(31, 12500).Fires(2).Hold(3, 12500), saw(0), cutOuts, NoLimit, "no limit was entered"},
		{"no limit, four-stroke engine", passtest.New(32).Hold(4, 3100), engine.Machine{Spec: engine.Spec{Strokes: 4, Cylinders: 1}}, nil, NoLimit, "no limit was entered"},

		{"a four-stroke engine under its limit", passtest.New(33).Hold(2, 1700).Ramp(1, 1700, 3300).Hold(4, 3300),
			engine.Machine{Spec: engine.Spec{Strokes: 4, Cylinders: 1}, Limits: engine.Limits{Max: 3600}}, nil, BelowLimit, "a machine whose mixture is not judged by its firing, under its limit"},
	}
}

// sparkExamples have, or may have, a coil that limits speed.
func sparkExamples() []example {
	return []example{
		{"stutter, read as four-stroking", level(34, 12800, 3, 2), saw(13500), cutOuts, SparkLimited, "stutter, on the rev limiter"},
		{"stutter, its firing read as clean, lost and found again", opened(35, 12800).Fires(1, 1, 1, 1, 1, 1, 0, 0, 3, 0).Hold(3, 12800), saw(13500), cutOuts, SparkLimited, "stutter, on the rev limiter"},
		{"stutter, and rich in the cut", withCut(36, 2), saw(13500), cutOuts, SparkLimited, "stutter, on the rev limiter"},
		{"stutter, and as fast again without any", letGo(opened(36, 12800).Hold(3, 12800).Ramp(0.3, 12800, 9000).Hold(2, 9000).Ramp(0.2, 9000, 12800).Hold(1.1, 12800), 12800), saw(13500), cutOuts.Until(6), SparkLimited, "stutter, on the rev limiter"},
		{"perhaps stutter", level(37, 12800, 3, half(2)...), saw(13500), nil, NotEnough, "perhaps stutter"},
		{"perhaps stutter, clean", level(38, 12800, 3, half(1)...), saw(13500), nil, CleanBelowLimit, "clean, or four-stroking for less than most of the time"},
	}
}

// firingExamples are judged by their firing.
func firingExamples() []example {
	return []example{
		{"firing not told", letGo(opened(39, 12500).Fires(0).Swing(3, 12500, 300, 0.7), 12500), saw(13500), nil, NotEnough, "the firing cannot be told"},
		{"firing hardly told, clean where it is", letGo(opened(40, 12500).Fires(0, 0, 0, 1).Swing(3, 12500, 300, 0.7), 12500), saw(13500), nil, NotEnough, "the firing cannot be told"},
		{"uneven, and misses in no pattern", letGo(uneven(opened(62, 12500), 12500), 12500), saw(13500), nil, CleanBelowLimit, "uneven, and for most of the time without a pattern of missed firings"},
		{"uneven at 9,000", letGo(uneven(opened(63, 9000), 9000), 9000), saw(13500), nil, NotEnough, "the firing cannot be told"},
		{"clean at 9,000", level(41, 9000, 3, 1), saw(13500), nil, NotEnough, "clean, but far too slow for no load"},

		{"clean just below", level(42, 13200, 3, 1), saw(13500), nil, CleanBelowLimit, "clean, or four-stroking for less than most of the time"},
		{"clean well below", level(43, 12000, 3, 1), saw(13500), nil, CleanBelowLimit, "clean, or four-stroking for less than most of the time"},
		{"half clean, half four-stroking", level(44, 12700, 4, 1, 2), saw(13500), nil, CleanBelowLimit, "clean, or four-stroking for less than most of the time"},
		{"clean without load and in the cut", letGo(opened(45, 12900).Hold(3, 12900).Ramp(0.3, 12900, 9200).Hold(3, 9200), 9200), saw(13500), nil, CleanBelowLimit, "clean, or four-stroking for less than most of the time"},
		{"rich first, clean after the screw was turned", level(46, 11800, 3, 2).Ramp(0.4, 2800, 13000).Hold(3, 13000), saw(13500), nil, CleanBelowLimit, "clean, or four-stroking for less than most of the time"},
		{"clean first, at a slower speed", level(47, 12500, 3, 1).Ramp(0.4, 2800, 12900).Fires(2).Hold(3, 12900), saw(13500), nil, CleanBelowLimit, "clean, or four-stroking for less than most of the time"},
		{"cleans up as it runs", letGo(opened(48, 12600).Fires(2).Hold(4, 12600).Fires(1).Hold(1.7, 12800), 12800), saw(13500), nil, CleanBelowLimit, "four-stroking that cleans up for 1.5 s at full speed"},

		{"four-stroking, and half the speed is as likely", opened(49, 12500).Fires(2).Hold(3, 12500).Other(0.5, 0.4), saw(13500), nil, NotEnough, "a second reading with another firing"},
		{"rich in the cut", withCut(50, 2), saw(13500), nil, RichInCut, "four-stroking in the cut as well"},
		{"four-stroking in the cut, not surely for most of it", withCut(50, 1, 2, 2), saw(13500), nil, FourStroking, "four-stroking for most of the time, under the limit"},
		{"four-stroking, far under", level(51, 9500, 3, 2, 3), saw(13500), nil, RichInCut, "four-stroking, far under the limit"},

		{"four-stroking", level(52, 12700, 3, 2), saw(13500), nil, FourStroking, "four-stroking for most of the time, under the limit"},
		{"four-stroking, clean in the cut", withCut(53, 1), saw(13500), nil, FourStroking, "four-stroking for most of the time, under the limit"},
		{"four-stroking, partly in the cut", withCut(54, 1, 2, 1, 2, 1), saw(13500), nil, FourStroking, "four-stroking for most of the time, under the limit"},
		{"every third and fourth", level(55, 12400, 3, 3, 4, 2, 0), saw(13500), nil, FourStroking, "four-stroking for most of the time, under the limit"},
		{"begins at full throttle", passtest.New(56).Fires(2).Hold(3, 12500), saw(13500), nil, FourStroking, "four-stroking for most of the time, under the limit"},
		{"one reading touches the limit", letGo(opened(57, 12700).Fires(2).Hold(3, 12700).Each(func(i int, p *shaft.Point) {
			if i == 70 {
				p.Speed = 13600
			}
		}), 12700), saw(13500), nil, FourStroking, "four-stroking for most of the time, under the limit"},
		{"a second stretch whose firing is not told, no faster", level(58, 12700, 3, 2).Ramp(0.4, 2800, 12700).Fires(0).Swing(2, 12650, 160, 0.7), saw(13500), nil, FourStroking, "four-stroking for most of the time, under the limit"},
		{"four-stroking, and pinned with its firing hardly told in a run as fast", level(64, 12700, 3, 2).Ramp(0.4, 2800, 12700).Fires(hardly...).Hold(3, 12700), saw(13500), nil, FourStroking, "four-stroking for most of the time, under the limit"},
		{"pinned with its firing hardly told", letGo(opened(65, 12700).Fires(hardly...).Hold(3, 12700), 12700), saw(13500), nil, NotEnough, "perhaps stutter"},
		{"a second stretch whose firing is not told, and faster", level(59, 12300, 3, 2).Ramp(0.4, 2800, 12800).Fires(0).Swing(2, 12800, 300, 0.7), saw(13500), nil, NotEnough, "the firing cannot be told"},
	}
}

// hardly is four-stroking that is told just more often than not.
var hardly = append(slices.Repeat([]shaft.Firing{2, 0}, 12), 2)

// uneven adds a full throttle at a speed whose firing is told to have no pattern.
func uneven(t *passtest.Track, speed engine.RPM) *passtest.Track {
	return t.Fires(0).Swing(3, speed, 300, 0.7).Each(func(_ int, p *shaft.Point) { p.Uneven = true })
}

// gappy has a full throttle whose speed is lost for half of the time, in gaps
// too short to part it.
func gappy() *passtest.Track {
	t := opened(21, 12500).Fires(2)
	for range 8 {
		t.Hold(0.3, 12500).Quiet(0.34)
	}
	return t
}
