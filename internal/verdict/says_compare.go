package verdict

import (
	"fmt"
	"math"

	"topnote/internal/engine"
	"topnote/internal/pass"
)

// The sentences of a comparison. What a difference can come from is common
// practice.

// says gives the conclusion: first the figures, then what they mean.
func (c *comparing) says(m Mixture) string {
	if s := c.inconclusive(); s != nil {
		return c.saysSilent(s) + c.tooFast()
	}
	heard := c.capitalizedName() + " " + c.speedWords() + c.firingWords()
	return heard + ": " + c.mixtureWords(m) + "." + c.tooFast()
}

// capitalizedName is the name of the second pass at the head of a sentence.
func (c *comparing) capitalizedName() string { return "T" + c.name[1:] }

// nameOf is the name of a pass within a sentence.
func (c *comparing) nameOf(s *Side) string {
	if s == &c.first {
		return "the first"
	}
	return c.name
}

func (c *comparing) saysSilent(s *Side) string {
	why := "is not enough to judge"
	switch {
	case s.Code == Governed:
		why = "is held by its governor, so its top speed says nothing of the mixture"
	case s.Code == SparkLimited:
		why = "is held back by its ignition, so its top speed says nothing of the mixture"
	case s.Code == NoEngine:
		why = "holds no engine"
	case s.Summary.TopEnd == nil:
		why = "has no full throttle without load"
	}
	return fmt.Sprintf("Nothing can be concluded at full throttle: %s %s.", c.nameOf(s), why)
}

// tooFast adds the danger that no comparison may hide.
func (c *comparing) tooFast() string {
	isFast := func(s Side) bool { return s.Code.Danger() == OverLimit.Danger() }
	switch {
	case isFast(c.first) && isFast(c.second):
		return " Both are at or over the limit."
	case isFast(c.second):
		return fmt.Sprintf(" %s is at or over the limit.", c.capitalizedName())
	case isFast(c.first):
		return " The first is at or over the limit."
	}
	return ""
}

func (c *comparing) speedWords() string {
	by := pass.Figure{SD: engine.RPM(c.held.SD)} // c.held is told
	by.Speed = engine.RPM(math.Abs(engine.Change(*c.held.First, *c.held.Second)))
	switch c.held.Sign() {
	case 1:
		return fmt.Sprintf("runs %s faster at full throttle without load", figure(by))
	case -1:
		return fmt.Sprintf("runs %s slower at full throttle without load", figure(by))
	}
	return fmt.Sprintf("runs about as fast at full throttle without load (%s apart, within what can be told)", rpm(by.Speed))
}

// firingWords compares the firing of the second with that of the first.
func (c *comparing) firingWords() string {
	switch {
	case c.mute:
		return ""
	case !c.four.Told:
		return ", and how it fires could not be compared"
	case c.four.Sign() < 0:
		return fmt.Sprintf(" and cleaner (four-stroking %s of the time, the first %s)", engine.FormatShare(*c.four.Second), engine.FormatShare(*c.four.First))
	case c.four.Sign() > 0:
		return fmt.Sprintf(" and four-strokes more (%s of the time, the first %s)", engine.FormatShare(*c.four.Second), engine.FormatShare(*c.four.First))
	case c.bothClean():
		return ", and both run mostly clean"
	default:
		return ", and both four-stroke"
	}
}

func (c *comparing) mixtureWords(m Mixture) string {
	speed, burble := c.held.Sign(), c.four.Sign()
	switch {
	case c.fourStroke:
		return "the mixture of a four-stroke engine cannot be told from this"
	case c.mute:
		return "the mixture of such a machine cannot be told from this"
	case !c.four.Told:
		return "whether it is leaner or richer cannot be told"
	case m == Alike:
		return "about the same"
	case m == Leaner && burble < 0:
		return "leaner"
	case m == Leaner:
		return "leaner, or its chain or tool drags less"
	case m == Richer && burble > 0:
		return "richer"
	case m == Richer:
		return "richer, or its chain or tool drags more"
	case burble > 0:
		return "no screw alone does that; look for less drag, another filter or other air"
	case burble < 0:
		return "do not take it for richer; a load, a starved fuel supply or a very lean mixture do that"
	case speed > 0:
		return "leaner or less drag, unless the first is so lean that it has lost speed; clean passes cannot be told apart by speed"
	default:
		return "richer or more drag, unless it is so lean that it has lost speed; do not take it for richer"
	}
}

// means says what a figure that is more (1) or less (-1) in the second pass can
// come from.
func means(f Compared, sign int) string {
	if sign == 0 {
		return ""
	}
	more, less := meanings(f)
	if sign > 0 {
		return more
	}
	return less
}

func meanings(f Compared) (more, less string) {
	switch f {
	case ComparedHeld:
		return "faster: leaner at the top, or less drag of chain or tool", "slower: richer at the top, more drag, or short of fuel"
	case ComparedFour:
		return "misses more firings: richer at the top", "misses fewer firings: leaner at the top"
	case ComparedIdle:
		return "idles faster: idle screw further in, L leaner, or a leak", "idles slower: idle screw further out, or L richer"
	case ComparedRise:
		return "slower to rise: L too rich if it burbles, too lean if it bogs", "quicker to rise"
	case ComparedSag:
		return "bogs more on opening: L leaner", "bogs less on opening: L richer"
	case ComparedFall:
		return "later back at idle: L leaner, or a leak", "sooner back at idle: L richer, or a leak cured"
	case ComparedHang:
		return "hangs longer above idle: L leaner, or a leak", "hangs less above idle: L richer, or a leak cured"
	case ComparedCut:
		return "faster in the cut: pushed less, a sharper chain, or more power", "slower in the cut: pushed harder, a duller chain, or less power"
	default:
		return "misses more firings in the cut: richer", "misses fewer firings in the cut: leaner"
	}
}
