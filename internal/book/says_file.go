package book

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"topnote/internal/report"
	"topnote/internal/sqlite"
)

// What to say of a file that cannot be used as a book.

// systemReason gives what the system says of an error, without the name of the
// file, which the sentence has already.
func systemReason(err error) string {
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
		"start one with topnote book machine add NAME, or name another file with --book FILE", nil}
}

func problemFolder(path string) error {
	return &Problem{ErrFile, report.Printable(path) + " is a folder",
		"name a file in it, such as " + report.Printable(filepath.Join(path, fileName)), nil}
}

func problemNotAFile(path string) error {
	return &Problem{ErrFile, report.Printable(path) + " exists and is not a file", "name a file with --book FILE", nil}
}

func problemCannotOpen(path string, err error) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s cannot be opened: %s", report.Printable(path), systemReason(err)),
		"check that you may read it, or name another file with --book FILE", err}
}

func problemCannotMake(path string, err error) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s cannot be made: %s", report.Printable(path), systemReason(err)),
		"name a file in a folder of your own with --book FILE", err}
}

func problemReadOnly(path string) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s may be read but not written", report.Printable(path)),
		"ask whoever owns it, or name another file with --book FILE", nil}
}

func problemOldReadOnly(path string) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s is from an older program and may not be written, so it cannot be brought up to date", report.Printable(path)),
		"copy it to a folder of your own and name the copy with --book FILE", nil}
}

func problemNewer(path string, version, known int) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s was written by a newer program (version %d of its form; this one knows %d)", report.Printable(path), version, known),
		doNewer, nil}
}

func problemOtherDatabase(path string) error {
	return &Problem{ErrFile, report.Printable(path) + " is a database, but not a book", doOtherFile, nil}
}

// problemReplacedFile says that the open file is no longer the one of its name,
// so that an entry would be lost with it.
func problemReplacedFile(path string, err error) error {
	return &Problem{ErrFile, fmt.Sprintf("the book %s was moved, removed or replaced while it was open, so nothing was stored", report.Printable(path)),
		"put it back in its place and start the program again", err}
}

func problemNotABook(path string, err error) error {
	return &Problem{ErrFile, report.Printable(path) + " is not a book", doOtherFile, err}
}

func problemDamaged(path string, err error) error {
	return &Problem{ErrFile, "the book " + report.Printable(path) + " is damaged",
		doRestore, err}
}

// problemDatabase puts an error of the database into words. Whatever is neither
// the disk nor another program is damage: this program's own statements are right
// for a book that is whole.
func problemDatabase(path string, busyTimeout time.Duration, err error) error {
	name := report.Printable(path)
	switch primaryCode(err) {
	case sqlite.NotADB:
		return problemNotABook(path, err)
	case sqlite.ReadOnly:
		return problemReadOnly(path)
	case sqlite.Full:
		return &Problem{ErrFile, fmt.Sprintf(saysFull, name), doFull, err}
	case sqlite.Busy, sqlite.Locked, sqlite.Protocol:
		return &Problem{ErrFile, fmt.Sprintf("another program has been writing to the book %s for %.0f s", name, busyTimeout.Seconds()),
			"try again when it is done", err}
	case sqlite.CantOpen, sqlite.Perm, sqlite.Auth:
		return &Problem{ErrFile, fmt.Sprintf(saysNoOpen, name), doNoOpen, err}
	case sqlite.IOErr:
		return &Problem{ErrFile, fmt.Sprintf(saysDisk, name), doDisk, err}
	case sqlite.NoMem:
		return &Problem{ErrFile, fmt.Sprintf("there is not enough memory for the book %s", name), "close other programs and try again", err}
	}
	return problemDamaged(path, err)
}

// primaryCode gives the result code of SQLite, without where it happened; 0 for
// an error that is not SQLite's. A file that ends too early is reported as one
// that cannot be read, and counts as damaged here.
func primaryCode(err error) int {
	const primary = 0xff
	code, known := sqlite.Code(err)
	switch {
	case !known:
		return 0
	case code == sqlite.IOErrShortRead:
		return sqlite.Corrupt
	}
	return code & primary
}

func problemNoTemp(err error) error {
	return &Problem{ErrFile, "a copy of the book cannot be written to the folder for temporary files: " + systemReason(err), "make room on its disk and try again", err}
}

func problemBackupThere(path string) error {
	return &Problem{ErrFile, report.Printable(path) + " exists already", "choose another name for the backup; nothing was changed", nil}
}

func problemBackup(path string, err error) error {
	if primaryCode(err) == sqlite.Full {
		return &Problem{ErrFile, "the disk is too full for the backup " + report.Printable(path), "choose a disk with more room", err}
	}
	says := "the backup " + report.Printable(path) + " cannot be written"
	var system syscall.Errno
	if errors.As(err, &system) {
		says += ": " + systemReason(err)
	}
	return &Problem{ErrFile, says, "choose a folder of your own with room on its disk", err}
}
