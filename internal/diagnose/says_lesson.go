package diagnose

import (
	"fmt"
	"strings"

	"topnote/internal/engine"
)

// What a learner is told: why, in one sentence; docs/why.md has the rest.

const (
	headLesson = "Why"
	headRead   = "How to read it"
)

// lessonWords say why a group of causes does what it does.
//
// Source: common practice.
var lessonWords = map[Group]string{
	GroupRich:       "Likely less air came to the same fuel, or more fuel to the same air, so it burns on fewer turns: slower, with more burble.",
	GroupFreed:      "Likely more air comes to the same fuel than before, so it is leaner: faster, with less burble.",
	GroupStarved:    "Likely less fuel came to the same air, so it is leaner: faster and cleaner, up to the peak, and hotter.",
	GroupPastPeak:   "Likely so little fuel came to the air that it burns slowly: past the peak the speed falls again, while the engine gets hotter.",
	GroupLeak:       "Likely air comes in past the carburettor and brings no fuel, so it is leaner, most of all at idle, where little air goes in.",
	GroupFuel:       "Likely the fuel burns differently, or carries another share of oil or oxygen, with the same screws.",
	GroupRepaired:   "Likely it gets the fuel again that it lacked, so it is richer: slower, with more burble.",
	GroupWeak:       "Likely it has less power, or turns more, with the same mixture: slower without more burble.",
	GroupFree:       "Likely it turns more freely with the same mixture: faster without less burble.",
	GroupSpeedLimit: "Likely the coil or a governor holds the speed, whatever the mixture is.",
	GroupMeasured:   "Likely the reading or the record differs, not the machine.",
}

// saysLessonOf begins a lesson with the two passes that it is about.
func saysLessonOf(now, then int64, lesson string) string {
	return fmt.Sprintf("Pass %d, compared with pass %d: %s", now, then, lesson)
}

// airWords say what other air did, leaner and richer, by what of it did most.
var airWords = [...]struct{ leaner, richer string }{
	byTemp: {"The air was colder, so each turn took in more of it for nearly the same fuel: leaner, faster, with less burble.",
		"The air was warmer, so each turn took in less of it for nearly the same fuel: richer, slower, with more burble."},
	byPressure: {"The air was under more pressure, so each turn took in more of it for nearly the same fuel: leaner, faster, with less burble.",
		"The air was thinner, so each turn took in less of it for nearly the same fuel: richer, slower, with more burble."},
	byHumidity: {"The air was drier, so each turn took in more of it for nearly the same fuel: leaner, faster, with less burble.",
		"The air was more humid, so each turn took in less of it for nearly the same fuel: richer, slower, with more burble."},
}

// What of the air can do most.
const (
	byTemp = iota
	byPressure
	byHumidity
)

// saysLessonOfAir says what other air did.
func saysLessonOfAir(leaner float64, most int) string {
	if leaner > 0 {
		return airWords[most].leaner
	}
	return airWords[most].richer
}

// saysLessonOfScrew says what a turn of H did.
func saysLessonOfScrew(opened float64) string {
	if opened > 0 {
		return "H was opened, so more fuel came to the same air: richer, slower, with more burble."
	}
	return "H was closed, so less fuel came to the same air: leaner, faster, with less burble."
}

// saysNextEighth says what the next eighth of a turn should do. It turns no screw: that
// is the next move's.
func saysNextEighth(r Response, now observation, o Options) string {
	if r.PerTurn >= 0 {
		return "The passes of this machine do not show what an eighth of a turn of H does."
	}
	by, sd := engine.FormatWhole(roundToStep(-r.PerTurn*o.MaxStep)), engine.FormatTens(engine.CoverageFactor*o.MaxStep*r.PerTurnSD)
	burbles := traitsOf(now.Report.Engine).firingTells()
	switch {
	case r.Learned && burbles:
		return fmt.Sprintf("An eighth of a turn of H out takes about %s rpm off and adds burble (by its own passes, ± %s rpm); an eighth in does the opposite.", by, sd)
	case r.Learned:
		return fmt.Sprintf("An eighth of a turn of H out takes about %s rpm off (by its own passes, ± %s rpm); an eighth in does the opposite.", by, sd)
	case burbles:
		return fmt.Sprintf("An eighth of a turn of H out takes about %s rpm off and adds burble (common practice: 200 to 400 at 13,000); an eighth in does the opposite.", by)
	}
	return fmt.Sprintf("An eighth of a turn of H out takes about %s rpm off (common practice: 200 to 400 at 13,000); an eighth in does the opposite.", by)
}

// says tells how a turn of H came out.
func (t screwTurn) says() string {
	says := []string{fmt.Sprintf("From pass %d to pass %d H was opened by %s.", t.from, t.to, turnsWords(t.opened))}
	if t.opened < 0 {
		says[0] = fmt.Sprintf("From pass %d to pass %d H was closed by %s.", t.from, t.to, turnsWords(t.opened))
	}
	if t.learned {
		says = append(says, fmt.Sprintf("By the passes before, about %s was to be expected.", upOrDown(t.expected.value)))
	} else {
		says = append(says, fmt.Sprintf("By common practice, about %s was to be expected.", upOrDown(t.expected.value)))
	}
	if t.airTaken {
		says = append(says, fmt.Sprintf("It came out %s, ± %s rpm, without what the air of the two days did.", upOrDown(t.came.value), engine.FormatTens(t.came.halfWidth())))
	} else {
		says = append(says, fmt.Sprintf("It came out %s, ± %s rpm.", upOrDown(t.came.value), engine.FormatTens(t.came.halfWidth())))
	}
	if t.firing {
		says = append(says, fmt.Sprintf("It four-stroked %s of the time, then %s.", engine.FormatShare(t.four), engine.FormatShare(t.fourNow)))
	}
	if !t.asExpected() {
		says = append(says, "That is not what H does: look for what else changed.")
	}
	return strings.Join(says, " ")
}
