package verdict

import (
	"topnote/internal/engine"
	"topnote/internal/pass/passtest"
	"topnote/internal/shaft"
)

// built is a two-stroke with a limit and what is known of its build.
func built(limit engine.RPM, b engine.Build) engine.Machine {
	m := engine.Machine{Spec: engine.TwoStrokeSingle, Limits: engine.Limits{Max: limit}}
	m.Build = b
	return m
}

// slower is a whole pass of a machine that idles and races slower than a saw.
func slower(seed uint64, top engine.RPM, fires ...shaft.Firing) *passtest.Track {
	t := passtest.New(seed).Hold(2, 2800).Ramp(0.4, 2800, top).Fires(fires...).Hold(3, top)
	return t.Fires(1).Ramp(0.8, top, 2800).Hold(2, 2800)
}

// The builds of trade.md 2.
var (
	plainSaw    = engine.Build{Kind: engine.Saw, Carburettor: engine.Screws, CoilLimit: engine.No}
	limitedSaw  = engine.Build{Kind: engine.Saw, Carburettor: engine.Screws, CoilLimit: engine.Yes, Governor: engine.No}
	stratified  = engine.Build{Kind: engine.Saw, Charge: engine.Stratified, Governor: engine.No}
	selfSetting = engine.Build{Kind: engine.Saw, Carburettor: engine.SelfSetting}
	governed    = engine.Build{Kind: engine.CutOffSaw, Governor: engine.Yes}
)

const (
	ruleSilent   = "a machine whose mixture is not judged by its firing, under its limit"
	ruleGoverned = "a machine with a governor, under its limit"
	ruleClean    = "clean, or four-stroking for less than most of the time"
	ruleFour     = "four-stroking for most of the time, under the limit"
	ruleOver     = "held above the limit"
)

// machineExamples are passes whose verdict depends on the machine.
//
// Source: what a master of the trade was found to correct (common practice).
func machineExamples() []example {
	return []example{
		{"a blower, clean under its limit", slower(80, 7510, 1), built(7800, engine.Build{Kind: engine.Blower}), nil, BelowLimit, ruleSilent},
		{"a blower, four-stroking under its limit", slower(81, 7100, 2), built(7800, engine.Build{Kind: engine.Blower}), nil, BelowLimit, ruleSilent},
		{"a blower over its limit", slower(82, 8100, 1), built(7800, engine.Build{Kind: engine.Blower}), nil, OverLimit, ruleOver},
		{"an auger", slower(83, 9000, 1), built(9800, engine.Build{Kind: engine.Auger}), nil, BelowLimit, ruleSilent},
		{"a pump", slower(84, 7000, 1), built(7800, engine.Build{Kind: engine.Pump}), nil, BelowLimit, ruleSilent},
		{"a self-setting saw, clean", level(85, 13000, 3, 1), built(13500, selfSetting), nil, BelowLimit, ruleSilent},
		{"a self-setting saw, four-stroking", level(86, 13000, 3, 2), built(13500, selfSetting), nil, BelowLimit, ruleSilent},

		{"governed, four-stroking", slower(87, 9320, 2), built(9800, engine.Build{Governor: engine.Yes}), nil, Governed, ruleGoverned},
		{"governed, clean", slower(88, 9320, 1), built(9800, governed), nil, Governed, ruleGoverned},
		{"governed, and over its limit", slower(89, 10100, 2), built(9800, governed), nil, OverLimit, ruleOver},
		{"a cut-off saw, four-stroking, governor not known", slower(90, 9320, 2), built(9800, engine.Build{Kind: engine.CutOffSaw}), nil, NotEnough, "four-stroking, and perhaps governed"},
		{"a cut-off saw, clean, governor not known", slower(91, 9320, 1), built(9800, engine.Build{Kind: engine.CutOffSaw}), nil, CleanBelowLimit, ruleClean},
		{"a cut-off saw without a governor", slower(92, 9320, 2), built(9800, engine.Build{Kind: engine.CutOffSaw, Governor: engine.No}), nil, FourStroking, ruleFour},
		{"nothing known, four-stroking", slower(93, 9320, 2), built(9800, engine.Build{}), nil, FourStroking, ruleFour},

		{"stratified, clean", level(94, 13000, 3, 1), built(13500, stratified), nil, BelowLimit, "clean, on an engine with stratified charge"},
		{"stratified, four-stroking", level(95, 13000, 3, 2), built(13500, stratified), nil, FourStroking, ruleFour},
		{"coil-limited, stutter", level(96, 12800, 3, 2), built(13500, limitedSaw), cutOuts, SparkLimited, "stutter, on the rev limiter"},
		{"coil-limited, perhaps stutter", level(37, 12800, 3, half(2)...), built(13500, limitedSaw), nil, SparkLimited, "stutter, on the rev limiter"},
		{"coil-limited, four-stroking below its ceiling", level(97, 12000, 3, 2), built(13500, limitedSaw), nil, FourStroking, ruleFour},

		{"a set-to figure, met and four-stroking", level(98, 13100, 3, 2), setTo(13000, 200), nil, FourStroking, ruleFour},
		{"a set-to figure, met and clean", level(99, 13100, 3, 1), setTo(13000, 200), nil, CleanBelowLimit, ruleClean},
		{"a set-to figure, passed", level(100, 13500, 3, 2), setTo(13000, 200), nil, OverLimit, ruleOver},
		{"a set-to figure, at its upper edge", level(101, 13190, 3, 2), setTo(13000, 200), nil, AtLimit, "the limit is within the uncertainty, or was passed for 0.2 s"},
		{"a set-to figure, not reached", level(102, 12500, 3, 2), setTo(13000, 200), nil, FourStroking, ruleFour},

		{"four-stroking, but cold", level(103, 12700, 3, 2), inState(engine.State{Warm: engine.No}), nil, NotEnough, "cold, choked, or with a dirty air filter"},
		{"four-stroking, the choke half on", level(104, 12700, 3, 2), inState(engine.State{ChokeOpen: engine.No}), nil, NotEnough, "cold, choked, or with a dirty air filter"},
		{"rich in the cut with a dirty filter", withCut(105, 2), inState(engine.State{FilterClean: engine.No}), nil, NotEnough, "cold, choked, or with a dirty air filter"},
		{"clean, and cold", level(106, 12700, 3, 1), inState(engine.State{Warm: engine.No}), nil, CleanBelowLimit, ruleClean},
		{"four-stroking, warm, choke open, filter clean", level(107, 12700, 3, 2), inState(ready), nil, FourStroking, ruleFour},
	}
}

// ready is how a machine is to be when it is recorded.
var ready = engine.State{Warm: engine.Yes, ChokeOpen: engine.Yes, FilterClean: engine.Yes}

// setTo is a plain saw with a figure that its speed is to be set to.
func setTo(figure, tolerance engine.RPM) engine.Machine {
	m := built(figure, plainSaw)
	m.Build.LimitIs, m.Build.Tolerance = engine.SetTo, tolerance
	return m
}

// inState is a plain saw with a limit of 13,500 rpm that was recorded in a state.
func inState(s engine.State) engine.Machine {
	m := built(13500, plainSaw)
	m.State = s
	return m
}
