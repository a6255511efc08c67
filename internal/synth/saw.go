package synth

import (
	"math"

	"topnote/internal/engine"
)

// Saw is a simulated two-stroke single: speed and firing follow from throttle, load
// and mixture, so that a whole range of settings can be swept.
//
// The model has four parts, ours unless a source is given. Torque is in units of
// the engine's best.
//
//   - Torque of a firing has a maximum over speed and over mixture (common
//     practice: best power a little rich of stoichiometric).
//   - Drag is a constant and a part with the square of speed: bearings, fan.
//   - Misfires come from rich mixture and leftover burnt gas together (idea:
//     abstract SAE 920426, poor scavenging near the plug rather than gross
//     mixture). A firing leaves a share of burnt gas that grows with speed; each
//     revolution without one reduces it by the same share. A cycle fires when
//     richness plus burnt gas are below a bound. Firing every 2nd, 3rd and 4th
//     revolution as the mixture gets richer, mixed patterns between, and clean
//     running in the cut, at lower speed, follow from this.
//   - Speed changes from revolution to revolution by torque over inertia.
type Saw struct {
	Torque   float64    // of a firing, 1 as designed
	Drag     float64    // 1 as designed
	Inertia  float64    // 1 as designed: chain and clutch drum turning with the shaft
	Residual float64    // share of burnt gas left by a firing at 12,500 rpm
	Rough    float64    // standard deviation of richness near the plug, cycle to cycle
	Depth    float64    // strength of a missed cycle's pulse against a fired one
	Idle     engine.RPM // speed at which the idle passage balances drag
	Ceiling  engine.RPM // of the coil; 0: none
	Back     float64    // share of Ceiling by which speed must fall before the coil fires again
	Shake    float64    // standard deviation of load and throttle torque, slow
}

// Constants of the model, fitted by eye to field recordings: 9,400 rpm firing
// every 4th turn, 10,800 every 3rd, 12,300 every 2nd, 14,200 every turn.
const (
	bestSpeed     = 7500.0  // rpm of best torque (facts.md 6: 6000 to 7500)
	torqueSpan    = 9000.0  // rpm from there to no torque at all
	bestRichness  = 1.12    // fuel against air, 1 at stoichiometric
	richnessSpan  = 0.6     // from there to no torque at all
	dragStill     = 0.102   // of best torque
	dragSquare    = 0.164   // of best torque, at 10,000 rpm
	gains         = 27000.0 // rpm per second by a torque of 1
	fireBound     = 1.6     // richness plus burnt gas above which a cycle misses
	residualSpeed = 12500.0 // rpm at which Residual is given
	residualPower = 1.5     // growth of burnt gas with speed
	cutSpeed      = 9500.0  // rpm at which a load of 1 takes cutTorque
	cutTorque     = 0.68
	chipping      = 4.0  // growth of Shake by a load of 1: wood is not even
	leanLimit     = 0.95 // richness below which strength varies more and more (SAE 2001-28-0059, abstract: cyclic variation grows when lean)
	leanSpread    = 1.2  // growth of spread for each unit of richness below that
	evenSpread    = 0.08
	idleDroop     = 2.5  // loss of idle torque, share per share of speed
	idleMiss      = 0.15 // chance that a cycle at idle misses
	idleOpen      = 0.3  // throttle below which the idle passage rules the firing
	slowest       = 600  // rpm: below it the engine stops
)

// DesignSaw is the saw as designed: with a good mixture it four-strokes near
// 12,500 rpm at no load, and reaches 14,000 when lean.
func DesignSaw() Saw {
	return Saw{Torque: 1, Drag: 1, Inertia: 1, Residual: 0.42, Rough: 0.025, Depth: 0.4, Idle: 2800, Back: 0.01, Shake: 0.02}
}

// DrawSaw draws a saw: every figure within a few per cent or tens of per cent of
// the design, one in five with a coil that limits speed.
func DrawSaw(seed uint64) Saw {
	r := newRand(seed, streamSaw)
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	s := DesignSaw()
	s.Torque, s.Drag, s.Inertia = between(0.93, 1.07), between(0.93, 1.07), between(0.8, 1.5)
	s.Residual, s.Rough, s.Depth = between(0.38, 0.46), between(0.015, 0.035), between(0.2, 0.6)
	s.Idle = engine.RPM(between(2500, 3100))
	if r.IntN(5) == 0 {
		s.Ceiling, s.Back = engine.RPM(between(12600, 13400)), between(0.005, 0.02)
	}
	return s
}

// EighthTurn is about the change of richness by an eighth of a turn of the H screw
// (facts.md 6: an air change of 2 to 3 % is at or below one such step).
const EighthTurn = 0.035

// VeryRich and VeryLean are the ends of a sweep of the H screw.
const (
	VeryRich = 1.5
	VeryLean = 0.88
)

// torque gives the mean torque of a firing at wide-open throttle.
func (s Saw) torque(speed, richness float64) float64 {
	v := (speed - bestSpeed) / torqueSpan
	m := (richness - bestRichness) / richnessSpan
	return s.Torque * max(0, 1-v*v) * max(0, 1-m*m)
}

// drag gives the torque lost to friction and fan.
func (s Saw) drag(speed float64) float64 {
	v := speed / 10000
	return s.Drag * (dragStill + dragSquare*v*v)
}

// idleTorque gives the torque of a firing through the idle passage.
func (s Saw) idleTorque(speed float64) float64 {
	droop := 1 + idleDroop*(1-speed/float64(s.Idle))
	return s.drag(float64(s.Idle)) * max(0, droop) / (1 - idleMiss)
}

// burnt gives the share of burnt gas after a cycle.
func (s Saw) burnt(before, speed float64, fired bool) float64 {
	left := min(0.95, s.Residual*math.Pow(speed/residualSpeed, residualPower))
	if fired {
		return left
	}
	return math.Sqrt(left) * before
}
