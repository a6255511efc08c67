package pass

// band is where a fast speed is, relative to the top of its span.
type band int

const (
	low    band = iota // below what load can do: the throttle was let off
	pulled             // pulled down by load, or the throttle partly closed
	high               // at the top
)

// splitFast splits a span above half of the clip's top. rises and falls say that
// slow speeds come before and after it.
func (c *segmenter) splitFast(r span, rises, falls bool) []segment {
	top := c.topOf(r)
	// A blip holds nothing near its own peak.
	if top < c.opt.PulledShare*max(c.top, c.smooth[c.highest(r)]) {
		return c.partThrottle(r, rises, falls)
	}
	bands := c.bands(r, top)
	highs := c.spansWhere(r, func(i int) bool { return bands[i-r.a] == high })
	highs = c.joinDips(highs, bands, r)
	highs = c.joinAndDrop(highs, 0, c.opt.MinPlateau)
	if len(highs) == 0 {
		return c.partThrottle(r, rises, falls)
	}
	var out []segment
	end := r.a
	for i, h := range highs {
		before := span{end, h.a}
		switch {
		case i > 0:
			out = appendSegments(out, c.splitDip(before, top)...)
		case !rises && c.length(before) < c.opt.BriefFor:
			h.a = before.a // the clip begins at the top
		default:
			out = appendSegments(out, c.splitClimb(before)...)
		}
		out = appendSegments(out, segment{FullThrottle, h})
		end = h.b
	}
	after := span{end, r.b}
	if !falls && c.length(after) < c.opt.BriefFor {
		return appendSegments(out, segment{FullThrottle, after})
	}
	return appendSegments(out, c.splitDescent(after, top)...)
}

// partThrottle splits a fast span that has no full throttle at no load in it: up
// and down again, with what is held between them.
func (c *segmenter) partThrottle(r span, rises, falls bool) []segment {
	a, b := r.a, r.b
	peak := c.highest(r)
	near := c.opt.TopShare * c.smooth[peak]
	if rises {
		for a < peak && c.smooth[a] < near {
			a++
		}
	}
	if falls {
		for b > peak && c.smooth[b-1] < near {
			b--
		}
	}
	if c.length(span{a, b}) < c.opt.MinPlateau {
		switch {
		case rises && falls:
			a, b = peak, peak
		case rises:
			a, b = r.b, r.b
		case falls:
			a, b = r.a, r.a
		}
	}
	return []segment{{Rise, span{r.a, a}}, {PartThrottle, span{a, b}}, {Fall, span{b, r.b}}}
}

// bands gives the band of each point of a fast span, with hysteresis at the edge of
// the highest.
func (c *segmenter) bands(r span, top float64) []band {
	out := make([]band, r.b-r.a)
	state := low
	for i := range out {
		v := c.smooth[r.a+i] / top
		edge := c.opt.HighShare + c.opt.HeldBand
		if state == high {
			edge = c.opt.HighShare - c.opt.HeldBand
		}
		switch {
		case v >= edge:
			state = high
		case v >= c.opt.PulledShare:
			state = pulled
		default:
			state = low
		}
		out[i] = state
	}
	return out
}

// joinDips joins spans at the top that are parted by a dip too short to be a cut
// and not deep enough for a throttle that was let off.
func (c *segmenter) joinDips(highs []span, bands []band, r span) []span {
	var out []span
	for _, h := range highs {
		n := len(out)
		if n == 0 || c.length(span{out[n-1].b, h.a}) >= c.opt.MinCut || c.hasLow(span{out[n-1].b, h.a}, bands, r) {
			out = append(out, h)
			continue
		}
		out[n-1].b = h.b
	}
	return out
}

func (c *segmenter) hasLow(dip span, bands []band, r span) bool {
	for i := dip.a; i < dip.b; i++ {
		if bands[i-r.a] == low {
			return true
		}
	}
	return false
}

// splitClimb splits what comes before the first span at the top: a rise, with a
// part throttle inside it where a speed was held for long. No cut is claimed
// there: with no top before it, load and a half-open throttle sound the same.
func (c *segmenter) splitClimb(r span) []segment {
	for _, x := range c.steadyParts(r) {
		if c.length(x) >= c.opt.MinPart {
			return []segment{{Rise, span{r.a, x.a}}, {PartThrottle, x}, {Rise, span{x.b, r.b}}}
		}
	}
	return []segment{{Rise, r}}
}

// splitDip splits what is between two spans at the top: a cut where a speed is
// held, a throttle let off and opened again where none is.
func (c *segmenter) splitDip(r span, top float64) []segment {
	if c.isCut(r, top) {
		return []segment{{InCut, r}}
	}
	turn := c.lowest(r)
	return []segment{{Fall, span{r.a, turn}}, {Rise, span{turn, r.b}}}
}

// splitDescent splits what comes after the last span at the top.
func (c *segmenter) splitDescent(r span, top float64) []segment {
	end := r.b
	for end > r.a && c.smooth[end-1] < c.opt.PulledShare*top {
		end--
	}
	pulled := span{r.a, end}
	if !c.isCut(pulled, top) {
		return []segment{{Fall, r}}
	}
	// The fall begins where the speed leaves the level of the cut for good.
	leave := c.opt.BackShare * c.level(pulled)
	for end > r.a && c.smooth[end-1] < leave {
		end--
	}
	return []segment{{InCut, span{r.a, end}}, {Fall, span{end, r.b}}}
}

// isCut reports whether a speed is held in a span, pulled down below the top by
// no more than load can.
func (c *segmenter) isCut(r span, top float64) bool {
	least := max(c.opt.PulledShare*top, float64(c.floor))
	return c.length(r) >= c.opt.MinCut && c.smooth[c.lowest(r)] >= least && len(c.steadyParts(r)) > 0
}

// steadyParts gives the parts over which the speed is calm: all points in some
// window of MinPlateau whose speeds stay within LoadBand.
func (c *segmenter) steadyParts(r span) []span {
	wide := c.count(c.opt.MinPlateau)
	calm := make([]bool, r.b-r.a)
	for i := r.a; i+wide <= r.b; i++ {
		lowest, highest := c.smooth[i], c.smooth[i]
		for _, v := range c.smooth[i : i+wide] {
			lowest, highest = min(lowest, v), max(highest, v)
		}
		if highest-lowest <= c.opt.LoadBand*highest {
			for j := i; j < i+wide; j++ {
				calm[j-r.a] = true
			}
		}
	}
	return c.spansWhere(r, func(i int) bool { return calm[i-r.a] })
}
