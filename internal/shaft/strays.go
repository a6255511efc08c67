package shaft

import (
	"cmp"
	"context"
	"math"
	"slices"

	"topnote/internal/dsp"
	"topnote/internal/engine"
)

// clearStrays takes back the speeds of what else is followed where the engine idles, if
// elsewhere a throttle is seen to be opened. Beside an idle a second engine or a voice is
// the louder one, at a speed that no shaft comes to from there; an idle is softer than full
// throttle by LoudnessOptions.QuietFrom at the least. So what is fast, led into or out of by
// a leap, and softer by half of that is no full throttle; nor is what is as fast and as
// soft, though nothing leaps there, since a second engine keeps its speed; nor what is
// faster than full throttle and as soft as an idle: a throttle that is shut slows the
// engine. It gives what was taken back, whose points keep the speed as their second
// reading: it may have been this engine, further away.
func (j *job) clearStrays(ps []Point) (gone []stretch) {
	o, level := &j.options, j.level
	least := o.Octave.Prior.noIdle(j.known)
	strays, engines := o.strays(ps, least)
	if len(engines) == 0 {
		return nil
	}
	takeBack := func(s stretch) {
		for i, p := range ps[s.from:s.to] {
			ps[s.from+i] = Point{At: p.At, Alternative: max(p.Speed, p.Alternative), AlternativeShare: p.Confidence}
		}
		gone = append(gone, s)
	}
	for _, s := range strays {
		stray := slices.Clone(ps[s.from:s.to])
		speed := medianSpeed(stray)
		_, full := o.fullThrottle(ps, level, engines, speed)
		soft := func(s stretch) bool { return dsp.Median(level[s.from:s.to]) < full-float64(o.Loudness.QuietFrom)/2 }
		if !soft(s) {
			continue
		}
		takeBack(s)
		if slices.ContainsFunc(stray, func(p Point) bool { return !sameSpeed(p, Point{Speed: speed}, sameReading) }) {
			continue // a voice: what has its pitch elsewhere need not be one
		}
		for _, s := range o.atSpeed(ps, speed, least) {
			if soft(s) {
				takeBack(s)
			}
		}
	}
	for _, s := range o.faster(ps, level, engines) {
		takeBack(s)
	}
	return gone
}

// fillIdles reads what is below the strays that were taken back: an idle is softer than
// they are, or was read at a multiple. One from which the speed leaps is none; nor is one at
// a part of a stray that is faster than all full throttle, since it has the same lines and
// would hide it, unless it idles there elsewhere. A long recording is not followed again for it.
func (j *job) fillIdles(ctx context.Context, r *reading) error {
	gone := j.clearStrays(r.points)
	if gone == nil || len(r.points) > j.options.hops(j.options.Octave.Decide) {
		return nil
	}
	idles := make([]Point, len(r.points))
	for _, s := range gone {
		for i := s.from; i < s.to; i++ {
			idles[i].Speed = j.options.Octave.Prior.noIdle(j.known)
		}
	}
	low, err := j.followWithin(ctx, bounds{high: r.within.high, track: idles, under: engine.RPM(math.Inf(1)), highest: 1})
	if err != nil {
		return err
	}
	held := j.options.Octave.held(r.points, j.options.Hop)
	for from, to := range runs(idles) {
		stray := slices.Clone(r.points[from:to])
		for i := from; i < to; i++ {
			if p := low.points[i]; p.Speed.Told() && !hides(p, r.points[i].Alternative, held) {
				r.points[i] = p
			}
		}
		if around := 2 * smear; leaps(r.points[max(0, from-around):min(len(r.points), to+around)], j.options.Hop) {
			copy(r.points[from:to], stray)
		}
	}
	return nil
}

// hides reports whether a reading may be a stray still: it is a part of it, the stray is
// faster than all that was held, and no idle was held there elsewhere.
func hides(p Point, stray engine.RPM, held []heldSpeed) bool {
	return isPart(p.Speed, stray) && !slices.ContainsFunc(held, func(h heldSpeed) bool {
		return h.speed >= stray || sameSpeed(p, Point{Speed: h.speed}, sameReading)
	})
}

// isPart reports whether one speed is such a part of another that it has all its lines.
func isPart(speed, of engine.RPM) bool {
	times := math.Round(float64(of / speed))
	return times > 1 && times <= MaxPeriod && math.Abs(float64(of/speed)/times-1) < onSameLines
}

// faster gives what is faster than a full throttle and as soft as an idle, or half as soft
// and not read surely: a fall that is followed upwards. What a throttle leads up to or
// down from is another opening of this engine.
func (o *Options) faster(ps []Point, level []float64, engines []stretch) (all []stretch) {
	loudest, full := o.fullThrottle(ps, level, engines, 0)
	stretches := o.stretches(ps)
	for from, to := range runsOf(ps, func(p Point) bool { return p.Speed > loudest*engine.RPM(1+sameReading) }) {
		softer := float64(o.Loudness.QuietFrom)
		if !mostlySure(ps[from:to], to-from) {
			softer /= 2
		}
		run := stretch{from, to}
		opened := func(s stretch) bool { return o.opened(ps, s, run, loudest) }
		if dsp.Median(level[from:to]) < full-softer && !slices.ContainsFunc(stretches, opened) {
			all = append(all, run)
		}
	}
	return all
}

// opened reports whether in a stretch a throttle leads up to a run or down from it,
// without holding another full throttle in between.
func (o *Options) opened(ps []Point, s, run stretch, other engine.RPM) bool {
	if s.to <= run.from || s.from >= run.to {
		return false
	}
	within := o.hops(o.Presence.Opening)
	leads := func(ps []Point) bool {
		held := 0
		for _, p := range ps {
			if sameSpeed(p, Point{Speed: other}, sameReading) {
				held++
			}
		}
		return held < o.hops(o.Octave.HeldFor) && o.throttled(ps)
	}
	up := stretch{max(s.from, run.from-within), min(s.to, run.from+1)}
	down := stretch{max(s.from, run.to-1), min(s.to, run.to+within)}
	return up.from < up.to && leads(ps[up.from:up.to]) || down.from < down.to && leads(ps[down.from:down.to])
}

// strays gives the stretches that are fast throughout and next to a leap, and those in
// which a throttle is seen to move.
func (o *Options) strays(ps []Point, least engine.RPM) (strays, engines []stretch) {
	all := o.stretches(ps)
	for i, s := range all {
		switch {
		case o.throttled(ps[s.from:s.to]):
			engines = append(engines, s)
		case slowest(ps[s.from:s.to]) < least:
		case i > 0 && leapsTo(ps, all[i-1], s, o.Hop), i+1 < len(all) && leapsTo(ps, s, all[i+1], o.Hop):
			strays = append(strays, s)
		}
	}
	return strays, engines
}

// fullThrottle gives the loudest of the speeds that are held in some stretches, are no
// idle and not that of a stray, and its level; -Inf where there is none.
func (o *Options) fullThrottle(ps []Point, level []float64, engines []stretch, stray engine.RPM) (speed engine.RPM, loudest float64) {
	loudest = math.Inf(-1)
	for _, s := range engines {
		for _, h := range o.Octave.held(ps[s.from:s.to], o.Hop) {
			if h.speed < o.Calls.Fast || sameSpeed(Point{Speed: h.speed}, Point{Speed: stray}, sameReading) {
				continue
			}
			from := s.from + h.from
			if v := dsp.Median(level[from : from+o.hops(o.Octave.HeldFor)]); v > loudest {
				speed, loudest = h.speed, v
			}
		}
	}
	return speed, loudest
}

// atSpeed gives what is at a speed: whole stretches that are fast throughout and mostly
// there, of others the runs of points.
func (o *Options) atSpeed(ps []Point, speed, least engine.RPM) (all []stretch) {
	at := func(p Point) bool { return sameSpeed(p, Point{Speed: speed}, sameReading) }
	for _, s := range o.stretches(ps) {
		if at(Point{Speed: medianSpeed(ps[s.from:s.to])}) && slowest(ps[s.from:s.to]) >= least {
			all = append(all, s)
			continue
		}
		for from, to := range runsOf(ps[s.from:s.to], at) {
			all = append(all, stretch{s.from + from, s.from + to})
		}
	}
	return all
}

func slowest(ps []Point) engine.RPM {
	return slices.MinFunc(ps, func(a, b Point) int { return cmp.Compare(a.Speed, b.Speed) }).Speed
}

func medianSpeed(ps []Point) engine.RPM {
	v := make([]float64, len(ps))
	for i, p := range ps {
		v[i] = float64(p.Speed)
	}
	return engine.RPM(dsp.Median(v))
}
