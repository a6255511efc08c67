package diagnose

import (
	"fmt"
	"math"

	"topnote/internal/engine"
	"topnote/internal/report"
)

// What is said of the next move of H.

const (
	moveNoPass     = "There is no pass yet: record one."
	moveFourStroke = "A four-stroke engine has no H screw to learn from: follow its handbook."
	moveLeave      = "Leave H where it is: it four-strokes without load and is under its limit."
	moveSpark      = "Leave H: the coil holds the top speed, so it does not tell what H does. Judge it in the cut."
	moveNoVerdict  = "Leave H until a pass can be judged: see what its verdict asks for."
	moveUnclear    = "Leave H: turning it has not moved the top speed as it should. Look for a coil that limits the speed, " +
		"a screw that is not the one noted, or something else that changed meanwhile."
	moveLeanCause = "Leave H, though it is rich in the cut: something that makes it lean cannot be ruled out, and a screw turned in would " +
		"hide it until it seizes. Check the causes first."
	moveDoubtful = "Leave H: this recording is doubtful. Record again first."
	moveNotNoted = "Leave H: the limit or the setting of H is not noted for this pass. Enter both and record again."
	moveTooNear  = "Leave H, though it is rich in the cut: even the smallest move in could reach the limit, or pass the leanest state in which " +
		"this machine has been heard to four-stroke. Clean the air filter and see that the choke is open."
)

func saysNotLast(number int64) string {
	return fmt.Sprintf("The next move is told for the last pass only, which is pass %d.", number)
}

// turnsWords writes a small move: "1/8 turn".
func turnsWords(turns float64) string {
	const sixteen = 16
	switch n := int(math.Round(math.Abs(turns) * sixteen)); {
	case n%2 == 0 && n > 0:
		return fmt.Sprintf("%d/8 turn", n/2)
	default:
		return fmt.Sprintf("%d/16 turn", n)
	}
}

func saysOutOver(d decision) string {
	says := "Open H (turn it out, on the common type) by 1/8 turn before the next full throttle, and record again."
	limit := d.now.Report.Limits.MaxRPM
	if !d.canPredict() || !limit.Told() {
		return says
	}
	need := (d.now.speed() + engine.CoverageFactor*d.now.top.SDRPM - float64(limit)) / -d.response.PerTurn
	steps := math.Ceil(need / d.opt.MaxStep)
	if steps <= 1 {
		return says
	}
	return says + fmt.Sprintf(" By what H does on this machine it may take %.0f such steps in all, one at a time. If two change nothing, stop and look for the cause.", steps)
}

func saysOutClean(d decision) string {
	return fmt.Sprintf("Open H (turn it out, on the common type) by %s and record again: without load it must four-stroke.", turnsWords(d.openingNeeded()))
}

func saysNotLearned(d decision) string {
	return fmt.Sprintf("No figure for H yet: passes at %d settings of H are needed to tell what a turn does on this machine, and there are %d. "+
		"Follow the verdict's own advice.", d.opt.MinSettings, d.response.Settings)
}

func saysIn(d decision, turns float64, speed report.Speed, sd float64) string {
	return fmt.Sprintf("Close H (turn it in, on the common type) by %s at most and record again. In this air about %s rpm is to be expected, "+
		"give or take %s, under the limit of %s. It must still four-stroke without load; if not, open H by as much again.",
		turnsWords(turns), speed.Reading(), engine.FormatHalfWidth(sd), d.now.Report.Limits.MaxRPM)
}
