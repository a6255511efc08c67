package book

import (
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Backup writes the whole book, as it stands at one instant, into a new file
// that can be opened as a book. Others may read and write the book meanwhile. The
// file is there whole or not at all; what is there already is left alone and a
// *Problem of kind ErrFile comes back.
//
// Source: SQLite documentation, VACUUM INTO: the copy is of one transaction.
func (b *Book) Backup(path string) error {
	if _, err := os.Lstat(path); err == nil {
		return problemBackupThere(path)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return problemBackup(path, err)
	}
	// Under its own name the file appears only when it is whole.
	beside := filepath.Join(filepath.Dir(path), ".topnote-"+rand.Text())
	if err := b.copyTo(beside); err != nil {
		os.Remove(beside) // half a copy is of no use to anybody
		return problemBackup(path, err)
	}
	if err := os.Rename(beside, path); err != nil {
		os.Remove(beside)
		return problemBackup(path, err)
	}
	return nil
}

// copyTo writes the copy and makes sure that it is on the disk.
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
	return f.Sync()
}
