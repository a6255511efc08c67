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
	bookLong  = `Keep machines and their passes in one file, follow each machine over time, and find
out why it runs differently than before.

topnote measure CLIP --machine NAME stores a pass. A stored pass is never changed; to
correct one, store the same recording again with --again.`
	bookExample = `  topnote book machine add "bench saw" --limit 13500 --idle 2800 --clutch 3700
  topnote measure pass.wav --machine "bench saw" --air "temp=8 rh=80 altitude=120" --h 1.25
  topnote book trend "bench saw" --plot trend.png
  topnote book why "bench saw"
  topnote book why 7 3`

	machineShort      = "Add, list, show and edit machines"
	machineAddShort   = "Add a machine under a name of your own"
	machineListShort  = "List the machines"
	machineShowShort  = "Show a machine and what has been changed about it"
	machineEditShort  = "Change a machine; its earlier description is kept"
	passesShort       = "List the passes, of one machine or of all"
	showShort         = "Show a pass with its notes and its report"
	trendShort        = "Show the history of a machine, as a table and a picture"
	exportShort       = "Write the whole book as JSON"
	importShort       = "Read an export or a backup into the book, all of it or nothing"
	backupShort       = "Write a copy of the book that opens as a book"
	whyShort          = "Say what changed between two passes of a machine"
	machineAddExample = `  topnote book machine add "bench saw" --limit 13500 --idle 2800 --clutch 3700 --notes "bar of 40 cm"`

	trendLong = `Show the history of a machine: top speed, four-stroking and idle, pass by pass.
Where the air of the day is noted, the top speed is also given as it would be in
standard air (15 C, 1013.25 hPa, dry). Four-stroking and idle are not corrected: no
law for them is known. The limit holds for the speed as it was measured.`
	whyLong = `Say what changed between two passes of a machine: between the two numbered passes,
between one pass and the pass before it, or between the last two passes of a machine
that you name. First comes what the air and the H screw did, by what this machine has
shown or by common practice; the rest is compared with the signs of each cause, with
the next check to make. A fault comes before the screw; after passes at three
settings of H it says how far H may go next.`

	flagBook        = "the `file` of the book; by default topnote/book.sqlite in your data folder"
	flagNotes       = "`notes` about the machine"
	flagNewName     = "a new `name` for it"
	flagTextJSON    = "`form` of the result: text or json"
	flagTextJSONCSV = "`form` of the result: text, json or csv"
	flagFullTrend   = "print every pass, why, how to read it, and all cautions"
	flagFullWhy     = "print both passes, every cause with its evidence, and all cautions"
	flagAgain       = "store a recording even if the book has it already"
	flagMachine     = "`name` of the machine in the book: its speeds are used, and the pass is stored"
	flagAir         = "the `air` of the day, for the book: \"temp=8 rh=80 altitude=120\""
	flagH           = "the H screw, turns out from lightly seated: 1.25, 1 1/4"
	flagL           = "the L screw, likewise"
	flagIdleScrew   = "the idle screw, turns in from first contact with the throttle lever"
	flagFilterNote  = "`note` about the air filter: new, cleaned, dusty"
	flagFuelNote    = "`note` about the fuel, the oil and the fuel system: \"fresh, 1:50\", \"fuel filter new\""
	flagTachometer  = "the top speed that a tachometer showed, for the book, rpm"
	flagWho         = "`name` of whoever made the pass"
	flagDate        = "`day` of the recording, 2026-05-31 or \"2026-05-31 14:30\"; by default now"
	flagNoBook      = "do not store the pass"

	doBookHelp    = "see topnote book --help"
	doMachineHelp = "see topnote book machine --help"
)

// failure gives the same words as a failure: the command line was right, but the
// book is not.
func (u usageError) failure() error { return errors.New(u.says + "; " + u.do) }

func refuseNoMachine() error {
	return &usageError{"no machine was named", "name one; topnote book machine list shows them"}
}

func refuseNoPass() error {
	return &usageError{"no pass was named", "name its number; topnote book passes shows them"}
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
	return &usageError{"no file was named for the backup", "name one that does not exist yet"}
}

func refuseWithoutMachine(flag string) error {
	return &usageError{"--" + flag + " needs a machine", "name it with --machine NAME"}
}

func refuseDate(text string) error {
	return &usageError{"--date: " + quoted(text) + " is not a date", "write it as 2026-05-31 or \"2026-05-31 14:30\""}
}

func saysCannotRead(path string, err error) error {
	return fmt.Errorf("%s cannot be read: %w; check that it exists and that you may read it", quoted(path), err)
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
		_, err = fmt.Fprintf(w, "It has no limit yet: find the maximum speed in its handbook or on its rating plate, and enter it with\n"+
			"topnote book machine edit %s --limit RPM\n", quoted(m.Name))
	}
	return err
}

func saysImported(w io.Writer, done book.Imported) error {
	_, err := fmt.Fprintf(w, "Imported: machines %d, passes %d; already here: passes %d.\n", done.Machines, done.Passes, done.Present)
	if err == nil && done.Recordings > 0 {
		_, err = fmt.Fprintf(w, "Recordings added to their passes: %d.\n", done.Recordings)
	}
	if err == nil && done.LeftOut > 0 {
		_, err = fmt.Fprintf(w, "Recordings that the export names and does not carry: %d. Take the backup of the book for them.\n", done.LeftOut)
	}
	return err
}

func saysCarried(w io.Writer, c book.Carried) {
	switch {
	case c.LeftOut > 0:
		fmt.Fprintf(w, "topnote: recordings in the export: %d; left out, since they have more than %d MB together: %d; topnote book backup has all of them\n",
			c.Recordings, book.MaxCarried/1_000_000, c.LeftOut)
	case c.Recordings > 0:
		fmt.Fprintf(w, "topnote: recordings in the export: %d\n", c.Recordings)
	}
}

func saysBackedUp(w io.Writer, path string) error {
	_, err := fmt.Fprintf(w, "The backup is %s. Look at it with --book.\n", report.Printable(path))
	return err
}
