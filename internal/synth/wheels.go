package synth

import (
	"math"

	"topnote/internal/engine"
)

// Wheel is something that turns with the shaft and sounds at its own rate:
// gear teeth in mesh, blades of a fan or a blower, knives of a hedge trimmer.
type Wheel struct {
	Level     engine.Decibel // mean power over the run against the exhaust pulses
	PerTurn   float64        // teeth, blades or strokes in a turn of the shaft; need not be whole
	Overtones []float64      // amplitudes of 1, 2, 3 ... times PerTurn
	Runout    float64        // 0 to 1: how far the tone swells and fades once in a turn of the shaft
	Ratio     float64        // turns of the driven wheel in one of the shaft; 0: there is none
	Uneven    float64        // 0 to 1: the same once in a turn of the driven wheel
	Rush      float64        // noise of the air, amplitude against the first tone
	Clutched  bool           // it turns only with the clutch engaged
}

// draw adds the wheel to out. It grows with the square of speed, as the pressure
// of fans does (fan laws), from the speed at which the clutch engages or from 0.
func (w Wheel) draw(out []float32, rate engine.Hz, r *Run, clutch engine.RPM, rng noiseSource) {
	const highest = 0.45 // of the rate: tones above it would fold back
	engages := Voice{ChainFrom: clutch}
	phase := make([]float64, len(w.Overtones))
	for k := range phase {
		phase[k] = 2 * math.Pi * rng.Float64()
	}
	eachAngle(len(out), rate, r, func(i, k int, angle float64) {
		speed := r.OperatingPoints[k].Speed
		f := float64(speed.Hz())
		loud := f * f * (1 + w.Runout*math.Cos(2*math.Pi*angle)) * (1 + w.Uneven*math.Cos(2*math.Pi*w.Ratio*angle))
		if w.Clutched {
			loud *= engages.chainEngagement(speed)
		}
		if loud == 0 {
			return
		}
		y := 0.0
		for h, a := range w.Overtones {
			order := float64(h+1) * w.PerTurn
			if order*f < highest*float64(rate) {
				y += a * math.Sin(2*math.Pi*order*angle+phase[h])
			}
		}
		if w.Rush > 0 {
			y += w.Rush * rng.NormFloat64()
		}
		out[i] += float32(loud * y)
	})
}
