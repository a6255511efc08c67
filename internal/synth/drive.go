package synth

import (
	"math"
	"math/rand/v2"

	"topnote/internal/engine"
)

// Hand is what the user does with a simulated saw.
type Hand struct {
	Length   engine.Seconds
	Throttle func(engine.Seconds) float64 // 0 shut to 1 wide open
	Load     func(engine.Seconds) float64 // 0 none to 1 deep in the wood
}

// Strokes are the durations of a usual pass by hand: the throttle opens after Idle,
// the saw goes into the wood after Free and out of it after Cut, and the throttle
// closes after Again. A zero Cut leaves out the wood.
type Strokes struct {
	Idle, Free, Cut, Again, Back engine.Seconds
	Load                         float64 // in the wood, 0 to 1
}

// UsualStrokes is a pass of 12 s with 2.5 s in the wood at a load.
func UsualStrokes(load float64) Strokes {
	s := Strokes{Idle: 1.8, Free: 3.5, Back: 3}
	if load > 0 {
		s.Cut, s.Again, s.Load = 2.5, 1.2, load
	}
	return s
}

// Hand gives the pass as throttle and load over time, with ramps as fast as a hand.
func (s Strokes) Hand() Hand {
	const squeeze, enter = 0.12, 0.4 // s to open or shut; s into or out of the wood
	open, wood := s.Idle, s.Idle+s.Free
	out := wood + s.Cut
	shut := out + s.Again
	ramp := func(t, at, long engine.Seconds) float64 { return min(1, max(0, float64((t-at)/long))) }
	return Hand{
		Length:   shut + s.Back,
		Throttle: func(t engine.Seconds) float64 { return ramp(t, open, squeeze) - ramp(t, shut, squeeze) },
		Load:     func(t engine.Seconds) float64 { return s.Load * (ramp(t, wood, enter) - ramp(t, out, enter)) },
	}
}

// simulation is a saw that runs, revolution by revolution.
type simulation struct {
	saw      Saw
	hand     Hand
	richness float64
	rng      *rand.Rand
	shake    drift

	speed, burnt float64 // rpm; share
	cutting      bool    // the coil cuts sparks
	run          *Run
	turnEnds     []engine.Seconds // end of each revolution
}

// Drive runs a saw through a pass at a richness of the H screw (fuel against
// air, 1 at stoichiometric; see VeryRich and VeryLean). The speed in
// Run.OperatingPoints is the exact mean over 50 ms around each moment. The seed draws
// the roughness from cycle to cycle; the same call gives the same run.
func (s Saw) Drive(h Hand, richness float64, seed uint64) *Run {
	const shakeTime, shakeStep engine.Seconds = 0.3, 0.01
	d := simulation{
		saw: s, hand: h, richness: richness, rng: newRand(seed, streamDrive), shake: newDrift(shakeTime, shakeStep),
		speed: float64(s.Idle), run: &Run{Engine: engine.TwoStrokeSingle, Length: h.Length},
	}
	shaken, shake := engine.Seconds(0), 0.0
	for t := engine.Seconds(0); t < h.Length && d.speed > slowest; {
		for ; shaken <= t; shaken += shakeStep {
			shake = s.Shake * d.shake.step(d.rng)
		}
		t += d.revolution(t, shake)
	}
	d.finish()
	return d.run
}

// revolution simulates one revolution from t and gives its duration.
func (d *simulation) revolution(t engine.Seconds, shake float64) engine.Seconds {
	s := d.saw
	open, load := d.hand.Throttle(t), d.hand.Load(t)
	took := engine.Seconds(60 / d.speed)
	b := d.decideCycle(t, open)
	work := 0.0
	if b.Fired {
		work = b.Strength * (open*s.torque(d.speed, d.richness) + (1-open)*s.idleTorque(d.speed))
	}
	take := s.drag(d.speed) + load*cutTorque*d.speed/cutSpeed + shake*open*(1+chipping*load)
	d.speed += gains / s.Inertia * (work - take) * float64(took)
	d.run.Cycles = append(d.run.Cycles, b)
	d.turnEnds = append(d.turnEnds, t+took)
	return took
}

// decideCycle gives one working cycle: whether it fires, and how strongly.
func (d *simulation) decideCycle(t engine.Seconds, open float64) Cycle {
	s := d.saw
	b := Cycle{At: t, Strength: 1}
	near := d.richness + d.burnt + s.Rough*d.rng.NormFloat64()
	b.Fired = near < fireBound
	if open < idleOpen {
		b.Fired = d.rng.Float64() >= idleMiss
	}
	if s.Ceiling > 0 {
		if d.speed > float64(s.Ceiling) {
			d.cutting = true
		} else if d.speed < float64(s.Ceiling)*(1-s.Back) {
			d.cutting = false
		}
		if d.cutting {
			b.Fired, b.Cut = false, true
		}
	}
	d.burnt = s.burnt(d.burnt, d.speed, b.Fired)
	spread := evenSpread + leanSpread*max(0, leanLimit-d.richness)
	if open < idleOpen {
		spread = 2 * evenSpread
	}
	b.Strength = max(0.1, 1+spread*d.rng.NormFloat64())
	if !b.Fired {
		b.Strength *= s.Depth
	}
	return b
}

// finish computes angle, speed, patterns and spans from the revolutions.
func (d *simulation) finish() {
	r := d.run
	n := int(math.Round(float64(r.Length/Step))) + 1
	r.angle = make([]float64, n)
	k, last := 0, engine.Seconds(0)
	for i := range r.angle {
		t := engine.Seconds(i) * Step
		for k < len(d.turnEnds) && d.turnEnds[k] <= t {
			last = d.turnEnds[k]
			k++
		}
		r.angle[i] = float64(k)
		if k < len(d.turnEnds) {
			r.angle[i] += float64((t - last) / (d.turnEnds[k] - last))
		}
	}
	r.OperatingPoints = make([]OperatingPoint, n)
	for i := range r.OperatingPoints {
		t := engine.Seconds(i) * Step
		r.OperatingPoints[i] = OperatingPoint{Throttle: d.hand.Throttle(t), Load: d.hand.Load(t)}
	}
	r.averageSpeed()
	r.labelPatterns()
	r.labelPhases()
}

// labelPatterns sets the firing period of each cycle: the number of cycles from one
// firing to the next; 0 where the coil cuts or more than four cycles pass.
func (r *Run) labelPatterns() {
	const longest = 4
	from := 0
	for i := range r.Cycles {
		if !r.Cycles[i].Fired {
			continue
		}
		gap, cut := i-from, false
		for _, b := range r.Cycles[from:i] {
			cut = cut || b.Cut
		}
		if gap <= longest && !cut {
			for k := from; k < i; k++ {
				r.Cycles[k].Every = gap
			}
		}
		from = i
	}
}

// labelPhases finds the spans of a simulated pass from throttle, load and speed: a
// rise ends at 95 % of the top, a fall 12 % above the first idle.
func (r *Run) labelPhases() {
	const reached, settled, open, loaded = 0.95, 1.12, 0.5, 0.1
	top, idle := r.Peak(), r.OperatingPoints[0].Speed
	state := ""
	for i, m := range r.OperatingPoints {
		name := state
		switch {
		case m.Throttle > open && m.Load > loaded:
			name = InCut
		case m.Throttle > open && (m.Speed >= top*reached || state == FullThrottle || state == InCut):
			name = FullThrottle
		case m.Throttle > open:
			name = Rise
		case state == "" || state == Idle:
			name = Idle
		case m.Speed > idle*settled && state != ReturnToIdle:
			name = Fall
		default:
			name = ReturnToIdle
		}
		t := engine.Seconds(i) * Step
		if name != state {
			r.Spans = append(r.Spans, Span{Name: name, From: t})
			state = name
		}
		r.Spans[len(r.Spans)-1].To = t
	}
}
