package synth

import (
	"math"
	"math/rand/v2"

	"topnote/internal/engine"
)

// Firing is the rule by which working cycles fire or miss. A cylinder of a
// two-stroke has one working cycle in a revolution, of a four-stroke one in
// two.
//
// The rule has three layers: a regular pattern (fires every 1st, 2nd, 3rd or 4th
// cycle) that is drawn from Modes at random moments; a two-state Markov chain of
// misfires among the firings of the pattern; and the strength of each.
type Firing struct {
	Modes []Mode         // at least one
	Dwell engine.Seconds // mean time until a mode is drawn again; 0: never

	// Transition probabilities of the chain: of a misfire after a firing, and of a
	// firing after a misfire. Independent misfires of probability p are
	// MissAfterFire p, FireAfterMiss 1-p. The lag-1 correlation of the firing
	// sequence is 1-MissAfterFire-FireAfterMiss (identity).
	MissAfterFire, FireAfterMiss float64

	// Depth is the strength of a missed cycle's pulse as a share of a fired
	// one: 0 silent, 1 no difference. Strict alternation then has a half-order
	// line of (1-Depth)/(1+Depth) of order 1 (facts.md, section 4.2).
	Depth float64

	// Slip is the probability, at each firing, that the next comes one working
	// cycle later than in the pattern, or, half as often, one earlier. Shuffle
	// draws a mode after every firing.
	Slip    float64
	Shuffle bool

	Spread float64 // relative standard deviation of strength from cycle to cycle
	Memory float64 // lag-1 correlation of strength, -1 to 1: below 0 weak and strong cycles alternate
	Timing float64 // standard deviation of the pulse's onset, revolutions; without effect on the shaft
	Cuts   *Cuts   // nil: the coil does not limit the speed
}

// Mode is one regular pattern and the share of time it gets.
type Mode struct {
	Every int     // fires every Nth working cycle, 1 to 4; 0: never fires
	Share float64 // weight among the modes; taken as 1 where there is one mode
}

// Cuts is a coil that limits speed: near the ceiling it cuts sparks in regular
// blocks: the last Lost of every Block working cycles.
type Cuts struct {
	Ceiling     engine.RPM
	Block, Lost int
	Ragged      float64 // 0 to 1: probability that a block is one cycle longer
}

// limitSpeed gives the speed of a shaft that deviates from speed by stray, in ln: a
// coil that cuts holds it at the ceiling, where only a part of the deviation is
// left.
func (f Firing) limitSpeed(speed engine.RPM, stray float64) engine.RPM {
	const left = 0.2
	free := speed * engine.RPM(math.Exp(stray))
	if f.Cuts == nil || free <= f.Cuts.Ceiling {
		return free
	}
	return min(free, f.Cuts.Ceiling*engine.RPM(math.Exp(left*stray)))
}

// cutFrom is the share of the ceiling above which the coil cuts.
const cutFrom = 0.985

// Clean fires every time, as evenly as small engines do.
func Clean() Firing {
	return Firing{Modes: []Mode{{Every: 1}}, FireAfterMiss: 1, Depth: 0.3, Spread: 0.1, Timing: 0.006}
}

// Every is four-stroking in one steady pattern of every nth cycle, with missed
// cycles of the given depth.
func Every(n int, depth float64) Firing {
	return Firing{Modes: []Mode{{Every: n}}, FireAfterMiss: 1, Depth: depth, Spread: 0.1, Timing: 0.006}
}

// Mixed switches between patterns, with the given mean time between draws.
func Mixed(dwell engine.Seconds, depth float64, modes ...Mode) Firing {
	return Firing{Modes: modes, Dwell: dwell, FireAfterMiss: 1, Depth: depth, Spread: 0.1, Timing: 0.006}
}

// Ragged misfires at random, without a pattern, with probability p.
func Ragged(p, depth float64) Firing {
	return Firing{Modes: []Mode{{Every: 1}}, MissAfterFire: p, FireAfterMiss: 1 - p, Depth: depth, Spread: 0.12, Timing: 0.006}
}

// FiringSpan is a rule and the time from which it holds.
type FiringSpan struct {
	From engine.Seconds
	Firing
}

// Plan is the firing over a run: rules in order of time. The first holds from
// the start whatever its From says.
type Plan []FiringSpan

// Always makes a plan of one rule.
func Always(f Firing) Plan { return Plan{{0, f}} }

// ByPhase makes a plan from a rule for each name of a span in a profile. The
// rule under "" serves for every other span.
func ByPhase(p Profile, rules map[string]Firing) Plan {
	var plan Plan
	for _, s := range p.Spans {
		rule, ok := rules[s.Name]
		if !ok {
			rule = rules[""]
		}
		plan = append(plan, FiringSpan{s.From, rule})
	}
	return plan
}

// at gives the rule that holds at a time.
func (p Plan) at(t engine.Seconds) Firing {
	i := 0
	for i+1 < len(p) && t >= p[i+1].From {
		i++
	}
	return p[i].Firing
}

// raggedMiss is the probability of random misfires above which there is no firing
// period, since there is no audible pattern.
const raggedMiss = 0.1

// cylinder is the state of the rule in one cylinder.
type cylinder struct {
	count int     // working cycles since the last pattern firing
	slip  int     // cycles by which the next is later than in the pattern
	fired bool    // by the chain, at the last pattern firing
	stray float64 // of its last strength, in standard deviations
}

// firingState is the state of a plan from cycle to cycle.
type firingState struct {
	plan  Plan
	span  int // index in plan
	mode  int // index in plan[span].Modes
	cyls  []cylinder
	block int // cycles since the block of the coil began
	cut   int // length of this block
	rng   *rand.Rand
}

func newFiringState(plan Plan, cylinders int, rng *rand.Rand) *firingState {
	g := &firingState{plan: plan, cyls: make([]cylinder, cylinders), rng: rng}
	for i := range g.cyls {
		g.cyls[i] = cylinder{count: i, fired: true}
	}
	g.drawMode()
	return g
}

// timing gives the standard deviation of onsets.
func (g *firingState) timing() float64 { return g.plan[g.span].Timing }

// drawMode draws a mode by share.
func (g *firingState) drawMode() {
	modes := g.plan[g.span].Modes
	sum := 0.0
	for _, m := range modes {
		sum += m.Share
	}
	g.mode = 0
	for x := g.rng.Float64() * sum; g.mode < len(modes)-1 && x >= modes[g.mode].Share; g.mode++ {
		x -= modes[g.mode].Share
	}
}

// nextCycle decides one working cycle of one cylinder. took is the time since the
// cycle before it, in any cylinder.
func (g *firingState) nextCycle(c int, t, took engine.Seconds, m OperatingPoint) Cycle {
	for g.span+1 < len(g.plan) && t >= g.plan[g.span+1].From {
		g.span++
		g.drawMode()
	}
	rule := g.plan[g.span].Firing
	if rule.Dwell > 0 && g.rng.Float64() < float64(took/rule.Dwell) {
		g.drawMode()
	}
	every := rule.Modes[g.mode].Every
	b := Cycle{At: t, Cylinder: c, Every: every}
	if rule.MissAfterFire > raggedMiss {
		b.Every = 0
	}
	cyl := &g.cyls[c]
	cyl.count++
	if every > 0 && cyl.count >= every+cyl.slip {
		cyl.count, cyl.slip = 0, rule.slips(every, g.rng)
		chance := rule.FireAfterMiss
		if cyl.fired {
			chance = 1 - rule.MissAfterFire
		}
		cyl.fired = g.rng.Float64() < chance
		b.Fired = cyl.fired
		if rule.Shuffle {
			g.drawMode()
		}
	}
	if rule.Cuts != nil && m.Speed >= rule.Cuts.Ceiling*cutFrom {
		b.Every = 0
		if g.cutsSpark(*rule.Cuts) {
			b.Fired, b.Cut = false, true
		}
	}
	b.Strength = rule.strength(cyl, b.Fired, m.Throttle, g.rng)
	return b
}

// slips draws by how many cycles the next firing deviates from the pattern.
func (f Firing) slips(every int, rng *rand.Rand) int {
	const late = 2.0 / 3
	switch {
	case f.Slip == 0 || rng.Float64() >= f.Slip:
		return 0
	case rng.Float64() < late || every == 1:
		return 1
	}
	return -1
}

// cutsSpark reports whether the coil cuts this spark.
func (g *firingState) cutsSpark(c Cuts) bool {
	if g.cut == 0 || g.block >= g.cut {
		g.block, g.cut = 0, c.Block
		if g.rng.Float64() < c.Ragged {
			g.cut++
		}
	}
	g.block++
	return g.block > g.cut-c.Lost
}

// strength draws the strength of one cycle's pulse: 1 is a firing at full
// throttle. Firings at idle vary twice as much (our model, by eye).
func (f Firing) strength(c *cylinder, fired bool, throttle float64, rng *rand.Rand) float64 {
	const weakest, idleSpread = 0.1, 2
	c.stray = f.Memory*c.stray + math.Sqrt(1-f.Memory*f.Memory)*rng.NormFloat64()
	a := 1 + f.Spread*(idleSpread-throttle*(idleSpread-1))*c.stray
	a = max(a, weakest)
	if !fired {
		a *= f.Depth
	}
	return a
}
