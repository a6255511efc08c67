package synth

import (
	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// Echo is an early reflection.
type Echo struct {
	After engine.Seconds
	Gain  float64 // against the direct sound; below 0 inverted
}

// Room is the place of engine and phone.
type Room struct {
	LowPass     engine.Hz // of the path, direct sound included, 6 dB per octave; 0: none
	Echoes      []Echo
	EchoLowPass engine.Hz      // of the echoes: grass, wood and rough ground absorb above it
	ReverbLevel engine.Decibel // mean power of the reverberation against the direct sound; Off: none
	RT60        engine.Seconds // time in which the reverberation falls by 60 dB
}

// Open is a place without echoes.
func Open() Room { return Room{ReverbLevel: Off} }

// Yard is a place with the ground and one wall.
func Yard() Room {
	return Room{Echoes: []Echo{{0.0021, 0.45}, {0.0137, 0.2}, {0.0312, -0.12}}, EchoLowPass: 900, ReverbLevel: -24, RT60: 0.35}
}

// Shed is a place with hard walls close by: strong echoes.
func Shed() Room {
	return Room{
		Echoes:      []Echo{{0.0031, 0.7}, {0.0074, -0.6}, {0.0113, 0.55}, {0.0178, 0.45}, {0.0261, -0.4}, {0.0405, 0.3}},
		EchoLowPass: 4000, ReverbLevel: -5, RT60: 0.9,
	}
}

// combs are the delays of the comb filters of the reverberation, s, without a
// common divisor.
var combs = [...]float64{0.0297, 0.0371, 0.0411, 0.0437}

// apply adds echoes and reverberation to x.
func (r Room) apply(x []float32, rate engine.Hz) {
	if r.LowPass > 0 {
		muffle(x, r.LowPass, rate)
	}
	if len(r.Echoes) == 0 && r.ReverbLevel <= Off {
		return
	}
	level := decibels(meanPower(x))
	direct := append([]float32(nil), x...)
	if r.EchoLowPass > 0 {
		const soft = 0.5 // Q: no audible edge
		dsp.Filter{dsp.NewLowPass(r.EchoLowPass, rate, soft)}.Apply(direct)
	}
	for _, e := range r.Echoes {
		d := int(float64(e.After) * float64(rate))
		for i := d; i < len(x); i++ {
			x[i] += float32(e.Gain) * direct[i-d]
		}
	}
	if r.ReverbLevel <= Off {
		return
	}
	late := make([]float32, len(x))
	for _, delay := range combs {
		comb(late, direct, int(delay*float64(rate)), amplitude(engine.Decibel(-60*delay/float64(r.RT60))))
	}
	mix(x, late, r.ReverbLevel+level)
}

// comb adds x to out, fed back through a delay and a gentle low-pass.
func comb(out, x []float32, delay int, gain float64) {
	const dull = 0.3 // share of the sample before in the low-pass
	ring := make([]float64, delay)
	low, k := 0.0, 0
	for i, v := range x {
		y := ring[k]
		low = (1-dull)*y + dull*low
		ring[k] = float64(v) + gain*low
		out[i] += float32(y)
		if k++; k == delay {
			k = 0
		}
	}
}
