package shaft

import (
	"math"
	"slices"

	"topnote/internal/engine"
)

// Without a limit, machines that race at a speed and at its double are both common, so
// that what is known of them seldom decides between two multiples. Then the sound has
// to, and where it does not, the speed is not told.

// heard gives the bounds of the readings that the sound itself leaves possible beside
// the first one, though nothing that is known favours them.
func (o *OctaveOptions) heard(first reading, known engine.Machine, hop engine.Seconds) (all []bounds) {
	any, idle := engine.RPM(math.Inf(1)), engine.RPM(o.MaxIdle)*first.top
	next := o.nextLevel(first, hop)
	// Two levels so near each other that the higher may be a part of full throttle.
	twoLevels := !o.near(first.lowest, first.top) && first.lowest > engine.RPM(o.MaxIdle)*idle
	for _, f := range lineRatios() {
		between := math.Sqrt(f) // half-way in ln speed
		heard := o.heardAt(first, f)
		if f < 1 {
			if heard {
				all = append(all, bounds{high: engine.RPM(between) * first.top})
			}
			continue
		}
		if heard {
			all = append(all, bounds{track: first.points, over: idle, under: any, lowest: between})
		}
		whole := reading{top: engine.RPM(f) * first.top, idle: first.lowest}
		if twoLevels && o.Prior.log(whole, known) > o.Prior.log(first, known) {
			all = append(all, o.raised(first, first.top, between, hop))
		}
		multiple := Point{Speed: engine.RPM(f) * next}
		if next > engine.RPM(1+o.Apart)*first.idle && sameSpeed(Point{Speed: first.top}, multiple, onSameLines) {
			all = append(all, o.raised(first, next, between, hop))
		}
	}
	return all
}

// lineRatios gives the ratios of two speeds that can have the same lines, other than 1.
func lineRatios() (all []float64) {
	for m := range MaxPeriod {
		for n := range MaxPeriod {
			if f := float64(m+1) / float64(n+1); f != 1 && !slices.Contains(all, f) {
				all = append(all, f)
			}
		}
	}
	return all
}

// heardAt reports whether the lattice itself gives full throttle at a multiple of the
// reading such a share that it would be told beside it.
func (o *OctaveOptions) heardAt(r reading, factor float64) bool {
	var share float64
	n := 0
	for _, p := range r.points {
		if p.Speed < engine.RPM(o.MaxIdle)*r.top {
			continue
		}
		if n++; p.Alternative.Told() && o.near(p.Alternative, engine.RPM(factor)*p.Speed) {
			share += p.AlternativeShare
		}
	}
	return n > 0 && share >= minAlternativeShare*float64(n)
}

// raised gives the bounds within which what is held near a speed is so many times as
// fast, or faster.
func (o *OctaveOptions) raised(first reading, speed engine.RPM, times float64, hop engine.Seconds) bounds {
	only := func(ps []Point) []Point { return o.heldNear(ps, speed, hop) }
	return bounds{track: only(first.points), under: engine.RPM(math.Inf(1)), lowest: times, only: only}
}

// heldNear gives a track in which only those points have a speed that are well within
// what is held near a speed: what leads up to it may have been read rightly.
func (o *OctaveOptions) heldNear(ps []Point, speed engine.RPM, hop engine.Seconds) []Point {
	out, n := make([]Point, len(ps)), int(math.Round(float64(o.HeldFor/hop)))
	near := func(p Point) bool { return p.Speed.Told() && o.near(p.Speed, speed) }
	for from, to := range runsOf(ps, near) {
		if to-from > n {
			copy(out[from+n/4:to-n/4], ps[from+n/4:])
		}
	}
	return out
}

// apart reports whether two readings are apart for as long as a speed is held.
func (o *OctaveOptions) apart(a, b reading, hop engine.Seconds) bool {
	n := 0
	for i, p := range a.points {
		if p.Speed.Told() && b.points[i].Speed.Told() && !o.near(p.Speed, b.points[i].Speed) {
			n++
		}
	}
	return engine.Seconds(n)*hop >= o.HeldFor
}

// unsure gives the points of a reading at which another one stands within reach: neither
// the sound alone nor all that is known give the speed there a probability of
// OctaveOptions.Tell. A leap is no reason to tell the reading that has none: where an
// echo or a noise blurs the rise and the fall, the right one leaps.
func (o *OctaveOptions) unsure(best reading, all []reading, known engine.Machine, hop engine.Seconds) (points []int) {
	bySound := o.logLikelihoods(all, hop)
	var whole, steady []float64 // steady: without regard to leaps
	for i, r := range all {
		whole = append(whole, bySound[i]+o.Prior.log(r, known))
		r.leaps = false
		steady = append(steady, bySound[i]+o.Prior.log(r, known))
	}
	shares := [...][]float64{bySound, whole, steady}
	for _, p := range shares {
		normalize(p)
	}
	for i, pt := range best.points {
		var agree [len(shares)]float64
		for k, r := range all {
			if sameSpeed(pt, r.points[i], o.Apart) {
				for s, p := range shares {
					agree[s] += p[k]
				}
			}
		}
		if pt.Speed.Told() && max(agree[0], min(agree[1], agree[2])) < o.Tell {
			points = append(points, i)
		}
	}
	return points
}

// normalize turns logarithms into probabilities that add up to 1.
func normalize(p []float64) {
	best, sum := slices.Max(p), 0.0
	for i := range p {
		p[i] = math.Exp(p[i] - best)
		sum += p[i]
	}
	for i := range p {
		p[i] /= sum
	}
}
