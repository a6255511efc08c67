package book

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"topnote/internal/air"
	"topnote/internal/engine"
	"topnote/internal/report"
)

// What to say of an entry that cannot be used. says_file.go has what is said of
// files, and says_import.go of exports.

func problemNoName() error {
	return &Problem{ErrEntry, "a machine needs a name", "call it what you call it at the bench", nil}
}

func problemBlankName(name string) error {
	return &Problem{ErrEntry, strconv.Quote(name) + " begins or ends with a space", "leave the space out", nil}
}

func problemUnprintable(what, text string) error {
	return &Problem{ErrEntry, fmt.Sprintf("something in the %s %s cannot be printed on one line", what, strconv.Quote(shortened(text))),
		"write it with plain letters on one line", nil}
}

// shortened keeps what is quoted in an error within a line.
func shortened(text string) string {
	const maxBytes = 40
	if len(text) <= maxBytes {
		return text
	}
	return text[:maxBytes] + "..."
}

func problemLongText(what string, limit int) error {
	return &Problem{ErrEntry, fmt.Sprintf("there are more than %d characters in the %s", limit, what), "shorten it", nil}
}

func problemEngine(e report.Engine) error {
	return &Problem{ErrEntry, fmt.Sprintf("an engine with strokes %d, cylinders %d cannot be measured", e.Strokes, e.Cylinders),
		"enter 2 strokes and 1 to 12 cylinders, or 4 strokes and 1 to 3", nil}
}

// problemBuild says what of a machine's build cannot be.
func problemBuild(err error) error {
	switch {
	case errors.Is(err, engine.ErrGearRatio):
		return &Problem{ErrEntry, fmt.Sprintf("a gear ratio is from %v to %v turns of the engine for one of the spindle", engine.MinGearRatio, engine.MaxGearRatio),
			"see the machine's handbook for it", nil}
	case errors.Is(err, engine.ErrNoGearRatio):
		return &Problem{ErrEntry, "the limit is a speed of the spindle, and no gear ratio was entered", "enter the gear ratio, or the limit as a speed of the engine", nil}
	case errors.Is(err, engine.ErrTolerance):
		return &Problem{ErrEntry, "a tolerance belongs to a limit that is a set-to figure", "enter set-to with it, or leave the tolerance out", nil}
	}
	return &Problem{ErrEntry, "something entered about the machine is not one of the possible answers", "see topnote book machine edit --help for them", nil}
}

func problemSpeed(name string, v float64) error {
	return &Problem{ErrEntry, fmt.Sprintf("%g rpm is no %s speed", v, name), "see the machine's handbook or its rating plate for the right figure", nil}
}

func problemSpeedOrder(low string, lowRPM report.Speed, high string, highRPM report.Speed) error {
	return &Problem{ErrEntry, fmt.Sprintf("the %s speed of %s rpm is not below the %s speed of %s rpm", low, lowRPM, high, highRPM),
		"check that the two are not mixed up", nil}
}

func problemNoMachine(name string, known []string) error {
	do := "add it with topnote book machine add NAME"
	if len(known) > 0 {
		const maxNames = 8
		more := ""
		if len(known) > maxNames {
			known, more = known[:maxNames], " and others"
		}
		one := "choose "
		if len(known) > 1 {
			one = "choose one of "
		}
		do = one + strings.Join(known, ", ") + more + ", or " + do
	}
	return &Problem{ErrUnknown, "there is no machine " + strconv.Quote(shortened(name)) + " in the book", do, nil}
}

func problemKnownMachine(name string) error {
	return &Problem{ErrKnown, "there is a machine " + strconv.Quote(name) + " already", "choose another name, or change that one with topnote book machine edit", nil}
}

func problemOtherMachine(name string) error {
	return &Problem{ErrKnown, "the machine " + strconv.Quote(name) + " is described differently in this book", "make both descriptions the same, or rename one; nothing was imported", nil}
}

func problemNoPass(number int64) error {
	return &Problem{ErrUnknown, fmt.Sprintf("there is no pass %d in the book", number), "see topnote book passes for the numbers", nil}
}

func problemNoSound(pass int64) error {
	return &Problem{ErrUnknown, fmt.Sprintf("the book keeps no recording of pass %d", pass), "save the next pass with its recording", nil}
}

func problemSoundSize(bytes int) error {
	return &Problem{ErrEntry, fmt.Sprintf("a recording of %s bytes is not kept in the book", engine.FormatWhole(float64(bytes))),
		fmt.Sprintf("keep one of up to %s bytes, or save the pass without it", engine.FormatWhole(float64(MaxSound))), nil}
}

func problemKnownPass(machine string, number int64, recorded time.Time) error {
	return &Problem{ErrKnown, fmt.Sprintf("this recording is in the book already, as pass %d of %s on %s", number, strconv.Quote(machine), recorded.Format(time.DateOnly)),
		"to correct that entry, store it again with --again: the last entry counts, and the first one stays", nil}
}

func problemAir(err error) error {
	var problem *air.Problem
	if errors.As(err, &problem) {
		return &Problem{ErrEntry, problem.Says, problem.Do, err}
	}
	return err
}

func problemNoTurns(text string) error {
	return &Problem{ErrEntry, strconv.Quote(shortened(text)) + " is no setting of a screw", "write its turns as 1 1/4 or 1.25", nil}
}

func problemTurnsRange(t Turns) error {
	return &Problem{ErrEntry, fmt.Sprintf("%g turns is no setting of a screw", float64(t)), "count 0 to " + Turns(maxTurns).String() + " turns", nil}
}

func problemTachometer(v float64) error {
	return &Problem{ErrEntry, fmt.Sprintf("%g rpm is no reading of a tachometer", v), "write what it showed at full throttle, such as 12900", nil}
}

// SaysTachometer says what a tachometer showed beside what was read from the sound; ""
// where none was noted.
func (p Pass) SaysTachometer() string {
	if !p.TachometerRPM.Told() {
		return ""
	}
	off, told := p.TachometerOff()
	switch {
	case !told:
		return fmt.Sprintf("%s rpm", p.TachometerRPM)
	case off == 0:
		return fmt.Sprintf("%s rpm, as read from the sound", p.TachometerRPM)
	case off < 0:
		return fmt.Sprintf("%s rpm, %s rpm below that read from the sound", p.TachometerRPM, engine.FormatWhole(-off))
	}
	return fmt.Sprintf("%s rpm, %s rpm above that read from the sound", p.TachometerRPM, engine.FormatWhole(off))
}

func problemDate(t time.Time) error {
	return &Problem{ErrEntry, "a pass cannot have been recorded on " + t.Format(time.DateOnly), "write the day as 2026-05-31; it cannot be in the future", nil}
}

func problemNoHash(hash string) error {
	return &Problem{ErrEntry, "the report does not say which recording it is of: its SHA-256 is " + strconv.Quote(shortened(hash)), "measure the recording again", nil}
}

func problemReportSpeed(v float64) error {
	return &Problem{ErrEntry, fmt.Sprintf("the report has a speed of %g rpm", v), "measure the recording again", nil}
}

// problemReportCode is of a report of a newer program, or that somebody has changed.
func problemReportCode(code string) error {
	return &Problem{ErrEntry, fmt.Sprintf("the verdict of the report is %s, which is not known to this version but may be to a newer one", strconv.Quote(shortened(code))),
		"use a newer version, or measure the recording again", nil}
}

// problemReportSafe is of a report that somebody has changed: no program writes it.
func problemReportSafe(speed, limit float64) error {
	return &Problem{ErrEntry, fmt.Sprintf("the report calls %.0f rpm safe at a limit of %.0f rpm", speed, limit), "measure the recording again", nil}
}

func problemReportShare(v float64) error {
	return &Problem{ErrEntry, fmt.Sprintf("the report has a share of %g, which is outside 0 to 1", v), "measure the recording again", nil}
}
