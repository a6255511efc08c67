package shaft

import (
	"cmp"
	"math"
	"slices"

	"topnote/internal/engine"
)

// A simple multiple of the speed can have nearly the same lines: an intake pulse half
// a turn after the exhaust lifts order 2 over order 1, as missed firings at double the
// speed would. What favours one multiple favours it in every frame of the clip, so the
// frames are one draw and not many. The lattice multiplies frames and is therefore
// surer than it may be. So the multiple is decided here, once for the whole clip:
// the clip is followed again within bounds that leave out the first reading, and the
// readings are weighed by their evidence per OctaveOptions.Draw of sound and by what
// is known of such speeds (octaveprior.go).

// OctaveOptions says which multiples of the speed are weighed against one another, and
// what is known of the speeds. Start from Default.
type OctaveOptions struct {
	Factors []float64      // multiples of the speed that are weighed
	Decide  engine.Seconds // longest sound that is decided on: a while around the top of a longer clip
	Draw    engine.Seconds // of sound whose evidence counts: as the contrast of the lattice, a draw is far shorter than a clip
	Misled  float64        // chance that the sound says next to nothing of the multiple, however clear it seems: something else was followed, or hides the lines that differ
	MinOdds float64        // ln of the prior odds over the first reading from which another is looked for
	Apart   float64        // of ln speed: readings whose tops are closer are the same, and so are speeds within one reading

	Tell float64 // 0 to 1: probability under which a speed is not told, no limit entered

	MaxIdle float64        // 0 to 1: share of the top under which the lowest held speed is an idle; above it a point is of full throttle
	HeldFor engine.Seconds // for which a speed is held

	Prior OctavePrior
}

// reading is a track that was found within bounds.
type reading struct {
	points   []Point
	evidence float64 // ln of the likelihood of all observations
	within   bounds

	top, idle engine.RPM // highest speed held; idle, 0 where none was
	lowest    engine.RPM // lowest speed held
	missing   float64    // 0 to 1: share of that idle in which firings are missed
	leaps     bool       // somewhere the speed leaps further than a shaft can
	pinned    int        // points of the longest run at the bounds

	unsure []int    // points at which another reading stands within reach
	first  *reading // the one without bounds, if it is another and told beside this one
}

// bounds hold a search to some speeds. The zero value holds it to nothing.
type bounds struct {
	high engine.RPM // no speed above; 0: any

	// Where the speed of the first track was between over and under, the speed is
	// held to low to high times that; 0: to anything.
	track           []Point
	over, under     engine.RPM
	lowest, highest float64
	only            func([]Point) []Point // the part of the first track that is meant; nil: all of it
}

// of gives the same bounds for another first track, of a longer part of the sound.
func (b bounds) of(track []Point) bounds {
	if b.track == nil {
		return b
	}
	if b.track = track; b.only != nil {
		b.track = b.only(track)
	}
	return b
}

// free reports whether the bounds hold a search to nothing.
func (b *bounds) free() bool { return !b.high.Told() && b.track == nil }

// grid gives the grid points from lo to hi, hi not included, that are within the
// bounds at a point of the track; zeros where they hold it to nothing.
func (b *bounds) grid(g freqGrid, order float64, point int) (lo, hi int) {
	if b.free() {
		return 0, 0
	}
	hi = g.n
	at := func(v engine.RPM) int { return min(max(g.ceil(float64(v.Hz())*order), 0), g.engineEnd-1) }
	if b.high.Told() {
		hi = max(at(b.high), 1)
	}
	if point < len(b.track) {
		v := b.track[point].Speed
		if v > b.over && v < b.under {
			if b.lowest > 0 {
				lo = at(engine.RPM(b.lowest) * v)
			}
			if b.highest > 0 {
				hi = max(min(hi, at(engine.RPM(b.highest)*v)), 1)
			}
		}
	}
	return lo, hi
}

// hold reports whether a track is within the bounds.
func (b *bounds) hold(ps []Point) bool {
	for i, p := range ps {
		if !b.allow(p.Speed, i, 1) {
			return false
		}
	}
	return true
}

// allow reports whether a speed at a point of the track is within the bounds, drawn in
// by a factor of 1 or more.
func (b *bounds) allow(v engine.RPM, point int, by engine.RPM) bool {
	if !v.Told() {
		return true
	}
	if b.high.Told() && v*by > b.high {
		return false
	}
	if point >= len(b.track) {
		return true
	}
	was := b.track[point].Speed
	if was <= b.over || was >= b.under {
		return true
	}
	return v >= engine.RPM(b.lowest)*was*by && (b.highest == 0 || v*by <= engine.RPM(b.highest)*was)
}

// clearEdge takes back the speeds right at the bounds: the search would have gone
// further there. It gives the length of the longest run of them.
func (b *bounds) clearEdge(ps []Point, by engine.RPM) (longest int) {
	run := 0
	for i := range ps {
		if b.allow(ps[i].Speed, i, by) {
			run = 0
			continue
		}
		ps[i] = Point{At: ps[i].At}
		run++
		longest = max(longest, run)
	}
	return longest
}

// decide gives the reading that the sound of the whole clip and what is known make most
// probable, its points with the second reading where that is probable, too.
// within follows the sound again, held to bounds.
func (o *OctaveOptions) decide(first reading, known engine.Machine, hop engine.Seconds, within func(bounds) (reading, error)) (reading, error) {
	all, limited := []reading{first}, known.Limits.Max.Told()
	for _, b := range o.others(&all[0], known, hop) {
		if slices.ContainsFunc(all, func(a reading) bool { return a.answers(&b) }) {
			continue // it would be found again
		}
		r, err := within(b)
		if err != nil {
			return reading{}, err
		}
		if o.isPinned(r, hop) {
			continue
		}
		o.measure(&r, hop)
		same := func(a reading) bool { return o.same(a, r) && (limited || !o.apart(a, r, hop)) }
		if r.top.Told() && !slices.ContainsFunc(all, same) {
			all = append(all, r)
		}
	}
	if len(all) == 1 {
		return all[0], nil
	}
	p := o.probabilities(all, known, hop)
	best := choose(all, p, o.Apart)
	told := []*reading{&best}
	if p[0] >= minAlternativeShare && p[0] < slices.Max(p) {
		best.first = &all[0]
		told = append(told, best.first)
	}
	if !limited {
		for _, r := range told {
			r.unsure = o.unsure(*r, all, known, hop)
		}
	}
	return best, nil
}

// others measures a reading and gives the bounds that others are looked for within, none
// of which it holds itself.
func (o *OctaveOptions) others(first *reading, known engine.Machine, hop engine.Seconds) []bounds {
	o.measure(first, hop)
	if !first.top.Told() {
		return nil
	}
	all := o.alternatives(*first, known, hop)
	if !known.Limits.Max.Told() {
		all = append(all, o.heard(*first, known, hop)...)
	}
	return slices.DeleteFunc(all, func(b bounds) bool { return b.hold(first.points) })
}

// answers reports whether a search within bounds would find the reading again: it was
// found within none that are narrower, and keeps to them.
func (r *reading) answers(b *bounds) bool {
	wide := r.within.free() || r.within.track == nil && b.track == nil && r.within.high >= b.high
	return wide && b.hold(r.points)
}

// isPinned reports whether a reading is at its bounds for as long as a speed is held: it
// is not what the sound has there, and tells nothing where the first one does.
func (o *OctaveOptions) isPinned(r reading, hop engine.Seconds) bool {
	return engine.Seconds(r.pinned)*hop >= o.HeldFor
}

// same reports whether two readings have the same top and idle, and leap alike.
func (o *OctaveOptions) same(a, b reading) bool {
	near := func(a, b engine.RPM) bool {
		return a == b || a.Told() && b.Told() && o.near(a, b)
	}
	return a.leaps == b.leaps && near(a.top, b.top) && near(a.idle, b.idle)
}

// alternatives gives the bounds of the readings that are worth looking for: those that
// what is known favours over the first and, where that leaps, the one that stays at
// the next lower speed held.
func (o *OctaveOptions) alternatives(first reading, known engine.Machine, hop engine.Seconds) (all []bounds) {
	odds := func(top, idle engine.RPM) float64 {
		moved := reading{top: top * first.top, idle: idle * first.idle, leaps: first.leaps}
		return o.Prior.log(moved, known) - o.Prior.log(first, known)
	}
	any := engine.RPM(math.Inf(1))
	if next := o.nextLevel(first, hop); first.leaps && next.Told() {
		all = append(all, bounds{high: engine.RPM(math.Sqrt(float64(first.top * next)))})
	}
	for _, f := range o.Factors {
		factor, between := engine.RPM(f), math.Sqrt(f) // half-way in ln speed
		if max(odds(factor, factor), odds(factor, 1)) >= o.MinOdds {
			if f < 1 {
				all = append(all, bounds{high: engine.RPM(between) * first.top})
				if first.idle.Told() && odds(factor, factor) > odds(factor, 1) {
					all = append(all, bounds{track: first.points, under: any, highest: between})
				}
			} else {
				all = append(all, bounds{track: first.points, over: engine.RPM(o.MaxIdle) * first.top, under: any, lowest: between})
			}
		}
		if first.idle.Told() && odds(1, factor) >= o.MinOdds {
			b := bounds{track: first.points, under: engine.RPM(o.MaxIdle) * first.top, highest: between}
			if f > 1 {
				b.lowest, b.highest = between, 0
			}
			all = append(all, b)
		}
	}
	return append(all, o.withoutLeaps(first, hop)...)
}

// probabilities gives the posterior of each reading; they add up to 1. The likelihood is
// contaminated: now and then the evidence misleads, however clear, and then counts as
// that of one hop, so that what is known of the speeds decides.
//
// Source: Box and Tiao 1968.
func (o *OctaveOptions) probabilities(all []reading, known engine.Machine, hop engine.Seconds) []float64 {
	p := o.logLikelihoods(all, hop)
	for i, r := range all {
		p[i] += o.Prior.log(r, known)
	}
	normalize(p)
	return p
}

// logLikelihoods gives the ln of the contaminated likelihood of each reading, up to a
// constant.
func (o *OctaveOptions) logLikelihoods(all []reading, hop engine.Seconds) (log []float64) {
	told := Track{Hop: hop, Points: all[0].points}.Told()
	draw, once := min(1, float64(o.Draw/told)), float64(hop/told)
	clearest := slices.MaxFunc(all, func(a, b reading) int { return cmp.Compare(a.evidence, b.evidence) }).evidence
	for _, r := range all {
		under := r.evidence - clearest
		log = append(log, math.Log((1-o.Misled)*math.Exp(draw*under)+o.Misled*math.Exp(once*under)))
	}
	return log
}

// choose gives the most probable reading, each point with the confidence that the
// readings which agree there have together. The second one is the
// alternative of each point, where it is more probable than the point's own.
func choose(all []reading, p []float64, apart float64) reading {
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p[b], p[a]) })
	points, second, share := all[order[0]].points, all[order[1]].points, p[order[1]]
	for i := range points {
		pt, other := &points[i], second[i]
		if !pt.Speed.Told() {
			continue
		}
		agree := 0.0
		for k, r := range all {
			if k == order[0] || sameSpeed(*pt, r.points[i], apart) {
				agree += p[k]
			}
		}
		pt.Confidence *= min(1, agree)
		differs := other.Speed.Told() && !sameSpeed(*pt, other, apart)
		if differs && share >= minAlternativeShare && share > pt.AlternativeShare {
			pt.Alternative, pt.AlternativeShare = other.Speed, share
		}
	}
	return all[order[0]]
}
