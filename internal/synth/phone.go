package synth

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// Phone is the recording chain, in the order of the fields. Zero leaves a step out,
// except Peak and Bits.
type Phone struct {
	HighPass engine.Hz      // of the microphone and its circuit, 12 dB per octave
	Band     [2]engine.Hz   // telephone band, Butterworth of 6th order at either end
	Suppress *Suppression   // of noise; nil: none
	AGC      *AGC           // automatic gain; nil: none
	Peak     engine.Decibel // loudest sample against full scale; above 0 the sound is clipped by that much
	Bits     int            // of a sample; 0: not rounded
}

// AGC is an automatic gain control: fast down, slowly up.
type AGC struct {
	Target  engine.Decibel // wanted level, root mean square, full scale 0 dB
	MaxGain engine.Decibel // largest gain
	Attack  engine.Seconds // time constant when the sound is too loud
	Release engine.Seconds // when it is too soft
}

// Recorder is a plain recorder: high-pass at 60 Hz, peak 3 dB below full scale, 16
// bits.
func Recorder() Phone { return Phone{HighPass: 60, Peak: -3, Bits: 16} }

// Handset is a telephone's usual recording: high-pass at 150 Hz, gain control.
func Handset() Phone {
	return Phone{HighPass: 150, AGC: UsualAGC(), Peak: -3, Bits: 16}
}

// Telephone is a voice call: 300 to 3400 Hz, gain control. Use it at 8 kHz.
// Source: facts.md section 7, classic voice band.
func Telephone() Phone {
	return Phone{Band: [2]engine.Hz{300, 3400}, AGC: UsualAGC(), Peak: -3, Bits: 16}
}

// UsualAGC is a telephone's gain control (common practice: fast down, about a
// second up).
func UsualAGC() *AGC {
	return &AGC{Target: -20, MaxGain: 30, Attack: 0.02, Release: 0.8}
}

// record gives the recording of x, in the memory of x.
func (p Phone) record(x []float32, rate engine.Hz) []float32 {
	if p.HighPass > 0 {
		dsp.ButterworthHighPass(2, p.HighPass, rate).Apply(x)
	}
	if p.Band[1] > 0 {
		const order = 6
		dsp.ButterworthHighPass(order, p.Band[0], rate).Apply(x)
		dsp.ButterworthLowPass(order, p.Band[1], rate).Apply(x)
	}
	if p.Suppress != nil {
		p.Suppress.run(x, rate)
	}
	if p.AGC != nil {
		p.AGC.run(x, rate)
	}
	p.normalise(x)
	return x
}

// run applies the gain to x.
func (g AGC) run(x []float32, rate engine.Hz) {
	// First scale the whole sound to the target, so that MaxGain and Target mean the
	// same at any input level.
	scale := amplitude(g.Target) / math.Max(1e-12, math.Sqrt(meanPower(x)))
	const window = 0.03 // s, of the level meter
	meter := 1 - math.Exp(-1/(window*float64(rate)))
	down := 1 - math.Exp(-1/(float64(g.Attack)*float64(rate)))
	up := 1 - math.Exp(-1/(float64(g.Release)*float64(rate)))
	target, most := amplitude(g.Target), amplitude(g.MaxGain)
	power, gain := target*target, 1.0
	for i, v := range x {
		y := float64(v) * scale
		power += meter * (y*y - power)
		want := math.Min(most, target/math.Sqrt(power+1e-20))
		pace := up
		if want < gain {
			pace = down
		}
		gain += pace * (want - gain)
		x[i] = float32(y * gain)
	}
}

// normalise scales the loudest sample to Peak, clips at full scale, and rounds.
// Silence stays silence.
func (p Phone) normalise(x []float32) {
	loudest := float32(0)
	for _, v := range x {
		loudest = max(loudest, v, -v)
	}
	if loudest == 0 {
		return
	}
	gain := float32(amplitude(p.Peak)) / loudest
	steps := float32(math.Exp2(float64(p.Bits - 1)))
	for i, v := range x {
		v = max(-1, min(1, v*gain))
		if p.Bits > 0 {
			v = min(float32(math.RoundToEven(float64(v*steps)))/steps, 1-1/steps)
		}
		x[i] = v
	}
}
