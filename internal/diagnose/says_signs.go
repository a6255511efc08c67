package diagnose

import (
	"fmt"
	"math"
	"strconv"

	"topnote/internal/engine"
)

// What is said of each sign: present, or looked for and absent.

// says is a sentence without figures.
func says(words string) func(*comparison) string { return func(*comparison) string { return words } }

// percent writes the size of a shift of the mixture.
func percent(v float64) string { return engine.FormatPercent(math.Abs(v)) }

// farOff is from where on a shift of the mixture is told without its figure, in
// percent: no straight line holds so far, and nobody believes the tenths.
const farOff = 12

// leanerOrRicher writes a shift of the mixture with its side, unless a tenth of a
// percent rounds to none.
func leanerOrRicher(v float64) string {
	switch {
	case tenth(v) == 0:
		return percent(0)
	case v <= -farOff:
		return "far richer"
	case v >= farOff:
		return "far leaner"
	case v < 0:
		return percent(v) + " richer"
	}
	return percent(v) + " leaner"
}

// aroundZero writes a change of speed with its interval.
func (e estimate) rpmWords() string {
	return fmt.Sprintf("%s, ± %s rpm", upOrDown(e.value), engine.FormatTens(e.halfWidth()))
}

func saysFaster(c *comparison) string {
	if c.residualRPM.significant() {
		return fmt.Sprintf("it is faster than air and screws explain: %s", c.residualRPM.rpmWords())
	}
	return fmt.Sprintf("it may be faster than air and screws explain: %s", c.residualRPM.rpmWords())
}

func saysSlower(c *comparison) string {
	if c.residualRPM.significant() {
		return fmt.Sprintf("it is slower than air and screws explain: %s", c.residualRPM.rpmWords())
	}
	return fmt.Sprintf("it may be slower than air and screws explain: %s", c.residualRPM.rpmWords())
}

func saysNotFaster(c *comparison) string {
	return "it is not faster than air and screws explain (" + c.residualRPM.rpmWords() + ")"
}

func saysNotSlower(c *comparison) string {
	return "it is not slower than air and screws explain (" + c.residualRPM.rpmWords() + ")"
}

func (c *comparison) saysBurble() string {
	a, _ := c.then.FourStrokingShare()
	b, _ := c.now.FourStrokingShare()
	return fmt.Sprintf("%s of the time, before %s", engine.FormatShare(b), engine.FormatShare(a))
}

func saysBurblesLess(c *comparison) string {
	return "it four-strokes less than air and screws explain: " + c.saysBurble()
}

func saysBurblesMore(c *comparison) string {
	return "it four-strokes more than air and screws explain: " + c.saysBurble()
}

func saysNotBurblesLess(c *comparison) string {
	return "it does not four-stroke less than air and screws explain: " + c.saysBurble()
}

func saysNotBurblesMore(c *comparison) string {
	return "it does not four-stroke more than air and screws explain: " + c.saysBurble()
}

func saysNothingLeft(c *comparison) string {
	return "air and screws leave no more than one pass differs from the next: " + c.residualRPM.rpmWords()
}

func saysSlowly(c *comparison) string {
	return fmt.Sprintf("it came slowly, over %d passes", len(c.window))
}

func saysAtOnce(c *comparison) string {
	return fmt.Sprintf("it came at once, with pass %d", c.window[c.onset.step].Number)
}

func saysTakenBack(c *comparison) string {
	return "it takes back what had crept in before, " + c.saysSpeed(c.onset.before.value)
}

// saysSpeed writes a shift in percent of mixture as the speed that it makes.
func (c *comparison) saysSpeed(percent float64) string {
	return upOrDown(percent * c.response.PerPercent)
}

// saysNoted quotes the note that has an event.
func saysNoted(e event) func(*comparison) string {
	return func(c *comparison) string {
		words, found := c.noted(e)
		if !found { // it was answered with the pass, and not written
			return "it was noted with the pass: " + map[event]string{filterDirty: "the air filter is not clean"}[e]
		}
		return "it was noted: " + strconv.Quote(words)
	}
}

func saysLongStand(c *comparison) string {
	return fmt.Sprintf("there was no pass for %.0f days", c.longestGap())
}

// saysIdle gives the idle speeds of both passes.
func saysIdle(how string) func(*comparison) string {
	return func(c *comparison) string {
		change, _ := c.idleChange()
		now := float64(c.now.Report.Idle.RPM)
		return fmt.Sprintf("the idle %s: %s rpm, before %s", how, engine.FormatTens(now), engine.FormatTens(now-change.value))
	}
}
