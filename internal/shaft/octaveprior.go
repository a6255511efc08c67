package shaft

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// OctavePrior is what is known of the speeds of hand-held two-strokes before one is
// recorded. Within a range all speeds are as probable; beyond it the density falls off
// as a normal one in ln speed. What a user enters is evidence and no wall: it is
// wrong now and then. The ranges are common practice (docs/sources.md); the chances
// of the exceptions are estimates, and docs/sensitivity.md says how far each can move.
type OctavePrior struct {
	TopLow, TopHigh         engine.RPM // full throttle without load, no limit entered
	OfLimitLow, OfLimitHigh float64    // the same as shares of an entered limit
	IdleLow, IdleHigh       engine.RPM // idle, none entered
	OfIdleLow, OfIdleHigh   float64    // the same as shares of an entered idle
	Edge                    float64    // of ln speed: standard deviation beyond a range

	WrongLimit float64 // chance of a top above its range: the limit was mistyped, or the engine is out of order
	PartLoad   float64 // chance of a top under its range: full throttle without load was not recorded
	IdleOnly   float64 // chance of a recording of idle alone
	OddIdle    float64 // chance of an idle outside its range: the throttle was held partly open
	RichIdle   float64 // chance of an idle that misses firings nearly all the time
	Leap       float64 // chance of a track that leaps further than a shaft can
}

// log gives the ln of how probable such a top, idle, firing at idle and course are, up
// to a constant.
func (p *OctavePrior) log(r reading, known engine.Machine) float64 {
	lo, hi := p.topRange(known)
	exception := p.PartLoad
	if r.top >= lo { // whatever the limit, it is a top of such an engine
		exception = p.WrongLimit * max(p.WrongLimit, softRange(r.top, p.TopLow, p.TopHigh, p.Edge))
	}
	idleLow, idleHigh := p.idleRange(known)
	top := (1-exception)*softRange(r.top, lo, hi, p.Edge) + exception
	if r.idle.Told() {
		odd := (1-p.OddIdle)*softRange(r.idle, idleLow, idleHigh, p.Edge) + p.OddIdle
		top *= odd * math.Pow(p.RichIdle, r.missing)
	} else {
		top = max(top, p.IdleOnly*softRange(r.top, idleLow, idleHigh, p.Edge))
	}
	sum := math.Log(top)
	if r.leaps {
		sum += math.Log(p.Leap)
	}
	return sum
}

// topRange gives where a full throttle without load is expected.
func (p *OctavePrior) topRange(known engine.Machine) (lo, hi engine.RPM) {
	if limit := known.Limits.Max; limit.Told() {
		return engine.RPM(p.OfLimitLow) * limit, engine.RPM(p.OfLimitHigh) * limit
	}
	return p.TopLow, p.TopHigh
}

// idleRange gives where an idle is expected.
func (p *OctavePrior) idleRange(known engine.Machine) (lo, hi engine.RPM) {
	if idle := known.Limits.Idle; idle.Told() {
		return engine.RPM(p.OfIdleLow) * idle, engine.RPM(p.OfIdleHigh) * idle
	}
	return p.IdleLow, p.IdleHigh
}

// noIdle gives the speed above which an idle is less likely to be in its range than to be
// an exception.
func (p *OctavePrior) noIdle(known engine.Machine) engine.RPM {
	_, high := p.idleRange(known)
	return high * engine.RPM(math.Exp(p.Edge*math.Sqrt(-2*math.Log(p.OddIdle))))
}

// softRange is 1 within a range, and beyond it falls off as a normal density of a
// standard deviation in ln speed.
func softRange(v, lo, hi engine.RPM, sd float64) float64 {
	beyond := max(math.Log(float64(lo/v)), math.Log(float64(v/hi)), 0) / sd
	return math.Exp(-beyond * beyond / 2)
}

// around gives the points, to not included, that the multiple is decided on: all of a
// short clip, and of a long one a while whose middle is where its top is first held.
func (o *OctaveOptions) around(r reading, hop engine.Seconds) (from, to int) {
	n := int(math.Round(float64(o.Decide / hop)))
	if len(r.points) <= n {
		return 0, len(r.points)
	}
	top, middle := engine.RPM(0), 0
	for _, h := range o.held(r.points, hop) {
		if h.speed > top {
			top, middle = h.speed, h.from
		}
	}
	from = min(max(0, middle-n/2), len(r.points)-n)
	return from, from + n
}

// measure fills in what the prior needs to know of a reading.
func (o *OctaveOptions) measure(r *reading, hop engine.Seconds) {
	r.leaps = leaps(r.points, hop)
	held := o.held(r.points, hop)
	lowest := engine.RPM(math.Inf(1))
	for _, h := range held {
		r.top, lowest = max(r.top, h.speed), min(lowest, h.speed)
	}
	r.lowest = lowest
	if lowest >= engine.RPM(o.MaxIdle)*r.top {
		return
	}
	var idles, missing []float64
	for _, h := range held {
		if h.speed <= engine.RPM(1+o.Apart)*lowest {
			idles, missing = append(idles, float64(h.speed)), append(missing, h.missing)
		}
	}
	r.idle, r.missing = engine.RPM(dsp.Median(idles)), stat.Mean(missing, nil)
}

// heldSpeed is a speed that was held for OctaveOptions.HeldFor.
type heldSpeed struct {
	speed   engine.RPM
	missing float64 // 0 to 1: share of the points at which firings are missed
	from    int     // point at which the window begins
}

// held gives the speeds that are held, in windows that overlap by most of their length.
func (o *OctaveOptions) held(ps []Point, hop engine.Seconds) (all []heldSpeed) {
	const perWindow, tails = 5, 0.1
	n := int(math.Round(float64(o.HeldFor / hop)))
	speeds := make([]float64, 0, n)
	for from := 0; from+n <= len(ps); from += max(1, n/perWindow) {
		speeds = speeds[:0]
		missing := 0
		for _, p := range ps[from : from+n] {
			if p.Speed.Told() {
				speeds = append(speeds, float64(p.Speed))
				if p.Fires.FourStroking() {
					missing++
				}
			}
		}
		if 2*len(speeds) <= n { // not told for most of it
			continue
		}
		slices.Sort(speeds)
		low, high := speeds[int(tails*float64(len(speeds)))], speeds[int((1-tails)*float64(len(speeds)))]
		if high <= (1+o.Apart)*low {
			all = append(all, heldSpeed{engine.RPM(speeds[len(speeds)/2]), float64(missing) / float64(len(speeds)), from})
		}
	}
	return all
}

// nextLevel gives the highest speed held that is clearly below the top, 0 for none.
func (o *OctaveOptions) nextLevel(r reading, hop engine.Seconds) (next engine.RPM) {
	for _, h := range o.held(r.points, hop) {
		if h.speed < engine.RPM(1-o.Apart)*r.top {
			next = max(next, h.speed)
		}
	}
	return next
}

// leaps reports whether the speed anywhere changes faster than that of a shaft can.
func leaps(ps []Point, hop engine.Seconds) bool {
	const apart = 2 // hops
	for i := apart; i < len(ps); i++ {
		a, b := ps[i-apart], ps[i]
		if a.Speed.Told() && b.Speed.Told() && !sameSpeed(a, b, farthest(apart, hop)) {
			return true
		}
	}
	return false
}

// defaultOctave gives the options in use.
func defaultOctave() OctaveOptions {
	return OctaveOptions{
		Factors: []float64{2. / 3, 1. / 2, 1. / 3, 3. / 2, 2, 3}, Decide: 30, Draw: 0.7, Misled: 0.005, MinOdds: 1.5, Apart: 0.1,
		Tell: 0.8, MaxIdle: 0.7, HeldFor: 0.5,
		Prior: OctavePrior{
			TopLow: 6300, TopHigh: 14200, OfLimitLow: 0.7, OfLimitHigh: 1.12,
			IdleLow: 2000, IdleHigh: 3600, OfIdleLow: 0.8, OfIdleHigh: 1.3, Edge: 0.04,
			WrongLimit: 0.003, PartLoad: 0.15, IdleOnly: 0.5, OddIdle: 0.02, RichIdle: 0.15, Leap: 0.08,
		},
	}
}
