package synth

import (
	"math"
	"slices"

	"topnote/internal/engine"
)

// Codec is one that telephones and messengers pack sound into. The package does
// not encode: whoever renders a trial does, with a program that can.
type Codec string

// The codecs, with the bit rate of each.
const (
	NoCodec Codec = ""
	Opus12  Codec = "opus 12 kbit/s"
	Opus24  Codec = "opus 24 kbit/s"
	AAC32   Codec = "aac 32 kbit/s"
	AAC64   Codec = "aac 64 kbit/s"
	MP3x48  Codec = "mp3 48 kbit/s"
)

// trialDamage is something that happens to the sound of a trial.
type trialDamage struct {
	name string
	do   func(*Trial, dice)
}

// noise gives a damage of a sound beside the engine, so many dB under it.
func noise(name string, k Kind, least, most float64) trialDamage {
	return trialDamage{name, func(t *Trial, d dice) {
		t.Scene.Backgrounds = append(t.Scene.Backgrounds, Background{Kind: k, Below: d.level(least, most)})
	}}
}

// coded gives the damage of a codec, at a rate that it takes.
func coded(c Codec, rate engine.Hz) trialDamage {
	return trialDamage{string(c), func(t *Trial, _ dice) { t.Codec, t.Scene.Rate = c, rate }}
}

// trialDamages lists what telephones, places and messengers do.
func trialDamages() []trialDamage {
	return []trialDamage{
		noise("pink noise", Pink, 2, 12),
		noise("wind", Wind, -8, 6),
		noise("gusts", Gusts, -8, 6),
		noise("hum of 50 Hz", Hum50, 3, 14),
		noise("hum of 60 Hz", Hum60, 3, 14),
		noise("voice", Speech, 3, 16),
		{"second engine", func(t *Trial, d dice) {
			t.Scene.Backgrounds = append(t.Scene.Backgrounds, Background{Kind: SecondEngine, Below: d.level(8, 18), Speed: d.rpm(3500, 12000)})
		}},
		{"telephone band", func(t *Trial, d dice) {
			t.Scene.Phone.Band = [2]engine.Hz{engine.Hz(d.between(250, 350)), engine.Hz(d.between(3000, 3600))}
		}},
		{"clipping", func(t *Trial, d dice) { t.Scene.Phone.Peak = d.level(4, 14) }},
		{"automatic gain", func(t *Trial, d dice) {
			t.Scene.Phone.AGC = &AGC{Target: -20, MaxGain: d.level(10, 40), Attack: engine.Seconds(d.octaves(0.005, 0.1)), Release: engine.Seconds(d.octaves(0.1, 3))}
		}},
		{"noise suppression", func(t *Trial, d dice) {
			t.Scene.Phone.Suppress = &Suppression{Over: d.between(0.8, 2.5), Floor: d.level(-24, -10), Learns: engine.Seconds(d.octaves(0.5, 4))}
		}},
		{"echoes", func(t *Trial, d dice) { t.Scene.Room = drawShed(d) }},
		{"distance", func(t *Trial, d dice) { t.Scene = t.Scene.From(d.octaves(6, 40)) }},
		coded(Opus12, 16000), coded(Opus24, 48000), coded(AAC32, 44100), coded(AAC64, 44100), coded(MP3x48, 44100),
	}
}

// drawShed draws a place with hard walls.
func drawShed(d dice) Room {
	r := Room{EchoLowPass: d.hz(1500, 6000), ReverbLevel: d.level(-12, -3), RT60: d.seconds(0.4, 1.2)}
	for range 4 + d.IntN(4) {
		e := Echo{After: d.seconds(0.002, 0.045), Gain: d.between(0.25, 0.7)}
		if d.chance(0.5) {
			e.Gain = -e.Gain
		}
		r.Echoes = append(r.Echoes, e)
	}
	return r
}

// damage does none to most damages to a trial, no two of them codecs.
func (t *Trial) damage(d dice, most int) {
	count := pick(d, []weighted[int]{{0, 3}, {1, 8}, {2, 9}})
	all := trialDamages()
	if t.Tampering != nil {
		all = slices.DeleteFunc(all, func(x trialDamage) bool { return t.isCodec(x.name) })
	}
	for range min(count, most) {
		x := all[d.IntN(len(all))]
		x.do(t, d)
		t.Damages = append(t.Damages, x.name)
		all = slices.DeleteFunc(all, func(y trialDamage) bool {
			return y.name == x.name || t.isCodec(x.name) && t.isCodec(y.name)
		})
	}
	if t.Scene.Phone.Band[1] > 0 && t.Codec == NoCodec {
		t.Scene.Rate = 8000
	}
}

func (t *Trial) isCodec(name string) bool {
	return slices.Contains([]Codec{Opus12, Opus24, AAC32, AAC64, MP3x48}, Codec(name))
}

// background draws what any recording has: some noise, some wind, a yard.
func background(d dice) []Background {
	return []Background{{Kind: Pink, Below: d.level(16, 34)}, {Kind: Wind, Below: d.level(10, 32)}}
}

// recorder draws a recorder as it comes.
func recorder(d dice) Phone {
	return Phone{HighPass: d.hz(30, 220), Peak: d.level(-12, -1), Bits: 16}
}

// yard draws a place outdoors.
func yard(d dice) Room {
	r := Yard()
	scale := d.octaves(0.6, 1.7)
	r.Echoes = slices.Clone(r.Echoes)
	for i := range r.Echoes {
		r.Echoes[i].After *= engine.Seconds(scale)
		r.Echoes[i].Gain *= d.between(0.3, 1.2)
	}
	r.ReverbLevel = engine.Decibel(math.Round(d.between(-34, -20)))
	return r
}
