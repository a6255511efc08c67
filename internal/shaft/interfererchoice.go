package shaft

import (
	"math"

	"topnote/internal/engine"
)

// sameReading is how far apart two readings of one speed may be, of ln speed: more is a
// gross error.
const sameReading = 0.05

// choose gives the points of the engine that is meant, which follows its throttle, of
// points that were read with the steady lines and without them.
//
// Without them the speed must move, be told often enough, and be the same where the
// engine is the louder one. Then, if the readings that change were of the steady
// lines, those without them are given; else only the changes, part by part, that were
// of the steady lines, which are written into with. An engine's own idle cannot have
// such lines: it does not last all along a recording that has other speeds.
func (o InterfererOptions) choose(without, with []Point, m mask, order float64) []Point {
	if !o.followsThrottle(without, with) {
		return with
	}
	if o.wereOf(m, with, without, order) {
		keepFaster(without, with)
		return without
	}
	for a := 0; a < len(with); a++ {
		b := a
		for b < len(with) && !sameSpeed(with[b], without[b], sameReading) {
			b++
		}
		if o.wereOf(m, with[a:b], without[a:b], order) {
			copy(with[a:b], without[a:b])
		}
		a = b
	}
	return with
}

// followsThrottle reports whether the readings without the steady lines are those of an
// engine: enough the same as before, at different speeds.
func (o InterfererOptions) followsThrottle(without, with []Point) bool {
	var all, same int
	lo, hi := engine.RPM(math.Inf(1)), engine.RPM(0)
	for i, p := range without {
		if p.Speed.Told() {
			lo, hi = min(lo, p.Speed), max(hi, p.Speed)
		}
		if with[i].Speed.Told() {
			all++
		}
		if sameSpeed(with[i], p, sameReading) {
			same++
		}
	}
	return float64(same) >= o.MinSame*float64(all) && float64(hi) > o.MinRange*float64(lo)
}

// drowns reports whether the steady lines are so loud that nearly all readings are of
// them, while without them there is an engine nearly all along.
func (o InterfererOptions) drowns(m mask, with, without []Point, order float64) bool {
	var owned, told int
	lo, hi := engine.RPM(math.Inf(1)), engine.RPM(0)
	for i, p := range with {
		if p.Speed.Told() && o.owns(m, p.Speed.Hz()*engine.Hz(order)) {
			owned++
		}
		if v := without[i].Speed; v.Told() {
			told++
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	most := (1 - o.MinSame) * float64(len(with))
	return float64(owned) >= most && float64(told) >= most && float64(hi) > o.MinRange*float64(lo)
}

// keepFaster copies into ps those of others that are a multiple of theirs and faster
// than all of them: the mask does not say which of the two is right, and a top speed
// that is too low is the worse mistake.
func keepFaster(ps, others []Point) {
	var top engine.RPM
	for _, p := range ps {
		top = max(top, p.Speed)
	}
	for i, p := range others {
		if p.Speed > top && ofSameLines(p, ps[i]) {
			ps[i] = p
		}
	}
}

// wereOf reports whether most readings that change without the lines of a mask were
// readings of those lines. Where there was no reading there is nothing to lose; a
// change to a multiple says neither, and is no reason by itself.
func (o InterfererOptions) wereOf(m mask, with, without []Point, order float64) bool {
	var changed, owned, multiples int
	for i, p := range with {
		switch {
		case !p.Speed.Told() || sameSpeed(p, without[i], sameReading):
		case o.owns(m, p.Speed.Hz()*engine.Hz(order)):
			owned, changed = owned+1, changed+1
		case ofSameLines(p, without[i]):
			multiples++
		default:
			changed++
		}
	}
	if changed == 0 {
		return multiples == 0
	}
	return 2*owned > changed
}

// onSameLines is how far apart speeds of the same lines may be, of ln speed.
const onSameLines = 0.02

// ofSameLines reports whether two speeds have the same lines, with different firing
// periods.
func ofSameLines(a, b Point) bool {
	for m := 1; m <= MaxPeriod; m++ {
		for n := 1; n <= MaxPeriod; n++ {
			multiple := Point{Speed: b.Speed * engine.RPM(m) / engine.RPM(n)}
			if m != n && sameSpeed(a, multiple, onSameLines) {
				return true
			}
		}
	}
	return false
}
