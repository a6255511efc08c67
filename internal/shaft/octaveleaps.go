package shaft

import (
	"math"

	"topnote/internal/engine"
)

// withoutLeaps gives the bounds of the readings in which the idles that were read at a
// multiple are held to the idle of the rest: no shaft leaps, and no engine has an idle
// at a simple multiple of the other.
func (o *OctaveOptions) withoutLeaps(first reading, hop engine.Seconds) (all []bounds) {
	if !first.leaps || !first.idle.Told() {
		return nil
	}
	for _, f := range o.Factors {
		if f < 1 {
			continue
		}
		only := func(ps []Point) []Point { return o.idlesAt(ps, f, first.idle, hop) }
		if held := only(first.points); held != nil {
			all = append(all, bounds{track: held, under: engine.RPM(math.Inf(1)), highest: 1 / math.Sqrt(f), only: only})
		}
	}
	return all
}

// idlesAt gives a track in which only those stretches have a speed that the speed leaps
// into or out of by a factor, and whose slowest held speed is that many times the
// idle; nil where there are none, or none of the others is as fast: then they are full
// throttle.
func (o *OctaveOptions) idlesAt(ps []Point, factor float64, idle engine.RPM, hop engine.Seconds) []Point {
	all := stretchesOf(ps, hop)
	out, any := make([]Point, len(ps)), false
	var top engine.RPM // of the others
	for i, s := range all {
		leaps := i > 0 && leapsTo(ps, all[i-1], s, hop) && o.near(ps[s.from].Speed, engine.RPM(factor)*ps[all[i-1].to-1].Speed) ||
			i+1 < len(all) && leapsTo(ps, s, all[i+1], hop) && o.near(ps[s.to-1].Speed, engine.RPM(factor)*ps[all[i+1].from].Speed)
		lowest, highest := engine.RPM(math.Inf(1)), engine.RPM(0)
		for _, h := range o.held(ps[s.from:s.to], hop) {
			lowest, highest = min(lowest, h.speed), max(highest, h.speed)
		}
		if leaps && o.near(lowest, engine.RPM(factor)*idle) {
			copy(out[s.from:s.to], ps[s.from:s.to])
			any = true
		} else {
			top = max(top, highest)
		}
	}
	if !any || top < engine.RPM(factor)*idle {
		return nil
	}
	return out
}

// near reports whether two speeds are the same as far as multiples are concerned.
func (o *OctaveOptions) near(a, b engine.RPM) bool { return math.Abs(math.Log(float64(a/b))) < o.Apart }
