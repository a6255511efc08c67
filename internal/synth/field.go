package synth

import (
	"math/rand/v2"

	"topnote/internal/engine"
)

// gesture is the position of throttle and load from a time on.
type gesture struct {
	at             engine.Seconds
	throttle, load float64
}

// DrawHand draws a user at work: idling, blips, full throttle without load, cuts of
// changing depth, in any order.
func DrawHand(seed uint64, length engine.Seconds) Hand {
	r := newRand(seed, streamHand)
	between := func(a, b float64) engine.Seconds { return engine.Seconds(a + (b-a)*r.Float64()) }
	var gs []gesture
	t := engine.Seconds(0)
	add := func(throttle, load float64, long engine.Seconds) {
		gs = append(gs, gesture{t, throttle, load})
		t += long
	}
	for t < length {
		switch r.IntN(5) {
		case 0:
			add(0, 0, between(0.5, 2))
		case 1:
			add(0.4+0.6*r.Float64(), 0, between(0.15, 0.5))
			add(0, 0, between(0.3, 1))
		case 2, 3:
			add(1, 0, between(1, 3))
		case 4:
			add(1, 0, between(0.3, 1))
			for range 1 + r.IntN(3) {
				add(1, 0.3+0.7*r.Float64(), between(0.5, 1.5))
			}
		}
	}
	const move, sink = 0.12, 0.35 // s, of the finger and of the bar into the wood
	return Hand{
		Length:   length,
		Throttle: func(t engine.Seconds) float64 { return interpolate(gs, t, move, gesture.open) },
		Load:     func(t engine.Seconds) float64 { return interpolate(gs, t, sink, gesture.bite) },
	}
}

func (g gesture) open() float64 { return g.throttle }
func (g gesture) bite() float64 { return g.load }

// interpolate gives a value of the gestures at a time, with linear ramps of a
// length.
func interpolate(gs []gesture, t, within engine.Seconds, value func(gesture) float64) float64 {
	i := len(gs) - 1
	for i > 0 && gs[i].at > t {
		i--
	}
	now := value(gs[i])
	if i == 0 || t >= gs[i].at+within {
		return now
	}
	before := value(gs[i-1])
	return before + (now-before)*float64((t-gs[i].at)/within)
}

// After gives the run without its first seconds, so that a clip may begin anywhere:
// at full throttle without an idle before it, for example.
func (r *Run) After(t engine.Seconds) *Run {
	k := r.at(t)
	t = engine.Seconds(k) * Step
	out := &Run{Engine: r.Engine, Length: r.Length - t, OperatingPoints: r.OperatingPoints[k:]}
	turns := float64(int(r.angle[k]))
	for _, a := range r.angle[k:] {
		out.angle = append(out.angle, a-turns)
	}
	for _, b := range r.Cycles {
		if b.At -= t; b.At >= 0 {
			out.Cycles = append(out.Cycles, b)
		}
	}
	for _, s := range r.Spans {
		if s.From, s.To = max(0, s.From-t), s.To-t; s.To > 0 {
			out.Spans = append(out.Spans, s)
		}
	}
	return out
}

// DrawField draws a clip like field recordings of a saw at work: 5 s from any
// moment, at any mixture, with noise, wind and echoes. It is meant to be as hard as
// they are: no regular pass, no clean plateau.
func DrawField(seed uint64) Scene {
	const lead, length = 2, 5 // s
	r := newRand(seed, streamField)
	saw := DrawSaw(seed)
	saw.Shake *= 1 + r.Float64()
	richness := VeryLean + (VeryRich-VeryLean)*r.Float64()
	s := NewScene(seed, Profile{}, nil)
	s.Exactly = saw.Drive(DrawHand(seed, lead+length), richness, seed).After(lead)
	s.Backgrounds = []Background{
		{Kind: Pink, Below: drawLevel(r, 8, 28)},
		{Kind: Wind, Below: drawLevel(r, 3, 25)},
	}
	if r.IntN(4) == 0 {
		s.Room = Shed()
		s.Room.ReverbLevel -= 6
	}
	if r.IntN(3) == 0 {
		s.Phone = Handset()
	}
	return s
}

func drawLevel(r *rand.Rand, least, most float64) engine.Decibel {
	return engine.Decibel(least + (most-least)*r.Float64())
}
