//go:build !js

package book

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// The file of a book where there is an operating system.

// identity tells a file from another one of the same name.
type identity = fs.FileInfo

// inspect returns a *Problem for a path where there is no book, or what cannot be
// one.
func inspect(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return problemNoBook(path)
	case err != nil:
		return problemCannotOpen(path, err)
	case info.IsDir():
		return problemFolder(path)
	case !info.Mode().IsRegular():
		return problemNotAFile(path)
	case info.Size() == 1: // which SQLite takes for an empty file, and writes over
		return problemNotABook(path, nil)
	}
	return nil
}

// create makes the file of a book, and its folder, where there is none.
func create(path string) (*Book, error) {
	const folderMode, fileMode = 0o700, 0o600 // private: it shows who used which machine
	if err := os.MkdirAll(filepath.Dir(path), folderMode); err != nil {
		return nil, problemCannotMake(path, err)
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, fileMode)
	if errors.Is(err, fs.ErrExist) {
		return open(path, defaultBusyTimeout) // another program was quicker
	}
	if err != nil {
		return nil, problemCannotMake(path, err)
	}
	if err := f.Close(); err != nil {
		return nil, problemCannotMake(path, err)
	}
	b, err := open(path, defaultBusyTimeout)
	if info, errStat := os.Stat(path); err != nil && errStat == nil && info.Size() == 0 {
		os.Remove(path) // nothing was written to it, as on a full disk
	}
	return b, err
}

// open connects to a file that exists.
func open(path string, busyTimeout time.Duration) (*Book, error) {
	b := &Book{path: path, busyTimeout: busyTimeout, clock: time.Now}
	mode := "rw"
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	switch {
	case err == nil:
		f.Close() // nothing was written
	case isReadOnly(err):
		b.readOnly, mode = true, "ro"
	default:
		return nil, problemCannotOpen(path, err)
	}
	if b.file, err = os.Stat(path); err != nil {
		return nil, problemCannotOpen(path, err)
	}
	err = b.connect(mode, "")
	if err != nil && b.readOnly && !hasLog(path) {
		// SQLite keeps files beside the book, which it cannot make in a folder that
		// may not be written. Without a log, the file alone is complete.
		err = b.connect(mode, "&immutable=1")
	}
	if err != nil {
		return nil, err
	}
	return b, nil
}

// dataSourceName gives the URI by which the driver opens the file, so that no
// character of the path is taken for an option.
func (b *Book) dataSourceName(mode string) (string, error) {
	full, err := filepath.Abs(b.path)
	if err != nil {
		return "", err
	}
	full = filepath.ToSlash(full)
	if !strings.HasPrefix(full, "/") {
		full = "/" + full // a drive letter
	}
	options := url.Values{
		"mode":    {mode},
		"_txlock": {"immediate"}, // a transaction that reads first can always go on to write
		"_pragma": {
			fmt.Sprintf("busy_timeout(%d)", b.busyTimeout.Milliseconds()),
			"foreign_keys(1)",
			"synchronous(full)", // a stored pass survives a power cut
		},
	}
	return (&url.URL{Scheme: "file", OmitHost: true, Path: full, RawQuery: options.Encode()}).String(), nil
}

// replaced returns a *Problem where the file was deleted or replaced since it was
// opened: it would take an entry with it.
func (b *Book) replaced() error {
	if now, err := os.Stat(b.path); err != nil || !os.SameFile(now, b.file) {
		return problemReplacedFile(b.path, err)
	}
	return nil
}

// isReadOnly reports whether an error says that a file may only be read.
func isReadOnly(err error) bool {
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, errReadOnlySystem)
}

// hasLog reports whether there may be anything in the write-ahead log of a
// book.
func hasLog(path string) bool {
	info, err := os.Stat(path + "-wal")
	return !errors.Is(err, fs.ErrNotExist) && (err != nil || info.Size() > 0)
}

// WriteFile writes the whole book as the bytes of a file that can be opened as a
// book. An error of w comes back as it is; others are those of Backup.
func (b *Book) WriteFile(w io.Writer) error {
	folder, err := os.MkdirTemp("", "topnote-book-")
	if err != nil {
		return problemNoTemp(err)
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, fileName)
	if err := b.Backup(path); err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return problemNoTemp(err)
	}
	defer f.Close() // only read from
	_, err = io.Copy(w, f)
	return err
}

// openBytes opens a copy of the bytes of a book. The caller calls end.
func openBytes(r io.Reader) (b *Book, end func(), err error) {
	folder, err := os.MkdirTemp("", "topnote-book-")
	if err != nil {
		return nil, nil, problemNoTemp(err)
	}
	path := filepath.Join(folder, importName)
	if err := copyInto(path, r); err != nil {
		os.RemoveAll(folder)
		return nil, nil, err
	}
	b, err = Open(path)
	if err != nil {
		os.RemoveAll(folder)
		return nil, nil, err
	}
	return b, func() { b.Close(); os.RemoveAll(folder) }, nil
}

func copyInto(path string, r io.Reader) error {
	const fileMode = 0o600
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, fileMode)
	if err != nil {
		return problemNoTemp(err)
	}
	if _, err := io.Copy(f, r); err != nil {
		f.Close()
		return problemImportRead(err)
	}
	if err := f.Close(); err != nil {
		return problemNoTemp(err)
	}
	return nil
}
