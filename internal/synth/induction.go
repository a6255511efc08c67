package synth

import (
	"math"

	"topnote/internal/engine"
)

// Induction is the pulses of the intake. The crankcase fills in every working
// cycle, fired or missed, about half a turn after the exhaust opens (a port
// that the piston controls opens around top dead centre, the exhaust port
// around bottom dead centre: geometry). Pulses half a revolution apart weaken the
// odd orders or the even ones, so that order 2 may be far stronger than order 1, as
// if the shaft turned twice as fast.
type Induction struct {
	Level    engine.Decibel // mean power over the run against the exhaust pulses
	After    float64        // revolutions after the exhaust opens
	Width    float64        // of a pulse, 1: as sharp as the exhaust's
	Inverted bool           // sign against the exhaust, as the two ways to the microphone have it
	Straight float64        // share that meets no resonance
	Mouth    []Resonance    // of airbox and boot
	Spread   float64        // relative standard deviation of strength
}

// draw adds the pulses to out.
func (in *Induction) draw(out []float32, rate engine.Hz, t pulseTrain, rng noiseSource) {
	const weakest = 0.1
	shifted := *t.run
	shifted.Cycles = make([]Cycle, len(t.run.Cycles))
	sign := 1.0
	if in.Inverted {
		sign = -1
	}
	for i, b := range t.run.Cycles {
		turn := engine.Seconds(1 / t.run.OperatingPoints[t.run.at(b.At)].Speed.Hz())
		shifted.Cycles[i] = Cycle{
			At:       b.At + turn*engine.Seconds(in.After),
			Strength: sign * max(weakest, 1+in.Spread*rng.NormFloat64()),
		}
	}
	t.run = &shifted
	mouth := newFilterBank(in.Straight, in.Mouth, rate)
	radiate := math.Exp(-2 * math.Pi * radiateFrom / float64(rate))
	last, y := 0.0, 0.0
	t.pulses(len(out), rate, func(i int, x float64) {
		y = radiate * (y + x - last)
		last = x
		out[i] = float32(mouth.step(y))
	})
}
