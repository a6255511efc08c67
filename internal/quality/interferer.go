package quality

import (
	"math"

	"topnote/internal/engine"
	"topnote/internal/spectrum"
)

// CombOptions says what is taken for another engine: a comb of lines that does
// not move with those of the engine that was followed.
type CombOptions struct {
	Slowest, Fastest engine.RPM     // speeds of the other engine
	Step             float64        // of the grid of candidates, relative; one whose speed is off simple fractions of the first engine's by less is that itself
	MinLines         int            // of them that the first engine must leave free
	MaskWidth        engine.Hz      // on either side of a line of the first engine that is left out, and half of Step of its frequency
	MaxHeight        engine.Decibel // a line over the floor counts for no more than this
	NoiseHeight      engine.Decibel // of a line in noise alone
	MaxOwn           float64        // 0 to 1: largest share of the frames in which it is that
	Block            int            // frames; over two blocks in a row another engine is looked for that changes speed
	MinShare         float64        // 0 to 1: share of the frames in which it must have been possible to find it
}

// interferer is another engine beside the one that was followed.
type interferer struct {
	height     float64    // dB, mean height of its lines, each at most CombOptions.MaxHeight; 0: there is none
	prominence float64    // dB, mean height of its lines
	speed      engine.RPM // of a two-stroke single with such lines; often a fraction of the true one
}

// combSearch looks for a second comb of lines that stays where it is while the
// engine's own move. In every frame the engine's lines are masked; of each
// candidate, the lines that are left are compared with what is between them.
//
// It needs the track, and so cannot replace shaft.InterfererOptions, which says
// what is to be masked before there is one: the lines that are in nearly all frames.
// Nor can those be reported: the lines of an engine that holds its speed are in
// nearly all frames, and another one that changes its speed has none.
type combSearch struct {
	opt     CombOptions
	bin     engine.Hz
	mains   engine.Hz
	combs   []comb
	peak    []float32 // highest level of each bin and its neighbours
	height  []float32 // the same, over noise and limited
	free    []float32 // 1; 0: a bin that is masked
	frames  int
	passing interferer // the best over any two blocks in a row
}

// comb is one candidate.
type comb struct {
	speed              engine.RPM
	line, gap          []int // bins
	all, block, before tally // over the whole clip, this block and the one before
}

// tally is a mean in the making.
type tally struct {
	height, prominence float64 // sums, of what interferer has
	frames             int     // in which enough of the comb's lines were free
	own                int     // of them, in which it was at a simple fraction of the engine's speed
}

func (t tally) plus(u tally) tally {
	return tally{t.height + u.height, t.prominence + u.prominence, t.frames + u.frames, t.own + u.own}
}

// mean gives the mean height; below any where it could be found in too few of so
// many frames.
func (t tally) mean(frames int, o CombOptions) float64 {
	if t.frames == 0 || float64(t.frames) < o.MinShare*float64(frames) {
		return math.Inf(-1)
	}
	return t.height / float64(t.frames)
}

func newCombSearch(stft *spectrum.STFT, mains engine.Hz, o CombOptions) *combSearch {
	s := &combSearch{opt: o, bin: stft.BinWidth(), mains: mains, peak: make([]float32, stft.Bins()), height: make([]float32, stft.Bins()), free: make([]float32, stft.Bins())}
	for v := o.Slowest; v <= o.Fastest; v *= engine.RPM(1 + o.Step) {
		f := float64(v.Hz() / s.bin)
		room := max(0, min(spectrum.MaxOrder, int(float64(stft.Bins())/f)+1))
		c := comb{speed: v, line: make([]int, 0, room), gap: make([]int, 0, room)}
		for j := 1; j <= spectrum.MaxOrder && int((float64(j)+0.5)*f)+2 < stft.Bins(); j++ {
			c.line = append(c.line, int(math.Round(float64(j)*f)))
			c.gap = append(c.gap, int(math.Round((float64(j)+0.5)*f)))
		}
		s.combs = append(s.combs, c)
	}
	return s
}

// add adds one frame.
func (s *combSearch) add(level []float32, p operatingPoint) {
	const missed = 2                                           // a firing that is missed every second time is easily overlooked
	if !p.fires.Told() || p.cycle/missed < 4*s.opt.MaskWidth { // closer lines, as at idle, leave no room for others
		return // any line may be its own: a coil that cuts out makes combs of its own
	}
	s.frames++
	for k := range s.free {
		s.free[k] = 1
	}
	s.mask(p.cycle / engine.Hz(p.fires))
	s.mask(p.cycle / missed)
	if s.mains > 0 {
		s.mask(s.mains)
	}
	lowest, highest := -float32(s.opt.NoiseHeight), float32(s.opt.MaxHeight)
	for k := 1; k+1 < len(level); k++ {
		s.peak[k] = peakAround(level, k)
		s.height[k] = min(max(s.peak[k]+lowest, lowest), highest)
	}
	for i := range s.combs {
		c := &s.combs[i]
		c.add(level, s, p.explains(c.speed, s.opt))
	}
	if s.frames%s.opt.Block == 0 {
		s.endBlock()
	}
}

// endBlock looks at the last two blocks.
func (s *combSearch) endBlock() {
	best := s.best(2*s.opt.Block, func(c *comb) tally { return c.before.plus(c.block) })
	if best.height > s.passing.height {
		s.passing = best
	}
	for i := range s.combs {
		c := &s.combs[i]
		c.before, c.block = c.block, tally{}
	}
}

// best gives the highest comb in so many frames. One that is at simple fractions of the
// engine's own speed is the engine's, where its firing was misread.
func (s *combSearch) best(frames int, of func(*comb) tally) interferer {
	var best interferer
	for i := range s.combs {
		t := of(&s.combs[i])
		v := t.mean(frames, s.opt)
		if v <= best.height || float64(t.own) > s.opt.MaxOwn*float64(t.frames) {
			continue
		}
		best = interferer{v, t.prominence / float64(t.frames), s.combs[i].speed}
	}
	return best
}

// explains reports whether a comb is at a simple fraction of the engine's own
// speed.
func (p operatingPoint) explains(v engine.RPM, o CombOptions) bool {
	const finest = 4
	r := float64(v / p.speed)
	for d := 1.0; d <= finest; d++ {
		if n := math.Round(r * d); n > 0 && math.Abs(r*d/n-1) < o.Step {
			return true
		}
	}
	return false
}

// mask marks the bins near the multiples of a frequency.
func (s *combSearch) mask(f engine.Hz) {
	for j := 1; ; j++ {
		at := engine.Hz(j) * f
		reach := s.opt.MaskWidth + engine.Hz(s.opt.Step)/2*at
		from := int(math.Ceil(float64((at - reach) / s.bin)))
		if from >= len(s.free) {
			return
		}
		to := min(int(float64((at+reach)/s.bin)), len(s.free)-1)
		for k := max(0, from); k <= to; k++ {
			s.free[k] = 0
		}
	}
}

// add adds one frame of a search; own says that the comb is at a simple fraction
// of the engine's speed. No processor predicts which bins are masked: a product is no
// branch.
func (c *comb) add(level []float32, s *combSearch, own bool) {
	var limited, prominence, n float32
	for j, k := range c.line {
		g := c.gap[j]
		free := s.free[k] * s.free[g]
		limited += free * (s.height[k] - s.height[g])
		prominence += free * (s.peak[k] - level[g])
		n += free
	}
	if n < float32(s.opt.MinLines) {
		return
	}
	t := tally{height: float64(limited) / float64(n), prominence: float64(prominence) / float64(n), frames: 1}
	if own {
		t.own = 1
	}
	c.all, c.block = c.all.plus(t), c.block.plus(t)
}

// found gives the highest comb of all the time, where that is long enough, and
// of any two blocks in a row.
func (s *combSearch) found() (steady, passing interferer) {
	if s.frames >= 2*s.opt.Block {
		steady = s.best(s.frames, func(c *comb) tally { return c.all })
	}
	return steady, s.passing
}
