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
		return join(c.saysSilent(s), c.tooFast())
	}
	return join(c.saysSpeed(), c.saysFiring(), c.saysMixture(m), c.tooFast())
}

// nameOf is the name of a pass within a sentence.
func (c *comparing) nameOf(s *Side) string {
	if s == &c.first {
		return "the first"
	}
	return c.name
}

func (c *comparing) saysSilent(s *Side) string {
	name := c.nameOf(s)
	switch {
	case s.Code == Governed:
		return fmt.Sprintf("Nothing can be concluded at full throttle: a governor holds the speed in %s, so it says nothing about the mixture.", name)
	case s.Code == SparkLimited:
		return fmt.Sprintf("Nothing can be concluded at full throttle: the ignition holds the speed in %s, so it says nothing about the mixture.", name)
	case s.Code == NoEngine:
		return fmt.Sprintf("Nothing can be concluded at full throttle: no engine was heard in %s.", name)
	case s.Summary.TopEnd == nil:
		return fmt.Sprintf("Nothing can be concluded at full throttle: no full throttle without load was heard in %s.", name)
	}
	return fmt.Sprintf("Nothing can be concluded at full throttle: there is not enough to judge in %s.", name)
}

// tooFast adds the danger that no comparison may hide.
func (c *comparing) tooFast() string {
	isFast := func(s Side) bool { return s.Code.Danger() == OverLimit.Danger() }
	switch {
	case isFast(c.first) && isFast(c.second):
		return "Too fast: both are at or over the limit."
	case isFast(c.second):
		return fmt.Sprintf("Too fast: %s is at or over the limit.", c.name)
	case isFast(c.first):
		return "Too fast: the first is at or over the limit."
	}
	return ""
}

func (c *comparing) saysSpeed() string {
	by := pass.Figure{SD: engine.RPM(c.held.SD)} // c.held is told
	by.Speed = engine.RPM(math.Abs(engine.Change(*c.held.First, *c.held.Second)))
	switch c.held.Sign() {
	case 1:
		return fmt.Sprintf("At full throttle without load %s runs %s faster than the first.", c.name, figure(by))
	case -1:
		return fmt.Sprintf("At full throttle without load %s runs %s slower than the first.", c.name, figure(by))
	}
	return fmt.Sprintf("At full throttle without load %s runs as fast as the first, as far as can be told (%s apart).", c.name, rpm(by.Speed))
}

// saysFiring compares the firing of the second with that of the first.
func (c *comparing) saysFiring() string {
	switch {
	case c.mute:
		return ""
	case !c.four.Told:
		return "How the two fire could not be compared."
	case c.four.Sign() < 0:
		return fmt.Sprintf("It four-strokes less: %s of the time, the first %s.", engine.FormatShare(*c.four.Second), engine.FormatShare(*c.four.First))
	case c.four.Sign() > 0:
		return fmt.Sprintf("It four-strokes more: %s of the time, the first %s.", engine.FormatShare(*c.four.Second), engine.FormatShare(*c.four.First))
	case c.bothClean():
		return "Both run mostly clean."
	default:
		return "Both four-stroke."
	}
}

// saysMixture says what the figures mean for the mixture.
func (c *comparing) saysMixture(m Mixture) string {
	speed, burble := c.held.Sign(), c.four.Sign()
	switch {
	case c.fourStroke:
		return "The mixture of a four-stroke engine cannot be told from this."
	case c.mute:
		return "The mixture of such a machine cannot be told from this."
	case !c.four.Told:
		return "Whether it is leaner or richer cannot be told."
	case m == Alike:
		return "The mixture is about the same."
	case m == Leaner && burble < 0:
		return "So it is leaner."
	case m == Leaner:
		return "So it is leaner, or its chain or tool drags less."
	case m == Richer && burble > 0:
		return "So it is richer."
	case m == Richer:
		return "So it is richer, or its chain or tool drags more."
	case burble > 0:
		return "No screw alone does that: look for less drag, another air filter or other air."
	case burble < 0:
		return "Do not take that for richer: a load, a starved fuel supply or a very lean mixture does it."
	case speed > 0:
		return "It is leaner or drags less, unless the first is so lean that it has lost speed: clean passes cannot be told apart by their speed."
	default:
		return "It is richer or drags more, or so lean that it has lost speed: do not take it for richer."
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
		return "Faster: leaner at the top, or less drag of chain or tool.", "Slower: richer at the top, more drag, or short of fuel."
	case ComparedFour:
		return "Four-strokes more: richer at the top.", "Four-strokes less: leaner at the top."
	case ComparedIdle:
		return "Idles faster: idle screw further in, L leaner, or a leak.", "Idles slower: idle screw further out, or L richer."
	case ComparedRise:
		return "Slower to rise: L too rich if it burbles, too lean if it bogs.", "Quicker to rise."
	case ComparedSag:
		return "Bogs more on opening: L leaner.", "Bogs less on opening: L richer."
	case ComparedFall:
		return "Later back at idle: L leaner, or a leak.", "Sooner back at idle: L richer, or a leak cured."
	case ComparedHang:
		return "Hangs longer above idle: L leaner, or a leak.", "Hangs less above idle: L richer, or a leak cured."
	case ComparedCut:
		return "Faster in the cut: pushed less, a sharper chain, or more power.", "Slower in the cut: pushed harder, a duller chain, or less power."
	default:
		return "Four-strokes more in the cut: richer.", "Four-strokes less in the cut: leaner."
	}
}
