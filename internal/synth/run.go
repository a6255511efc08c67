package synth

import (
	"math"
	"math/rand/v2"

	"topnote/internal/engine"
)

// Step is the time grid of speed, throttle and load.
const Step engine.Seconds = 0.001

// Cycle is one working cycle of one cylinder, fired or not.
type Cycle struct {
	At       engine.Seconds // when its exhaust opens
	Cylinder int            // from 0
	Every    int            // the pattern in force: every Nth cycle; 0: no regular pattern
	Fired    bool
	Cut      bool    // the coil left the spark out
	Strength float64 // of its pulse; 1: a firing at full throttle
}

// Run is what an engine did: the exact truth.
type Run struct {
	Engine          engine.Spec
	Length          engine.Seconds
	OperatingPoints []OperatingPoint // every Step; Speed is the mean over 50 ms around it
	Cycles          []Cycle          // in order of time
	Spans           []Span

	angle []float64 // shaft angle at each moment, revolutions, with jitter
}

// Wander is how far a real shaft deviates from its profile.
type Wander struct {
	Slow     float64        // standard deviation of ln speed, slow part
	SlowTime engine.Seconds // its time constant
	Fast     float64        // standard deviation of ln speed, fast part
	FastTime engine.Seconds // its time constant
	Jitter   float64        // cycle to cycle: sd of shaft angle at 10,000 rpm, revolutions
	Kick     float64        // share of speed gained by one firing at 10,000 rpm, wide open
	Idle     float64        // how many times wider Slow and Fast are with the throttle shut; 0: as wide
}

// FieldWander is the wander of a plateau held by hand: about 0.4 % within 0.8 s
// once the trend is out; field recordings show 0.3 to 2 %, cutting included
// (measured on them; time constants are our model). Kick is from 8 J a firing
// and 220 J in the flywheel of a 50 cc saw at 10,000 rpm (our model).
func FieldWander() Wander {
	return Wander{Slow: 0.01, SlowTime: 0.25, Fast: 0.002, FastTime: 0.05, Jitter: 0.004, Kick: 0.005, Idle: 2}
}

// Times gives a wander k times as wide in speed.
func (w Wander) Times(k float64) Wander {
	w.Slow *= k
	w.Fast *= k
	return w
}

// jitterSpeed is the speed at which Wander.Jitter and Kick are given. Jitter
// grows with one over speed (our model).
const jitterSpeed = 10000

// handTime is the time in which wander changes between idle and open throttle.
const handTime = 0.15

// Random streams, one for each part of the sound.
const (
	streamWander = iota + 1
	streamFiring
	streamJitter
	streamFlow
	streamRattle
	streamBackdrop
	streamVoice
	streamScene
	streamSaw
	streamDrive
	streamTune
	streamDamage
	streamHand
	streamField
	streamInduction
	streamWheels
	streamTrial
	streamTrialDamage
	streamTampering
	streamBeside
)

func newRand(seed uint64, stream uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, stream)) }

// newRun simulates a profile.
func newRun(s Scene) *Run {
	n := int(math.Round(float64(s.Profile.Length/Step))) + 1
	r := &Run{Engine: s.Engine, Length: s.Profile.Length, Spans: s.Profile.Spans, OperatingPoints: make([]OperatingPoint, n)}
	stray := s.Wander.draw(n, newRand(s.Seed, streamWander))
	open := s.Profile.At(0).Throttle
	for i := range r.OperatingPoints {
		m := s.Profile.At(engine.Seconds(i) * Step)
		wider := 1.0
		if s.Wander.Idle > 0 {
			wider = s.Wander.Idle + (1-s.Wander.Idle)*open
		}
		open += (m.Throttle - open) * float64(Step) / handTime
		m.Speed = s.Firing.at(engine.Seconds(i)*Step).limitSpeed(m.Speed, stray[i]*wider)
		r.OperatingPoints[i] = m
	}
	r.angle = integrateSpeed(r.OperatingPoints)
	r.simulateCycles(s)
	r.averageSpeed()
	return r
}

// meanFor is the time over which speed is a mean: within a revolution, and from a
// firing to a misfire, speed varies.
const meanFor engine.Seconds = 0.05

// averageSpeed sets the speed of each operating point to the revolutions within
// meanFor around it, over that time.
func (r *Run) averageSpeed() {
	half, n := int(meanFor/2/Step), len(r.angle)
	for i := range r.OperatingPoints {
		a, b := max(0, i-half), min(n-1, i+half)
		took := engine.Hz(b-a) * engine.Hz(Step)
		r.OperatingPoints[i].Speed = (engine.Hz(r.angle[b]-r.angle[a]) / took).RPM()
	}
}

// draw draws the wander of ln speed on the grid: the sum of two drifts.
func (w Wander) draw(n int, rng *rand.Rand) []float64 {
	out := make([]float64, n)
	add := func(sd float64, tau engine.Seconds) {
		if sd == 0 || tau == 0 {
			return
		}
		d := newDrift(tau, Step)
		for range int(5 * tau / Step) { // past the start
			d.step(rng)
		}
		for i := range out {
			out[i] += sd * d.step(rng)
		}
	}
	add(w.Slow, w.SlowTime)
	add(w.Fast, w.FastTime)
	return out
}

// integrateSpeed gives the shaft angle by the trapezoidal rule.
func integrateSpeed(ms []OperatingPoint) []float64 {
	a := make([]float64, len(ms))
	for i := 1; i < len(ms); i++ {
		a[i] = a[i-1] + float64(ms[i-1].Speed.Hz()+ms[i].Speed.Hz())/2*float64(Step)
	}
	return a
}

// simulateCycles decides each working cycle in turn, and adds the deviation of the
// shaft angle to the smooth one.
func (r *Run) simulateCycles(s Scene) {
	rng := newRand(s.Seed, streamJitter)
	g := newFiringState(s.Firing, s.Engine.Cylinders, newRand(s.Seed, streamFiring))
	perRev := s.Engine.FiringOrder()
	smooth := r.angle
	r.angle = append([]float64(nil), smooth...)
	var f flywheel
	var last engine.Seconds
	i := 0
	for k := 1; ; k++ {
		want := float64(k) / perRev
		for i+1 < len(smooth) && smooth[i+1] < want {
			i++
		}
		if i+1 >= len(smooth) {
			return
		}
		m := r.OperatingPoints[i]
		x := (want - smooth[i]) / (smooth[i+1] - smooth[i])
		early := f.stray + g.timing()*rng.NormFloat64()
		at := (engine.Seconds(i)+engine.Seconds(x))*Step - engine.Seconds(early/float64(m.Speed.Hz()))
		at = max(at, last)
		b := g.nextCycle((k-1)%s.Engine.Cylinders, at, at-last, m)
		r.Cycles = append(r.Cycles, b)
		addStray(r.angle, smooth, [2]float64{want - 1/perRev, want}, [2]float64{f.before, f.stray})
		f.turn(s.Wander, m, b, rng)
		last = at
	}
}

// flywheel is the deviation of the shaft from its smooth angle: ahead after a
// firing, behind after a misfire. Speed and angle decay to zero within a few
// cycles, so the mean speed stays that of the profile.
type flywheel struct {
	before, stray float64 // revolutions, at the cycle before and now
	fast          float64 // share of speed above the mean
	share         float64 // running mean strength of firings
}

// Constants of the flywheel, per working cycle.
const (
	strayMemory = 0.8  // of stray angle and speed from one cycle to the next
	shareLearns = 0.1  // of the running mean
	idleWork    = 0.15 // work of a firing with the throttle shut, against wide open
	mostKick    = 4    // times Wander.Kick, at the lowest speeds
)

// turn advances the shaft by one cycle. The work of a firing changes speed by its
// share of the kinetic energy: as one over speed squared (energy balance).
func (f *flywheel) turn(w Wander, m OperatingPoint, b Cycle, rng noiseSource) {
	slow := float64(jitterSpeed / max(m.Speed, 1))
	fired := 0.0
	if b.Fired {
		fired = b.Strength
	}
	kick := w.Kick * min(mostKick, slow*slow*(idleWork+(1-idleWork)*m.Throttle))
	f.fast = strayMemory*f.fast + kick*(fired-f.share)
	f.share += shareLearns * (fired - f.share)
	f.before = f.stray
	jitter := w.Jitter * min(slow, mostKick) * math.Sqrt(1-strayMemory*strayMemory)
	f.stray = strayMemory*f.stray + f.fast + jitter*rng.NormFloat64()
}

// addStray adds the deviation of the angle, linear from one cycle to the next.
func addStray(out, smooth []float64, span, stray [2]float64) {
	i := lowerBound(smooth, span[0])
	for ; i < len(smooth) && smooth[i] < span[1]; i++ {
		x := (smooth[i] - span[0]) / (span[1] - span[0])
		out[i] += stray[0] + (stray[1]-stray[0])*x
	}
}

// lowerBound gives the first index whose value is not below x; a is ascending.
func lowerBound(a []float64, x float64) int {
	lo, hi := 0, len(a)
	for lo < hi {
		if mid := (lo + hi) / 2; a[mid] < x {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}
