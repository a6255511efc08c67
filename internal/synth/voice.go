package synth

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// Resonance is a damped mode.
type Resonance struct {
	At   engine.Hz
	Q    float64
	Gain float64 // at its peak
}

// Off is a level at which a part of the sound is left out.
const Off engine.Decibel = -200

// Levels are the mean powers of the parts of the sound over the run, in dB against
// the exhaust pulses. At or below Off a part is left out.
type Levels struct {
	Pump   engine.Decibel // pumping of crankcase and intake, every revolution, fired or not
	Fan    engine.Decibel // flywheel blades, a high integer order, and unbalance at order 1
	Slap   engine.Decibel // piston slap, twice a revolution
	Chain  engine.Decibel // links over the sprocket, not at an integer order
	Rattle engine.Decibel // chain and loose parts, no order at all
	Flow   engine.Decibel // gas flow noise, modulated by the pulses
}

// Voice is how an engine sounds.
type Voice struct {
	Straight   float64        // share of the exhaust pulse that bypasses the resonances
	Exhaust    []Resonance    // of silencer and shell
	Intake     []Resonance    // of airbox and boot
	Body       []Resonance    // of case and cover, struck by piston and chain
	PumpOrders [6]float64     // amplitudes of orders 1 to 6 of Pump
	Blades     int            // of the fan
	Links      float64        // chain links per revolution, slip included; not an integer
	ChainFrom  engine.RPM     // speed from which the chain runs
	IdleLevel  engine.Decibel // level with the throttle shut at low speed, against wide open at top speed
	Levels     Levels
	Induction  *Induction // intake pulses; nil: only Pump
	Wheels     []Wheel    // gears, blades and knives beside the flywheel
}

// Bare is a voice of exhaust pulses alone, without resonances, for comparison with
// closed formulas.
func Bare() Voice {
	return Voice{Straight: 1, Links: 1, Levels: Levels{Off, Off, Off, Off, Off, Off}}
}

// DrawVoice draws a voice at random within what the field recordings show:
// order 1 between 3 and 20 dB under the whole, noise above 1 kHz 5 to 15 dB
// under it, idle 8 to 24 dB softer than full throttle (measured on them; the
// ranges of resonances and blades are our model).
func DrawVoice(seed uint64) Voice {
	r := newRand(seed, streamVoice)
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	level := func(a, b float64) engine.Decibel { return engine.Decibel(between(a, b)) }
	mode := func(f, q, gain float64) Resonance {
		return Resonance{engine.Hz(f * between(0.8, 1.25)), q * between(0.7, 1.4), gain * between(0.5, 1.5)}
	}
	v := Voice{
		Straight: between(0.1, 0.4),
		Exhaust: []Resonance{mode(190, 2, 0.8), mode(430, 3, 1), mode(820, 5, 0.9),
			mode(1350, 6, 0.6), mode(2300, 7, 0.5)},
		Intake:    []Resonance{mode(300, 2, 1), mode(740, 4, 0.6)},
		Body:      []Resonance{mode(1700, 8, 0.6), mode(3300, 9, 1), mode(5200, 8, 0.7)},
		Blades:    6 + r.IntN(8),
		Links:     7 * (1 - between(0.006, 0.03)),
		ChainFrom: 3800,
		IdleLevel: level(-22, -9),
		Levels: Levels{Pump: level(-10, 4), Fan: level(-26, -12), Slap: level(-26, -15),
			Chain: level(-34, -20), Rattle: level(-24, -12), Flow: level(-8, 1)},
	}
	for k := range v.PumpOrders {
		v.PumpOrders[k] = between(0.3, 1) / math.Pow(float64(k+1), between(1.2, 2.2))
	}
	return v
}

// render adds the sound of the engine to out, which must be silent.
func (v Voice) render(out []float32, rate engine.Hz, r *Run, seed uint64) {
	g := v.pulseAmplitude(r)
	part := make([]float32, len(out))
	add := func(level engine.Decibel, make func()) {
		if level <= Off {
			return
		}
		clear(part)
		make()
		mix(out, part, level)
	}
	add(0, func() { v.exhaust(part, rate, r, g) })
	l := v.Levels
	add(l.Pump, func() { v.pump(part, rate, r, g) })
	add(l.Fan, func() { v.fan(part, rate, r) })
	add(l.Slap, func() { v.slap(part, rate, r, newRand(seed, streamRattle)) })
	add(l.Chain, func() { v.chain(part, rate, r, newRand(seed, streamRattle+100)) })
	add(l.Rattle, func() { v.rattle(part, rate, r, newRand(seed, streamRattle+200)) })
	add(l.Flow, func() { v.flow(part, rate, r, g, newRand(seed, streamFlow)) })
	if in := v.Induction; in != nil {
		add(in.Level, func() { in.draw(part, rate, pulseTrain{r, g, in.Width}, newRand(seed, streamInduction)) })
	}
	for i, w := range v.Wheels {
		add(w.Level, func() { w.draw(part, rate, r, v.ChainFrom, newRand(seed, streamWheels+100*uint64(i))) })
	}
}

// mix adds part to out at a level of mean power.
func mix(out, part []float32, level engine.Decibel) {
	p := meanPower(part)
	if p == 0 {
		return
	}
	gain := float32(amplitude(level) / math.Sqrt(p))
	for i, x := range part {
		out[i] += gain * x
	}
}

// pulseAmplitude gives the amplitude of the pulses at each operating point: it
// follows the throttle, with the lag of the intake, and the speed.
func (v Voice) pulseAmplitude(r *Run) []float64 {
	const lag, ofThrottle = 0.05, 0.6 // s; share, the rest being speed
	top := engine.RPM(1)
	for _, m := range r.OperatingPoints {
		top = max(top, m.Speed)
	}
	g := make([]float64, len(r.OperatingPoints))
	open := r.OperatingPoints[0].Throttle
	for i, m := range r.OperatingPoints {
		open += (m.Throttle - open) * float64(Step) / lag
		drive := ofThrottle*open + (1-ofThrottle)*float64(m.Speed/top)
		g[i] = math.Pow(10, float64(v.IdleLevel)/20*(1-drive))
		if m.Speed <= 0 {
			g[i] = 0
		}
	}
	return g
}

// at gives the index of the operating point at a time.
func (r *Run) at(t engine.Seconds) int {
	return min(max(int(t/Step), 0), len(r.OperatingPoints)-1)
}

// pulse renders blow-down pulses at exact times between samples: a sharp rise and
// a slower fall, the difference of two exponentials.
type pulse struct {
	rate, width        float64
	fall, rise         float64
	keepFall, keepRise float64
}

// Widths of the blow-down pulse (our model: a port that is open for about a quarter
// of a revolution, empties in a fraction of it, and a wave that steepens).
const (
	fallTurns   = 0.04    // of the fall, revolutions
	fallTime    = 0.00012 // and on top of it, s
	riseSharp   = 0.00004 // of the rise at full throttle, s
	riseBlunt   = 0.0002  // and shut
	radiateFrom = 120     // Hz: below it the outlet radiates less and less
)

// start begins a pulse, delay samples before the present one.
func (p *pulse) start(strength, delay float64, m OperatingPoint) {
	fall := p.width * (fallTurns/float64(m.Speed.Hz()) + fallTime)
	rise := p.width * (riseBlunt + (riseSharp-riseBlunt)*m.Throttle)
	p.keepFall = math.Exp(-1 / (fall * p.rate))
	p.keepRise = math.Exp(-1 / (rise * p.rate))
	p.fall += strength * math.Pow(p.keepFall, delay)
	p.rise += strength * math.Pow(p.keepRise, delay)
}

func (p *pulse) step() float64 {
	y := p.fall - p.rise
	p.fall *= p.keepFall
	p.rise *= p.keepRise
	return y
}

// pulseTrain is a pulse for each working cycle of a run.
type pulseTrain struct {
	run      *Run
	loudness []float64 // of each moment
	width    float64   // of the pulses, against those of the exhaust
}

// pulses calls each with the value of the pulse train at every sample.
func (t pulseTrain) pulses(n int, rate engine.Hz, each func(i int, x float64)) {
	r, g := t.run, t.loudness
	p := pulse{rate: float64(rate), width: t.width}
	next := 0
	for i := range n {
		for next < len(r.Cycles) && float64(r.Cycles[next].At)*float64(rate) <= float64(i) {
			b := r.Cycles[next]
			k := r.at(b.At)
			p.start(b.Strength*g[k], float64(i)-float64(b.At)*float64(rate), r.OperatingPoints[k])
			next++
		}
		each(i, p.step())
	}
}

func (v Voice) exhaust(out []float32, rate engine.Hz, r *Run, g []float64) {
	outlet := newFilterBank(v.Straight, v.Exhaust, rate)
	radiate := math.Exp(-2 * math.Pi * radiateFrom / float64(rate))
	last, y := 0.0, 0.0
	pulseTrain{r, g, 1}.pulses(len(out), rate, func(i int, x float64) {
		y = radiate * (y + x - last)
		last = x
		out[i] = float32(outlet.step(y))
	})
}

// flow is noise modulated by the pulses, over a constant draught.
func (v Voice) flow(out []float32, rate engine.Hz, r *Run, g []float64, rng noiseSource) {
	const draught, top = 0.12, 6000 // share of a pulse's peak; Hz
	shape := newFilterBank(0.3, v.Exhaust[min(2, len(v.Exhaust)):], rate)
	soft := dsp.NewHighPass(350, rate, 0.7)
	dull := dsp.NewLowPass(top, rate, 0.6)
	pulseTrain{r, g, 1}.pulses(len(out), rate, func(i int, x float64) {
		k := i * (len(g) - 1) / len(out)
		noise := (x + draught*g[k]) * rng.NormFloat64()
		out[i] = float32(dull.Step(soft.Step(shape.step(noise))))
	})
}
