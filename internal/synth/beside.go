package synth

import (
	"slices"

	"topnote/internal/engine"
)

// other is a sound that is no engine, by name.
type other struct {
	name string
	kind Kind
}

// others lists what lives, calls, hums and plays around an engine.
func others() []weighted[other] {
	return []weighted[other]{
		{other{"voice", Speech}, 4}, {other{"shouts", Shouts}, 3}, {other{"crying baby", Cry}, 3},
		{other{"song", Song}, 2}, {other{"rooster", Crow}, 1}, {other{"dog", Barks}, 1}, {other{"cattle", Herd}, 1},
		{other{"siren", Siren}, 1}, {other{"alarm", Alarm}, 1}, {other{"music", Band}, 2}, {other{"electric motor", Motor}, 1},
		{other{"hum of 50 Hz", Hum50}, 2}, {other{"hum of 60 Hz", Hum60}, 2},
	}
}

// DrawBeside draws a trial beside a sound that is no engine, 0 to 14 dB softer than
// the engine over the whole pass and thus often louder than its idle, and with up to
// one damage more.
func DrawBeside(seed uint64, f Family) Trial {
	d := dice{newRand(seed, streamBeside)}
	const openings, damages = 3, 1
	t := drawMachine(d, seed, f, false, openings)
	o := pick(d, others())
	t.Scene.Backgrounds = append(t.Scene.Backgrounds, Background{Kind: o.kind, Below: d.level(0, 14)})
	if d.chance(0.5) {
		t.damage(dice{newRand(seed, streamTrialDamage)}, damages)
	}
	t.Damages = slices.Insert(t.Damages, 0, o.name)
	return t
}

// DrawWithoutEngine draws a trial without a machine: a place in which one or two other
// things sound, which are named among the damages.
func DrawWithoutEngine(seed uint64) Trial {
	d := dice{newRand(seed, streamBeside+1000)}
	const second, damaged = 0.2, 0.4
	t := Trial{Seed: seed, Scene: Scene{
		Rate: sampleRate, Seed: seed, Engine: engine.TwoStrokeSingle, Profile: Profile{Length: d.seconds(4, 9)},
		Room: yard(d), Backgrounds: background(d), Phone: recorder(d),
	}}
	for i := 0; i < 1 || i < 2 && d.chance(second); i++ {
		o := pick(d, others())
		t.Scene.Backgrounds = append(t.Scene.Backgrounds, Background{Kind: o.kind, Below: d.level(-3, 3)})
		t.Damages = append(t.Damages, o.name)
	}
	if d.chance(damaged) {
		for _, name := range []string{"telephone band", "automatic gain", "noise suppression", "clipping"} {
			for _, x := range trialDamages() {
				if x.name == name && d.chance(0.3) {
					x.do(&t, d)
					t.Damages = append(t.Damages, name)
				}
			}
		}
	}
	if t.Scene.Phone.Band[1] > 0 {
		t.Scene.Rate = 8000
	}
	return t
}
