package synth

import (
	"math"

	"topnote/internal/engine"
)

// nearby is the distance of scenes as they are made, m: their levels of noise and
// reverberation hold there.
const nearby = 2

// From gives the scene recorded from so many metres away, 2 or more: the direct
// sound falls by 6 dB for each doubling (spherical spreading), backgrounds and
// reverberation keep their levels, and ground, leaves and the user's body absorb
// high frequencies (our model).
func (s Scene) From(metres float64) Scene {
	const (
		loudest = -2   // dB, of the late sound against the direct
		highs   = 9000 // Hz, at nearby
		duller  = 0.6  // power of distance
	)
	falls := engine.Decibel(20 * math.Log10(metres/nearby))
	s.Backgrounds = append([]Background(nil), s.Backgrounds...)
	for i := range s.Backgrounds {
		s.Backgrounds[i].Below -= falls
	}
	if s.Room.ReverbLevel > Off {
		s.Room.ReverbLevel = min(loudest, s.Room.ReverbLevel+falls)
	}
	s.Room.LowPass = engine.Hz(highs * math.Pow(nearby/metres, duller))
	return s
}

// muffle is a low-pass of 6 dB per octave.
func muffle(x []float32, corner, rate engine.Hz) {
	keep := math.Exp(-2 * math.Pi * float64(corner/rate))
	y := 0.0
	for i, v := range x {
		y = keep*y + (1-keep)*float64(v)
		x[i] = float32(y)
	}
}
