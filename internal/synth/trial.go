package synth

import (
	"slices"

	"topnote/internal/audio"
	"topnote/internal/engine"
)

// Trial is a recording drawn at random of a machine drawn at random: any tune,
// any course, and up to two damages, or a tampering and up to one, to test the
// whole program with. The ranges are wide on purpose; they say nothing of how often
// a thing occurs.
type Trial struct {
	Seed      uint64
	Machine   MachineKind
	Tune      TuneKind
	Limits    Limits
	Scene     Scene
	Damages   []string   // by name
	Codec     Codec      // that the sound is still to be sent through
	Tampering *Tampering // nil: none
}

// DrawTrial draws a trial of a family.
func DrawTrial(seed uint64, f Family) Trial {
	d := dice{newRand(seed, streamTrial)}
	const openings, damages = 3, 2
	t := drawMachine(d, seed, f, false, openings)
	t.damage(dice{newRand(seed, streamTrialDamage)}, damages)
	return t
}

// DrawTampered draws a trial whose engine runs over its limit and whose sound is
// not what it seems. One opening of the throttle: slow motion makes it long.
func DrawTampered(seed uint64, f Family) Trial {
	d := dice{newRand(seed, streamTampering)}
	const openings, damages, undamaged = 1, 1, 0.5
	t := drawMachine(d, seed, f, true, openings)
	t.Tampering = drawTampering(d, t.Scene.Rate, t.Scene.Profile.Length)
	if !d.chance(undamaged) {
		t.damage(dice{newRand(seed, streamTrialDamage)}, damages)
	}
	if f := t.Tampering.Flip; f != nil && f.At != headerBits { // of the rate that it is recorded at
		t.Tampering.Flip = drawFlip(d, t.Scene.Rate)
	}
	return t
}

// drawMachine draws machine, tune, course and place.
func drawMachine(d dice, seed uint64, f Family, over bool, openings int) Trial {
	kind := pick(d, f.kinds())
	t := Trial{Seed: seed, Machine: kind.kind}
	limits, idle := kind.limits(d)
	t.Limits = limits
	top := drawTop(d, limits.Max, over)
	profile := drawCourse(d, idle, top, kind.cuts, openings)
	tune, plan := drawPlan(d, profile)
	t.Tune = tune
	t.Scene = Scene{
		Rate: sampleRate, Seed: seed, Engine: engine.TwoStrokeSingle, Profile: profile, Firing: plan,
		Wander: FieldWander().Times(d.between(0.2, 1)),
		Voice:  kind.voice(d, limits.Clutch), Room: yard(d), Backgrounds: background(d), Phone: recorder(d),
	}
	return t
}

// Family gives the family of the trial's machine; "" of one that is not known.
func (t Trial) Family() Family {
	for _, f := range []Family{Saws, SlowMachines} {
		for _, k := range f.kinds() {
			if k.what.kind == t.Machine {
				return f
			}
		}
	}
	return ""
}

// TrialSound is what a trial sounds like.
type TrialSound struct {
	Rate     engine.Hz      // that the file says, before any bit is flipped
	Channels []audio.Memory // one, or two as long as each other
}

// Render makes the sound of the trial, tampered with where it is; a codec and a
// flipped bit are left to whoever writes the file.
func (t Trial) Render() TrialSound {
	if t.Tampering == nil {
		return TrialSound{t.Scene.Rate, []audio.Memory{t.Scene.Render().Samples}}
	}
	if t.Tampering.Rival != 0 {
		return t.besideRival()
	}
	x := t.Tampering.apply(t.Scene.Render().Samples, t.Scene.Rate)
	return TrialSound{t.Scene.Rate, []audio.Memory{x}}
}

// besideRival renders both channels: the same engine, and a second one that is
// louder than it in one of them.
func (t Trial) besideRival() TrialSound {
	const apart = 6 // dB
	out := TrialSound{Rate: t.Scene.Rate}
	d := dice{newRand(t.Seed, streamTampering+1000)}
	rival := Background{Kind: SecondEngine, Speed: t.Limits.Max * d.rpm(0.55, 0.95)}
	levels := []engine.Decibel{-t.Tampering.Rival, t.Tampering.Rival + apart}
	if d.chance(0.5) {
		slices.Reverse(levels)
	}
	for _, below := range levels {
		s := t.Scene
		rival.Below = below
		s.Backgrounds = append([]Background{rival}, s.Backgrounds...)
		out.Channels = append(out.Channels, s.Render().Samples)
	}
	return out
}

// TrialTruth is what is known of a trial.
type TrialTruth struct {
	Run   *Run
	Held  engine.RPM // highest median over SustainedFor: what the program calls sustained
	Idle  engine.RPM // median over the settled idles; 0: none
	Every int        // pattern of most cycles of the settled plateaus, 1 to 4; 0: no pattern
	Four  float64    // share of their cycles in a pattern of every 2nd or rarer; -1: no plateau
}

// Truth gives what is known of the trial, of the engine itself: tampering changes
// the sound alone.
func (t Trial) Truth() TrialTruth {
	r := t.Scene.Run()
	if r == nil { // no engine sounds
		length := t.Scene.Profile.Length
		return TrialTruth{Run: &Run{Length: length, Spans: []Span{{NoEngine, 0, length}}}, Four: -1}
	}
	out := TrialTruth{Run: r, Held: r.SustainedMedian(SustainedFor)}
	var idle []float64
	for _, s := range r.Spans {
		if s.Name == Idle || s.Name == ReturnToIdle {
			for at := s.From; at < s.To; at += Step {
				idle = append(idle, float64(r.SpeedAt(at)))
			}
		}
	}
	if len(idle) > 0 {
		slices.Sort(idle)
		out.Idle = engine.RPM(idle[len(idle)/2])
	}
	free := r.settled(FullThrottle)
	out.Four = -1
	if len(free) > 0 {
		out.Four = r.fourStroking(free)
	}
	most := 0.0
	for n := range 5 {
		share := 0.0
		for _, s := range free {
			share += r.Share(n, s.From, s.To) * float64(s.To-s.From)
		}
		if share > most {
			most, out.Every = share, n
		}
	}
	return out
}
