package quality

import (
	"math"

	"topnote/internal/spectrum"
	"topnote/internal/unit"
)

// rival is another engine beside the one that was followed.
type rival struct {
	height float64  // dB, mean height of its lines, see hunt
	speed  unit.RPM // taken as a two-stroke single that fires every time
}

func (r *rival) raise(height float64, speed unit.RPM) {
	if height > r.height {
		*r = rival{height, speed}
	}
}

// hunt looks for a second comb of lines that stays where it is while the
// engine's own move. At every look the engine's lines are masked; what is left
// of each candidate's lines is held against what lies between them.
type hunt struct {
	opt    Options
	bin    unit.Hz
	mains  unit.Hz
	combs  []comb
	height []float32 // of each bin, limited; a masked one is skipped
	masked []bool
	looks  int
	while  rival // the best over any two blocks in a row
}

// comb is one candidate.
type comb struct {
	speed              unit.RPM
	line, gap          []int // bins
	all, block, before tally // over the whole clip, this block and the one before
}

// tally is a mean in the making.
type tally struct {
	sum   float64 // of heights
	looks int     // in which enough of the comb's lines were free
}

func (t *tally) add(height float64) {
	t.sum += height
	t.looks++
}

// mean gives the mean height, 0 where it was heard in too few of so many looks.
func (t tally) mean(looks int, o Options) float64 {
	if t.looks == 0 || float64(t.looks) < o.RivalHeard*float64(looks) {
		return 0
	}
	return t.sum / float64(t.looks)
}

func newHunt(plan *spectrum.Plan, mains unit.Hz, o Options) *hunt {
	h := &hunt{opt: o, bin: plan.BinWidth(), mains: mains, height: make([]float32, plan.Bins()), masked: make([]bool, plan.Bins())}
	for v := o.RivalSlow; v <= o.RivalFast; v *= unit.RPM(1 + o.RivalStep) {
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
func (h *hunt) take(level []float32, m moment) {
	const missed = 2 // a firing that is missed every second time is easily overlooked
	if !m.fires.Told() || m.cycle/missed < h.opt.RivalRoom {
		return // any line may be its own: a coil that cuts out makes combs of its own
	}
	h.looks++
	clear(h.masked)
	h.mask(m.cycle / unit.Hz(m.fires))
	h.mask(m.cycle / missed)
	if h.mains > 0 {
		h.mask(h.mains)
	}
	for k := 1; k+1 < len(level); k++ {
		h.height[k] = min(max(around(level, k)-float32(h.opt.RivalZero), -float32(h.opt.RivalZero)), float32(h.opt.RivalCap))
	}
	for i := range h.combs {
		if c := &h.combs[i]; !m.explains(c.speed, h.opt) {
			c.take(h.height, h.masked, h.opt)
		}
	}
	if h.looks%h.opt.RivalBlock == 0 {
		h.endBlock()
	}
}

// endBlock looks at the last two blocks.
func (h *hunt) endBlock() {
	for i := range h.combs {
		c := &h.combs[i]
		both := tally{c.before.sum + c.block.sum, c.before.looks + c.block.looks}
		h.while.raise(both.mean(2*h.opt.RivalBlock, h.opt), c.speed)
		c.before, c.block = c.block, tally{}
	}
}

// explains reports whether a comb is at a simple fraction of the engine's own
// speed: lines there are its own, where its firing was misread.
func (m moment) explains(v unit.RPM, o Options) bool {
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
func (h *hunt) mask(f unit.Hz) {
	for j := 1; ; j++ {
		at := unit.Hz(j) * f
		reach := h.opt.RivalMask + unit.Hz(h.opt.RivalMaskBy)*at
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

func (c *comb) take(height []float32, masked []bool, o Options) {
	var sum float32
	n := 0
	for j, k := range c.line {
		if g := c.gap[j]; !masked[k] && !masked[g] {
			sum += height[k] - height[g]
			n++
		}
	}
	if n >= o.RivalLeast {
		height := float64(sum) / float64(n)
		c.all.add(height)
		c.block.add(height)
	}
}

// found gives the comb that stands out most: of all the time, and of any two
// blocks in a row.
func (h *hunt) found() (always, while rival) {
	if h.looks >= h.opt.RivalLooks {
		for i := range h.combs {
			always.raise(h.combs[i].all.mean(h.looks, h.opt), h.combs[i].speed)
		}
	}
	return always, h.while
}
