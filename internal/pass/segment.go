package pass

import (
	"slices"

	"topnote/internal/engine"
)

// segment is a phase as a span of points.
type segment struct {
	kind Kind
	span
}

// segmenter splits a clean track into phases.
type segmenter struct {
	*series
	held  *heldSpeeds
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

// segmentTrack splits the whole track into segments without gaps or overlaps.
func segmentTrack(s *series, h *heldSpeeds, e engine.Spec, o Options) []segment {
	c := &segmenter{series: s, held: h, opt: o, floor: floorOf(e, o)}
	all := span{0, len(s.points)}
	c.top = c.topOf(all)
	if c.top < float64(c.floor) { // blips of the throttle hold nothing for long
		blip, _ := fastestHeld(h.brief, h.briefPoints, all, o)
		c.top = max(c.top, blip.speed)
	}
	var out []segment
	known := c.knownSpans()
	end := 0
	for i, r := range known {
		out = appendSegments(out, c.nameGap(span{end, r.a}))
		silentBefore := len(out) > 0 && out[len(out)-1].kind == NoEngine
		next := len(c.points)
		if i+1 < len(known) {
			next = known[i+1].a
		}
		silentAfter := next > r.b && c.nameGap(span{r.b, next}).kind == NoEngine
		out = appendSegments(out, c.splitRun(r, silentBefore, silentAfter)...)
		end = r.b
	}
	return c.unmarkBogging(appendSegments(out, c.nameGap(span{end, len(c.points)})))
}

// unmarkBogging makes part throttle of a return to idle that is none: well above
// the idle of the clip, with a rise after it, as when an engine bogs down in the
// wood.
func (c *segmenter) unmarkBogging(all []segment) []segment {
	idle := c.lowestIdle(all, c.opt.HeldFor)
	for i := 1; i+1 < len(all); i++ {
		if all[i].kind == ReturnToIdle && all[i+1].kind == Rise && c.settledLevel(all[i].span) > c.opt.HangFrom*idle {
			all[i].kind = PartThrottle
		}
	}
	return all
}

// appendSegments appends segments, leaving out empty ones and joining neighbours of
// one kind.
func appendSegments(out []segment, more ...segment) []segment {
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
	if w, _ := fastestHeld(c.held.long, c.held.longPoints, r, c.opt); w.speed > 0 {
		return w.speed
	}
	var top float64
	for _, v := range c.smooth[r.a:r.b] {
		top = max(top, v)
	}
	return top
}

// nameGap gives the phase of a span without a speed: no engine where the clip begins or ends
// in it or where it is long; otherwise an engine whose speed was not told.
func (c *segmenter) nameGap(r span) segment {
	least := c.opt.SilenceFor
	if r.a == 0 || r.b == len(c.points) {
		least = c.opt.HeldFor
	}
	whole := r.a == 0 && r.b == len(c.points)
	if whole || c.length(r) >= least {
		return segment{NoEngine, r}
	}
	return segment{NotTold, r}
}

// splitRun splits one span of known speed. silentBefore and silentAfter say that the
// engine does not run on either side of it.
func (c *segmenter) splitRun(r span, silentBefore, silentAfter bool) []segment {
	fasts := c.fastSpans(r)
	var out []segment
	end, first := r.a, r.b
	if len(fasts) > 0 {
		first = fasts[0].a
	}
	// A clip that begins below cranking speed may begin as it is started.
	cranks := r.a == 0 && c.smooth[0] < float64(c.opt.MaxCrank) && c.length(span{r.a, first}) >= c.opt.HeldFor
	if silentBefore || cranks {
		end = c.crankingEnd(span{r.a, first})
		out = appendSegments(out, segment{Starting, span{r.a, end}})
	}
	for i, f := range fasts {
		slow := span{end, f.a}
		out = appendSegments(out, c.splitSlow(slow, i > 0, true)...)
		next := r.b
		if i+1 < len(fasts) {
			next = fasts[i+1].a
		}
		out = appendSegments(out, c.splitFast(f, slow.a < slow.b, f.b < next)...)
		end = f.b
	}
	out = appendSegments(out, c.splitSlow(span{end, r.b}, len(fasts) > 0, false)...)
	if silentAfter {
		out = c.splitStopping(out)
	}
	return out
}

// fastSpans gives the spans above about half of the clip's top, with hysteresis
// and without blips. Where the top itself
// is low, half of it may be an idle; speeds at which clutches still slip are
// slow in any case.
func (c *segmenter) fastSpans(r span) []span {
	if c.top < float64(c.floor) {
		return nil
	}
	edge := max(c.opt.FastShare*c.top, min(c.opt.HighShare*float64(c.floor), c.opt.NearTop*c.top))
	fast := make([]bool, r.b-r.a)
	state := c.smooth[r.a] > edge
	for i := range fast {
		switch v := c.smooth[r.a+i]; {
		case v > edge:
			state = true
		case v < c.opt.HighShare*edge:
			state = false
		}
		fast[i] = state
	}
	spans := c.spansWhere(r, func(i int) bool { return fast[i-r.a] })
	return c.joinAndDrop(spans, c.opt.BriefFor, c.opt.BriefFor)
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

// splitSlow splits a span below half of the top: the end of the fall before it,
// the idle, the beginning of the rise after it.
func (c *segmenter) splitSlow(r span, fallsInto, risesFrom bool) []segment {
	if r.a >= r.b {
		return nil
	}
	a, b := r.a, r.b
	if fallsInto {
		a = c.fallEnd(r)
	}
	base := c.settledLevel(span{a, b})
	if risesFrom {
		b = c.riseStart(span{a, b}, base)
	}
	if (fallsInto || risesFrom) && c.length(span{a, max(a, b)}) < c.opt.BriefFor {
		low := c.lowest(r)
		switch {
		case !fallsInto:
			return []segment{{Rise, r}}
		case !risesFrom:
			return []segment{{Fall, r}}
		}
		return []segment{{Fall, span{r.a, low}}, {Rise, span{low, r.b}}}
	}
	kind := Idle
	switch fast := base > float64(c.opt.FastFloor2); {
	case fallsInto && !(fast && risesFrom):
		kind = ReturnToIdle // an engine that does not come back has tried to
	case fast:
		kind = PartThrottle
	}
	return []segment{{Fall, span{r.a, a}}, {kind, span{a, b}}, {Rise, span{b, r.b}}}
}

// fallEnd gives the first point of a slow span at which the speed has
// stopped falling steeply, or is back at the settled speed.
func (c *segmenter) fallEnd(r span) int {
	near := c.opt.NearIdle * c.settledLevel(r)
	ahead := c.count(2 * c.opt.BriefFor)
	for i := r.a; i < r.b; i++ {
		j := min(i+ahead, r.b-1)
		if c.smooth[i] <= near || c.smooth[i]-c.smooth[j] < c.opt.LoadBand*c.smooth[i] {
			return i
		}
	}
	return r.b
}

// riseStart gives the last point of a slow span before the climb to the top.
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

// crankingEnd gives where the engine begins to run by itself, in a slow span after
// silence: before it the speed is well below the idle that follows or, where none
// does, below cranking speed.
func (c *segmenter) crankingEnd(r span) int {
	i := r.a
	if c.length(r) < c.opt.HeldFor {
		for i < r.b && c.smooth[i] < float64(c.opt.MaxCrank) {
			i++
		}
		return i
	}
	idle := c.level(r)
	if c.smooth[i] >= c.opt.HighShare*idle {
		return i
	}
	for i < r.b && c.smooth[i] < (1-c.opt.LeaveShare)*idle {
		i++
	}
	return i
}

// splitStopping marks the end of a run into silence: what is well below the idle
// before it or, where no idle lasts, the whole fall.
func (c *segmenter) splitStopping(run []segment) []segment {
	n := len(run)
	for n > 0 && (run[n-1].kind == Fall || run[n-1].isSlow() && c.length(run[n-1].span) < c.opt.HeldFor) {
		n--
	}
	out := slices.Clone(run[:n])
	for _, x := range run[n:] {
		out = appendSegments(out, segment{Stopping, x.span})
	}
	if n < len(run) || n == 0 || !run[n-1].isSlow() {
		return out
	}
	x := &out[n-1]
	below := c.opt.HighShare * c.level(x.span)
	end := x.b
	for x.b > x.a && c.smooth[x.b-1] < below {
		x.b--
	}
	return appendSegments(out, segment{Stopping, span{x.b, end}})
}
