package synth

import (
	"math"

	"topnote/internal/engine"
)

// MachineKind is a kind of hand-held machine.
type MachineKind string

// The kinds of machines that random passes are made of.
const (
	ChainSaw     MachineKind = "chain saw"
	TopHandleSaw MachineKind = "top-handle saw"
	CutOffSaw    MachineKind = "cut-off saw"
	Blower       MachineKind = "blower"
	HedgeTrimmer MachineKind = "hedge trimmer"
	BrushCutter  MachineKind = "brush cutter"
)

// Family is a group of kinds by the speed at which they run.
type Family string

// The families: limits from 10,200 to 14,000 rpm, and from 6,800 to 9,500.
const (
	Saws         Family = "saws"
	SlowMachines Family = "slow machines"
)

// machineKind is one kind of machine: ranges of the speeds that its maker prints,
// and what turns with its shaft.
type machineKind struct {
	kind        MachineKind
	limit, idle [2]float64 // rpm
	cuts        bool       // it is put to work within a pass
	links       bool       // it drives a chain
	wheels      func(dice) []Wheel
}

// kinds gives the machines of a family. Speeds: common practice (facts.md 6),
// blowers and cutters drawn wider towards the slow end, where handbooks have
// them as well.
func (f Family) kinds() []weighted[machineKind] {
	if f == Saws {
		return []weighted[machineKind]{
			{machineKind{ChainSaw, [2]float64{11000, 14000}, [2]float64{2300, 3100}, true, true, flywheelOnly}, 4},
			{machineKind{TopHandleSaw, [2]float64{12000, 14000}, [2]float64{2600, 3300}, true, true, flywheelOnly}, 1},
			{machineKind{CutOffSaw, [2]float64{10200, 11500}, [2]float64{2300, 2900}, true, false, belt}, 1},
		}
	}
	return []weighted[machineKind]{
		{machineKind{Blower, [2]float64{6800, 8400}, [2]float64{2300, 3300}, false, false, blades}, 1},
		{machineKind{HedgeTrimmer, [2]float64{7800, 9300}, [2]float64{2500, 3400}, true, false, knives}, 1},
		{machineKind{BrushCutter, [2]float64{7500, 9500}, [2]float64{2400, 3400}, true, false, gearhead}, 1},
	}
}

// limits draws the speeds that its maker prints.
func (m machineKind) limits(d dice) (l Limits, idle engine.RPM) {
	const rounded = 100 // rpm
	round := func(v float64) engine.RPM { return engine.RPM(rounded * math.Round(v/rounded)) }
	idle = d.rpm(m.idle[0], m.idle[1])
	l = Limits{Max: round(d.between(m.limit[0], m.limit[1])), Idle: round(float64(idle) * d.between(0.96, 1.04))}
	l.Clutch = round(float64(l.Idle) * d.between(1.27, 1.45)) // "at least a quarter above idle" (facts.md 6)
	return l, idle
}

// overtones draws falling amplitudes.
func (d dice) overtones(n int) []float64 {
	out := make([]float64, n)
	fall := d.between(0.6, 2)
	for k := range out {
		out[k] = d.between(0.4, 1) / math.Pow(float64(k+1), fall)
	}
	return out
}

func flywheelOnly(dice) []Wheel { return nil }

// belt is a belt that drives a cutting wheel at about half the speed.
func belt(d dice) []Wheel {
	return []Wheel{{Level: d.level(-28, -14), PerTurn: d.between(0.45, 0.6), Overtones: d.overtones(4), Clutched: true}}
}

// blades are the blades of a fan that blows leaves: it is on the shaft, and its
// air is loud.
func blades(d dice) []Wheel {
	return []Wheel{{
		Level: d.level(-12, 0), PerTurn: float64(5 + d.IntN(10)), Overtones: d.overtones(3),
		Runout: d.between(0, 0.5), Rush: d.between(0.3, 2),
	}}
}

// knives are those of a hedge trimmer, moved by a crank behind a gear: the
// teeth of the pinion, and two strokes for each turn of the crank.
func knives(d dice) []Wheel {
	ratio := 1 / d.between(4, 6)
	return []Wheel{
		{
			Level: d.level(-18, -2), PerTurn: float64(5 + d.IntN(10)), Overtones: d.overtones(3),
			Runout: d.between(0, 0.6), Ratio: ratio, Uneven: d.between(0, 0.6), Clutched: true,
		},
		{Level: d.level(-20, -6), PerTurn: 2 * ratio, Overtones: d.overtones(6), Clutched: true},
	}
}

// gearhead is the bevel gear of a brush cutter, and its blade or line.
func gearhead(d dice) []Wheel {
	ratio := 1 / d.between(1.2, 1.6)
	return []Wheel{
		{
			Level: d.level(-20, -4), PerTurn: float64(9 + d.IntN(6)), Overtones: d.overtones(3),
			Runout: d.between(0, 0.6), Ratio: ratio, Uneven: d.between(0, 0.5), Clutched: true,
		},
		{Level: d.level(-22, -8), PerTurn: float64(2+d.IntN(3)) * ratio, Overtones: d.overtones(3), Rush: d.between(0, 1), Clutched: true},
	}
}

// voice draws the sound of one machine of the kind. Nothing is known of its
// silencer or airbox, so the ranges are wide: resonances anywhere, intake pulses
// from none to the level of the exhaust.
func (m machineKind) voice(d dice, clutch engine.RPM) Voice {
	const withoutIntake = 0.2 // of the machines
	v := Voice{
		Straight:  d.between(0.05, 0.5),
		Exhaust:   d.modes(3, 7, 110, 3200),
		Intake:    d.modes(1, 3, 150, 1500),
		Body:      d.modes(2, 4, 1200, 6000),
		Blades:    5 + d.IntN(10),
		Links:     7 * (1 - d.between(0.006, 0.03)),
		ChainFrom: clutch,
		IdleLevel: d.level(-22, -6),
		Levels: Levels{
			Pump: d.level(-26, -4), Fan: d.level(-30, -12), Slap: d.level(-30, -15),
			Chain: Off, Rattle: d.level(-30, -12), Flow: d.level(-12, 1),
		},
		Wheels: m.wheels(d),
	}
	if m.links {
		v.Levels.Chain = d.level(-34, -16)
	}
	fall := d.between(0.8, 2.2)
	for k := range v.PumpOrders {
		v.PumpOrders[k] = d.between(0.2, 1) / math.Pow(float64(k+1), fall)
	}
	if !d.chance(withoutIntake) {
		v.Induction = &Induction{
			Level: d.level(-12, 0), After: d.between(0.45, 0.55), Width: d.between(0.7, 2), Inverted: d.chance(0.25),
			Straight: d.between(0.05, 0.5), Mouth: d.modes(1, 3, 150, 1500), Spread: d.between(0.02, 0.15),
		}
	}
	return v
}
