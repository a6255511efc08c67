package verdict

import (
	"fmt"
	"math"

	"topnote/internal/engine"
)

// What a learner is told of two passes; docs/why.md has the rest.
//
// Source: common practice.

// lesson says in one sentence why the two differ as they do, with what the next eighth
// of a turn of H should do; "" where nothing can be concluded.
func (c *comparing) lesson(m Mixture) string {
	if c.inconclusive() != nil || c.mute || c.fourStroke || !c.four.Told {
		return ""
	}
	speed, burble := c.held.Sign(), c.four.Sign()
	switch {
	case m == Leaner && burble < 0:
		return join("Less fuel comes to the same air, so it fires on more turns, runs faster and is cooled less.", c.nextEighth())
	case m == Richer && burble > 0:
		return join("More fuel comes to the same air than can burn beside the burnt gas left in the cylinder, so it misses more turns and runs slower.", c.nextEighth())
	case m == Leaner || m == Richer:
		return join("Where both burble, a leaner mixture is faster and a richer one slower, but so is a tool that drags less or more.", c.nextEighth())
	case m == Alike:
		return join("The same mixture gives the same speed and the same burble.", c.nextEighth())
	case burble == 0 && c.bothClean():
		return "Once it runs clean, leaner is faster up to a peak and slower past it, so the speed alone does not tell the side. The cut decides: past the peak it is weak there."
	case speed < 0 && burble < 0:
		return "A load slows it and clears the burble, and so does a mixture so lean that it is past the peak, where the speed falls again."
	}
	return ""
}

// nextEighth says what the next eighth of a turn of H should do.
func (c *comparing) nextEighth() string {
	if c.build.Carburettor == engine.FixedJets || c.build.Carburettor == engine.SelfSetting {
		return "There is no screw to turn, so what has changed is the air, the fuel or a fault."
	}
	const step = 50 // rpm; nothing finer is known
	rpm := step * math.Round(c.opt.EighthTurn**c.held.Second/step)
	return fmt.Sprintf("Opening H by an eighth of a turn takes about %s rpm off and adds burble (common practice).", engine.FormatWhole(rpm))
}
