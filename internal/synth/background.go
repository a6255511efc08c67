package synth

import (
	"math"
	"math/rand/v2"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// Kind is a kind of background sound.
type Kind int

// The kinds of background sound.
const (
	White        Kind = iota // noise, equal power per hertz
	Pink                     // noise, equal power per octave
	Wind                     // rumble at the microphone in gusts, below about 200 Hz
	Hum50                    // mains of 50 Hz with its harmonics
	Hum60                    // mains of 60 Hz with its harmonics
	Birds                    // chirps between 2 and 6 kHz
	Chords                   // music-like chords of harmonic tones, changing every beat
	Fan                      // a cooling fan: blade tones and rush, at a steady speed
	SecondEngine             // another small engine, running steadily and clean
	Gusts                    // wind in gusts with calm between them, up to some hundred hertz
	Speech                   // somebody talking: syllables, pauses, a pitch that moves
	Cry                      // a baby
	Crow                     // a rooster
	Barks                    // a dog
	Shouts                   // somebody calling and laughing
	Song                     // somebody singing
	Herd                     // a cow, a sheep or a goat
	Siren                    // of a car on its way
	Alarm                    // pulses of a tone
	Band                     // music: a melody, a bass and a drum
	Motor                    // a tool with an electric motor
)

// Background is a sound that is not the engine under test.
type Background struct {
	Kind Kind
	// Below is the signal-to-noise ratio: how far its mean power is below the
	// engine's, over the whole run and the band of the scene's rate, before the
	// phone. Without an engine the reference is -20 dB of full scale.
	Below engine.Decibel
	Speed engine.RPM // of Fan and SecondEngine; 0: 2400 and 7600
}

const (
	silentReference engine.Decibel = -20
	fanSpeed        engine.RPM     = 2400
	secondSpeed     engine.RPM     = 7600
)

// renderBackgrounds renders everything that is not the engine.
func (s Scene) renderBackgrounds(own []float32) []float32 {
	n := len(own)
	rest := make([]float32, n)
	reference := silentReference
	if p := meanPower(own); p > 0 {
		reference = decibels(p)
	}
	for i, b := range s.Backgrounds {
		part := make([]float32, n)
		b.render(part, s.Rate, newRand(s.Seed, streamBackdrop+uint64(i)*1000))
		mix(rest, part, reference-b.Below)
	}
	return rest
}

// render draws the sound at any level.
func (b Background) render(out []float32, rate engine.Hz, rng *rand.Rand) {
	switch b.Kind {
	case White:
		for i := range out {
			out[i] = float32(rng.NormFloat64())
		}
	case Pink:
		pink(out, rng)
	case Wind:
		wind(out, rate, rng)
	case Hum50:
		hum(out, rate, 50)
	case Hum60:
		hum(out, rate, 60)
	case Birds:
		birds(out, rate, rng)
	case Chords:
		chords(out, rate, rng)
	case Fan:
		coolingFan(out, rate, orElse(b.Speed, fanSpeed), rng)
	case SecondEngine:
		secondEngine(out, rate, orElse(b.Speed, secondSpeed), rng)
	case Gusts:
		gusts(out, rate, rng)
	case Speech:
		speech(out, rate, rng)
	default:
		throats[b.Kind](out, rate, dice{rng})
	}
}

// throats has the sounds of throats, horns and motors.
var throats = map[Kind]func([]float32, engine.Hz, dice){
	Cry: cry, Crow: crow, Barks: barks, Shouts: shouts, Song: song, Herd: herd,
	Siren: siren, Alarm: alarm, Band: band, Motor: motor,
}

func orElse(speed, other engine.RPM) engine.RPM {
	if speed > 0 {
		return speed
	}
	return other
}

// pink sums first-order low-passes two octaves apart, each weighted to meet the
// next: within 1 dB of 3 dB per octave over nine octaves (tested).
func pink(out []float32, rng *rand.Rand) {
	const corners, ratio, lowest = 7, 4.0, 0.00005 // of the rate
	var keep, gain, state [corners]float64
	for k := range keep {
		f := lowest * math.Pow(ratio, float64(k))
		keep[k] = math.Exp(-2 * math.Pi * f)
		gain[k] = math.Sqrt(1 - keep[k]*keep[k])
	}
	for i := range out {
		y := 0.0
		for k := range state {
			state[k] = keep[k]*state[k] + gain[k]*rng.NormFloat64()
			y += state[k]
		}
		out[i] = float32(y)
	}
}

// wind is low rumble with a random slow envelope.
func wind(out []float32, rate engine.Hz, rng *rand.Rand) {
	const corner, gust, depth = 70, 0.4, 1.2 // Hz; s; standard deviation of ln strength
	rumble := dsp.ButterworthLowPass(2, corner, rate)
	d := newDrift(gust, Step)
	every, loud := max(1, int(float64(rate)*float64(Step))), 1.0
	for i := range out {
		if i%every == 0 {
			loud = math.Exp(depth * d.step(rng))
		}
		out[i] = float32(loud * rng.NormFloat64())
	}
	rumble.Apply(out)
	// A further first-order slope: wind noise falls fast with frequency.
	first := math.Exp(-2 * math.Pi * corner / float64(rate))
	y := 0.0
	for i, x := range out {
		y = first*y + (1-first)*float64(x)
		out[i] = float32(y)
	}
}

// gusts are bursts of wind at the microphone, each with its own corner frequency,
// with little between them.
func gusts(out []float32, rate engine.Hz, rng *rand.Rand) {
	const calm = 0.05 // amplitude between gusts
	part := make([]float32, len(out))
	for i := range out {
		out[i] = float32(calm * rng.NormFloat64())
	}
	dsp.ButterworthLowPass(2, 100, rate).Apply(out)
	for at := 0.5 * rng.ExpFloat64(); at < float64(len(out))/float64(rate); {
		long := 0.3 + 1.7*rng.Float64()
		corner := engine.Hz(60 * math.Pow(10, rng.Float64())) // 60 to 600 Hz
		loud := 0.3 + 0.7*rng.Float64()
		from := int(at * float64(rate))
		burst := part[:min(int(long*float64(rate)), len(out)-from)]
		for i := range burst {
			burst[i] = float32(rng.NormFloat64())
		}
		dsp.ButterworthLowPass(2, corner, rate).Apply(burst)
		level := loud / math.Sqrt(meanPower(burst)+1e-20)
		for i, v := range burst {
			swell := math.Sin(math.Pi * float64(i) / (long * float64(rate)))
			out[from+i] += float32(level * swell * swell * float64(v))
		}
		at += long*0.7 + 1.2*rng.ExpFloat64()
	}
}

// hum is mains with harmonics, the even ones stronger, as from rectifiers and
// transformers (our model).
func hum(out []float32, rate engine.Hz, mains float64) {
	levels := [...]float64{1, 0.9, 0.35, 0.6, 0.2, 0.35, 0.12, 0.2, 0.08, 0.12}
	for k, a := range levels {
		w := 2 * math.Pi * mains * float64(k+1) / float64(rate)
		for i := range out {
			out[i] += float32(a * math.Sin(w*float64(i)+float64(k)))
		}
	}
}
