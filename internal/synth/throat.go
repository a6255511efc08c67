package synth

import (
	"math"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// call is one sound of a throat. Along it, x goes from 0 to 1.
type call struct {
	at, long engine.Seconds
	pitch    func(x float64) float64 // Hz
	loud     func(x float64) float64
	formants []Resonance
	tilt     engine.Hz // of the glottis: its pulses fall by 6 dB per octave above
	jitter   float64   // of a period, relative: standard deviation
	vibrato  float64   // of the pitch, relative: amplitude
	trill    engine.Hz // rate of the vibrato
	rough    float64   // 0 to 1: how much weaker every second pulse is; a strained voice doubles its period
	breath   float64   // noise beside the pulses
}

// sound adds the call.
func (c call) sound(out []float32, rate engine.Hz, d dice) {
	mouth := newFilterBank(0.02, c.formants, rate)
	keep := math.Exp(-2 * math.Pi * float64(c.tilt/rate))
	n, first := int(float64(c.long)*float64(rate)), int(float64(c.at)*float64(rate))
	phase, glottis, stray, weak := d.Float64(), 0.0, 1.0, false
	for i := 0; i < n && first+i < len(out); i++ {
		x := float64(i) / float64(n)
		waver := 1 + c.vibrato*math.Sin(2*math.Pi*float64(c.trill)*float64(i)/float64(rate))
		if phase += c.pitch(x) * waver * stray / float64(rate); phase >= 1 {
			phase--
			stray = 1 + c.jitter*d.NormFloat64()
			if weak = !weak; weak {
				glottis += 1 - c.rough
			} else {
				glottis++
			}
		}
		glottis *= keep
		y := mouth.step(glottis + c.breath*d.NormFloat64())
		if first+i >= 0 {
			out[first+i] += float32(c.loud(x) * y)
		}
	}
}

// arch rises to 1 and falls again; a low power makes it flat.
func arch(power float64) func(float64) float64 {
	return func(x float64) float64 { return math.Pow(math.Sin(math.Pi*x), power) }
}

// bent is a pitch that begins and ends at shares of its height, which it has at a
// place in between.
func bent(height, first, last, place float64) func(float64) float64 {
	return func(x float64) float64 {
		if x < place {
			return height * (first + (1-first)*math.Sin(math.Pi/2*x/place))
		}
		return height * (last + (1-last)*math.Cos(math.Pi/2*(x-place)/(1-place)))
	}
}

// calls sounds one call after another, drawn each time, with what it gives as a pause
// after it.
func calls(out []float32, rate engine.Hz, d dice, draw func(at engine.Seconds) (call, engine.Seconds)) {
	for at := d.seconds(0, 0.4); at < engine.Seconds(float64(len(out))/float64(rate)); {
		c, pause := draw(at)
		c.sound(out, rate, d)
		at += c.long + pause
	}
}

// cry is a baby: calls of a second on one breath at 300 to 650 Hz, some strained, with
// a sob drawn in between (our model).
func cry(out []float32, rate engine.Hz, d dice) {
	usual, strained, steady := d.octaves(280, 650), d.chance(0.5), d.chance(0.4)
	calls(out, rate, d, func(at engine.Seconds) (call, engine.Seconds) {
		c := call{
			at: at, long: d.seconds(0.4, 1.8), loud: arch(d.between(0.15, 0.6)), tilt: d.hz(300, 1500),
			pitch:  bent(usual*d.between(0.85, 1.2), d.between(0.7, 0.95), d.between(0.6, 0.95), d.between(0.1, 0.6)),
			jitter: d.octaves(0.002, 0.02), vibrato: d.octaves(0.003, 0.03), trill: d.hz(4, 9), breath: d.octaves(0.002, 0.1),
			formants: []Resonance{{d.hz(800, 1300), 5, 1}, {d.hz(2500, 3500), 6, 0.7}},
		}
		if steady { // held on one note
			c.pitch = bent(usual, 0.97, 0.97, 0.3)
		}
		if strained && d.chance(0.6) {
			c.rough = d.between(0.05, 0.6)
		}
		return c, d.seconds(0.12, 0.5)
	})
}

// crow is a rooster: three short calls and one that is held (our model).
func crow(out []float32, rate engine.Hz, d dice) {
	high := d.octaves(350, 900)
	k := 0
	calls(out, rate, d, func(at engine.Seconds) (call, engine.Seconds) {
		c := call{
			at: at, long: d.seconds(0.1, 0.3), loud: arch(0.4), tilt: d.hz(600, 2000), jitter: 0.004, breath: d.octaves(0.002, 0.05),
			pitch: bent(high*d.between(0.8, 1), 0.7, 0.8, 0.4), rough: max(0, d.between(-0.3, 0.5)),
			formants: []Resonance{{d.hz(900, 1500), 4, 1}, {d.hz(2000, 3200), 5, 0.6}},
		}
		pause := d.seconds(0.03, 0.1)
		if k++; k%4 == 3 {
			c.long, c.pitch = d.seconds(0.6, 1.6), bent(high, 0.85, d.between(0.5, 0.8), d.between(0.2, 0.7))
		}
		if k%4 == 0 {
			pause = d.seconds(0.3, 2.5)
		}
		return c, pause
	})
}

// barks are a dog's: short, rough, with growls between them (our model).
func barks(out []float32, rate engine.Hz, d dice) {
	pitch, growls := d.octaves(120, 700), d.chance(0.4)
	calls(out, rate, d, func(at engine.Seconds) (call, engine.Seconds) {
		c := call{
			at: at, long: d.seconds(0.08, 0.25), loud: arch(0.5), tilt: d.hz(300, 900), jitter: 0.03, breath: d.octaves(0.02, 0.3),
			pitch: bent(pitch*d.between(0.9, 1.1), 0.7, 0.6, 0.3), rough: d.between(0, 0.5),
			formants: []Resonance{{d.hz(500, 900), 3, 1}, {d.hz(1200, 2000), 4, 0.6}},
		}
		if growls && d.chance(0.3) {
			low := d.octaves(60, 160)
			c.long, c.pitch, c.loud = d.seconds(0.6, 2), bent(low, 0.9, 0.9, 0.5), arch(0.3)
		}
		return c, d.seconds(0.1, 0.9)
	})
}

// shouts are calls of a man, woman or child across a yard, and laughter (our model).
func shouts(out []float32, rate engine.Hz, d dice) {
	usual := d.octaves(150, 450)
	calls(out, rate, d, func(at engine.Seconds) (call, engine.Seconds) {
		vowel := vowels[d.IntN(len(vowels))]
		c := call{
			at: at, long: d.seconds(0.15, 1.2), loud: arch(d.between(0.2, 0.5)), tilt: d.hz(500, 2000), jitter: 0.006, breath: d.octaves(0.002, 0.03),
			pitch:   bent(usual*d.between(0.85, 1.3), d.between(0.75, 0.98), d.between(0.7, 0.98), d.between(0.2, 0.6)),
			vibrato: d.octaves(0.002, 0.02), trill: d.hz(4, 7),
			formants: []Resonance{{vowel[0], 8, 1}, {vowel[1], 12, 0.7}, {vowel[2], 14, 0.4}},
		}
		if d.chance(0.15) { // laughs
			c.long = d.seconds(0.07, 0.12)
			return c, d.seconds(0.06, 0.12)
		}
		return c, d.seconds(0.03, 0.8)
	})
}

// song is somebody who sings: notes of equal temperament, held, with vibrato.
func song(out []float32, rate engine.Hz, d dice) {
	base, scale := d.octaves(95, 260), [...]int{0, 2, 4, 5, 7, 9, 11, 12}
	calls(out, rate, d, func(at engine.Seconds) (call, engine.Seconds) {
		vowel := vowels[d.IntN(len(vowels))]
		note := base * math.Exp2(float64(scale[d.IntN(len(scale))])/12)
		c := call{
			at: at, long: d.seconds(0.25, 1.6), loud: arch(0.2), tilt: d.hz(400, 1200), jitter: 0.003, breath: 0.003,
			pitch: bent(note, d.between(0.94, 1), d.between(0.97, 1), 0.1), vibrato: d.octaves(0.003, 0.03), trill: d.hz(4.5, 6.5),
			formants: []Resonance{{vowel[0], 8, 1}, {vowel[1], 12, 0.6}, {vowel[2], 14, 0.4}},
		}
		return c, max(0, d.seconds(-0.1, 0.5))
	})
}

// herd is a cow, a sheep or a goat: long calls, of a goat with a tremor (our model).
func herd(out []float32, rate engine.Hz, d dice) {
	pitch, tremor := d.octaves(80, 450), d.chance(0.5)
	calls(out, rate, d, func(at engine.Seconds) (call, engine.Seconds) {
		c := call{
			at: at, long: d.seconds(0.6, 2.5), loud: arch(0.3), tilt: d.hz(200, 900), jitter: d.octaves(0.003, 0.03), breath: d.octaves(0.003, 0.05),
			pitch: bent(pitch*d.between(0.9, 1.1), 0.8, 0.75, 0.4), rough: max(0, d.between(-0.3, 0.4)),
			formants: []Resonance{{d.hz(300, 700), 5, 1}, {d.hz(900, 1700), 6, 0.6}, {d.hz(2000, 2800), 8, 0.3}},
		}
		if tremor {
			c.vibrato, c.trill = d.between(0.03, 0.1), d.hz(6, 12)
		}
		return c, d.seconds(0.3, 2)
	})
}

// siren is that of a car on its way: it sweeps or changes between two tones.
func siren(out []float32, rate engine.Hz, d dice) {
	low, ratio, every, sweeps := d.octaves(300, 700), d.between(1.2, 2.2), d.between(0.25, 4), d.chance(0.5)
	horn := dsp.NewBandPass(d.hz(800, 2000), rate, 1)
	phase := 0.0
	for i := range out {
		turn := float64(i) / float64(rate) / every
		at := math.Round(math.Mod(turn, 1))
		if sweeps {
			at = 0.5 - 0.5*math.Cos(2*math.Pi*turn)
		}
		phase += low * math.Pow(ratio, at) / float64(rate)
		saw := 2*math.Mod(phase, 1) - 1
		out[i] += float32(horn.Step(saw))
	}
}

// alarm is pulses of a tone, as of a car, a clock, a lorry that backs up, or a horn
// that is held.
func alarm(out []float32, rate engine.Hz, d dice) {
	tone, every, share, harmonics := d.octaves(180, 3000), d.octaves(0.2, 3), d.between(0.3, 0.95), 1+d.IntN(10)
	for i := range out {
		t := float64(i) / float64(rate)
		if math.Mod(t/every, 1) > share {
			continue
		}
		y := 0.0
		for h := 1; h <= harmonics && tone*float64(h) < float64(rate)/2; h++ {
			y += math.Sin(2*math.Pi*tone*float64(h)*t) / float64(h)
		}
		out[i] += float32(y)
	}
}

// band is music: a melody of one instrument over a bass and a drum.
func band(out []float32, rate engine.Hz, d dice) {
	beat := d.between(0.25, 0.7)
	key := 440 * math.Exp2(float64(d.IntN(12)-24)/12)
	scale := [...]int{0, 2, 3, 5, 7, 8, 10, 12}
	fall := d.octaves(0.3, 4) // 1/s, of a note: a bow holds it, a string that is plucked does not
	note := func(at, long engine.Seconds, f, loud float64) {
		call{
			at: at, long: long, tilt: d.hz(600, 3000), pitch: bent(f, 1, 1, 0.5), vibrato: d.between(0, 0.006), trill: 5.5,
			loud:     func(x float64) float64 { return loud * math.Min(1, 30*x) * math.Exp(-fall*x*float64(long)) },
			formants: []Resonance{{d.hz(300, 3000), 2, 1}, {d.hz(300, 3000), 2, 1}},
		}.sound(out, rate, d)
	}
	length := float64(len(out)) / float64(rate)
	for t := 0.0; t < length; t += beat {
		note(engine.Seconds(t), engine.Seconds(beat), key*math.Exp2(float64(scale[d.IntN(3)*2])/12-1), 0.8)
		for s := 0.0; s < beat-0.01; {
			long := beat * []float64{0.25, 0.5, 1}[d.IntN(3)]
			if d.chance(0.85) {
				note(engine.Seconds(t+s), engine.Seconds(long), key*math.Exp2(float64(scale[d.IntN(len(scale))])/12), 1)
			}
			s += long
		}
		first := int(t * float64(rate))
		for i := 0; i < int(0.08*float64(rate)) && first+i < len(out); i++ {
			out[first+i] += float32(0.3 * d.NormFloat64() * math.Exp(-60*float64(i)/float64(rate)))
		}
	}
}

// motor is a tool with an electric motor: a drill that is pulled and let go, or a
// vacuum cleaner that runs up and stays. Its fan, gear and brushes sound at multiples of
// the shaft, the shaft itself softly; the rush of its air is as loud (our model).
func motor(out []float32, rate engine.Hz, d dice) {
	top, stays := d.between(9000, 32000)/60, d.chance(0.5)
	blades, teeth, rush := 7+d.IntN(6), 5+d.IntN(3), d.octaves(0.2, 1.5)
	orders := []struct{ order, loud float64 }{{1, d.octaves(0.03, 0.3)}, {2, d.octaves(0.03, 0.2)}, {float64(teeth), d.octaves(0.1, 1)}, {float64(blades), d.octaves(0.1, 1)}, {float64(2 * blades), 0.2}}
	low := dsp.NewLowPass(d.hz(700, 2500), rate, 0.6)
	speed, want, until, phase := 0.0, top, d.between(1, 4), 0.0
	for i := range out {
		t := float64(i) / float64(rate)
		if t > until && !stays {
			until += d.between(0.5, 3)
			want = top * []float64{0, 0.5, 1, 1}[d.IntN(4)]
		}
		speed += (want - speed) / (0.25 * float64(rate))
		phase += speed / float64(rate)
		y := 0.0
		for _, o := range orders {
			if o.order*speed < 0.45*float64(rate) {
				y += o.loud * math.Sin(2*math.Pi*o.order*phase)
			}
		}
		share := speed / top
		out[i] += float32(share * share * (y + rush*low.Step(d.NormFloat64())))
	}
}
