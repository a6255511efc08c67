package book

import (
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"topnote/internal/sqlite"
)

// Backup writes the whole book, from one state of it, into a new file that can
// be opened as a book. Others may read and write the book meanwhile. The file
// appears complete or not at all, and only if every row of the book is as it was
// stored; an existing file is left alone and a *Problem of kind ErrFile comes
// back.
//
// Source: SQLite documentation, VACUUM INTO: the copy is of one transaction.
func (b *Book) Backup(path string) error {
	if _, err := os.Lstat(path); err == nil {
		return problemBackupThere(path)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return problemBackup(path, err)
	}
	if err := b.read(verifyAll); err != nil {
		return err
	}
	// The file gets its own name only when it is complete.
	temporary := filepath.Join(filepath.Dir(path), ".topnote-"+rand.Text())
	defer os.Remove(temporary) // without effect after Rename
	if err := b.copyTo(temporary); err != nil {
		return b.problemCopy(path, err)
	}
	if err := os.Rename(temporary, path); err != nil {
		return problemBackup(path, err)
	}
	return nil
}

// copyTo writes the copy, makes sure that it is on the disk, and checks it.
func (b *Book) copyTo(path string) error {
	const fileMode = 0o600
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, fileMode)
	if err != nil {
		return err
	}
	defer f.Close() // the copy goes through the database
	if _, err := b.db.Exec("VACUUM INTO ?", path); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	written := &Book{path: path, readOnly: true, busyTimeout: b.busyTimeout}
	if err := written.connect("ro", "&immutable=1"); err != nil { // immutable: it makes no files
		return err
	}
	defer written.db.Close() // only read
	return written.read(verifyAll)
}

// problemCopy parts what is wrong with the book from what is wrong with the
// place of its copy.
func (b *Book) problemCopy(path string, err error) error {
	switch primaryCode(err) {
	case sqlite.Corrupt, sqlite.Busy, sqlite.Locked:
		return b.problem(err)
	}
	return problemBackup(path, err)
}
