package synth

import (
	"math"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// Scene is an engine, its run, its place and its recorder. An empty Profile.At with
// a Length is a place without an engine.
type Scene struct {
	Rate        engine.Hz // of the rendered sound, 8000 to 192000
	Seed        uint64
	Engine      engine.Spec
	Profile     Profile
	Wander      Wander
	Firing      Plan
	Voice       Voice
	Room        Room
	Backgrounds []Background // what else sounds
	Phone       Phone
	Exactly     *Run // when set, this run is rendered; Profile, Wander and Firing are not used
}

// Sound is a rendered scene.
type Sound struct {
	Rate    engine.Hz
	Samples audio.Memory // -1 to 1
	Truth   Truth
}

// NewScene gives a two-stroke single in a yard with a plain recorder: voice, wander,
// and some noise and wind are drawn from the seed.
func NewScene(seed uint64, p Profile, f Plan) Scene {
	r := newRand(seed, streamScene)
	noise, wind := engine.Decibel(18+14*r.Float64()), engine.Decibel(12+18*r.Float64())
	return Scene{
		Rate:        22050,
		Seed:        seed,
		Engine:      engine.TwoStrokeSingle,
		Profile:     p,
		Wander:      FieldWander().Times(0.5 + 1.5*r.Float64()),
		Firing:      f,
		Voice:       DrawVoice(seed),
		Room:        Yard(),
		Backgrounds: []Background{{Kind: Pink, Below: noise}, {Kind: Wind, Below: wind}},
		Phone:       Recorder(),
	}
}

// minRenderRate is the lowest rate at which pulses are rendered: below it their
// sharp onsets would alias.
const minRenderRate engine.Hz = 32000

// Run gives what the engine does in the scene, without rendering it. It is
// nil where there is no engine, and panics as Render does.
func (s Scene) Run() *Run {
	switch {
	case s.Exactly != nil:
		return s.Exactly
	case s.Profile.At == nil:
		return nil
	case s.Engine.Check() != nil:
		panic(s.Engine.Check())
	case len(s.Firing) == 0:
		panic("synth: an engine needs a plan of its firing")
	}
	return newRun(s)
}

// Render makes the sound of the scene. The same scene gives the same samples
// on every call; on another processor the last bit may differ. It panics on a
// rate, engine or plan that cannot be rendered: scenes are code, not input.
func (s Scene) Render() Sound {
	if s.Rate < 8000 || s.Rate > 192000 {
		panic("synth: a rate from 8000 to 192000 Hz is needed")
	}
	run, length := s.Run(), s.Profile.Length
	if run != nil {
		length = run.Length
	}
	own := make([]float32, int(math.Round(float64(length)*float64(s.Rate))))
	if run != nil {
		oversampled(own, s.Rate, func(x []float32, rate engine.Hz) {
			s.Voice.render(x, rate, run, s.Seed)
			s.Room.apply(x, rate)
		})
	}
	rest := s.renderBackgrounds(own)
	out := Sound{Rate: s.Rate, Truth: Truth{SNR: snr(own, rest, s.Rate)}}
	if run != nil {
		out.Truth.Run = *run
	} else {
		out.Truth.Run = Run{Length: length, Spans: []Span{{NoEngine, 0, length}}}
	}
	for i := range own {
		own[i] += rest[i]
	}
	out.Samples = s.Phone.record(own, s.Rate)
	return out
}

// oversampled renders a sound by draw at an integer multiple of rate, at least
// minRenderRate, and decimates it into out.
func oversampled(out []float32, rate engine.Hz, draw func([]float32, engine.Hz)) {
	factor := int(math.Ceil(float64(minRenderRate / rate)))
	x := make([]float32, len(out)*factor)
	draw(x, rate*engine.Hz(factor))
	copy(out, decimate(x, factor))
}

// snr gives the level of own over rest, step by step.
func snr(own, rest []float32, rate engine.Hz) []engine.Decibel {
	step := int(float64(rate) * float64(SNRStep))
	out := make([]engine.Decibel, len(own)/step)
	for k := range out {
		from := max(0, k*step-step/2)
		a, b := meanPower(own[from:from+step]), meanPower(rest[from:from+step])
		switch {
		case a == 0:
			out[k] = engine.Decibel(math.Inf(-1))
		case b == 0:
			out[k] = engine.Decibel(math.Inf(1))
		default:
			out[k] = engine.Decibel(10 * math.Log10(a/b))
		}
	}
	return out
}
