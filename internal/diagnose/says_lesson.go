package diagnose

import (
	"fmt"

	"topnote/internal/engine"
)

// What a learner is told: why, in one sentence; docs/why.md has the rest.

const headLesson = "Why"

// lessonWords say why a group of causes does what it does.
//
// Source: common practice.
var lessonWords = map[Group]string{
	GroupRich:       "less air came to the same fuel, or more fuel to the same air, so it burns on fewer turns: slower, with more burble",
	GroupFreed:      "more air comes to the same fuel than with what was there before, so it is leaner: faster, with less burble",
	GroupStarved:    "less fuel came to the same air, so it is leaner: faster and cleaner, up to the peak, and hotter",
	GroupPastPeak:   "so little fuel came to the air that it burns slowly: past the peak the speed falls again, while the engine gets hotter",
	GroupLeak:       "air comes in past the carburettor and brings no fuel, so it is leaner, most of all at idle, where little air goes in",
	GroupFuel:       "the fuel burns otherwise, or carries another share of oil or oxygen, at the same screws",
	GroupRepaired:   "it gets the fuel again that it lacked, so it is richer: slower, with more burble",
	GroupWeak:       "it has less power, or turns more, at the same mixture: slower without more burble",
	GroupFree:       "it turns more freely at the same mixture: faster without less burble",
	GroupSpeedLimit: "the coil or a governor holds the speed, whatever the mixture is",
	GroupMeasured:   "the reading or the record differs, not the machine",
}

// saysAgainst begins a lesson with the two passes that it is about.
func saysAgainst(now, then int64, lesson string) string {
	return fmt.Sprintf("Pass %d against pass %d: %s.", now, then, lesson)
}

// saysLessonOfAir says what other air did.
func saysLessonOfAir(leaner float64, word string) string {
	if leaner > 0 {
		return "the air was " + word + ", so each turn took in more of it for nearly the same fuel: leaner, faster, with less burble"
	}
	return "the air was " + word + ", so each turn took in less of it for nearly the same fuel: richer, slower, with more burble"
}

// saysLessonOfScrew says what a turn of H did.
func saysLessonOfScrew(opened float64) string {
	if opened > 0 {
		return "H was opened, so more fuel came to the same air: richer, slower, with more burble"
	}
	return "H was closed, so less fuel came to the same air: leaner, faster, with less burble"
}

// saysNextEighth says what the next eighth of a turn should do. It turns no screw: that
// is the next move's.
func saysNextEighth(r Response, now observation, o Options) string {
	burble := " and adds burble"
	if !traitsOf(now.Report.Engine).firingTells() {
		burble = ""
	}
	source := "common practice: 200 to 400 at 13,000"
	if r.Learned {
		source = fmt.Sprintf("by its own passes, ± %s", engine.FormatTens(engine.CoverageFactor*o.MaxStep*r.PerTurnSD))
	}
	if r.PerTurn >= 0 {
		return "What an eighth of a turn of H does on this machine its passes do not show."
	}
	return fmt.Sprintf("An eighth of a turn of H out takes about %s rpm off%s (%s); an eighth in does the opposite.", engine.FormatWhole(roundToStep(-r.PerTurn*o.MaxStep)), burble, source)
}

// says tells how a turn of H came out.
func (t screwTurn) says() string {
	way := "opened"
	if t.opened < 0 {
		way = "closed"
	}
	source := "common practice"
	if t.learned {
		source = "by the passes before it"
	}
	air := ""
	if t.airTaken {
		air = ", with the air of both days taken out"
	}
	says := fmt.Sprintf("From pass %d to pass %d H was %s by %s: about %s was to be expected (%s), and it came out %s, ± %s rpm%s",
		t.from, t.to, way, turnsWords(t.opened), upOrDown(t.expected.value), source, upOrDown(t.came.value), engine.FormatTens(t.came.halfWidth()), air)
	if t.firing {
		says += fmt.Sprintf("; it four-stroked %s of the time, then %s", engine.FormatShare(t.four), engine.FormatShare(t.fourNow))
	}
	if !t.asExpected() {
		return says + ". That is not what H does: look for what else changed."
	}
	return says + "."
}
