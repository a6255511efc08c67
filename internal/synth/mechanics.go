package synth

import (
	"math"

	"topnote/internal/engine"
)

// noiseSource gives random numbers.
type noiseSource interface {
	NormFloat64() float64
	Float64() float64
}

// eachAngle calls each with the shaft angle, in revolutions, at every sample, and
// the index of its operating point.
func eachAngle(n int, rate engine.Hz, r *Run, each func(i, k int, angle float64)) {
	perStep := float64(rate) * float64(Step)
	for i := range n {
		x := float64(i) / perStep
		k := min(int(x), len(r.angle)-2)
		x -= float64(k)
		each(i, k, r.angle[k]+(r.angle[k+1]-r.angle[k])*x)
	}
}

// wavetable is one revolution of a periodic sound.
type wavetable [4096]float32

// addHarmonic adds a line at an integer order. Its phase depends on the order, so
// that lines do not add up to a pulse.
func (w *wavetable) addHarmonic(order int, amplitude float64) {
	phase := 2.4 * float64(order*order) // rad, any rule without a pattern
	for i := range w {
		w[i] += float32(amplitude * math.Sin(2*math.Pi*float64(order*i)/float64(len(w))+phase))
	}
}

// at gives the wave at an angle in revolutions, by linear interpolation.
func (w *wavetable) at(angle float64) float32 {
	x := (angle - math.Floor(angle)) * float64(len(w))
	i := int(x)
	a, b := w[i%len(w)], w[(i+1)%len(w)]
	return a + (b-a)*float32(x-float64(i))
}

// pump is the pumping of crankcase and intake in every revolution, fired or not. It
// keeps order 1 strong while an engine four-strokes.
func (v Voice) pump(out []float32, rate engine.Hz, r *Run, g []float64) {
	var w wavetable
	for k, a := range v.PumpOrders {
		w.addHarmonic(k+1, a)
	}
	mouth := newFilterBank(0.6, v.Intake, rate)
	eachAngle(len(out), rate, r, func(i, k int, angle float64) {
		out[i] = float32(mouth.step(float64(w.at(angle)) * g[k]))
	})
}

// fan is the flywheel: unbalance at order 1, blades at theirs and twice that,
// louder with the square of speed as fans are (fan laws: pressure goes as
// speed squared).
func (v Voice) fan(out []float32, rate engine.Hz, r *Run) {
	const unbalance, second = 0.3, 0.4
	var w wavetable
	w.addHarmonic(1, unbalance)
	w.addHarmonic(2, unbalance)
	w.addHarmonic(v.Blades, 1)
	w.addHarmonic(2*v.Blades, second)
	eachAngle(len(out), rate, r, func(i, k int, angle float64) {
		f := float32(r.OperatingPoints[k].Speed.Hz())
		out[i] = w.at(angle) * f * f
	})
}

// slap is piston slap near the ends of the stroke.
func (v Voice) slap(out []float32, rate engine.Hz, r *Run, rng noiseSource) {
	const later, ragged = 0.47, 0.3 // turn of the second slap; spread of strength
	turns := r.Revolutions()
	for i, t := range turns {
		period := engine.Seconds(1 / r.OperatingPoints[r.at(t)].Speed.Hz())
		if i+1 < len(turns) {
			period = turns[i+1] - t
		}
		for k, at := range []engine.Seconds{t, t + period*later} {
			force := (1 - 0.4*float64(k)) * (1 + ragged*rng.NormFloat64()) / float64(period)
			addImpulse(out, float64(at)*float64(rate), force)
		}
	}
	v.resonate(out, rate)
}

// addImpulse adds an impulse between two samples.
func addImpulse(out []float32, at, strength float64) {
	i := int(at)
	if i < 0 || i+1 >= len(out) {
		return
	}
	x := at - float64(i)
	out[i] += float32(strength * (1 - x))
	out[i+1] += float32(strength * x)
}

// resonate filters impacts through the modes of the case.
func (v Voice) resonate(out []float32, rate engine.Hz) {
	body := newFilterBank(0, v.Body, rate)
	for i, x := range out {
		out[i] = float32(body.step(float64(x)))
	}
}

// chainEngagement gives how far the clutch drives the chain at a speed, 0 to 1.
func (v Voice) chainEngagement(speed engine.RPM) float64 {
	const takeUp = 600 // rpm, from first slip to full grip
	return math.Min(1, math.Max(0, float64(speed-v.ChainFrom)/takeUp))
}

// chain is the tone of links over the sprocket. Slip and stretch broaden its line.
func (v Voice) chain(out []float32, rate engine.Hz, r *Run, rng noiseSource) {
	const stray, keep = 0.02, 0.9995 // rad per sample; lag-1 correlation
	phase, push := 0.0, 0.0
	eachAngle(len(out), rate, r, func(i, k int, angle float64) {
		push = keep*push + (1-keep)*rng.NormFloat64()
		phase += stray * push
		speed := r.OperatingPoints[k].Speed
		grip := v.chainEngagement(speed)
		if grip == 0 {
			return
		}
		out[i] = float32(grip * float64(speed) * math.Sin(2*math.Pi*v.Links*angle+phase))
	})
}

// rattle is random knocks of links and loose parts, and of chips in the wood. A few
// knocks are far louder than the rest (the cube of a normal number), as in
// recordings of idling saws.
func (v Voice) rattle(out []float32, rate engine.Hz, r *Run, rng noiseSource) {
	const slow, cutting = 0.15, 3.0 // knocking with the chain at rest; in the wood, times
	for i, n := 0, len(out); i < n; i++ {
		m := r.OperatingPoints[min(i*len(r.OperatingPoints)/n, len(r.OperatingPoints)-1)]
		often := float64(m.Speed.Hz()) * v.Links / float64(rate)
		if rng.Float64() < often {
			x := rng.NormFloat64()
			out[i] = float32(x * x * x * float64(m.Speed) * (slow + v.chainEngagement(m.Speed)) * (1 + cutting*m.Load))
		}
	}
	v.resonate(out, rate)
}
