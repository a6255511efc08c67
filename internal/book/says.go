package book

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"

	"topnote/internal/air"
	"topnote/internal/report"
)

// What to say when something cannot be done. What is said of passes stands in
// the other files whose names begin with says.

// plain takes the name of the file out of what the system says: the sentence
// has it already.
func plain(err error) string {
	var path *fs.PathError
	if errors.As(err, &path) {
		err = path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		err = link.Err
	}
	return strings.ReplaceAll(err.Error(), "\n", " ")
}

func problemNoDataFolder() error {
	return &Problem{ErrFile, "the system names no folder for your data", "name a file with --book FILE", nil}
}

func problemNoBook(path string) error {
	return &Problem{ErrNoBook, "there is no book at " + report.Printable(path),
		"begin one with topnote book machine add NAME, or name another file with --book FILE", nil}
}

func problemFolder(path string) error {
	return &Problem{ErrFile, report.Printable(path) + " is a folder",
		"name a file in it, such as " + report.Printable(filepath.Join(path, fileName)), nil}
}

func problemNotAFile(path string) error {
	return &Problem{ErrFile, report.Printable(path) + " is there and is not a file", "name a file with --book FILE", nil}
}

func problemCannotOpen(path string, err error) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s cannot be opened: %s", report.Printable(path), plain(err)),
		"see whether you may read it, or name another file with --book FILE", err}
}

func problemCannotMake(path string, err error) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s cannot be made: %s", report.Printable(path), plain(err)),
		"name a file in a folder of your own with --book FILE", err}
}

func problemReadOnly(path string) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s may be read but not written", report.Printable(path)),
		"ask whoever owns it, or name another file with --book FILE", nil}
}

func problemOldReadOnly(path string) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s is of an older program and may not be written, so it cannot be brought up to date", report.Printable(path)),
		"copy it to a folder of your own and name the copy with --book FILE", nil}
}

func problemNewer(path string, version, known int) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s was written by a newer program (version %d of its form; this one knows %d)", report.Printable(path), version, known),
		"use the newer program; nothing was changed", nil}
}

func problemOtherDatabase(path string) error {
	return &Problem{ErrFile, report.Printable(path) + " is a database, but not a book", "name another file with --book FILE; nothing was changed", nil}
}

// problemDatabase puts what the database says into words.
func problemDatabase(path string, err error) error {
	name := report.Printable(path)
	var known *sqlite.Error
	code := 0
	if errors.As(err, &known) {
		const primary = 0xff // the rest says where it happened
		code = known.Code() & primary
	}
	switch code {
	case lib.SQLITE_NOTADB:
		return &Problem{ErrFile, name + " is not a book", "name another file with --book FILE; nothing was changed", err}
	case lib.SQLITE_CORRUPT:
		return &Problem{ErrFile, "the book " + name + " is damaged", "go back to a backup, and keep the damaged file for now", err}
	case lib.SQLITE_READONLY:
		return problemReadOnly(path)
	case lib.SQLITE_FULL:
		return &Problem{ErrFile, "the disk of the book " + name + " is full, so nothing was stored", "make room on it and try again", err}
	case lib.SQLITE_BUSY, lib.SQLITE_LOCKED:
		return &Problem{ErrFile, fmt.Sprintf("another program has been writing to the book %s for %.0f s", name, patience.Seconds()),
			"try again when it is done", err}
	case lib.SQLITE_CANTOPEN:
		return &Problem{ErrFile, fmt.Sprintf("the book %s cannot be opened", name),
			"see whether you may read it and write beside it, or name another file with --book FILE", err}
	}
	return &Problem{ErrFile, fmt.Sprintf("the book %s cannot be used: %s", name, plain(err)),
		"see whether its disk is in order, or go back to a backup", err}
}

func problemBackupThere(path string) error {
	return &Problem{ErrFile, report.Printable(path) + " is there already", "choose another name for the backup; nothing was changed", nil}
}

func problemBackup(path string, err error) error {
	var known *sqlite.Error
	if errors.As(err, &known) && known.Code()&0xff == lib.SQLITE_FULL {
		return &Problem{ErrFile, "the disk is too full for the backup " + report.Printable(path), "choose a disk with more room", err}
	}
	return &Problem{ErrFile, fmt.Sprintf("the backup %s cannot be written: %s", report.Printable(path), plain(err)),
		"choose a folder of your own with room on its disk", err}
}

func problemNoName() error {
	return &Problem{ErrEntry, "a machine needs a name", "call it what you call it at the bench", nil}
}

func problemBlankName(name string) error {
	return &Problem{ErrEntry, strconv.Quote(name) + " begins or ends with a blank", "leave the blank out", nil}
}

func problemUnprintable(what, text string) error {
	return &Problem{ErrEntry, fmt.Sprintf("something in the %s %s cannot be printed on one line", what, strconv.Quote(shortened(text))),
		"write it with plain letters on one line", nil}
}

// shortened keeps what is quoted in an error within a line.
func shortened(text string) string {
	const most = 40
	if len(text) <= most {
		return text
	}
	return text[:most] + "..."
}

func problemLongText(what string, most int) error {
	return &Problem{ErrEntry, fmt.Sprintf("there are more than %d characters in the %s", most, what), "shorten it", nil}
}

func problemEngine(e report.Engine) error {
	return &Problem{ErrEntry, fmt.Sprintf("an engine with strokes %d, cylinders %d cannot be measured", e.Strokes, e.Cylinders),
		"enter 2 or 4 strokes and 1 to 12 cylinders", nil}
}

func problemSpeed(name string, v float64) error {
	return &Problem{ErrEntry, fmt.Sprintf("%g rpm is no %s speed", v, name), "see the machine's handbook or its plate for the right figure", nil}
}

func problemSpeedOrder(low string, lowRPM report.Speed, high string, highRPM report.Speed) error {
	return &Problem{ErrEntry, fmt.Sprintf("the %s speed of %s rpm is not below the %s speed of %s rpm", low, lowRPM, high, highRPM),
		"see that the two are not mixed up", nil}
}

func problemNoMachine(name string, known []string) error {
	do := "add it with topnote book machine add NAME"
	if len(known) > 0 {
		const most = 8
		more := ""
		if len(known) > most {
			known, more = known[:most], " and others"
		}
		do = "there are " + strings.Join(known, ", ") + more + "; or " + do
	}
	return &Problem{ErrUnknown, "there is no machine " + strconv.Quote(shortened(name)) + " in the book", do, nil}
}

func problemKnownMachine(name string) error {
	return &Problem{ErrKnown, "there is a machine " + strconv.Quote(name) + " already", "choose another name, or change that one with topnote book machine edit", nil}
}

func problemOtherMachine(name string) error {
	return &Problem{ErrKnown, "the machine " + strconv.Quote(name) + " is described otherwise in this book", "make both descriptions the same, or rename one; nothing was imported", nil}
}

func problemNoPass(number int64) error {
	return &Problem{ErrUnknown, fmt.Sprintf("there is no pass %d in the book", number), "see topnote book passes for the numbers", nil}
}

func problemKnownPass(machine string, number int64, recorded time.Time) error {
	return &Problem{ErrKnown, fmt.Sprintf("this recording is in the book already, as pass %d of %s on %s", number, strconv.Quote(machine), recorded.Format(time.DateOnly)),
		"to correct that entry, store it once more with --again: the last entry counts and the first one stays", nil}
}

func problemAir(err error) error {
	var problem *air.Problem
	if errors.As(err, &problem) {
		return &Problem{ErrEntry, problem.Says, problem.Do, err}
	}
	return err
}

func problemNoTurns(text string) error {
	return &Problem{ErrEntry, strconv.Quote(shortened(text)) + " is no setting of a screw", "write turns out from lightly seated, as 1.25 or 1 1/4", nil}
}

func problemTurnsRange(t Turns) error {
	return &Problem{ErrEntry, fmt.Sprintf("%g turns is no setting of a screw", float64(t)), "count the turns out from lightly seated: 0 to " + Turns(mostTurns).String(), nil}
}

func problemDate(t time.Time) error {
	return &Problem{ErrEntry, "a pass cannot have been recorded on " + t.Format(time.DateOnly), "write the day as 2026-05-31; it cannot lie ahead", nil}
}

func problemNoHash(hash string) error {
	return &Problem{ErrEntry, "the report does not say which recording it is of: its SHA-256 is " + strconv.Quote(shortened(hash)), "measure the recording again", nil}
}

func problemReportSpeed(v float64) error {
	return &Problem{ErrEntry, fmt.Sprintf("the report has a speed of %g rpm", v), "measure the recording again", nil}
}

func problemReportShare(v float64) error {
	return &Problem{ErrEntry, fmt.Sprintf("the report has a share of %g, which is outside 0 to 1", v), "measure the recording again", nil}
}
