package verdict

import (
	"math"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// Side is one of two passes that are compared.
type Side struct {
	Summary pass.Summary
	Code    Code // its own verdict
}

// Mixture says how the mixture of one pass compares with that of another. The
// values are part of the comparison's schema.
type Mixture string

// How a mixture can compare with another at full throttle.
const (
	Leaner  Mixture = "leaner"
	Richer  Mixture = "richer"
	Alike   Mixture = "alike"   // about the same, within what can be told
	Unclear Mixture = "unclear" // it cannot be told
)

// Comparison is how a pass compares with the first.
type Comparison struct {
	Mixture     Mixture
	Says        string // one or two sentences, figures in them
	Why         string // one sentence for a learner; "" where nothing can be concluded
	Differences []Difference
}

// Difference is one figure of two passes. A figure that either pass lacks is
// nil, and then there is no difference.
type Difference struct {
	Figure        Compared
	First, Second *float64 // in the unit of Figure
	By, SD        float64  // Second less First, with one standard deviation
	Told          bool     // both passes have it
	Means         string   // what it can come from; "" within 2 SD or when not told
}

// Sign is 1 for more, -1 for less, 0 for about the same: within two standard
// deviations.
func (d Difference) Sign() int {
	switch {
	case !d.Told || math.Abs(d.By) <= engine.CoverageFactor*d.SD:
		return 0
	case d.By > 0:
		return 1
	default:
		return -1
	}
}

// Compared names a figure. The values are part of the comparison's schema.
type Compared string

// The figures of a comparison, with their units.
const (
	ComparedHeld    Compared = "held"              // rpm, for half a second at full throttle
	ComparedFour    Compared = "four-stroking"     // share of the told firing at full throttle
	ComparedIdle    Compared = "idle"              // rpm
	ComparedRise    Compared = "rise"              // s, from idle to nine tenths of the top
	ComparedSag     Compared = "sag"               // rpm, on opening
	ComparedFall    Compared = "fall"              // s, back to idle
	ComparedHang    Compared = "hang"              // s, above idle on the way back
	ComparedCut     Compared = "cut"               // rpm
	ComparedCutFour Compared = "cut-four-stroking" // share of the told firing in the cut
)

// Compare compares a second pass with a first.
//
// name is what the sentences call the second: "the second". q gives the engine.
// Faster and cleaner is leaner, slower and more four-stroking is richer (common
// practice); what contradicts that, and what either pass is not good enough
// for, is Unclear. So is a difference in speed alone where both run clean: an
// engine that is leaned beyond its best mixture loses speed again.
func Compare(first, second Side, name string, q engine.Machine, o Options) Comparison {
	c := comparing{name: name, first: first, second: second, fourStroke: q.Spec.Strokes == 4, opt: o}
	c.build = q.Build
	c.mute = basisOf(q.Spec, q.Build).evidence == bySpeed
	c.held = c.difference(ComparedHeld)
	c.four = c.difference(ComparedFour)
	mixture := c.mixture()
	if c.inconclusive() != nil { // what is not enough for a conclusion has no meaning either
		c.held.Means, c.four.Means = "", ""
	}
	all := []Difference{c.held, c.four}
	for _, f := range []Compared{ComparedIdle, ComparedRise, ComparedSag, ComparedFall, ComparedHang, ComparedCut, ComparedCutFour} {
		all = append(all, c.difference(f))
	}
	return Comparison{Mixture: mixture, Says: c.says(mixture), Why: c.lesson(mixture), Differences: all}
}

// comparing is the state of Compare.
type comparing struct {
	name          string
	first, second Side
	fourStroke    bool
	build         engine.Build
	mute          bool // its firing says nothing of its mixture
	opt           Options
	held, four    Difference
}

// mixture weighs speed and firing at full throttle.
func (c *comparing) mixture() Mixture {
	if c.inconclusive() != nil || c.mute || !c.four.Told {
		return Unclear
	}
	speed, burble := c.held.Sign(), c.four.Sign()
	switch {
	case speed == 0 && burble == 0:
		return Alike
	case burble == 0 && c.bothClean():
		return Unclear
	case speed >= 0 && burble <= 0:
		return Leaner
	case speed <= 0 && burble >= 0:
		return Richer
	default:
		return Unclear
	}
}

// bothClean reports whether neither pass four-strokes for most of its top end.
func (c *comparing) bothClean() bool {
	return *c.four.First < c.opt.Mostly && *c.four.Second < c.opt.Mostly
}

// inconclusive gives the pass from which nothing can be concluded of its mixture,
// the second before the first, nil for none.
func (c *comparing) inconclusive() *Side {
	for _, s := range []*Side{&c.second, &c.first} {
		switch s.Code {
		case NotEnough, NoEngine, SparkLimited, Governed:
			return s
		}
		if s.Summary.TopEnd == nil {
			return s
		}
	}
	return nil
}

// difference works out one figure.
func (c *comparing) difference(f Compared) Difference {
	a, sdA := c.figure(f, &c.first.Summary)
	b, sdB := c.figure(f, &c.second.Summary)
	d := Difference{Figure: f, First: a, Second: b, Told: a != nil && b != nil}
	if d.Told {
		d.By, d.SD = *b-*a, math.Hypot(sdA, sdB)
		d.Means = means(f, d.Sign())
	}
	return d
}

// figure gives a figure of a pass with its standard deviation, nil where it was
// not there.
func (c *comparing) figure(f Compared, s *pass.Summary) (*float64, float64) {
	switch f {
	case ComparedHeld:
		if s.TopEnd != nil {
			return speedOf(s.TopEnd.Sustained)
		}
	case ComparedFour:
		if s.TopEnd != nil {
			return c.share(s.TopEnd.Mixture())
		}
	case ComparedIdle:
		if s.Idle != nil {
			return speedOf(s.Idle.Speed)
		}
	case ComparedRise:
		if s.Rise != nil {
			return timeOf(s.Rise.Time)
		}
	case ComparedSag:
		if s.Rise != nil {
			v, sd := speedOf(s.Rise.Sag)
			return v, max(sd, c.opt.MinSag/c.opt.SignificantSD*float64(s.Rise.Idle))
		}
	case ComparedFall:
		if s.Fall != nil && s.Fall.Back {
			return timeOf(s.Fall.Time)
		}
	case ComparedHang:
		if s.Fall != nil {
			v, sd := timeOf(s.Fall.HangFor)
			return v, max(sd, float64(c.opt.MinHang)/c.opt.SignificantSD)
		}
	case ComparedCut:
		if s.Cut != nil {
			return speedOf(s.Cut.Speed)
		}
	case ComparedCutFour:
		if s.Cut != nil {
			return c.share(s.Cut.Mixture())
		}
	}
	return nil, 0
}

// share gives a share of four-stroking, if the firing was told for long enough;
// where it says nothing of the mixture it is not compared.
func (c *comparing) share(four, told float64) (*float64, float64) {
	if c.mute || told < c.opt.FiringTold {
		return nil, 0
	}
	return &four, c.opt.ShareSD
}

func speedOf(f pass.Figure) (*float64, float64) {
	v := float64(f.Speed)
	return &v, float64(f.SD)
}

func timeOf(l pass.Duration) (*float64, float64) {
	v := float64(l.Time)
	return &v, float64(l.SD)
}
