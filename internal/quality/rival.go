package quality

import (
	"math"
	"slices"

	"topnote/internal/engine"
	"topnote/internal/spectrum"
)

// interferer is another engine beside the one that was followed.
type interferer struct {
	height float64    // dB, mean height of its lines, limited: see hunt
	clear  float64    // dB, mean height of its lines, not limited
	speed  engine.RPM // of a two-stroke single with such lines; often a fraction of the true one
}

// combSearch looks for a second comb of lines that stays where it is while the
// engine's own move. At every look the engine's lines are masked; what is left
// of each candidate's lines is held against what lies between them.
type combSearch struct {
	opt    Options
	bin    engine.Hz
	mains  engine.Hz
	combs  []comb
	height []float32 // of each bin, limited; a masked one is skipped
	masked []bool
	looks  int
	while  interferer // the best over any two blocks in a row
}

// comb is one candidate.
type comb struct {
	speed              engine.RPM
	line, gap          []int // bins
	all, block, before tally // over the whole clip, this block and the one before
}

// tally is a mean in the making.
type tally struct {
	height, clear float64 // sums, of what rival has
	looks         int     // in which enough of the comb's lines were free
	own           int     // of them, at which it stood at a simple fraction of the engine's speed
}

func (t tally) plus(u tally) tally {
	return tally{t.height + u.height, t.clear + u.clear, t.looks + u.looks, t.own + u.own}
}

// mean gives the mean height; far below any where it could be heard in too few
// of so many looks.
func (t tally) mean(looks int, o Options) float64 {
	if t.looks == 0 || float64(t.looks) < o.RivalHeard*float64(looks) {
		return math.Inf(-1)
	}
	return t.height / float64(t.looks)
}

func newCombSearch(plan *spectrum.STFT, mains engine.Hz, o Options) *combSearch {
	h := &combSearch{opt: o, bin: plan.BinWidth(), mains: mains, height: make([]float32, plan.Bins()), masked: make([]bool, plan.Bins())}
	for v := o.RivalSlow; v <= o.RivalFast; v *= engine.RPM(1 + o.RivalStep) {
		c := comb{speed: v}
		f := float64(v.Hz() / h.bin)
		for j := 1; j <= o.RivalLines && int((float64(j)+0.5)*f)+2 < plan.Bins(); j++ {
			c.line = append(c.line, int(math.Round(float64(j)*f)))
			c.gap = append(c.gap, int(math.Round((float64(j)+0.5)*f)))
		}
		h.combs = append(h.combs, c)
	}
	return h
}

// take looks at one frame.
func (h *combSearch) take(level []float32, m operatingPoint) {
	const missed = 2 // a firing that is missed every second time is easily overlooked
	if !m.fires.Told() || m.cycle/missed < h.opt.RivalRoom {
		return // any line may be its own: a coil that cuts out makes combs of its own
	}
	h.looks++
	clear(h.masked)
	h.mask(m.cycle / engine.Hz(m.fires))
	h.mask(m.cycle / missed)
	if h.mains > 0 {
		h.mask(h.mains)
	}
	for k := 1; k+1 < len(level); k++ {
		h.height[k] = min(max(around(level, k)-float32(h.opt.RivalZero), -float32(h.opt.RivalZero)), float32(h.opt.RivalCap))
	}
	for i := range h.combs {
		c := &h.combs[i]
		c.take(level, h.height, h.masked, m.explains(c.speed, h.opt), h.opt)
	}
	if h.looks%h.opt.RivalBlock == 0 {
		h.endBlock()
	}
}

// endBlock looks at the last two blocks.
func (h *combSearch) endBlock() {
	best := h.best(2*h.opt.RivalBlock, func(c *comb) tally { return c.before.plus(c.block) })
	if best.height > h.while.height {
		h.while = best
	}
	for i := range h.combs {
		c := &h.combs[i]
		c.before, c.block = c.block, tally{}
	}
}

// best gives the comb that stands out most, and more than those of nearly its
// speed, in so many looks. One that stands at simple fractions of the engine's
// own speed is its own, where its firing was misread.
func (h *combSearch) best(looks int, of func(*comb) tally) interferer {
	means := make([]float64, len(h.combs))
	for i := range h.combs {
		means[i] = of(&h.combs[i]).mean(looks, h.opt)
	}
	var best interferer
	for i, v := range means {
		lo, hi := max(0, i-h.opt.RivalNear), min(len(means), i+h.opt.RivalNear+1)
		t := of(&h.combs[i])
		if v <= best.height || v < slices.Max(means[lo:hi]) || float64(t.own) > h.opt.RivalOwn*float64(t.looks) {
			continue
		}
		best = interferer{v, t.clear / float64(t.looks), h.combs[i].speed}
	}
	return best
}

// explains reports whether a comb is at a simple fraction of the engine's own
// speed.
func (m operatingPoint) explains(v engine.RPM, o Options) bool {
	const finest = 4
	r := float64(v / m.speed)
	for d := 1.0; d <= finest; d++ {
		if n := math.Round(r * d); n > 0 && math.Abs(r*d/n-1) < o.RivalApart {
			return true
		}
	}
	return false
}

// mask marks the bins near the multiples of a frequency.
func (h *combSearch) mask(f engine.Hz) {
	for j := 1; ; j++ {
		at := engine.Hz(j) * f
		reach := h.opt.RivalMask + engine.Hz(h.opt.RivalMaskBy)*at
		from := int(math.Ceil(float64((at - reach) / h.bin)))
		if from >= len(h.masked) {
			return
		}
		to := min(int(float64((at+reach)/h.bin)), len(h.masked)-1)
		for k := max(0, from); k <= to; k++ {
			h.masked[k] = true
		}
	}
}

// take adds one look; own says that the comb stands at a simple fraction of the
// engine's speed.
func (c *comb) take(level, height []float32, masked []bool, own bool, o Options) {
	var limited, clear float32
	n := 0
	for j, k := range c.line {
		if g := c.gap[j]; !masked[k] && !masked[g] {
			limited += height[k] - height[g]
			clear += around(level, k) - level[g]
			n++
		}
	}
	if n < o.MinRival {
		return
	}
	look := tally{height: float64(limited) / float64(n), clear: float64(clear) / float64(n), looks: 1}
	if own {
		look.own = 1
	}
	c.all, c.block = c.all.plus(look), c.block.plus(look)
}

// found gives the comb that stands out most: of all the time, where that is
// long enough, and of any two blocks in a row.
func (h *combSearch) found() (always, while interferer) {
	if h.looks >= h.opt.RivalLooks {
		always = h.best(h.looks, func(c *comb) tally { return c.all })
	}
	return always, h.while
}
