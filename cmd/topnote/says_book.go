package main

import (
	"errors"
	"fmt"
	"io"

	"topnote/internal/book"
	"topnote/internal/report"
)

// Every sentence of the book commands that a user can read, but for those of the
// book itself.
const (
	bookShort = "Keep the record of machines and passes, and say why a tune changed"
	bookLong  = `Keep machines and their passes in one file, look at them in a row, and find out
why a machine runs otherwise than it did.

Passes are stored by topnote measure CLIP --machine NAME. A stored pass is never
changed; to correct one, store the same recording once more with --again.`
	bookExample = `  topnote book machine add "bench saw" --limit 13500 --idle 2800 --clutch 3700
  topnote measure pass.wav --machine "bench saw" --air "temp=8 rh=80 altitude=120" --h 1.25
  topnote book trend "bench saw" --plot trend.png
  topnote book why "bench saw"
  topnote book why 7 3`

	machineShort      = "Add, list, show and edit machines"
	machineAddShort   = "Add a machine under a name of your own"
	machineListShort  = "List the machines"
	machineShowShort  = "Show a machine and what was changed of it"
	machineEditShort  = "Change a machine; what it was before is kept"
	passesShort       = "List the passes, of one machine or of all"
	showShort         = "Show a pass with its day and its whole report"
	trendShort        = "Set the passes of a machine in a row, as table and picture"
	exportShort       = "Write the whole book as JSON"
	importShort       = "Read an export or a backup into the book: all of it or nothing"
	backupShort       = "Write a copy of the book that can be opened as one"
	whyShort          = "Say why a machine runs differently in one pass than in another"
	machineAddExample = `  topnote book machine add "bench saw" --limit 13500 --idle 2800 --clutch 3700 --notes "bar of 40 cm"`

	trendLong = `Set the passes of a machine in a row: top speed, four-stroking and idle over
time. Where the air of the day is noted, the top speed is also given as it would
be in standard air (15 C, 1013.25 hPa, dry); four-stroking and idle are not
corrected, since no law for them is known. The limit holds for the speed as it
was measured.`
	whyLong = `Say why a machine runs differently in a pass than in an earlier one; without a
second number, than in the one before it; with the name of a machine, its last
pass than the one before. The air and the H screw come first, by what this
machine has shown or by common practice; what is left is held against the signs
of each cause, with the next check to make. A fault comes before the screw; after
passes at three settings of H it says how far H may go next.`

	flagBook        = "the `file` of the book; without it, topnote/book.sqlite in your data folder"
	flagNotes       = "`notes` on the machine"
	flagNewName     = "a new `name` for it"
	flagTextJSON    = "`form` of the result: text or json"
	flagTextJSONCSV = "`form` of the result: text, json or csv"
	flagAgain       = "store a recording although the book has it already"
	flagMachine     = "`name` of the machine in the book: its speeds are used, and the pass is stored"
	flagAir         = "the `air` of the day, for the book: \"temp=8 rh=80 altitude=120\""
	flagH           = "the H screw, turns out from lightly seated: 1.25, 1 1/4"
	flagL           = "the L screw, likewise"
	flagIdleScrew   = "the idle screw, turns in from first contact with the throttle lever"
	flagFilterNote  = "`note` on the air filter: new, cleaned, dusty"
	flagFuelNote    = "`note` on fuel, oil and what brings it: \"fresh, 1:50\", \"fuel filter new\""
	flagWho         = "`name` of who did it"
	flagDate        = "`day` of the recording, 2026-05-31 or \"2026-05-31 14:30\"; without it, now"
	flagNoBook      = "do not store the pass"

	doBookHelp    = "see topnote book --help"
	doMachineHelp = "see topnote book machine --help"
)

// failure gives the same words as a failure: the command line was right, but the
// book is not.
func (u usageError) failure() error { return errors.New(u.says + "; " + u.do) }

func refuseNoMachine() error {
	return &usageError{"no machine was named", "name one; topnote book machine list has them"}
}

func refuseNoPass() error {
	return &usageError{"no pass was named", "name its number; topnote book passes has them"}
}

func refusePassNumber(text string) error {
	return &usageError{quoted(text) + " is not the number of a pass", "see topnote book passes for the numbers"}
}

func refuseOtherMachine(p, q book.Pass) error {
	return &usageError{
		fmt.Sprintf("pass %d is of %s and pass %d of %s", p.Number, quoted(p.Machine), q.Number, quoted(q.Machine)),
		"name two passes of one machine",
	}
}

func refuseNoExport() error {
	return &usageError{"no export was named", "name a file, or - for standard input"}
}

func refuseNoBackup() error {
	return &usageError{"no file was named for the backup", "name one that is not there yet"}
}

func refuseWithoutMachine(flag string) error {
	return &usageError{"--" + flag + " says nothing without a machine", "name it with --machine NAME"}
}

func refuseDate(text string) error {
	return &usageError{"--date: " + quoted(text) + " is no day", "write it as 2026-05-31 or \"2026-05-31 14:30\""}
}

func saysCannotRead(path string, err error) error {
	return fmt.Errorf("%s cannot be read: %w; see whether it is there and may be read", quoted(path), err)
}

func saysNothingToStore() error {
	return errors.New("no pass was heard, so nothing was stored in the book; record it again")
}

func saysStored(clip string, number int64, machine string) string {
	return fmt.Sprintf("topnote: %s: stored as pass %d of %s", report.Printable(clip), number, quoted(machine))
}

func saysAdded(w io.Writer, m book.Machine, path string) error {
	_, err := fmt.Fprintf(w, "Added %s to %s.\n", quoted(m.Name), report.Printable(path))
	if err == nil && !m.Limits.MaxRPM.Told() {
		_, err = fmt.Fprintf(w, "It has no limit yet: find the maximum speed in its handbook or on its plate and enter it with\n"+
			"topnote book machine edit %s --limit RPM\n", quoted(m.Name))
	}
	return err
}

func saysImported(w io.Writer, done book.Imported) error {
	_, err := fmt.Fprintf(w, "Imported: machines %d, passes %d; already here: passes %d.\n", done.Machines, done.Passes, done.Present)
	return err
}

func saysBackedUp(w io.Writer, path string) error {
	_, err := fmt.Fprintf(w, "The backup is %s. Open it with --book to look at it.\n", report.Printable(path))
	return err
}
