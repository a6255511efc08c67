package diagnose

import (
	"fmt"
	"math"
	"strings"

	"topnote/internal/engine"
	"topnote/internal/report"
)

// What is said of the next move of H.

const (
	moveNoPass     = "There is no pass yet: record one."
	moveFourStroke = "Leave the screws: of this four-stroke engine it is not known whether a governor holds its speed; follow its handbook."
	moveLeave      = "Leave H where it is: it four-strokes without load and is under its limit."
	moveBelow      = "Leave H where it is: it is under its limit. For the mixture, follow the handbook."
	moveSpark      = "Leave H: the coil holds the top speed, so it does not tell what H does. Follow the steps of the verdict."
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
	return fmt.Sprintf("The next move is given for the last pass only, which is pass %d.", number)
}

// saysNotJudged says why nothing can be said of the screws of a machine.
func saysNotJudged(t traits) string {
	if t.carburettor == engine.SelfSetting {
		return "There is no screw to turn: the carburettor sets itself. After a new filter, other fuel or another height it needs its learning run in the cut; follow the handbook."
	}
	if t.governor == "" && (t.kind == engine.Auger || t.kind == engine.Pump) {
		return "Leave H: most such machines are governed, and then the top speed says nothing about the mixture. Enter with the machine whether it has a governor."
	}
	return "Leave H: a governor holds the top speed, so it says nothing about the mixture. Judge it under load, by the handbook."
}

// saysNoScrew says what to do with a machine that has no H screw.
func saysNoScrew(t traits) string {
	if t.carburettor == engine.SelfSetting {
		return saysNotJudged(t)
	}
	return "There is no screw to turn: its jets are fixed. They run leaner in cold and low air and richer in hot and high air by themselves; " +
		"any further change is a fault to be found. Keep it under its limit until then."
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

// saysFaultFirst says which fault must be ruled out before any screw.
func saysFaultFirst(d decision, s suspicion) string {
	leave := "Leave H: a fault comes before the screw, which would only hide it."
	if back, turned := saysBack(d); turned {
		leave = back + " After that leave it: a fault comes before the screw, which would only hide it."
	}
	return fmt.Sprintf("%s Since pass %d there may be a fault: %s. First: %s No full throttle before that.", leave, s.against, s.name(), s.check())
}

// saysAskFirst says what to ask before the fault is looked for: work that was done
// explains as much.
func saysAskFirst(d decision, s suspicion) string {
	leave := fmt.Sprintf("Leave H until it is clear what has changed since pass %d.", s.against)
	if back, turned := saysBack(d); turned {
		leave = fmt.Sprintf("%s After that leave it until it is clear what else has changed since pass %d.", back, s.against)
	}
	return fmt.Sprintf("%s %s If nothing was done to it, a fault comes before the screw, which would only hide it. There may be a fault: %s. Then first: %s No full throttle before that.",
		leave, s.work.Check, s.name(), s.check())
}

// saysBack says where a screw goes back to that was turned in, and reports whether one
// was.
func saysBack(d decision) (says string, turned bool) {
	from, turned := d.turnedIn()
	if !turned {
		return "", false
	}
	return fmt.Sprintf("H went from %s to %s turns out since pass %d. A screw that was turned goes back first: H to %s turns out.",
		from.Screws.H, d.now.Screws.H, from.Number, from.Screws.H), true
}

// saysFaultThough says which fault is likely, though the pass by itself is on the
// safe side.
func saysFaultThough(s suspicion) string {
	return fmt.Sprintf("Leave H where it is: this pass is on the safe side, but since pass %d there is likely a fault: %s. First: %s",
		s.against, s.name(), s.check())
}

// name gives the cause that is suspected, or its group.
func (s suspicion) name() string {
	return called(RankedCause{Name: groupOf(s.group).name, Which: s.which})
}

// check says how the bench tells, likeliest cause first.
func (s suspicion) check() string { return s.which[0].Check }

// saysRichFault says what to look at before H is turned in.
func saysRichFault(s suspicion) string {
	return fmt.Sprintf("Leave H, though it is rich in the cut. The likely cause since pass %d: %s. First: %s Then record again.",
		s.against, s.name(), s.check())
}

// saysOut says how far H goes out, what is to be expected of it, and, where nothing
// could be held against an earlier pass, what to ask first.
func saysOut(d decision, turns float64) string {
	says := []string{}
	if !d.explained() {
		says = append(says, "First: did it run right before, and what has changed since? If nothing has, neither screw nor filter nor fuel nor weather, it is a fault and not the setting: "+
			"look for a leak or a starved fuel supply, and leave H. Only if something has changed:")
	}
	if d.now.code() == codeClean {
		says = append(says, fmt.Sprintf("Open H (turn it out, on the common type) by %s and record again: without load it must four-stroke.", turnsWords(turns)))
	} else {
		says = append(says, fmt.Sprintf("Open H (turn it out, on the common type) by %s before the next full throttle, and record again.", turnsWords(turns)))
	}
	if d.machine.carburettor == engine.Capped {
		says = append(says, "Stay within the range that its cap allows.")
	}
	says = append(says, saysExpected(d.response, d.now, turns), saysSteps(d))
	return strings.TrimSpace(strings.Join(says, " "))
}

// saysSteps says how many steps out it may take to get under the limit.
func saysSteps(d decision) string {
	limit := d.now.Report.Limits.MaxRPM
	if !d.canPredict() || !limit.Told() || d.now.code() == codeClean {
		return ""
	}
	need := (d.now.speed() + engine.CoverageFactor*d.now.top.SDRPM - float64(limit)) / -d.response.PerTurn
	steps := math.Ceil(need / d.opt.MaxStep)
	if steps <= 1 {
		return ""
	}
	return fmt.Sprintf("By what H does on this machine it may take %.0f such steps in all, one at a time. If two change nothing, stop and look for the cause.", steps)
}

// saysExpected says what a move of H out should do, and from what that is known.
func saysExpected(r Response, now observation, turns float64) string {
	burbles := traitsOf(now.Report.Engine).firingTells()
	by := engine.FormatWhole(roundToStep(-r.PerTurn * turns))
	switch known := r.PerTurn < 0 && now.usable; {
	case !known && burbles:
		return "Expect it to be slower, with more burble."
	case !known:
		return "Expect it to be slower."
	case r.Learned && burbles:
		return fmt.Sprintf("By its own passes, expect about %s rpm less and more burble.", by)
	case r.Learned:
		return fmt.Sprintf("By its own passes, expect about %s rpm less.", by)
	case burbles:
		return fmt.Sprintf("By common practice, expect about %s rpm less and more burble.", by)
	}
	return fmt.Sprintf("By common practice, expect about %s rpm less.", by)
}

// roundToStep rounds an expected change of speed to what is worth saying, in rpm.
func roundToStep(rpm float64) float64 {
	const step = 50
	return math.Max(step, step*math.Round(rpm/step))
}

func saysNotLearned(d decision) string {
	return fmt.Sprintf("No figure for H yet: it takes passes at %d settings of H to tell what a turn does on this machine, and there are %d. "+
		"Follow the verdict's own advice.", d.opt.MinSettings, d.response.Settings)
}

func saysIn(d decision, turns float64, speed report.Speed, sd float64) string {
	return fmt.Sprintf("Close H (turn it in, on the common type) by %s at most and record again. In this air expect %s ± %s rpm (95 %%), "+
		"under the limit of %s rpm. It must still four-stroke without load; if not, open H by as much again.",
		turnsWords(turns), speed.Reading(), engine.FormatHalfWidth(sd), d.now.Report.Limits.MaxRPM)
}
