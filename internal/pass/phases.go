package pass

import (
	"slices"

	"topnote/internal/engine"
)

// stretch is a phase as a span of points.
type stretch struct {
	kind Kind
	span
}

// segmenter parts a mended track into stretches.
type segmenter struct {
	*series
	holds *holds
	opt   Options
	top   float64    // highest speed held in the clip
	floor engine.RPM // a clip whose top is below this never left idle
}

// floorOf gives the speed under which an engine never left idle.
func floorOf(e engine.Spec, o Options) engine.RPM {
	if e.Strokes == 4 {
		return o.FastFloor4
	}
	return o.FastFloor2
}

// segment parts the whole track into stretches without gaps or overlaps.
func segment(s *series, h *holds, e engine.Spec, o Options) []stretch {
	c := &segmenter{series: s, holds: h, opt: o, floor: floorOf(e, o)}
	all := span{0, len(s.points)}
	c.top = c.topOf(all)
	if c.top < float64(c.floor) { // blips of the throttle hold nothing for long
		blip, _ := best(h.brief, h.briefWide, all, o)
		c.top = max(c.top, blip.speed)
	}
	var out []stretch
	heard := c.heard()
	end := 0
	for i, r := range heard {
		out = add(out, c.gap(span{end, r.a}))
		silentBefore := len(out) > 0 && out[len(out)-1].kind == NoEngine
		next := len(c.points)
		if i+1 < len(heard) {
			next = heard[i+1].a
		}
		silentAfter := next > r.b && c.gap(span{r.b, next}).kind == NoEngine
		out = add(out, c.run(r, silentBefore, silentAfter)...)
		end = r.b
	}
	return c.pulledDeep(add(out, c.gap(span{end, len(c.points)})))
}

// pulledDeep finds what passes for a return to idle and is none: a stretch well
// above the idle of the clip from which the speed rises again, as when an
// engine bogs down in the wood.
func (c *segmenter) pulledDeep(all []stretch) []stretch {
	idle := c.settled(all, c.opt.HeldFor)
	for i := 1; i+1 < len(all); i++ {
		if all[i].kind == ReturnToIdle && all[i+1].kind == Rise && c.base(all[i].span) > c.opt.HangFrom*idle {
			all[i].kind = PartThrottle
		}
	}
	return all
}

// add appends stretches, leaving out empty ones and joining neighbours of one
// kind.
func add(out []stretch, more ...stretch) []stretch {
	for _, x := range more {
		if x.a >= x.b {
			continue
		}
		if n := len(out); n > 0 && out[n-1].kind == x.kind && out[n-1].b == x.a {
			out[n-1].b = x.b
			continue
		}
		out = append(out, x)
	}
	return out
}

// topOf gives the highest speed held in a span or, where none was held, the
// highest smooth speed.
func (c *segmenter) topOf(r span) float64 {
	if w, _ := best(c.holds.long, c.holds.longWide, r, c.opt); w.speed > 0 {
		return w.speed
	}
	var top float64
	for _, v := range c.smooth[r.a:r.b] {
		top = max(top, v)
	}
	return top
}

// gap names a stretch without a speed: no engine where the clip begins or ends
// in it or where it is long; otherwise an engine whose speed was not told.
func (c *segmenter) gap(r span) stretch {
	least := c.opt.SilenceFor
	if r.a == 0 || r.b == len(c.points) {
		least = c.opt.MaxGap
	}
	whole := r.a == 0 && r.b == len(c.points)
	if whole || c.length(r) >= least {
		return stretch{NoEngine, r}
	}
	return stretch{NotTold, r}
}

// run parts one heard stretch. silentBefore and silentAfter say that the engine
// does not run on either side of it.
func (c *segmenter) run(r span, silentBefore, silentAfter bool) []stretch {
	fasts := c.fastSpans(r)
	var out []stretch
	end, first := r.a, r.b
	if len(fasts) > 0 {
		first = fasts[0].a
	}
	// A clip that begins below cranking speed may begin as it is started.
	cranks := r.a == 0 && c.smooth[0] < float64(c.opt.MaxCrank) && c.length(span{r.a, first}) >= c.opt.HeldFor
	if silentBefore || cranks {
		end = c.startEnd(span{r.a, first})
		out = add(out, stretch{Starting, span{r.a, end}})
	}
	for i, f := range fasts {
		slow := span{end, f.a}
		out = add(out, c.slow(slow, i > 0, true)...)
		next := r.b
		if i+1 < len(fasts) {
			next = fasts[i+1].a
		}
		out = add(out, c.fast(f, slow.a < slow.b, f.b < next)...)
		end = f.b
	}
	out = add(out, c.slow(span{end, r.b}, len(fasts) > 0, false)...)
	if silentAfter {
		out = c.stopping(out)
	}
	return out
}

// fastSpans gives the stretches above about half of the clip's top, with some
// play between leaving and coming back, and without blips. Where the top itself
// is low, half of it may be an idle; speeds at which clutches still slip are
// slow in any case.
func (c *segmenter) fastSpans(r span) []span {
	if c.top < float64(c.floor) {
		return nil
	}
	edge := max(c.opt.FastShare*c.top, min(c.opt.FloorShare*float64(c.floor), c.opt.NearTop*c.top))
	fast := make([]bool, r.b-r.a)
	state := c.smooth[r.a] > edge
	for i := range fast {
		switch v := c.smooth[r.a+i]; {
		case v > edge:
			state = true
		case v < c.opt.SlowShare*edge:
			state = false
		}
		fast[i] = state
	}
	spans := c.where(r, func(i int) bool { return fast[i-r.a] })
	return c.joinAndDrop(spans, c.opt.MaxBlip, c.opt.MaxBlip)
}

// joinAndDrop joins spans that are parted by less than gap and then drops
// those shorter than least.
func (c *segmenter) joinAndDrop(spans []span, gap, least engine.Seconds) []span {
	var out []span
	for _, x := range spans {
		if n := len(out); n > 0 && c.length(span{out[n-1].b, x.a}) < gap {
			out[n-1].b = x.b
		} else {
			out = append(out, x)
		}
	}
	kept := out[:0]
	for _, x := range out {
		if c.length(x) >= least {
			kept = append(kept, x)
		}
	}
	return kept
}

// slow parts a stretch below half of the top: the end of the fall before it,
// the idle, the beginning of the rise after it.
func (c *segmenter) slow(r span, fallsInto, risesFrom bool) []stretch {
	if r.a >= r.b {
		return nil
	}
	a, b := r.a, r.b
	if fallsInto {
		a = c.fallEnd(r)
	}
	base := c.base(span{a, b})
	if risesFrom {
		b = c.riseStart(span{a, b}, base)
	}
	if (fallsInto || risesFrom) && c.length(span{a, max(a, b)}) < c.opt.MaxBlip {
		low := c.lowest(r)
		switch {
		case !fallsInto:
			return []stretch{{Rise, r}}
		case !risesFrom:
			return []stretch{{Fall, r}}
		}
		return []stretch{{Fall, span{r.a, low}}, {Rise, span{low, r.b}}}
	}
	kind := Idle
	switch fast := base > float64(c.opt.MaxIdle); {
	case fallsInto && !(fast && risesFrom):
		kind = ReturnToIdle // an engine that does not come back has tried to
	case fast:
		kind = PartThrottle
	}
	return []stretch{{Fall, span{r.a, a}}, {kind, span{a, b}}, {Rise, span{b, r.b}}}
}

// fallEnd gives the first point of a slow stretch at which the speed has
// stopped falling steeply, or is back at the settled speed.
func (c *segmenter) fallEnd(r span) int {
	near := c.opt.NearIdle * c.base(r)
	ahead := c.count(2 * c.opt.MaxBlip)
	for i := r.a; i < r.b; i++ {
		j := min(i+ahead, r.b-1)
		if c.smooth[i] <= near || c.smooth[i]-c.smooth[j] < c.smooth[i]*c.opt.FallSlope*float64(c.at(j)-c.at(i)) {
			return i
		}
	}
	return r.b
}

// riseStart gives the last point of a slow stretch before the climb to the top.
func (c *segmenter) riseStart(r span, base float64) int {
	leave := base + c.opt.LeaveShare*(c.top-base)
	i := r.b
	for i > r.a && c.smooth[i-1] > leave {
		i--
	}
	return i
}

func (c *segmenter) lowest(r span) int {
	low := r.a
	for i := r.a; i < r.b; i++ {
		if c.smooth[i] < c.smooth[low] {
			low = i
		}
	}
	return low
}

func (c *segmenter) highest(r span) int {
	high := r.a
	for i := r.a; i < r.b; i++ {
		if c.smooth[i] > c.smooth[high] {
			high = i
		}
	}
	return high
}

// startEnd gives where the engine runs by itself, in a slow stretch that comes
// out of silence: before it the speed lies well below the idle that follows or,
// where none does, below cranking speed.
func (c *segmenter) startEnd(r span) int {
	i := r.a
	if c.length(r) < c.opt.HeldFor {
		for i < r.b && c.smooth[i] < float64(c.opt.MaxCrank) {
			i++
		}
		return i
	}
	idle := c.level(r)
	if c.smooth[i] >= c.opt.CrankShare*idle {
		return i
	}
	for i < r.b && c.smooth[i] < (1-c.opt.LeaveShare)*idle {
		i++
	}
	return i
}

// stopping names the end of a run into silence: what lies well below the idle
// before it or, where no idle lasts, the whole fall.
func (c *segmenter) stopping(run []stretch) []stretch {
	n := len(run)
	for n > 0 && (run[n-1].kind == Fall || run[n-1].isSlow() && c.length(run[n-1].span) < c.opt.HeldFor) {
		n--
	}
	out := slices.Clone(run[:n])
	for _, x := range run[n:] {
		out = add(out, stretch{Stopping, x.span})
	}
	if n < len(run) || n == 0 || !run[n-1].isSlow() {
		return out
	}
	x := &out[n-1]
	below := c.opt.CrankShare * c.level(x.span)
	end := x.b
	for x.b > x.a && c.smooth[x.b-1] < below {
		x.b--
	}
	return add(out, stretch{Stopping, span{x.b, end}})
}
